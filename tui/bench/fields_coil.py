"""The panel of a coil setup."""

from __future__ import annotations

from tui.bench.fields_frame import pair_rows
from tui.bench.fields_row import Amount, Bare, Choice, Option, Row, Several
from tui.bench.fields_shock import PRELOAD_CAUTION, SMALL, friction_row, row, tail_rows
from tui.bench.fields_wire import wire_rows
from tui.jobs.job import Job
from tui.jobs.tree import Path
from tui.shop_units import Measure

_STAGES = {"compression_mm": (0.0, 30.0), "rate_n_per_mm": (80.0, 95.0)}
_WINDING = Choice(
    (
        Option("one rate", mark="rate", needs={"rate": "solve"}, drops=("stages",)),
        Option("stages", mark="stages", needs={"stages": _STAGES}, drops=("rate",)),
    ),
    absent=0,
)
_PRELOAD_BY = Choice(
    (
        Option("length", mark="preload", needs={"preload": "1 mm"}, drops=("preload_turns",)),
        Option(
            "collar turns",
            mark="preload_turns",
            needs={"preload_turns": 1.0, "thread_pitch": "1 mm"},
            drops=("preload",),
        ),
    ),
    absent=0,
)
_STAGE_MEANING = (
    "A stage of the coil: the compression, preload included, at which it starts in mm, and its rate in N/mm; "
    "two numbers with a space between."
)


def coil_rows(job: Job, table: Path) -> tuple[Row, ...]:
    """Return the rows of the coil setup at `table`."""
    return (
        *_rate_rows(job, table),
        *_preload_rows(job, table),
        friction_row(table),
        _mass_row(table),
        *_fit_rows(table),
        *wire_rows(job, table),
        *tail_rows(job, table, rod_known=False),
    )


def _rate_rows(job: Job, table: Path) -> tuple[Row, ...]:
    staged = job.get((*table, "stages")) is not None
    rate = row(
        table,
        "rate",
        "spring rate",
        Amount(Measure.SPRING_RATE, solvable=True),
        "Force per length of squeeze, as printed on the spring. Solved: the rate that gives the sag "
        "wanted; b lists the springs to buy on either side of it.",
    )
    stages = pair_rows(
        job, (*table, "stages"), ("compression_mm", "rate_n_per_mm"), ("mm", "N/mm"), "1", _STAGE_MEANING
    )
    winding = row(
        table,
        "winding",
        "wound with",
        _WINDING,
        "One rate all the way, or stages that take over one after the other as the coil is squeezed.",
    )
    return (winding, *stages) if staged else (rate, winding)


def _preload_rows(job: Job, table: Path) -> tuple[Row, ...]:
    by_turns = job.get((*table, "preload_turns")) is not None
    turns = row(
        table,
        "preload_turns",
        "preload",
        Bare("0.25", "turns"),
        "Turns past first touch; one to three is common practice, no source.",
        caution=PRELOAD_CAUTION,
    )
    length = row(
        table,
        "preload",
        "preload",
        Amount(Measure.TRAVEL, SMALL),
        "How far the collar squeezes the spring past first touch.",
        caution=PRELOAD_CAUTION,
        usual="0 mm",
    )
    by = row(
        table,
        "preload_by",
        "preload by",
        _PRELOAD_BY,
        "How the preload is counted: length or turns of the collar.",
    )
    pitch = row(
        table,
        "thread_pitch",
        "thread pitch",
        Amount(Measure.TRAVEL, {"mm": "0.25"}),
        "How far the collar moves in one turn: measure ten threads with a caliper and divide by ten.",
    )
    most = row(
        table,
        "max_preload_turns",
        "most turns",
        Bare("0.5", "turns"),
        "The most turns of preload the maker of the shock allows; beyond that the answer carries a caution.",
    )
    return (turns if by_turns else length, by, pitch, most)


def _mass_row(table: Path) -> Row:
    meaning = (
        "The spring on a scale. Kept beside the figures so that setups can be compared; left out, a coil is "
        "weighed by its wire."
    )
    return row(table, "mass", "spring mass", Amount(Measure.MASS, {"kg": "0.01", "lb": "0.02"}), meaning)


def _fit_rows(table: Path) -> tuple[Row, ...]:
    size = Amount(Measure.TRAVEL)
    return (
        row(
            table,
            "free_length",
            "free length",
            size,
            "Length of the spring lying on the bench, with a caliper. With the solid length it shows coil "
            "bind.",
            head="will it fit, where it is known",
        ),
        row(
            table,
            "solid_length",
            "solid length",
            size,
            "Length with all coils touching: turns of wire times wire thickness, or from the maker.",
        ),
        row(
            table,
            "rated_stroke",
            "rated stroke",
            size,
            "The stroke printed on the spring: it must cover the shock's stroke and the preload.",
        ),
        row(
            table,
            "ladder_step",
            "rates come every",
            Amount(Measure.SPRING_RATE),
            "Step between the rates one can order. 25 lbf/in is common practice, no source.",
            usual="25 lbf/in",
        ),
        row(
            table,
            "ladder_lbf_per_in",
            "rates on the shelf",
            Several("lbf/in"),
            "The rates one can order, where they are known, with spaces between: 400 425 450. They go before "
            "the step.",
        ),
    )
