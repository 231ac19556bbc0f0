"""Nudges: one sensible step of a value in the unit it was typed in."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from tui.bench.fields_pairs import pair_nudged
from tui.bench.fields_row import Amount, Bare, Choice, Pair, Row, Share
from tui.bench.fields_text import is_number, number, split
from tui.jobs.job import Job
from tui.jobs.tree import Raw
from tui.shop_units import Measure

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
    Measure.PRESSURE: {"psi": "1", "bar": "0.1", "kPa": "5", "MPa": "0.01"},
    Measure.VOLUME: {"cm3": "1", "ml": "1", "cc": "1", "in3": "0.1"},
    Measure.TEMPERATURE: {"degC": "1", "°C": "1", "degF": "1", "°F": "1", "K": "1"},
    Measure.ANGLE: {"deg": "0.5", "°": "0.5"},
}


def nudged(job: Job, row: Row, times: int) -> Job | None:
    """Return the job with a value moved by `times` steps.

    None where there is no number to move, or where it would fall below zero without leave to.
    """
    raw = job.get(row.path)
    match row.kind:
        case Pair() as pair:
            return pair_nudged(job, row.path, pair, times)
        case Amount() as amount:
            moved: Raw = _amount(row.usual if raw is None else raw, amount, times)
        case Share():
            moved = _share(row.usual if raw is None else raw, times)
        case Bare(step=step):
            moved = _bare(0 if raw is None and row.usual else raw, Decimal(step), times)
        case _:
            return None
    return None if moved is None else job.with_value(row.path, moved)


def turned(job: Job, row: Row, times: int) -> int | None:
    """Return the option a choice takes next, `times` places on in the round; None for other rows."""
    if not isinstance(row.kind, Choice):
        return None
    chosen = row.kind.chosen(job, row.path)
    return 0 if chosen is None else (chosen + times) % len(row.kind.options)


def _amount(raw: Raw, amount: Amount, times: int) -> Raw | None:
    parts = split(raw)
    if parts is None or not parts[1]:
        return None
    text, unit = parts
    step = amount.steps.get(unit) or _STEPS.get(amount.measure, {}).get(unit, "1")
    moved = _moved(text, Decimal(step), times, signed=amount.signed)
    return None if moved is None else f"{moved} {unit}"


def _share(raw: Raw, times: int) -> Raw | None:
    if is_number(raw):
        moved = Decimal(repr(raw)) + times * Decimal("0.01")
        return float(moved) if 0 <= moved <= 1 else None
    parts = split(raw)
    if parts is None or parts[1] != "%":
        return None
    text = _moved(parts[0], Decimal(1), times, signed=False)
    return None if text is None or number(text) > 100 else f"{text} %"


def _bare(raw: Raw, step: Decimal, times: int) -> Raw | None:
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
