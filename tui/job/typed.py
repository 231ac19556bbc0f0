"""Conversion of typed text to values of the job and back: units, pairs, fractions, steps and text.

A number typed without a unit gets the unit shown beside it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import TYPE_CHECKING

from tui.job.fields import Amount, Bare, Choice, Column, Field, Pair, Share
from tui.job.job import Job
from tui.job.quantities import in_si, is_fraction, is_number, number, plain, split
from tui.job.tree import Raw, TreePath, clean
from tui.shop_units import ABSENT, Measure, ShopUnits, gauge

if TYPE_CHECKING:
    from physics.answer import SetupAnswer

_GAP = "missing"


def pair_typed(job: Job, path: TreePath, pair: Pair, typed: str) -> Job:
    """Return the job with a pair as typed; empty text removes the pair.

    A single number is the second one of a pair whose first one exists.
    """
    if not typed:
        return without_pair(job, path, pair)
    words = typed
    for unit in sorted(pair.units, key=len, reverse=True):
        words = words.replace(unit, " ")
    numbers = re.split(r"[\s:;/]+", words.strip())
    if len(numbers) == 2 and all(split(word) == (word, "") for word in numbers):
        first, second = (float(number(word)) for word in numbers)
        return put_pair(job, path, pair, first, second)
    stands, kept = pair_at(job, path, pair)
    if len(numbers) == 1 and is_number(stands) and split(numbers[0]) == (numbers[0], ""):
        return put_pair(job, path, pair, stands, float(number(numbers[0])))
    return put_pair(job, path, pair, typed, 0.0 if kept is None else kept)


def pair_nudged(job: Job, path: TreePath, pair: Pair, times: int) -> Job | None:
    """Return the job with the second number of a pair changed by steps, None without one."""
    first, second = pair_at(job, path, pair)
    if not is_number(first) or not is_number(second):
        return None
    moved = Decimal(repr(second)) + times * Decimal(pair.step)
    return put_pair(job, path, pair, first, float(moved)) if moved >= 0 else None


def pair_at(job: Job, path: TreePath, pair: Pair) -> tuple[Raw | None, Raw | None]:
    """Return the two raw values of a pair."""
    first, second = (job.get((*path[:-2], key, pair.place)) for key in pair.keys)
    return first, second


def put_pair(job: Job, path: TreePath, pair: Pair, first: Raw, second: Raw) -> Job:
    """Return the job with both values of a pair in their arrays; a shorter array is padded.

    Typing one pair does not confirm the others: unconfirmed arrays stay unconfirmed.
    """
    before = job
    for key, raw in zip(pair.keys, (first, second), strict=True):
        known = job.get((*path[:-2], key))
        column = list(known) if isinstance(known, tuple) else []
        column += [_GAP] * (pair.place - len(column))
        column[pair.place : pair.place + 1] = [raw]
        job = job.with_value((*path[:-2], key), tuple(column))
    return job.listed_as(before, path[:-2])


def without_pair(job: Job, path: TreePath, pair: Pair) -> Job:
    """Return the job with a pair removed from both arrays."""
    before = job
    for key in pair.keys:
        job = job.without((*path[:-2], key, pair.place))
    return job.listed_as(before, path[:-2])


_LENGTH = {"mm": "1", "cm": "0.1", "m": "0.01", "in": "0.05"}
_RATE = {
    "N/mm": "1", "lbf/in": "5", "lb/in": "5", "lbs/in": "5", "N/m": "1000", "kgf/mm": "0.1", "kg/mm": "0.1",
}  # fmt: skip
_STEPS: dict[Measure, Mapping[str, str]] = {
    Measure.MASS: {"kg": "1", "lb": "1", "lbs": "1", "g": "10"},
    Measure.TRAVEL: _LENGTH,
    Measure.ALTITUDE: {"m": "50", "ft": "100", "km": "0.05"},
    Measure.FORCE: {"N": "1", "lbf": "0.5", "kgf": "0.1"},
    Measure.SPRING_RATE: _RATE,
    Measure.WHEEL_RATE: _RATE,
    Measure.PRESSURE: {"psi": "1", "bar": "0.1", "kPa": "5", "MPa": "0.01"},
    Measure.VOLUME: {"cm3": "1", "ml": "1", "cc": "1", "in3": "0.1"},
    Measure.TEMPERATURE: {"degC": "1", "°C": "1", "degF": "1", "°F": "1", "K": "1"},
    Measure.ANGLE: {"deg": "0.5", "°": "0.5"},
    Measure.DAMPING: {"N s/m": "50", "Ns/m": "50", "lbf s/in": "0.2", "lb s/in": "0.2", "kgf s/m": "5"},
    Measure.SPEED: {"m/s": "0.5", "km/h": "1", "mph": "1"},
    Measure.SHAFT_SPEED: {"m/s": "0.05", "mm/s": "10", "in/s": "1"},
    Measure.DISTANCE: {"m": "0.1", "cm": "5", "mm": "50", "ft": "0.25", "in": "2"},
    Measure.TIME: {"s": "0.5"},
    Measure.AREA: {"mm2": "0.5", "in2": "0.001"},
}


def nudged(job: Job, row: Field, times: int) -> Job | None:
    """Return the job with a value changed by `times` steps.

    None if there is no number to change, or if it would become negative where that is not allowed.
    """
    raw = job.get(row.path)
    match row.kind:
        case Pair() as pair:
            return pair_nudged(job, row.path, pair, times)
        case Amount() as amount:
            moved: Raw = _nudged_amount(row.usual if raw is None else raw, amount, times)
        case Share():
            moved = _nudged_share(row.usual if raw is None else raw, times)
        case Bare(step=step):
            moved = _nudged_bare(0 if raw is None and row.usual else raw, Decimal(step), times)
        case _:
            return None
    return None if moved is None else job.with_value(row.path, moved)


def next_option(job: Job, row: Field, times: int) -> int | None:
    """Return the option `times` steps further, wrapping around; None if the row is not a choice."""
    if not isinstance(row.kind, Choice):
        return None
    chosen = row.kind.chosen(job, row.path)
    return 0 if chosen is None else (chosen + times) % len(row.kind.options)


def _nudged_amount(raw: Raw, amount: Amount, times: int) -> Raw | None:
    parts = split(raw)
    if parts is None or not parts[1]:
        return None
    text, unit = parts
    step = amount.steps.get(unit) or _STEPS.get(amount.measure, {}).get(unit, "1")
    moved = _moved(text, Decimal(step), times, signed=amount.signed)
    return None if moved is None else f"{moved} {unit}"


def _nudged_share(raw: Raw, times: int) -> Raw | None:
    if is_number(raw):
        moved = Decimal(repr(raw)) + times * Decimal("0.01")
        return float(moved) if 0 <= moved <= 1 else None
    parts = split(raw)
    if parts is None or parts[1] != "%":
        return None
    text = _moved(parts[0], Decimal(1), times, signed=False)
    return None if text is None or number(text) > 100 else f"{text} %"


def _nudged_bare(raw: Raw, step: Decimal, times: int) -> Raw | None:
    if not is_number(raw):
        return None
    moved = Decimal(repr(raw)) + times * step
    if not moved.is_finite() or moved < 0:
        return None
    return int(moved) if isinstance(raw, int) and moved == int(moved) else float(moved)


def _moved(text: str, step: Decimal, times: int, *, signed: bool) -> str | None:
    moved = number(text) + times * step
    if moved < 0 and not signed:
        return None
    comma = "," in text
    return f"{moved:f}".replace(".", ",") if comma else f"{moved:f}"


_MM = 1e-3


def whole_of(job: Job, share_of: str) -> float | None:
    """Return the length [m] that a fraction refers to, None if unknown.

    "stroke" is that of the shock, "target" the one of the target sag, "read" the one of a sag reading.
    """
    of = share_of
    if share_of in ("target", "read"):
        of = str((job.get(("measured", "of")) if share_of == "read" else None) or job.get(("target", "of")))
    if of == "stroke":
        return in_si(job.get(("frame", "stroke")), Measure.TRAVEL)
    travel = in_si(job.get(("frame", "wheel_travel")), Measure.TRAVEL)
    return _fork_travel(job) if travel is None else travel


def _plain(value: float, digits: int) -> str:
    return f"{value:.{digits}f}".rstrip("0").rstrip(".")


def _fork_travel(job: Job) -> float | None:
    from physics.faults import Refused  # only a fork's travel is calculated
    from physics.leverage import leverage_curve
    from tui.job.case import frame_of
    from tui.job.reading import look

    try:
        travel = float(leverage_curve(frame_of(look(job)[0])).wheel_travel)
    except (Refused, KeyError, ValueError):
        return None
    return travel if travel > 0 else None


SOLVE = "solve"
NONE = "none"
_SOLVE_WORDS = ("solve", "solved", "=")


def field_text(job: Job, row: Field) -> str:
    """Return the value of a row as in the job, empty without one."""
    if isinstance(row.kind, Pair):
        numbers = zip(pair_at(job, row.path, row.kind), row.kind.units, strict=True)
        texts = (f"{plain(raw)} {unit}" if is_number(raw) else plain(raw) for raw, unit in numbers)
        return "  ".join(filter(None, texts))
    raw = job.get(row.path)
    match row.kind:
        case Choice() as choice:
            chosen = choice.chosen(job, row.path)
            return choice.options[chosen].word if chosen is not None else plain(raw)
        case Share() if is_number(raw):
            percent = Decimal(repr(raw)) * 100
            return f"{percent.normalize():f} %" if percent.is_finite() else f"{percent} %"
        case Bare() as bare if is_number(raw):
            return f"{_decimals(raw, bare)} {bare.suffix}".rstrip()
        case Column(unit=unit) if isinstance(raw, tuple):
            return f"{' '.join(plain(item) for item in raw)} {unit}"
        case _:
            return plain(raw)


def typed_into(job: Job, row: Field, text: str, units: ShopUnits) -> Job:
    """Return the job with the text typed into a row; invalid text is kept as it is."""
    typed = clean(text).strip()
    if isinstance(row.kind, Pair):
        return pair_typed(job, row.path, row.kind, typed)
    current = job.get(row.path)
    kept = as_kept(job, row, typed, _unit_of(current, row, Measure.TRAVEL, units))
    raw = _raw(row, kept, current, units)
    return job.taken_out(row.path) if raw is None else job.with_value(row.path, raw)


def as_kept(job: Job, row: Field, typed: str, unit: str) -> str:
    """Return typed text as stored in the file: a percentage as a length in `unit`, a sag in per cent.

    Anything else is returned unchanged.
    """
    parts = split(typed)
    if parts is None or not parts[1] or not isinstance(row.kind, Amount | Share) or not row.kind.share_of:
        return typed
    whole = whole_of(job, row.kind.share_of)
    if not whole:
        return typed
    if isinstance(row.kind, Share):
        length = in_si(typed, Measure.TRAVEL)
        return typed if length is None else f"{_plain(100 * length / whole, 2)} %"
    if parts[1] != "%":
        return typed
    per_unit = in_si(f"1 {unit}", Measure.TRAVEL) or _MM
    return f"{_plain(float(number(parts[0])) / 100 * whole / per_unit, 3)} {unit}"


def _raw(row: Field, typed: str, current: Raw, units: ShopUnits) -> Raw | None:
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
            return _typed_share(typed, share)
        case Bare() as bare:
            return _typed_bare(typed, bare)
        case Column(unit=unit):
            return _several(typed.removesuffix(unit))
        case _:
            return typed


def unit_taken(job: Job, row: Field, typed: str, units: ShopUnits) -> str:
    """Return the unit for a bare number typed into a row, empty for other text.

    Of a pair, unit and name of the number that is being typed.
    """
    if isinstance(row.kind, Pair):
        second = len(typed.split()) + typed[-1:].isspace() > 1
        name, unit = row.kind.keys[second].partition("_")[0], row.kind.units[second]
        # Behind the first number the second is to be typed: "60 mm stroke" would name the first one.
        blank = "_ " if second and typed[-1:].isspace() else ""
        return "" if any(map(str.isalpha, typed)) else f"{blank}{unit} {name}"
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


def _unit_of(raw: Raw, row: Field, measure: Measure, units: ShopUnits) -> str:
    """Return the unit of a row's value if it is valid, else of its usual value, else the shop's."""
    for text in (raw, row.usual):
        parts = split(text)
        if parts is not None and parts[1] and in_si(text, measure) is not None:
            return parts[1]
    return units.unit(measure)


def _typed_share(typed: str, share: Share) -> Raw:
    parts = split(typed)
    if parts is None or parts[1] not in ("", "%"):
        return typed
    if is_fraction(typed) and not share.small:
        return typed  # as it is typed, which the bench asks about before it is taken
    return f"{parts[0]} %" if share.as_text else float(number(parts[0]) / 100)


LONGEST_WHOLE = 15
"""Maximum number of digits of a whole number."""


def _typed_bare(typed: str, bare: Bare) -> Raw:
    parts = split(typed)
    if parts is None or not bare.suffix.replace(" ", "").startswith(parts[1].replace(" ", "")):
        return typed
    is_whole = parts[0].lstrip("+-").isdecimal() and len(parts[0]) <= LONGEST_WHOLE
    return int(parts[0]) if is_whole else float(number(parts[0]))


def _several(typed: str) -> Raw:
    # The 1 of 1 1/2 would be a number of its own.
    words = [None if "/" in word else split(word) for word in typed.replace(";", " ").split()]
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


def written(found: SetupAnswer, ambient: float, units: ShopUnits) -> str | None:
    """Return the rate, or the gauge pressure at `ambient` [Pa], of a setup as text, None without one."""
    if found.coil is not None:
        text = units.show(float(found.coil.rate), Measure.SPRING_RATE)
    elif found.air is not None:
        text = units.show(gauge(float(found.air.set_pressure), ambient), Measure.PRESSURE)
    else:
        return None
    return None if text == ABSENT else text
