"""What each number of a job usually is: a value outside is asked about, or told as a caution; it is no fault.

Every range is common practice, no source: wide enough for a child's bike and a downhill bike, narrow enough
that a lost digit or a unit mistaken for another is seen.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import NamedTuple

from physics.units import Dimension, UnitFault, parse
from tui.job.fields import every_field
from tui.job.job import Job
from tui.job.quantities import dimension_of, is_number
from tui.job.tree import Raw, Tree, TreePath
from tui.shop_units import USUAL, Measure, ShopUnits

CODE = "unlikely"
"""The code of these cautions."""


class Likely(NamedTuple):
    """What a number measures, its usual range in the usual units, and what it is a number of."""

    measure: Measure
    low: float
    high: float
    what: str

    def holds(self, si: float) -> bool:
        """Return whether an SI value is in the range, rounding aside."""
        number = float(USUAL.scale(si, self.measure))
        slack = 1e-9 * max(abs(self.low), abs(self.high))
        return self.low - slack <= number <= self.high + slack

    def span(self, units: ShopUnits) -> str:
        """Return the range in a shop's units."""
        low, high = (USUAL.si(number, self.measure) for number in (self.low, self.high))
        return f"{units.plain(low, self.measure)} to {units.show(high, self.measure)}"


LIKELY: Mapping[str, Likely] = {
    ".".join(map(str, field.path)): Likely(field.measure, *field.likely)
    for field in every_field()
    if field.likely and field.measure
}
"""By table and key of the job file; a zero that means "none" is in its range."""


class Doubt(NamedTuple):
    """A value of a job outside of what is usual: where it stands, as typed, in SI, and what is usual."""

    path: TreePath
    typed: str
    si: float
    likely: Likely

    def value(self, units: ShopUnits) -> str:
        """Return the value as typed, and in the shop's unit where that is another."""
        shown = units.show(self.si, self.likely.measure)
        unit = units.unit(self.likely.measure)
        return self.typed if not unit or self.typed.endswith(unit) else f"{self.typed} ({shown})"

    def text(self, units: ShopUnits) -> str:
        """Return the caution."""
        usual = f"{self.likely.span(units)} is usual (rule of thumb)"
        return f"{self.value(units)} for {self.likely.what}: {usual}. Check it."


@lru_cache(maxsize=16)
def doubts(job: Job) -> tuple[Doubt, ...]:
    """Return what is unlikely in the job of one wheel, in the order of the file."""
    found = (doubt_at(job, path) for path in _numbers(job.tree, ()))
    return tuple(doubt for doubt in found if doubt is not None)


def doubt_at(job: Job, path: TreePath) -> Doubt | None:
    """Return the doubt about one value; None where it is usual, absent, or cannot be read."""
    likely = LIKELY.get(".".join(str(step) for step in path if not isinstance(step, int)))
    raw = job.get(path)
    si = None if likely is None else _si(raw, likely.measure)
    if likely is None or si is None or likely.holds(si):
        return None
    return Doubt(path, _typed(raw, likely), si, likely)


def unlikely(key: str, si: float, typed: str) -> Doubt | None:
    """Return the doubt about an SI value typed elsewhere than in a job, by the range of `key`."""
    likely = LIKELY[key]
    return None if likely.holds(si) else Doubt((key,), typed, si, likely)


def _numbers(table: Tree, path: TreePath) -> Iterator[TreePath]:
    for key, raw in table.items():
        if isinstance(raw, Tree):
            if (*path, key) != ("front",):
                yield from _numbers(raw, (*path, key))
        elif isinstance(raw, tuple):
            for index, one in enumerate(raw):
                if isinstance(one, Tree):
                    yield from _numbers(one, (*path, key, index))
        else:
            yield (*path, key)


def _si(raw: Raw | None, measure: Measure) -> float | None:
    dimension = dimension_of(measure)
    if is_number(raw):
        return float(raw) if dimension in (None, Dimension.FRACTION) else None
    if not isinstance(raw, str) or dimension is None:
        return None
    try:
        return parse(raw, dimension)[0]
    except UnitFault:
        return None


def _typed(raw: Raw | None, likely: Likely) -> str:
    if likely.measure is Measure.FRACTION and not isinstance(raw, str):
        return f"{float(str(raw)) * 100:g} %"
    return f"{raw} turns" if likely.measure is Measure.TURNS else str(raw)
