"""Between what a hand types and what the job holds: units kept, bare numbers given the field's unit."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from tui.bare_numbers import is_fraction
from tui.bench.fields_pairs import pair_shown, pair_typed
from tui.bench.fields_row import Amount, Bare, Choice, Pair, Row, Several, Share
from tui.bench.fields_text import in_si, is_number, number, plain, split
from tui.jobs.clean import clean
from tui.jobs.job import Job
from tui.jobs.tree import Raw
from tui.shop_units import ABSENT, Measure, ShopUnits, gauge

if TYPE_CHECKING:
    from physics.answer import SetupAnswer

SOLVE = "solve"
NONE = "none"
_SOLVE_WORDS = ("solve", "solved", "=")


def shown(job: Job, row: Row) -> str:
    """Return the value of a row as it stands in the job, empty where nothing does."""
    if isinstance(row.kind, Pair):
        return pair_shown(job, row.path, row.kind)
    raw = job.get(row.path)
    match row.kind:
        case Choice() as choice:
            chosen = choice.chosen(job, row.path)
            return choice.options[chosen].word if chosen is not None else plain(raw)
        case Share() if is_number(raw):
            return f"{_tidy(Decimal(repr(raw)) * 100)} %"
        case Bare() as bare if is_number(raw):
            return f"{_decimals(raw, bare)} {bare.suffix}".rstrip()
        case Several(unit=unit) if isinstance(raw, tuple):
            return f"{' '.join(plain(item) for item in raw)} {unit}"
        case _:
            return plain(raw)


def typed_into(job: Job, row: Row, text: str, units: ShopUnits) -> Job:
    """Return the job with what was typed into a row; text that cannot be used is kept as it is."""
    typed = clean(text).strip()
    if isinstance(row.kind, Pair):
        return pair_typed(job, row.path, row.kind, typed)
    raw = _raw(row, _kept(job, row, typed, units), job.get(row.path), units)
    return job.taken_out(row.path) if raw is None else job.with_value(row.path, raw)


def _kept(job: Job, row: Row, typed: str, units: ShopUnits) -> str:
    """Return what is typed as the file has it: a share turned into a length, or a length into a share."""
    parts = split(typed)
    if parts is None or not parts[1] or not isinstance(row.kind, Amount | Share) or not row.kind.share_of:
        return typed
    from tui.bench.fields_shares import as_kept  # the first frame has nothing typed

    unit = _unit_of(job.get(row.path), row, Measure.TRAVEL, units)
    return as_kept(job, row, typed, unit)


def _raw(row: Row, typed: str, current: Raw, units: ShopUnits) -> Raw | None:
    if not typed:
        return None
    match row.kind:
        case Amount(solvable=True) if typed.lower() in _SOLVE_WORDS:
            return SOLVE
        case Amount(or_none=True) if typed.lower() == NONE:
            return NONE
        case Amount(measure=measure):
            parts = split(typed)
            if parts is None:
                return typed
            return " ".join((parts[0], parts[1] or _unit_of(current, row, measure, units)))
        case Share() as share:
            return _share(typed, share)
        case Bare() as bare:
            return _bare(typed, bare)
        case Several(unit=unit):
            return _several(typed.removesuffix(unit))
        case _:
            return typed


def unit_taken(job: Job, row: Row, typed: str, units: ShopUnits) -> str:
    """Return the unit that a bare number typed into a row takes, empty where the text is none."""
    parts = split(typed)
    if typed.strip() and (parts is None or parts[1]):
        return ""
    match row.kind:
        case Amount(measure=measure):
            return _unit_of(job.get(row.path), row, measure, units)
        case Share():
            return "%"
        case Bare(suffix=suffix):
            return suffix
        case _:
            return ""


def _unit_of(raw: Raw, row: Row, measure: Measure, units: ShopUnits) -> str:
    """Return the unit of a row's value if it has a sound one, else of its usual value, else the shop's."""
    for text in (raw, row.usual):
        parts = split(text)
        if parts is not None and parts[1] and in_si(text, measure) is not None:
            return parts[1]
    return units.unit(measure)


def _share(typed: str, share: Share) -> Raw:
    parts = split(typed)
    if parts is None or parts[1] not in ("", "%"):
        return typed
    if is_fraction(typed) and not share.small:
        return typed  # as it is typed, which the bench asks about before it is taken
    return f"{parts[0]} %" if share.as_text else float(number(parts[0]) / 100)


def _bare(typed: str, bare: Bare) -> Raw:
    parts = split(typed)
    if parts is None or not bare.suffix.replace(" ", "").startswith(parts[1].replace(" ", "")):
        return typed
    return int(parts[0]) if parts[0].lstrip("+-").isdecimal() else float(number(parts[0]))


def _several(typed: str) -> Raw:
    words = [split(word) for word in typed.replace(";", " ").split()]
    if any(word is None or word[1] for word in words):
        return typed
    return tuple(float(number(word[0])) for word in words if word is not None)


def _decimals(raw: Raw, bare: Bare) -> str:
    value = Decimal(repr(raw))
    if not value.is_finite():
        return str(raw)
    places = max(_places(value), _places(Decimal(bare.step)))
    return f"{value:.{places}f}"


def _places(value: Decimal) -> int:
    exponent = value.as_tuple().exponent
    return max(-exponent, 0) if isinstance(exponent, int) else 0


def _tidy(value: Decimal) -> str:
    return f"{value.normalize():f}" if value.is_finite() else str(value)


def written(found: SetupAnswer, ambient: float, units: ShopUnits) -> str | None:
    """Return the rate or the gauge pressure of a setup in `ambient` [Pa], None where it has none."""
    if found.coil is not None:
        text = units.show(float(found.coil.rate), Measure.SPRING_RATE)
    elif found.air is not None:
        text = units.show(gauge(float(found.air.set_pressure), ambient), Measure.PRESSURE)
    else:
        return None
    return None if text == ABSENT else text
