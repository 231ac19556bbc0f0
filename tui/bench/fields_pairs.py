"""Pairs of two arrays, typed and shown as one row: "50 18.5" is 50 mm of travel and 18.5 mm of stroke."""

from __future__ import annotations

import re
from decimal import Decimal

from tui.bench.fields_row import Pair
from tui.bench.fields_text import is_number, number, plain
from tui.jobs.job import Job
from tui.jobs.tree import Path, Raw

_NUMBER = re.compile(r"[+-]?(?:\d+[.,]?\d*|[.,]\d+)")
_GAP = "missing"


def pair_shown(job: Job, path: Path, pair: Pair) -> str:
    """Return both numbers with their units, empty for the row behind the last pair."""
    words = (
        f"{plain(raw)} {unit}" if is_number(raw) else plain(raw)
        for raw, unit in zip(pair_at(job, path, pair), pair.units, strict=True)
    )
    return "  ".join(word for word in words if word)


def pair_typed(job: Job, path: Path, pair: Pair, typed: str) -> Job:
    """Return the job with a pair as typed; nothing typed takes the pair out."""
    if not typed:
        return without_pair(job, path, pair)
    words = typed.replace(": 1", " ").replace("N/mm", " ").replace("mm", " ")
    numbers = re.split(r"[\s:;/]+", words.strip())
    if len(numbers) == 2 and all(_NUMBER.fullmatch(word) for word in numbers):
        first, second = (float(number(word)) for word in numbers)
        return put_pair(job, path, pair, first, second)
    kept = pair_at(job, path, pair)[1]
    return put_pair(job, path, pair, typed, 0.0 if kept is None else kept)


def pair_nudged(job: Job, path: Path, pair: Pair, times: int) -> Job | None:
    """Return the job with the second number of a pair moved by steps, None where there is none."""
    first, second = pair_at(job, path, pair)
    if not is_number(first) or not is_number(second):
        return None
    moved = Decimal(repr(second)) + times * Decimal(pair.step)
    return put_pair(job, path, pair, first, float(moved)) if moved >= 0 else None


def pair_at(job: Job, path: Path, pair: Pair) -> tuple[Raw | None, Raw | None]:
    """Return the two raw values of a pair."""
    first, second = (job.get((*path[:-2], key, pair.place)) for key in pair.keys)
    return first, second


def put_pair(job: Job, path: Path, pair: Pair, first: Raw, second: Raw) -> Job:
    """Return the job with both values of a pair in their arrays; a shorter array is filled up.

    One pair typed says nothing of the others: arrays that nobody has confirmed stay so.
    """
    before = job
    for key, raw in zip(pair.keys, (first, second), strict=True):
        column = _column(job, (*path[:-2], key))
        column += [_GAP] * (pair.place - len(column))
        column[pair.place : pair.place + 1] = [raw]
        job = job.with_value((*path[:-2], key), tuple(column))
    return job.listed_as(before, path[:-2])


def without_pair(job: Job, path: Path, pair: Pair) -> Job:
    """Return the job with a pair taken out of both arrays."""
    before = job
    for key in pair.keys:
        job = job.without((*path[:-2], key, pair.place))
    return job.listed_as(before, path[:-2])


def _column(job: Job, path: Path) -> list[Raw]:
    column = job.get(path)
    return list(column) if isinstance(column, tuple) else []
