"""What a command asks to sweep, `rider_mass=50kg..120kg:15`, to an axis of SI numbers or a fault in words."""

from __future__ import annotations

import re
from collections.abc import Mapping
from difflib import get_close_matches

from physics.arrays import values
from physics.case import Case
from physics.inputs import BY_NAME, inputs_of
from physics.sweep import Axis
from physics.units import Dimension
from tui.bare_numbers import fraction_unseen, is_fraction, with_unit
from tui.jobs.clean import brief
from tui.jobs.faults import JobFault, UnusableJob
from tui.jobs.fields import read_fields
from tui.jobs.figure_names import figure_called
from tui.jobs.findings import Findings
from tui.jobs.schema import AMBIENT, FRAME, LEVERAGE, LOAD, SETUP, TARGET, Field, Fields, Group, Quantity
from tui.jobs.slips import Spelling
from tui.jobs.sweep_words import FIGURE_KEYS, INPUTS
from tui.jobs.tree import Raw, Table
from tui.shop_units import USUAL, Measure

OVER, FIGURE = "over", "figure"
FEWEST, USUALLY, MOST = 2, 8, 1000
_FORM = re.compile(r"\s*(\w+)\s*=\s*(.+?)\s*\.\.\s*(.+?)\s*(?::\s*(\d+)\s*)?")
_ACCEPTED = "NAME=FROM..TO or NAME=FROM..TO:COUNT is accepted, such as rider_mass=50kg..120kg:15"
_KEYS = {"total_mass": "rider_mass"}


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
    named = figure_called(name, FIGURE_KEYS)
    if named is not None:
        return named.figure
    near = get_close_matches(name, FIGURE_KEYS, n=1, cutoff=0.0)[0]
    accepted = f"the nearest known is {near}; all are {', '.join(FIGURE_KEYS)}"
    raise _fault((FIGURE,), f'"{brief(name)}" is no figure', accepted)


def _number(name: str, text: str) -> float:
    """Read one end as the job file would have it."""
    field = _fields()[_KEYS.get(name, name)]
    if isinstance(field, Quantity):
        share = field.dimension is Dimension.FRACTION
        if share and is_fraction(text):
            raise _fault((OVER, name), *fraction_unseen(text).split(": ", 1))
        raw: Raw = with_unit(text, USUAL.unit(INPUTS[name][1]))
    else:
        raw = _bare(text)
    found = Findings(Spelling(Table({}), {}))
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
