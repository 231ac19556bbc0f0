"""Numbers of a job as people write them, with or without a unit, and their usual ranges.

The usual ranges (`likely` of a field) are common practice, no source: wide enough for a child's bike and a
downhill bike, narrow enough to notice a lost digit or a wrong unit.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from functools import lru_cache
from typing import TYPE_CHECKING, TypeGuard

from physics.frozen import NamedTuple
from tui.job.fields import every_field
from tui.job.job import Job
from tui.job.tree import Raw, TreePath, clean, leaves
from tui.job.wheels import is_fork
from tui.shop_units import USUAL, Measure, ShopUnits

if TYPE_CHECKING:
    from physics.units import Dimension

_TEXT_NUMBER = re.compile(r"([+-]?(?:\d+[.,]?\d*|[.,]\d+))\s*(.*)")


def is_bare(text: str) -> bool:
    """Return whether a text is a number alone."""
    parts = split(text)
    return parts is not None and not parts[1]


def with_unit(text: str, unit: str) -> str:
    """Return the text with the displayed unit appended if it is a bare number."""
    parts = split(text)
    return f"{parts[0]} {unit}".strip() if parts is not None and not parts[1] else text


def is_fraction(text: str) -> bool:
    """Return whether a text is a bare number between 0 and 1, which may be meant as a fraction."""
    return is_bare(text) and 0 < abs(float(number(text))) < 1


def fraction_unseen(text: str, length: str = "") -> str:
    """Return what to write instead of a fraction: per cent, or a length if that is accepted too."""
    share = f"{float(f'{float(number(text)) * 100:.6g}'):g} %"
    write = f"{share} or {length}" if length else share
    return f'"{text.strip()}" may be a share of the whole: write {write}'


def sag_length(unit: str) -> str:
    """Return the length of a usual sag as an example, in `unit`."""
    return "1.8 in" if unit == "in" else f"45 {unit}"


def split(text: object) -> tuple[str, str] | None:
    """Return number and unit of a quantity as typed, a fraction as decimal number; None if it is not one."""
    if not isinstance(text, str):
        return None
    match = _TEXT_NUMBER.fullmatch(_decimal(text))
    return (match[1], match[2].strip()) if match else None


def _decimal(text: str) -> str:
    """Return a typed number as it is, a fraction such as 1 1/2 as decimal number."""
    plain = text.strip().replace("−", "-")
    if "/" not in plain or not plain.partition("/")[2].lstrip()[:1].isdecimal():
        return plain
    from physics.units import decimal_text  # most numbers are no fractions

    return decimal_text(plain)


_DIMENSIONS = {
    Measure.TRAVEL: "LENGTH",
    Measure.ALTITUDE: "LENGTH",
    Measure.DISTANCE: "LENGTH",
    Measure.WHEEL_RATE: "SPRING_RATE",
    Measure.SHAFT_SPEED: "SPEED",
}
"""Dimensions of measures with another name."""


def dimension_of(measure: Measure) -> Dimension | None:
    """Return the dimension of a measure's units, None for a bare number."""
    from physics.units import Dimension  # most fields never ask

    name = _DIMENSIONS.get(measure, measure.name)
    return Dimension[name] if name in Dimension.__members__ else None


def in_si(raw: Raw | None, measure: Measure) -> float | None:
    """Return a typed value in SI, None if it is not of this measure; a length needs a unit."""
    from physics.units import Dimension, UnitFault, parse  # most fields never ask

    dimension = dimension_of(measure)
    if is_number(raw):
        return float(raw) if dimension in (None, Dimension.FRACTION) else None
    try:
        return parse(raw, dimension)[0] if isinstance(raw, str) and dimension is not None else None
    except UnitFault:
        return None


def number(text: str) -> Decimal:
    """Return a number as typed."""
    return Decimal(_decimal(text).replace(",", "."))


def is_number(raw: object) -> TypeGuard[int | float]:
    """Return whether a raw value is a bare number."""
    return isinstance(raw, int | float) and not isinstance(raw, bool)


def plain(raw: Raw) -> str:
    """Return any raw value as one line of text, empty for nothing."""
    if raw is None:
        return ""
    return raw if isinstance(raw, str) else clean(str(raw))


