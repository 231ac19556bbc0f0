"""Rows of a coil's wire: what a caliper and a count of coils tell of it."""

from __future__ import annotations

from tui.bench.fields_row import Amount, Bare, Choice, Option, Row
from tui.bench.fields_shock import PRELOAD_CAUTION, row
from tui.jobs.job import Job
from tui.jobs.tree import Path
from tui.jobs.wire_words import COIL_DIAMETERS, END_WORDS, MATERIAL_WORDS
from tui.shop_units import Measure

_CALIPER = Amount(Measure.TRAVEL, {"mm": "0.1", "in": "0.005"})
_COUNT = Bare("0.25")
_MATERIAL = Choice(
    tuple(Option(word, stored) for stored, word in MATERIAL_WORDS.items()),
    absent=list(MATERIAL_WORDS).index("chrome_silicon"),
)
_ENDS = Choice(tuple(Option(word, stored) for stored, word in END_WORDS.items()), absent=0)
_KEYS = ("wire_diameter", *COIL_DIAMETERS, "total_coils", "active_coils", "ends", "material", "grade")
_MEASURED = Choice(
    (
        Option("not measured", drops=_KEYS),
        Option(
            "measured",
            mark="wire_diameter",
            needs={"wire_diameter": "8.5 mm", "inner_diameter": "36 mm", "total_coils": 9.5},
        ),
    ),
    absent=0,
)


def wire_rows(job: Job, table: Path) -> tuple[Row, ...]:
    """Return the rows: one that asks for the wire, and the others once there is any of it."""
    asked = row(
        table,
        "wire",
        "wire",
        _MEASURED,
        "Caliper and a count of coils tell stress, room, weight and how far the rate may stray: y shows it.",
    )
    if all(job.get((*table, key)) is None for key in _KEYS):
        return (asked,)
    return (asked, *_caliper_rows(table), *_count_rows(table), *_kind_rows(table))


def _caliper_rows(table: Path) -> tuple[Row, ...]:
    return (
        row(
            table,
            "wire_diameter",
            "wire thickness",
            _CALIPER,
            "Caliper on a middle coil of the loose spring, paint off.",
            caution=PRELOAD_CAUTION,
        ),
        *(
            row(table, key, label, _CALIPER, meaning, caution=PRELOAD_CAUTION)
            for key, label, meaning in (
                (
                    "inner_diameter",
                    "inner diameter",
                    "Across the inside of the loose coil. One diameter only.",
                ),
                (
                    "outer_diameter",
                    "outer diameter",
                    "Across the outside of the loose coil. One diameter only.",
                ),
                (
                    "mean_diameter",
                    "mean diameter",
                    "From mid-wire to mid-wire, the coil loose. One diameter only.",
                ),
            )
        ),
    )


def _count_rows(table: Path) -> tuple[Row, ...]:
    return (
        row(
            table,
            "total_coils",
            "coils in all",
            _COUNT,
            "Turns from tip to tip of the wire, in quarters; those lying flat at the ends count here.",
        ),
        row(
            table,
            "active_coils",
            "coils that work",
            _COUNT,
            "Turns that are free to move. Left out, all coils less one at each closed end.",
        ),
    )


def _kind_rows(table: Path) -> tuple[Row, ...]:
    return (
        row(
            table,
            "ends",
            "ends",
            _ENDS,
            "How the wire ends: laid flat on the next coil, ground level as well, or left open.",
        ),
        row(
            table,
            "material",
            "wire of",
            _MATERIAL,
            "What the wire is made of, from the maker. Titanium's figures are from memory.",
        ),
        row(
            table,
            "grade",
            "grade",
            Bare("1"),
            "How closely it was wound: 1 close, 2 ordinary, 3 coarse. It sets how far the rate may stray.",
            usual="2",
        ),
    )
