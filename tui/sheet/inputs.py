"""What the answer was worked out from, as it was typed; beside it in the units of the sheet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from tui.bench.fields import panels, unconfirmed_at
from tui.bench.fields_row import Amount, Pair, Row
from tui.bench.fields_text import in_si, split
from tui.bench.fields_typed import shown
from tui.jobs.ends import SHARED_LOAD, End
from tui.jobs.job import Job
from tui.sheet.model import Line
from tui.shop_units import ShopUnits
from tui.unverified import label_of

_FEW_PAIRS = 6
"""Pairs of two numbers that a sheet lists; of more it says how many there are."""
UNVERIFIED = "~"
"""Stands behind a value that nobody has typed or confirmed."""
_OWN_LOAD = ("unsprung_mass", "scale_mass")


def shared_inputs(job: Job, units: ShopUnits) -> tuple[Line, ...]:
    """Return rider, bike and the air, which both wheels share."""
    return tuple(_lines(job, filter(_is_shared, _rows(job, "rear")), units))


def wheel_inputs(job: Job, end: End, units: ShopUnits) -> tuple[Line, ...]:
    """Return what one wheel has of its own: load and frame; `job` is that wheel alone."""
    own = (row for row in _rows(job, end) if row.path[0] in ("load", "frame") and not _is_shared(row))
    return tuple(_lines(job, own, units))


def setup_inputs(job: Job, index: int, units: ShopUnits) -> tuple[Line, ...]:
    """Return the hardware of a setup; what it is set to stands elsewhere on the sheet."""
    rows = next(panel.rows for panel in panels(job) if panel.setup == index)
    return tuple(
        _lines(job, (row for row in rows if row.path[-1] not in ("rate", "pressure", "name")), units)
    )


def _rows(job: Job, end: End) -> Iterator[Row]:
    return (row for panel in panels(job, end) if panel.setup is None for row in panel.rows)


def _is_shared(row: Row) -> bool:
    if row.path[0] in ("ambient", "ride", "tolerance"):
        return True
    shared = (*SHARED_LOAD, "rider_share", "bike_share")
    return row.path[0] == "load" and len(row.path) > 1 and row.path[1] in shared


def _lines(job: Job, rows: Iterable[Row], units: ShopUnits) -> Iterator[Line]:
    pairs: list[Line] = []
    for row in rows:
        value = _value(job, row, units)
        if value and isinstance(row.kind, Pair):
            pairs.append(Line(row.label, value))
        elif value:
            yield Line(label_of(row), value)
    if len(pairs) > _FEW_PAIRS:
        yield Line("Read off", f"{len(pairs)} pairs of numbers, which are in the job")
    else:
        yield from pairs


def _value(job: Job, row: Row, units: ShopUnits) -> str:
    typed = shown(job, row)
    if not typed:
        return f"{row.usual}, assumed" if split(row.usual) else ""
    doubt = f" {UNVERIFIED}" if unconfirmed_at(job, row) else ""
    if not isinstance(row.kind, Amount):
        return f"{typed}{doubt}"
    parts, si = split(typed), in_si(typed, row.kind.measure)
    if parts is None or si is None or parts[1] == units.unit(row.kind.measure):
        return f"{typed}{doubt}"
    return f"{typed} ({units.show(si, row.kind.measure)}){doubt}"
