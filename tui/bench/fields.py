"""The panels of a job: rider, frame, one for each setup, and the record behind them."""

from __future__ import annotations

from functools import lru_cache

from tui.bench.fields_air import air_rows
from tui.bench.fields_coil import coil_rows
from tui.bench.fields_frame import frame_panel
from tui.bench.fields_load import rider_panel
from tui.bench.fields_record import record_panel
from tui.bench.fields_row import Panel, Row
from tui.jobs.ends import End
from tui.jobs.job import Job
from tui.jobs.tree import Path, Raw

RIDER_MASS: Path = ("load", "rider_mass")
"""The field selected at start."""

FIRST_SETUP = 2
"""Index of the first panel that shows a setup."""

NEW_COIL: dict[str, Raw] = {
    "name": "coil",
    "kind": "coil",
    "rate": "solve",
    "preload": "1 mm",
    "friction": "12 N",
}
"""A coil to start from; invented."""

NEW_AIR: dict[str, Raw] = {
    "name": "air",
    "kind": "air",
    "pressure": "solve",
    "bore": "40 mm",
    "rod": "9 mm",
    "body": "27 mm",
    "positive_volume": "105 cm3",
    "positive_spacers": 1,
    "positive_spacer_volume": "6 cm3",
    "negative": "equalised",
    "negative_volume": "20 cm3",
    "port": "6 mm",
    "friction": "30 N",
}
"""An air setup to start from; invented."""


@lru_cache(maxsize=16)
def panels(job: Job, end: End | None = None) -> tuple[Panel, ...]:
    """Return the panels of a job of one wheel with the rows that its choices ask for.

    `end` is which of two wheels it is, None where the bike on the bench has no other.
    """
    setups = (_setup_panel(job, index) for index in range(len(job.setups)))
    return (rider_panel(job, end), frame_panel(job, end), *setups, record_panel(job))


def _setup_panel(job: Job, index: int) -> Panel:
    setup = job.setups[index]
    table: Path = ("setup", index)
    kind = "air" if setup.get("kind") == "air" else "coil"
    rows: tuple[Row, ...] = air_rows(job, table) if kind == "air" else coil_rows(job, table)
    return Panel(str(setup.get("name", "no name")), rows, index, kind)
