"""The panel of an air setup."""

from __future__ import annotations

from collections.abc import Mapping

from tui.bench.fields_row import Amount, Bare, Choice, Option, Row
from tui.bench.fields_shock import AIR_CAUTION, OPENING_CAUTION, SMALL, friction_row, rod_row, row, tail_rows
from tui.jobs.fork_words import is_fork
from tui.jobs.job import Job
from tui.jobs.tree import Path, Raw
from tui.shop_units import Measure

_CHAMBER: Mapping[str, Raw] = {"negative_volume": "20 cm3"}
_NEGATIVE = Choice(
    (
        Option("equalised (port)", "equalised", needs={**_CHAMBER, "port": "6 mm"}),
        Option("air, own valve", "separate", needs={**_CHAMBER, "negative_pressure": "150 psi"}),
        Option("a coil", "mechanical", needs={"negative_rate": "60 N/mm", "negative_length": "12 mm"}),
        Option("nothing", "none"),
    )
)
_COUNT = Bare("1", "fitted")
_BODY_MEANING = "Outer diameter of the damper body where the negative chamber seals on it."
_SHAFT_MEANING = "Diameter of the air shaft that the piston sits on, where the negative chamber seals on it."
_BORE = Amount(Measure.TRAVEL, SMALL)
_LARGE = Amount(Measure.PRESSURE, {"psi": "5", "bar": "0.5"})


def air_rows(job: Job, table: Path) -> tuple[Row, ...]:
    """Return the rows of the air setup at `table`."""
    return (
        *_pressure_rows(table),
        *_positive_rows(table, is_fork(job)),
        *_negative_rows(job, table),
        friction_row(table),
        row(
            table,
            "mass",
            "spring mass",
            Amount(Measure.MASS, {"kg": "0.01", "lb": "0.02"}),
            "What the air sleeve weighs more than a bare damper, on a scale. Kept beside the figures so that "
            "setups can be compared.",
        ),
        *tail_rows(job, table, rod_known=True),
    )


def _pressure_rows(table: Path) -> tuple[Row, ...]:
    return (
        row(
            table,
            "pressure",
            "pressure",
            Amount(Measure.PRESSURE, solvable=True),
            "On the gauge at full extension, chambers settled; solved for sag.",
            caution=AIR_CAUTION,
        ),
        row(
            table,
            "max_pressure",
            "label's limit",
            _LARGE,
            "The highest pressure on the shock's label.",
            caution=AIR_CAUTION,
        ),
        row(
            table,
            "hose_volume",
            "pump hose holds",
            Amount(Measure.VOLUME),
            "Air in the pump's hose: the gauge drops by it when the pump goes back on.",
            usual="0 cm3",
        ),
    )


def _positive_rows(table: Path, fork: bool) -> tuple[Row, ...]:
    return (
        row(
            table,
            "positive_volume",
            "volume",
            Amount(Measure.VOLUME),
            "Air in the positive chamber at full extension, no spacer in: from the maker, or filled with oil "
            "from a syringe while it is open for service.",
            head="positive chamber",
        ),
        row(
            table,
            "positive_spacers",
            "spacers",
            _COUNT,
            "Each firms up the end of the travel, the start stays much the same.",
            caution=OPENING_CAUTION,
            usual="0",
        ),
        row(
            table,
            "positive_spacer_volume",
            "each spacer takes",
            Amount(Measure.VOLUME, {"cm3": "0.5"}),
            "Volume of one spacer: drop it in a measuring cylinder of water and read the rise.",
            usual="0 cm3",
        ),
        row(table, "bore", "bore", _BORE, "Inner diameter of the air sleeve, with an inside caliper."),
        rod_row(table),
        row(
            table,
            "body",
            "air shaft" if fork else "damper body",
            _BORE,
            _SHAFT_MEANING if fork else _BODY_MEANING,
            usual="0 mm",
        ),
    )


def _negative_rows(job: Job, table: Path) -> tuple[Row, ...]:
    kind = row(
        table,
        "negative",
        "made by",
        _NEGATIVE,
        "What pulls the shock in against the positive chamber: air that meets it at a port, air with a valve "
        "of its own, a coil, or nothing.",
        head="negative spring",
    )
    match job.get((*table, "negative")):
        case "equalised":
            return (kind, *_chamber_rows(table), _port_row(table))
        case "separate":
            return (kind, _own_pressure_row(table), *_chamber_rows(table))
        case "mechanical":
            return (kind, *_coil_rows(table))
        case _:
            return (kind,)


def _chamber_rows(table: Path) -> tuple[Row, ...]:
    return (
        row(
            table,
            "negative_volume",
            "volume",
            Amount(Measure.VOLUME),
            "Air in the negative chamber at full extension, no spacer in. More of it pulls further in: more "
            "sag at the same pressure. Set for the same sag: more pressure and a harder start.",
        ),
        row(
            table,
            "negative_spacers",
            "spacers",
            _COUNT,
            "Less sag; for the same sag: less pressure, a softer start.",
            caution=OPENING_CAUTION,
            usual="0",
        ),
        row(
            table,
            "negative_spacer_volume",
            "each spacer takes",
            Amount(Measure.VOLUME, {"cm3": "0.5"}),
            "Volume of one negative spacer.",
            usual="0 cm3",
        ),
    )


def _port_row(table: Path) -> Row:
    return row(
        table,
        "port",
        "port at stroke",
        Amount(Measure.TRAVEL, SMALL, share_of="stroke"),
        "Stroke at which the two chambers meet, in mm or %: push the shock in slowly and listen, or measure "
        "the dimple.",
    )


def _own_pressure_row(table: Path) -> Row:
    return row(
        table,
        "negative_pressure",
        "its pressure",
        Amount(Measure.PRESSURE),
        "On the gauge at the negative valve, full extension.",
        caution=AIR_CAUTION,
    )


def _coil_rows(table: Path) -> tuple[Row, ...]:
    return (
        row(
            table,
            "negative_rate",
            "its rate",
            Amount(Measure.SPRING_RATE),
            "Rate of the coil that pushes the shock in. One rate suits one rider's weight only.",
        ),
        row(
            table,
            "negative_length",
            "its push",
            Amount(Measure.TRAVEL, SMALL, share_of="stroke"),
            "How far from full extension that coil still pushes, a length or % of the stroke.",
        ),
    )
