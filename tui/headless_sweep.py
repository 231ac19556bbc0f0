"""A sweep or a map without a screen: figures of every setup over inputs, as lines or as one JSON object."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np

from physics.arrays import Values, values
from physics.case import Case, Fork
from physics.solve import solved_case
from physics.sweep import Axis, Swept, swept
from tui.bench.figures_words import STATES
from tui.headless import Unanswered, job_of
from tui.jobs.answer_json_springs import number
from tui.jobs.answering import JobAnswer, answer_job
from tui.jobs.clean import brief
from tui.jobs.ends import End
from tui.jobs.faults import JobFault, UnusableJob
from tui.jobs.files import FileTrouble
from tui.jobs.sweep_asked import OVER, axis_asked, figure_asked
from tui.jobs.sweep_words import INPUTS, as_read, figure_named, figure_text, input_text, why_not
from tui.shop_units import METRIC, USUAL, Measure, ShopUnits

MOST_CASES = 250_000
_STATES = {**STATES, "impossible": "cannot be"}
_KEYS: dict[Measure, tuple[str, ShopUnits | None]] = {
    Measure.MASS: ("_kg", METRIC),
    Measure.TRAVEL: ("_mm", METRIC),
    Measure.ALTITUDE: ("_m", METRIC),
    Measure.FORCE: ("_n", METRIC),
    Measure.SPRING_RATE: ("_n_per_mm", METRIC),
    Measure.WHEEL_RATE: ("_n_per_mm", METRIC),
    Measure.PRESSURE: ("_psi", USUAL),
    Measure.VOLUME: ("_cm3", METRIC),
    Measure.TEMPERATURE: ("_c", METRIC),
    Measure.ANGLE: ("_deg", METRIC),
    Measure.ENERGY: ("_j", METRIC),
    Measure.FREQUENCY: ("_hz", METRIC),
    Measure.DAMPING: ("_n_s_per_m", METRIC),
}
"""By measure the unit in a JSON key and who scales to it; what is not here is a bare number."""


class SweepAsked(NamedTuple):
    """What the command line asks for: one or two ranges, figures by name, the end of the bike."""

    over: Sequence[str]
    figures: Sequence[str]
    end: End = "rear"


def sweep_text(source: str, asked: SweepAsked, *, as_json: bool) -> str:
    """Return figures over ranges of inputs for the job file `source`; raises `Unanswered`."""
    try:
        bike = answer_job(job_of(source))
        case = _case(bike, asked.end)
        axes = _axes(asked.over, solved_case(case))
        names = [figure_asked(name) for name in asked.figures]
    except UnusableJob as unusable:
        raise Unanswered(tuple(map(str, unusable.faults))) from unusable
    except FileTrouble as trouble:
        raise Unanswered((str(trouble.fault),)) from trouble
    found = swept(case, axes, names)
    outside = float(values(case.shop.pressure))
    if as_json:
        return json.dumps(_object(bike, asked.end, found, outside), allow_nan=False) + "\n"
    return "\n".join(_lines(bike, found, outside, isinstance(case.frame.leverage, Fork))) + "\n"


def _case(bike: JobAnswer, end: End) -> Case:
    there = bike.at(end)
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


def _object(bike: JobAnswer, end: End, found: Swept, outside: float) -> dict[str, Any]:
    read = {name: as_read(name, found) for name in found.figures}
    return {
        "format": 1,
        "title": bike.job.title,
        "end": end,
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
    unit, units = _KEYS.get(measure, ("", None))
    scaled = numbers if units is None else units.scale(numbers, measure)
    return {f"{name}{unit}": _listed(scaled)}


def _listed(numbers: Values) -> list[Any]:
    return [_listed(part) if part.ndim else number(part) for part in map(values, numbers)]
