"""What a command asks to sweep, `rider_mass=50kg..120kg:15`, to an axis of SI numbers or a fault in words."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from typing import Any, NamedTuple

import numpy as np

from physics.arrays import Values, values
from physics.case import Case, Fork
from physics.inputs import BY_NAME, inputs_of
from physics.solve import solved_case
from physics.sweep import Axis, Swept, swept
from physics.units import Dimension
from tui.job.answer import JobAnswer, answer_job
from tui.job.clean import brief
from tui.job.faults import Findings, JobFault, Spelling, UnusableJob
from tui.job.fields import fraction_unseen, is_fraction, with_unit
from tui.job.figures import (
    INPUTS,
    STATES,
    SWEPT,
    as_read,
    figure_called,
    figure_named,
    figure_text,
    input_text,
    why_not,
)
from tui.job.files import FileTrouble
from tui.job.reading import read_fields
from tui.job.schema import AMBIENT, FRAME, LEVERAGE, LOAD, SETUP, TARGET, Field, Fields, Group, Quantity
from tui.job.tree import Raw, Tree
from tui.job.wheels import Wheel
from tui.shop_units import KEY_UNITS, USUAL, Measure, number
from tui.subjects.asked import Unanswered, job_of

OVER, FIGURE = "over", "figure"
FEWEST, USUALLY, MOST = 2, 8, 1000
_FORM = re.compile(r"\s*(\w+)\s*=\s*(.+?)\s*\.\.\s*(.+?)\s*(?::\s*(\d+)\s*)?")
_ACCEPTED = "NAME=FROM..TO or NAME=FROM..TO:COUNT is accepted, such as rider_mass=50kg..120kg:15"
_ASKED_KEYS = {"total_mass": "rider_mass"}


def axis_asked(text: str, case: Case) -> Axis:
    """Return the axis that was asked for; `case` has every rate and pressure known. Raises `UnusableJob`."""
    form = _FORM.fullmatch(text)
    if form is None:
        raise _fault((OVER,), f'"{brief(text)}" cannot be read', _ACCEPTED)
    name, low, high, count = form.groups()
    one, known = BY_NAME.get(name), [there.name for there in inputs_of(case)]
    if one is None or one.read(case) is None:
        raise _fault((OVER, name), "no number of this job", f"one of {', '.join(known)} is accepted")
    number = int(count or USUALLY)
    if not FEWEST <= number <= MOST:
        raise _fault((OVER, name), f"{count} is no count", f"{FEWEST} to {MOST} is accepted")
    outside = float(values(case.shop.pressure)) if INPUTS[name][1] is Measure.PRESSURE else 0.0
    ends = [outside + _number(name, raw) for raw in (low, high)]
    if not ends[0] < ends[1]:
        raise _fault((OVER, name), f"{low} is not below {high}", "a range that rises is accepted")
    return Axis(one, one.along(ends[0], ends[1], number))


def figure_asked(name: str) -> str:
    """Return the name of a figure that can be swept, given by it or by its key in the answer.

    Raises `UnusableJob` for any other.
    """
    named = figure_called(name, SWEPT)
    if named is not None:
        return named.figure
    near = get_close_matches(name, SWEPT, n=1, cutoff=0.0)[0]
    accepted = f"the nearest known is {near}; all are {', '.join(SWEPT)}"
    raise _fault((FIGURE,), f'"{brief(name)}" is no figure', accepted)


def _number(name: str, text: str) -> float:
    """Read one end as the job file would have it."""
    field = _fields()[_ASKED_KEYS.get(name, name)]
    if isinstance(field, Quantity):
        share = field.dimension is Dimension.FRACTION
        if share and is_fraction(text):
            raise _fault((OVER, name), *fraction_unseen(text).split(": ", 1))
        raw: Raw = with_unit(text, USUAL.unit(INPUTS[name][1]))
    else:
        raw = _bare(text)
    found = Findings(Spelling(Tree({}), {}))
    read = read_fields({name: raw}, {name: field}, (OVER,), found)
    if found.faults:
        raise UnusableJob(tuple(found.faults))
    return float(str(read[name]))


def _bare(text: str) -> Raw:
    try:
        return float(text)
    except ValueError:
        return text


def _fields() -> Mapping[str, Field]:
    """Return the fields of the job file by key, whatever table they are in."""
    known: dict[str, Field] = {}
    tables: list[Fields] = [FRAME, *LEVERAGE.values(), LOAD, TARGET, AMBIENT, *SETUP.values()]
    for fields in tables:
        for key, field in fields.items():
            known.update(field.fields if isinstance(field, Group) else {key: field})
    return known


def _fault(path: tuple[str, ...], what: str, accepted: str) -> UnusableJob:
    return UnusableJob((JobFault(path, what, accepted),))


MOST_CASES = 250_000
_STATES = {**STATES, "impossible": "cannot be"}


class SweepAsked(NamedTuple):
    """What the command line asks for: one or two ranges, figures by name, the end of the bike."""

    over: Sequence[str]
    figures: Sequence[str]
    wheel: Wheel = "rear"


def sweep_text(source: str, asked: SweepAsked, *, as_json: bool) -> str:
    """Return figures over ranges of inputs for the job file `source`; raises `Unanswered`."""
    try:
        bike = answer_job(job_of(source))
        case = _case(bike, asked.wheel)
        axes = _axes(asked.over, solved_case(case))
        names = [figure_asked(name) for name in asked.figures]
    except UnusableJob as unusable:
        raise Unanswered(tuple(map(str, unusable.faults))) from unusable
    except FileTrouble as trouble:
        raise Unanswered((str(trouble.fault),)) from trouble
    found = swept(case, axes, names)
    outside = float(values(case.shop.pressure))
    if as_json:
        return json.dumps(_object(bike, asked.wheel, found, outside), allow_nan=False) + "\n"
    return "\n".join(_lines(bike, found, outside, isinstance(case.frame.leverage, Fork))) + "\n"


def _case(bike: JobAnswer, wheel: Wheel) -> Case:
    there = bike.at(wheel)
    if there is None:
        raise UnusableJob((JobFault(("end",), "this job has no front", "rear is accepted"),))
    return there.case


def _axes(over: Sequence[str], case: Case) -> list[Axis]:
    axes = [axis_asked(text, case) for text in over]
    names = {axis.input.name for axis in axes}
    if len(axes) > 2 or len(names) < len(axes):
        what, accepted = "given too often", "one or two different inputs are accepted"
        raise UnusableJob((JobFault((OVER,), what, accepted),))
    if np.prod([axis.numbers.size for axis in axes]) > MOST_CASES:
        accepted = f"at most {MOST_CASES} cases in all are accepted"
        raise UnusableJob((JobFault((OVER,), "too many cases", accepted),))
    return axes


def _shown(axis: Axis, outside: float) -> Values:
    """Return the numbers of an axis in SI, pressures as on a gauge."""
    return values(axis.numbers - (outside if INPUTS[axis.input.name][1] is Measure.PRESSURE else 0.0))


def _lines(bike: JobAnswer, found: Swept, outside: float, fork: bool) -> list[str]:
    over = " and ".join(input_text(axis.input.name, fork) for axis in found.axes)
    lines = [brief(bike.job.title) or "Job without a title"]
    for name in found.figures:
        lines += ["", f"{figure_text(name, fork)} over {over}"]
        drawn = as_read(name, found)
        for place in np.ndindex(found.outside.shape):
            at = [
                USUAL.show(float(_shown(axis, outside)[index]), INPUTS[axis.input.name][1])
                for axis, index in zip(found.axes, place, strict=True)
            ]
            here = (
                f"{brief(setup)} {_said(float(drawn[row, *place]), str(found.state[row, *place]), name)}"
                for row, setup in enumerate(found.names)
            )
            lines.append(f"  {', '.join(at)}: {', '.join(here)}")
    return lines + [f"  {why}" for why in why_not(found)]


def _said(figure: float, state: str, name: str) -> str:
    if np.isnan(figure):
        return "has none" if state == "ok" else _STATES[state]
    return USUAL.show(figure, figure_named(name).measure)


def _object(bike: JobAnswer, wheel: Wheel, found: Swept, outside: float) -> dict[str, Any]:
    read = {name: as_read(name, found) for name in found.figures}
    return {
        "format": 1,
        "title": bike.job.title,
        "end": wheel,
        "over": [
            _named(axis.input.name, INPUTS[axis.input.name][1], _shown(axis, outside)) for axis in found.axes
        ],
        "setups": [
            {
                "name": setup,
                "state": found.state[row].tolist(),
                **{
                    key: column
                    for name in read
                    for key, column in _named(name, figure_named(name).measure, read[name][row]).items()
                },
            }
            for row, setup in enumerate(found.names)
        ],
        "impossible": list(why_not(found)),
    }


def _named(name: str, measure: Measure, numbers: Values) -> dict[str, Any]:
    """Return numbers under a key with their unit, those that do not exist as null."""
    unit, units = next(iter(KEY_UNITS.get(measure, {}).items()), ("", None))
    scaled = numbers if units is None else units.scale(numbers, measure)
    return {f"{name}{unit}": _listed(scaled)}


def _listed(numbers: Values) -> list[Any]:
    return [_listed(part) if part.ndim else number(part) for part in map(values, numbers)]