CODE = "unlikely"
"""The code of these cautions."""


class Likely(NamedTuple):
    """Measure of a number, its usual range in the usual units, and what it is a number of."""

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
"""Usual ranges by table and key of the job file; a zero that means "none" is included."""
_ON_FORK: Mapping[str, Likely] = {
    **LIKELY,
    **{
        ".".join(map(str, field.path)): Likely(field.measure, *field.on_fork["likely"])
        for field in every_field()
        if "likely" in field.on_fork and field.measure
    },
}
"""The same on a fork."""


class Doubt(NamedTuple):
    """A value of a job out of its usual range: path, as typed, in SI, and the range.

    `whole` [kg] is the mass it is a part of, None if it is judged by itself.
    """

    path: TreePath
    typed: str
    si: float
    likely: Likely
    whole: float | None = None

    def question(self, units: ShopUnits) -> str:
        """Return a question such as "8.7 kg for a rider?"."""
        return f"{self.value(units)} for {self._what(units)}?"

    def _what(self, units: ShopUnits) -> str:
        of = "" if self.whole is None else f" of {units.show(self.whole, Measure.MASS)} in all"
        return f"{self.likely.what}{of}"

    def value(self, units: ShopUnits) -> str:
        """Return the value as typed, and in the shop's unit if that differs."""
        shown = units.show(self.si, self.likely.measure)
        unit = units.unit(self.likely.measure)
        return self.typed if not unit or self.typed.endswith(unit) else f"{self.typed} ({shown})"

    def text(self, units: ShopUnits) -> str:
        """Return the caution."""
        usual = f"{self.likely.span(units)} is usual (rule of thumb)"
        return f"{self.value(units)} for {self._what(units)}: {usual}. Check it."


@lru_cache(maxsize=16)
def doubts(job: Job) -> tuple[Doubt, ...]:
    """Return the unlikely values of a one-wheel job, in the order of the file."""
    found = (doubt_at(job, path) for path, _raw in leaves(job.tree) if path[0] != "front")
    return tuple(doubt for doubt in found if doubt is not None)


ON_SCALE: tuple[TreePath, ...] = (("load", "scale_mass"), ("measured", "scale"))
"""Readings of a scale under one wheel with the rider on the bike."""
_PART = (0.2, 0.85)
"""Minimum and maximum fraction of rider and bike on one wheel. Common practice, no source."""


def whole_mass(job: Job) -> float | None:
    """Return the total mass of rider and bike [kg], None unless the job has both."""
    rider, bike = (in_si(job.get(("load", key)), Measure.MASS) for key in ("rider_mass", "bike_mass"))
    return None if rider is None or bike is None else rider + bike


def doubt_at(job: Job, path: TreePath, whole: float | None = None) -> Doubt | None:
    """Return the doubt about one value; None if it is usual, absent, or cannot be read.

    `whole` is the total mass of rider and bike [kg] if the job does not have it: a scale under one wheel
    reads a part of it.
    """
    usual = _ON_FORK if is_fork(job) else LIKELY
    likely = usual.get(".".join(str(step) for step in path if not isinstance(step, int)))
    raw = job.get(path)
    si = None if likely is None else in_si(raw, likely.measure)
    if likely is None or si is None:
        return None
    if not likely.holds(si):
        return Doubt(path, _typed(raw, likely), si, likely)
    whole = (whole_mass(job) or whole) if path in ON_SCALE else None
    if whole is None:
        return None
    low, high = (float(USUAL.scale(part * whole, Measure.MASS)) for part in _PART)
    part = Likely(Measure.MASS, low, high, "one wheel")
    return None if part.holds(si) else Doubt(path, _typed(raw, part), si, part, whole)


def unlikely(key: str, si: float, typed: str) -> Doubt | None:
    """Return the doubt about an SI value that is not in a job, by the range of `key`."""
    likely = LIKELY[key]
    return None if likely.holds(si) else Doubt((key,), typed, si, likely)


def _typed(raw: Raw | None, likely: Likely) -> str:
    if likely.measure is Measure.FRACTION and not isinstance(raw, str):
        return f"{float(str(raw)) * 100:g} %"
    return f"{raw} turns" if likely.measure is Measure.TURNS else str(raw)
