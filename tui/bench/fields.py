"""The panels of a job: rider, frame, one for each setup, and the record behind them."""

from __future__ import annotations

from functools import lru_cache

from tui.bench.fields_air import air_rows
from tui.bench.fields_coil import coil_rows
from tui.bench.fields_frame import LEVERAGE, frame_panel
from tui.bench.fields_load import rider_panel
from tui.bench.fields_record import record_panel
from tui.bench.fields_row import Choice, Pair, Panel, Row
from tui.jobs.ends import End
from tui.jobs.fork_words import is_fork, spoken
from tui.jobs.job import Job
from tui.jobs.on_bike import ON_BIKE
from tui.jobs.tree import Path
from tui.jobs.unconfirmed import invented

RIDER_MASS: Path = ("load", "rider_mass")
"""The field selected at start."""

FIRST_SETUP = 2
"""Index of the first panel that shows a setup."""

NEW_COIL = invented(
    {
        "name": "coil",
        "kind": "coil",
        "rate": "solve",
        "preload": "1 mm",
        "friction": "12 N",
    }
)
"""A coil to start from; invented, and so none of it confirmed."""

NEW_AIR = invented(
    {
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
)
"""An air setup to start from; invented, and so none of it confirmed."""

_DRAWN: tuple[Path, ...] = ((*LEVERAGE, "points_mm"), (*LEVERAGE, "points_px"))


@lru_cache(maxsize=16)
def panels(job: Job, end: End | None = None) -> tuple[Panel, ...]:
    """Return the panels of a job of one wheel with the rows that its choices ask for.

    `end` is which of two wheels it is, None where the bike on the bench has no other.
    """
    setups = (_setup_panel(job, index) for index in range(len(job.setups)))
    found = (rider_panel(job, end), frame_panel(job, end), *setups, record_panel(job))
    return tuple(map(_of_fork, found)) if is_fork(job) else found


def _of_fork(panel: Panel) -> Panel:
    """Return a panel in the words of a fork; names that a person gave to setups stay as they are."""
    return panel._replace(rows=tuple(map(_row_of_fork, panel.rows)))


def _row_of_fork(row: Row) -> Row:
    said = row._replace(
        label=spoken(row.label, True),
        meaning=spoken(row.meaning, True),
        caution=spoken(row.caution, True),
        usual=spoken(row.usual, True),
        head=spoken(row.head, True),
    )
    if not isinstance(row.kind, Choice) or row.path == ON_BIKE:
        return said
    options = tuple(option._replace(word=spoken(option.word, True)) for option in row.kind.options)
    return said._replace(kind=row.kind._replace(options=options))


def _setup_panel(job: Job, index: int) -> Panel:
    setup = job.setups[index]
    table: Path = ("setup", index)
    kind = "air" if setup.get("kind") == "air" else "coil"
    rows: tuple[Row, ...] = air_rows(job, table) if kind == "air" else coil_rows(job, table)
    return Panel(str(setup.get("name", "no name")), rows, index, kind)


def unconfirmed_at(job: Job, row: Row) -> tuple[Path, ...]:
    """Return where the values of a row are that nobody has typed or confirmed, none where all are."""
    if isinstance(row.kind, Pair):
        places = tuple((*row.path[:-2], key) for key in row.kind.keys)
        there = tuple(path for path in places if job.get((*path, row.path[-1])) is not None)
        return tuple(path for path in there if job.is_unconfirmed(path))
    if row.path == (*LEVERAGE, "kind"):
        return tuple(path for path in _DRAWN if job.is_unconfirmed(path))
    return (row.path,) if job.is_unconfirmed(row.path) else ()
