"""A tester's file of force over stroke: any separator, point or comma, every fault by its line."""

from __future__ import annotations

from pathlib import Path

from tui.jobs.faults import printable
from tui.readings.heading import Column, columns_of
from tui.readings.kinds import LoopRead, UnusableReadings
from tui.readings.table import Line, lines_of, number_in

LARGEST = 8_000_000
"""Largest file taken [bytes]."""
MOST = 50_000
"""Most readings taken."""
_TOLD = 12
"""Faults told one by one."""


def read_csv(path: Path, units: tuple[str, str] | None = None) -> LoopRead:
    """Return the readings of a file; `units` of stroke and force where the file does not say them.

    Raises `UnitsMissing` where they are needed, `UnusableReadings` with every fault by its line.
    """
    try:
        with path.open("rb") as source:
            data = source.read(LARGEST + 1)
    except (OSError, ValueError) as trouble:
        reason = trouble.strerror if isinstance(trouble, OSError) and trouble.strerror else str(trouble)
        raise UnusableReadings(
            f"{reason[:1].lower()}{reason[1:]}; a file of readings is accepted"
        ) from trouble
    if len(data) > LARGEST:
        raise UnusableReadings(f"larger than {LARGEST // 10**6} MB; a file of readings is accepted")
    return parsed(_decoded(data), path.name, units)


def parsed(text: str, name: str, units: tuple[str, str] | None = None) -> LoopRead:
    """Return the readings in the text of a file; raises as `read_csv` does."""
    import numpy as np  # help and the first frame must not wait for it

    from physics.loop import loop_of

    lines = lines_of(text)
    first = next((place for place, line in enumerate(lines) if line.is_numbers), None)
    if first is None:
        raise UnusableReadings(
            "no line with two numbers; a line for each reading, stroke and force, is accepted"
        )
    count = len(lines[first].cells)
    body = lines[next(place for place, line in enumerate(lines) if _is_reading(line, count)) :]
    if len(body) > MOST:
        raise UnusableReadings(f"{len(body)} readings; at most {MOST} are accepted")
    stroke, force = columns_of(_heads(lines[: -len(body)], count), count, units)
    rows = np.array(_numbers(body, (stroke, force)))
    return LoopRead(loop_of(rows[:, 0] * stroke.factor, rows[:, 1] * force.factor), name)


def _is_reading(line: Line, count: int) -> bool:
    """Return whether a line is a reading, a faulty one too: above the columns stand words alone."""
    some = any(number_in(cell) is not None for cell in line.cells)
    return line.is_numbers or (some and len(line.cells) == count)


def _heads(lines: tuple[Line, ...], count: int) -> list[str]:
    """Return the words above each column: names and units may stand in two lines."""
    fitting = [line.cells for line in lines if len(line.cells) == count]
    return [" ".join(cells) for cells in zip(*fitting, strict=True)]


def _numbers(body: tuple[Line, ...], columns: tuple[Column, Column]) -> list[list[float]]:
    rows, faults = [], []
    for line in body:
        cells = [line.cells[one.place] if one.place < len(line.cells) else "" for one in columns]
        found = [number_in(cell) for cell in cells]
        wrong = [cell for cell, number in zip(cells, found, strict=True) if number is None]
        if wrong:
            faults.append(f"line {line.number}: {_quoted(wrong[0])}; a number is accepted")
        rows.append([number or 0.0 for number in found])
    if faults:
        more = len(faults) - _TOLD
        raise UnusableReadings(*faults[:_TOLD], *([f"and {more} lines more like these"] if more > 0 else []))
    return rows


def _quoted(cell: str) -> str:
    if not cell:
        return "a reading is missing"
    shown = printable(cell if len(cell) <= 30 else f"{cell[:30]}...")
    return f'"{shown}" is no number'


def _decoded(data: bytes) -> str:
    """Return the text; spreadsheets write more than one encoding, and only the numbers matter."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", errors="replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")
