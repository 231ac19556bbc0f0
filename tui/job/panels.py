"""The frame panel: wheel travel, shock stroke and the leverage between them."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from tui.job.choices import COIL_DIAMETERS, END_WORDS, MATERIAL_WORDS, SYMPTOMS
from tui.job.fields import Amount, Bare, Choice, Field, Kind, Option, Pair, Panel, Several, Share, Words
from tui.job.job import ON_BIKE, Job, invented
from tui.job.tree import Raw, TreePath
from tui.job.wheels import Wheel, is_fork, spoken
from tui.shop_units import Measure

_HALF = {"mm": "0.5"}
LEVERAGE: TreePath = ("frame", "leverage")
_FRAME_KEYS = {
    "ends": ("start", "middle", "end"),
    "table": ("travel_mm", "ratio"),
    "measured": ("travel_mm", "stroke_mm"),
    "fork": ("head_angle",),
    "linkage": ("points_mm", "points_px", "known", "level", "fixed", "bars", "axle", "shock"),
}


def _way(word: str, kind: str, needs: Mapping[str, Raw]) -> Option:
    own = _FRAME_KEYS[kind]
    others = {key for keys in _FRAME_KEYS.values() for key in keys} - set(own)
    also = tuple(key for key in own if key not in needs)
    renews = ("travel_mm",) if "travel_mm" in needs else ()
    return Option(word, kind, needs=needs, also=also, drops=tuple(sorted(others)), renews=renews)


_NAME = Field(
    "name",
    ("frame", "name"),
    Words(),
    "What this frame is called in the records, where it is found again for the next rider. It changes no "
    "number.",
)
_SIZES = (
    Field(
        "wheel travel",
        ("frame", "wheel_travel"),
        Amount(Measure.TRAVEL),
        "How far the axle rises straight up from full extension to the stop: spring out, wheel lifted, "
        "measured at the axle.",
    ),
    Field(
        "shock stroke",
        ("frame", "stroke"),
        Amount(Measure.TRAVEL, _HALF),
        "How far the shock shortens over the whole travel: stands on the shock or in its papers.",
    ),
    Field(
        "eye to eye",
        ("frame", "eye_to_eye"),
        Amount(Measure.TRAVEL, _HALF),
        "From the middle of one mounting bolt to the other, the shock at full length. A linkage "
        "as drawn is held against it.",
    ),
)
_FORK_SIZES = (
    Field(
        "fork travel",
        ("frame", "stroke"),
        Amount(Measure.TRAVEL, _HALF),
        "How far the fork slides in along its legs, from full length to the stop.",
    ),
    Field(
        "wheel travel",
        ("frame", "wheel_travel"),
        Amount(Measure.TRAVEL),
        "How far the axle rises straight up over all the fork travel. Left out, it follows from fork travel "
        "and head angle; typed, the two must agree.",
        usual="from the angle",
    ),
)
_WAYS = (
    _way("ratio at the ends", "ends", {"start": 2.8, "end": 2.3}),
    _way("table of ratios", "table", {"travel_mm": (0.0, 75.0, 150.0), "ratio": (2.8, 2.55, 2.3)}),
    _way(
        "pairs off the bike",
        "measured",
        {
            "travel_mm": (0.0, 30.0, 60.0, 90.0, 120.0, 150.0),
            "stroke_mm": (0.0, 10.9, 22.3, 34.2, 46.7, 60.0),
        },
    ),
)
_FORK_WAY = _way("fork head angle", "fork", {"head_angle": "64 deg"})
_KIND = Field(
    "leverage from",
    (*LEVERAGE, "kind"),
    Choice((*_WAYS, _FORK_WAY)),
    "How the leverage is known: from the frame maker's ratios, from pairs of travel and stroke measured on "
    "the bike with the spring out, or from a fork's head angle. From pivot points: press k.",
    head="leverage",
)
_REAR_KIND = _KIND._replace(kind=Choice(_WAYS))
_DRAWN_KIND = _KIND._replace(
    # Points are typed on a screen of their own: from here a way leads out of a linkage, but none into one.
    kind=Choice((*_WAYS, _way("pivot points", "linkage", {}))),
    meaning="The leverage comes from pivot points: k shows them, with the linkage drawn. Enter takes it from "
    "ratios instead; undo brings the points back.",
)
_RATIO = Bare("0.01", ": 1")
_FRAME_ENDS = (
    Field(
        "ratio at start",
        (*LEVERAGE, "start"),
        _RATIO,
        "Wheel travel over shock stroke at full extension: how many mm the wheel rises for the first mm of "
        "stroke.",
    ),
    Field(
        "ratio mid-travel",
        (*LEVERAGE, "middle"),
        _RATIO,
        "The same at half the wheel travel, where it is known: the curve then bends through it. Empty draws "
        "a straight line.",
    ),
    Field(
        "ratio at the end",
        (*LEVERAGE, "end"),
        _RATIO,
        "The same at full travel. Below the start: the wheel feels more of the spring as it goes deeper.",
    ),
)
_FORK = Field(
    "head angle",
    (*LEVERAGE, "head_angle"),
    Amount(Measure.ANGLE, {"deg": "0.5", "°": "0.5"}),
    "The steering axis from the ground, bike unloaded: an angle gauge on the stanchions. A fork moves along "
    "its own axis.",
)
_TABLE_MEANING = (
    "Wheel travel and the leverage ratio there: two numbers with a space between, from 0 mm to the end."
)
_MEASURED_MEANING = (
    "Wheel travel and shock stroke used there, spring out: two numbers with a space between. Six pairs or "
    "more smooth out the reading."
)


def frame_panel(job: Job, wheel: Wheel | None = None) -> Panel:
    """Return the frame panel with the rows that this job's kind of leverage asks for."""
    fork = is_fork(job)
    eyes = job.get(_SIZES[-1].path) is not None
    sizes = (*_FORK_SIZES, *(_SIZES[-1:] if eyes else ())) if fork else _SIZES
    rows = (*sizes, _NAME, _kind_row(job, wheel), *_leverage_rows(job))
    return Panel("fork" if fork else "frame", rows)


def _kind_row(job: Job, wheel: Wheel | None) -> Field:
    kind = job.get(_KIND.path)
    if kind == "linkage":
        return _DRAWN_KIND
    return _REAR_KIND if wheel == "rear" and kind != "fork" else _KIND


def _leverage_rows(job: Job) -> tuple[Field, ...]:
    match job.get((*LEVERAGE, "kind")):
        case "ends":
            return _FRAME_ENDS
        case "fork":
            return (_FORK,)
        case "table":
            return pair_rows(job, LEVERAGE, ("travel_mm", "ratio"), ("mm", ": 1"), "0.01", _TABLE_MEANING)
        case "measured":
            return pair_rows(
                job, LEVERAGE, ("travel_mm", "stroke_mm"), ("mm", "mm"), "0.1", _MEASURED_MEANING
            )
        case _:
            return ()


def pair_rows(
    job: Job, table: TreePath, keys: tuple[str, str], units: tuple[str, str], step: str, meaning: str
) -> tuple[Field, ...]:
    """Return one row per pair of two arrays below `table`, and an empty one behind them."""
    columns = [job.get((*table, key)) for key in keys]
    count = max((len(column) for column in columns if isinstance(column, tuple)), default=0)
    return tuple(
        Field(
            f"pair {index + 1}" if index < count else "one pair more",
            (*table, keys[0], index),
            Pair(keys, index, units, step),
            meaning,
        )
        for index in range(count + 1)
    )


_TABLE: TreePath = ("load", "geometry")
_LONG = Amount(Measure.TRAVEL, {"mm": "5", "in": "0.2"})
_LENGTHS = (
    Field(
        "wheelbase",
        (*_TABLE, "wheelbase"),
        _LONG,
        "From the front axle to the rear one, the bike level and unloaded.",
    ),
    Field(
        "mass behind front",
        (*_TABLE, "mass_behind_front"),
        _LONG,
        "How far behind the front axle the mass of rider and bike acts: the rear scale over both, times the "
        "wheelbase.",
    ),
    Field(
        "mass height",
        (*_TABLE, "mass_height"),
        _LONG,
        "How far above the ground that mass acts, rider in position. It counts on a slope only; about a "
        "metre is common practice, no source.",
    ),
    Field(
        "slope",
        (*_TABLE, "slope"),
        Amount(Measure.ANGLE, {"deg": "1"}, signed=True),
        "Slope of the ground, nose down above zero: it moves load to the front wheel.",
        usual="0 deg",
    ),
)


def geometry_rows(job: Job, end: Wheel | None = None) -> tuple[Field, ...]:
    """Return the rows; the wheel meant by a file that names none is the fork's or the frame's.

    Where the bike has both ends, `end` says which wheel it is and there is nothing to choose.
    """
    if end is not None and job.get((*_TABLE, "wheel")) in (None, end):
        return _LENGTHS
    fork = job.get(("frame", "leverage", "kind")) == "fork"
    wheel = Field(
        "wheel",
        (*_TABLE, "wheel"),
        Choice((Option("rear", "rear"), Option("front", "front")), absent=1 if fork else 0),
        "The wheel whose suspension is on the bench.",
    )
    return (*_LENGTHS, wheel)


_CLICKS = Bare("1", "clicks")


def _word(word: str) -> str:
    return word.replace("-", " ")


_WHOSE = (
    Field(
        "customer",
        ("record", "customer"),
        Words(),
        "Whose bike it is, as the records should find it again: a name, or leave it out and keep to the "
        "ticket.",
    ),
    Field(
        "ticket",
        ("record", "ticket"),
        Words(),
        "The number on the bike's ticket. A name or a ticket is enough for the records.",
    ),
    Field(
        "bike",
        ("record", "bike"),
        Words(),
        "Which bike it is: colour, size, a frame number, whatever tells it from the customer's others.",
    ),
)
_ON_BIKE = Field(
    "on the bike",
    ON_BIKE,
    Choice(()),
    "The setup that was on the bike when this was measured: sag and gauge are held against it.",
    head="measured on the bike",
)
_SAG = Field(
    "sag measured",
    ("measured", "sag"),
    Amount(Measure.TRAVEL, {"mm": "0.5"}, share_of="read"),
    "Rider on board, in riding position: bounce once, sit still, read how far it went in. Do it twice and "
    "take the middle.",
)
_SAG_AT = Field(
    "read at",
    ("measured", "of"),
    Choice((Option("the wheel", "travel"), Option("the shock", "stroke"))),
    "Where that sag was read: straight up at the axle, or by the ring on the shock's shaft.",
)
_GAUGE = Field(
    "gauge",
    ("measured", "gauge"),
    Amount(Measure.PRESSURE),
    "What the gauge shows, bike unloaded. A pump put on again fills its hose and so shows less.",
    caution="Eye protection on, valve away from the face; never above the label's limit.",
)
_SETTINGS = (
    Field(
        "rebound",
        ("measured", "rebound_clicks"),
        _CLICKS,
        "Clicks from fully closed: turn it in gently until it stops, count on the way back. Never force it "
        "past the stop.",
    ),
    Field(
        "compression",
        ("measured", "compression_clicks"),
        _CLICKS,
        "Clicks from fully closed, counted like the rebound's. Where there are two knobs, the low-speed one.",
    ),
    Field(
        "tyre",
        ("measured", "tyre"),
        Amount(Measure.PRESSURE, {"psi": "0.5", "bar": "0.05"}),
        "Pressure of this wheel's tyre, cold: it is a spring of its own and part of how the bike feels.",
        caution="Never above the limit on the tyre or the rim, whichever is lower.",
    ),
    Field(
        "scale",
        ("measured", "scale"),
        Amount(Measure.MASS, {"kg": "0.1", "lb": "0.2", "lbs": "0.2"}),
        "What a scale under this wheel shows, the other wheel as high, rider on board in riding position "
        "and still. Have someone hold the bar.",
    ),
)
_SYMPTOM = Field(
    "it rode",
    ("ridden", "symptom"),
    Choice(
        (
            Option("nothing said"),
            *(Option(_word(said.word), said.word) for said in SYMPTOMS.values()),
        ),
        absent=0,
    ),
    "What the rider noticed. A says what to change for it, and takes several: Space ticks them there.",
    head="how it rode",
)
_SAID = Field(
    "rider's words",
    ("ridden", "words"),
    Words(),
    "What the rider said, as they said it: where, at what speed, which end.",
)


def record_panel(job: Job) -> Panel:
    """Return the record panel of one wheel: the customer and the ride are those of the whole bike."""
    measured = (*_on_bike(job), _SAG, _sag_at(job), _GAUGE, *_SETTINGS)
    return Panel("record", (*_WHOSE, *measured, _symptom(job), _SAID))


def _on_bike(job: Job) -> tuple[Field, ...]:
    """Return the choice of a setup; nothing where none has a name to go by."""
    names = [name for setup in job.setups if isinstance(name := setup.get("name"), str)]
    options = tuple(Option(name, name) for name in dict.fromkeys(names))
    return (_ON_BIKE._replace(kind=Choice(options, absent=0)),) if options else ()


def _symptom(job: Job) -> Field:
    """Return how it rode; several symptoms are one more way to choose, which the next one takes away."""
    raw, kind = job.get(_SYMPTOM.path), _SYMPTOM.kind
    assert isinstance(kind, Choice)
    if not isinstance(raw, tuple) or not all(isinstance(word, str) for word in raw):
        return _SYMPTOM
    several = Option(", ".join(map(_word, raw)), raw)
    return _SYMPTOM._replace(kind=kind._replace(options=(*kind.options, several)))


def _sag_at(job: Job) -> Field:
    """Return how the sag was read; as the target counts it where the file says nothing."""
    ways = _SAG_AT.kind
    assert isinstance(ways, Choice)
    by_shock = job.get(("target", "of")) == "stroke"
    return _SAG_AT._replace(kind=ways._replace(absent=1 if by_shock else 0))


PRELOAD_CAUTION = (
    "Preload stores energy: back the collar off before anything is undone, wear eye protection, and leave "
    "what is in doubt to a qualified technician."
)
AIR_CAUTION = (
    "Never above the limit on the label. Eye protection on, valve away from the face; let all air out "
    "before opening. In doubt, a qualified technician."
)
OPENING_CAUTION = (
    "Let all air out before opening the chamber. Never above the label's limit after, eye protection on; "
    "in doubt, a qualified technician."
)
GAS_CAUTION = (
    "The damper charge is for a qualified technician with the maker's manual: eye protection, never above "
    "the label."
)
SMALL = {"mm": "0.5"}


def row(
    table: TreePath,
    key: str,
    label: str,
    kind: Kind,
    meaning: str,
    *,
    caution: str = "",
    usual: str = "",
    head: str = "",
) -> Field:
    """Return a row for `key` of the table of one setup."""
    return Field(label, (*table, key), kind, meaning, caution, usual, head)


def friction_row(table: TreePath) -> Field:
    """Return the row of the seal friction."""
    return row(
        table,
        "friction",
        "seal friction",
        Amount(Measure.FORCE),
        "What the seals hold back in either direction: half the difference between pushing the shaft in and "
        "letting it out, slowly, on a scale.",
        usual="0 N",
        head="friction and weight",
    )


def tail_rows(job: Job, table: TreePath, *, rod_known: bool) -> tuple[Field, ...]:
    """Return the rows of what a setup has besides its spring, and of its name.

    The rod only where the spring has not asked for it; lower legs for a fork, or where the job has them.
    """
    rod = () if rod_known else (rod_row(table, head="damper gas, if it has any"),)
    gas_head = "damper gas, if it has any" if rod_known else ""
    legs = _leg_rows(table)
    if job.get(("frame", "leverage", "kind")) != "fork" and all(job.get(leg.path) is None for leg in legs):
        legs = ()
    return (*rod, *_gas_rows(table, gas_head), *_bumper_rows(table), *legs, *_name_rows(table))


def rod_row(table: TreePath, head: str = "") -> Field:
    """Return the row of the damper rod."""
    return row(
        table,
        "rod",
        "damper rod",
        Amount(Measure.TRAVEL, SMALL),
        "Diameter of the damper rod where it enters the damper, with a caliper. A fork's air shaft has "
        "none: 0.",
        usual="0 mm",
        head=head,
    )


def _gas_rows(table: TreePath, head: str) -> tuple[Field, ...]:
    return (
        row(
            table,
            "gas_pressure",
            "gas charge",
            Amount(Measure.PRESSURE, {"psi": "5", "bar": "0.5"}, or_none=True),
            'The damper\'s charge at full extension; "none" where it has none.',
            caution=GAS_CAUTION,
            head=head,
        ),
        row(
            table,
            "gas_volume",
            "gas volume",
            Amount(Measure.VOLUME),
            "Volume of that charge at full extension. Given with the pressure or not at all.",
        ),
    )


def _bumper_rows(table: TreePath) -> tuple[Field, ...]:
    return (
        row(
            table,
            "bumper_length",
            "bumper length",
            Amount(Measure.TRAVEL, SMALL, share_of="stroke", or_none=True),
            "Stroke over which the bottom-out bumper is squeezed: its free height less what is left when it "
            'is squeezed flat; "none" for a shock without one.',
            head="bottom-out bumper, if it has one",
        ),
        row(
            table,
            "bumper_force",
            "bumper force",
            Amount(Measure.FORCE, {"N": "50", "lbf": "10", "kgf": "5"}),
            "Force when the bumper is fully squeezed. Given with the length or not at all.",
        ),
    )


def _leg_rows(table: TreePath) -> tuple[Field, ...]:
    return (
        row(
            table,
            "lower_leg_volume",
            "lower leg volume",
            Amount(Measure.VOLUME, or_none=True),
            "Free air in one lower leg at full extension, oil in: fill it with oil from a syringe while it "
            'is open for service; "none" where the legs are vented.',
            head="air in the lower legs",
        ),
        row(
            table,
            "stanchion_diameter",
            "stanchion diameter",
            Amount(Measure.TRAVEL, SMALL),
            "Outer diameter of a stanchion, with a caliper. Given with the volume or not at all.",
        ),
    )


def _name_rows(table: TreePath) -> tuple[Field, ...]:
    called = "What this setup is called in the chart and in the table."
    hardware = (
        "What the shock itself is called in the records, where its measures are found again for the "
        "next rider. It changes no number."
    )
    return (
        row(table, "name", "name", Words(), called, head="setup"),
        row(table, "shock", "shock", Words(), hardware),
    )


_CHAMBER: Mapping[str, Raw] = {"negative_volume": "20 cm3"}
_NEGATIVE = Choice(
    (
        Option("equalised (port)", "equalised", needs={**_CHAMBER, "port": "6 mm"}),
        Option("air, own valve", "separate", needs={**_CHAMBER, "negative_pressure": "150 psi"}),
        Option("a coil", "mechanical", needs={"negative_rate": "60 N/mm", "negative_length": "12 mm"}),
        Option("nothing", "none"),
    )
)
_AIR_COUNT = Bare("1", "fitted")
_BODY_MEANING = "Outer diameter of the damper body where the negative chamber seals on it."
_SHAFT_MEANING = "Diameter of the air shaft that the piston sits on, where the negative chamber seals on it."
_BORE = Amount(Measure.TRAVEL, SMALL)
_LARGE = Amount(Measure.PRESSURE, {"psi": "5", "bar": "0.5"})


def air_rows(job: Job, table: TreePath) -> tuple[Field, ...]:
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


def _pressure_rows(table: TreePath) -> tuple[Field, ...]:
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


def _positive_rows(table: TreePath, fork: bool) -> tuple[Field, ...]:
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
            _AIR_COUNT,
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


def _negative_rows(job: Job, table: TreePath) -> tuple[Field, ...]:
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


def _chamber_rows(table: TreePath) -> tuple[Field, ...]:
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
            _AIR_COUNT,
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


def _port_row(table: TreePath) -> Field:
    return row(
        table,
        "port",
        "port at stroke",
        Amount(Measure.TRAVEL, SMALL, share_of="stroke"),
        "Stroke at which the two chambers meet, in mm or %: push the shock in slowly and listen, or measure "
        "the dimple.",
    )


def _own_pressure_row(table: TreePath) -> Field:
    return row(
        table,
        "negative_pressure",
        "its pressure",
        Amount(Measure.PRESSURE),
        "On the gauge at the negative valve, full extension.",
        caution=AIR_CAUTION,
    )


def _coil_rows(table: TreePath) -> tuple[Field, ...]:
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


_CAREFUL = "Common practice, no source, until you type your own."

TOOLS = (
    Field(
        "scale",
        ("tolerance", "scale"),
        Amount(Measure.MASS, {"kg": "0.1", "lb": "0.2", "lbs": "0.2", "g": "50"}),
        "How far the scale may be off either way, each time something is weighed: stands on it or in its "
        f"papers. {_CAREFUL}",
        usual="0.5 kg",
        head="tool errors, either way",
    ),
    Field(
        "rider's share",
        ("tolerance", "share"),
        Share(as_text=True, small=True),
        "How far the rider's share on this wheel may be off, either way: a little further back or forward. "
        f"With a scale under the wheel it does not count. {_CAREFUL}",
        usual="2 %",
    ),
    Field(
        "gauge",
        ("tolerance", "gauge"),
        Amount(Measure.PRESSURE, {"psi": "0.5", "bar": "0.05"}),
        "How far the pump's gauge may be off either way, the same for both chambers: compare two gauges on "
        f"one shock. {_CAREFUL}",
        usual="2 psi",
    ),
    Field(
        "coil rate",
        ("tolerance", "rate"),
        Share(as_text=True, small=True),
        "How far a coil may be off the rate printed on it, either way: a spring tester knows better. Left "
        f"out, a coil whose wire is measured strays as its grade allows. {_CAREFUL}",
        usual="5 %",
    ),
    Field(
        "air volumes",
        ("tolerance", "volume"),
        Amount(Measure.VOLUME, {"cm3": "0.5", "ml": "0.5", "cc": "0.5", "in3": "0.05"}),
        f"How far the volume of an air chamber may be off, either way: oil in it counts too. {_CAREFUL}",
        usual="1 cm3",
    ),
)
"""The last rows of the rider panel."""


_MASSES = {"rider_mass": "80 kg", "bike_mass": "15 kg"}
_SHARES = ("rider_share", "posture", "bike_share")
_GEOMETRY = {
    "wheelbase": "1220 mm",
    "mass_behind_front": "740 mm",
    "mass_height": "1050 mm",
    "slope": "0 deg",
}
_BY_MASS = Option(
    "rider and bike",
    needs={**_MASSES, "posture": "standing", "bike_share": 0.5},
    also=("rider_share",),
    drops=("scale_mass", "geometry"),
)
_BY_SCALE = Option(
    "scale reading",
    mark="scale_mass",
    needs={"scale_mass": "60 kg"},
    drops=(*_MASSES, *_SHARES, "geometry"),
)
_BY_CENTRE = Option(
    "centre of mass",
    mark="geometry",
    needs={**_MASSES, "geometry": _GEOMETRY},
    drops=("scale_mass", *_SHARES),
)
_FINE = {"kg": "0.1", "lb": "0.2", "lbs": "0.2"}

_LOAD_FROM = Field(
    "load from",
    ("load", "by"),
    Choice((_BY_MASS, _BY_SCALE, _BY_CENTRE), absent=0),
    "Where the load on this wheel comes from: masses and shares, one reading of a scale under the wheel with "
    "the rider in position, or where the centre of mass is, on a slope too.",
)
_FRONT_LOAD_FROM = Field(
    "load from",
    ("load", "by"),
    Choice(
        (
            Option("left by the rear", drops=("scale_mass",)),
            Option(
                "scale reading",
                mark="scale_mass",
                needs={"scale_mass": "38 kg"},
                drops=(*_MASSES, *_SHARES, "geometry"),
            ),
        ),
        absent=0,
    ),
    "Where the load on the front wheel comes from: the rider and bike of the rear wheel's panel, less the "
    "shares that rest there, or one reading of a scale under the front wheel with the rider in position.",
)
_RIDER_MASS = Field(
    "rider mass",
    ("load", "rider_mass"),
    Amount(Measure.MASS),
    "The rider ready to ride, with shoes, helmet, pack and water: have them step on a scale like that.",
)
_POSTURE = Field(
    "posture",
    ("load", "posture"),
    Choice(
        (
            Option("standing", "standing", drops=("rider_share",)),
            Option("seated", "seated", drops=("rider_share",)),
            Option("share typed below", mark="rider_share", needs={"rider_share": 0.62}),
        )
    ),
    "How the rider's mass is split between the wheels: standing puts about 62 % on the rear wheel, seated "
    "about 67 % (common practice, no source).",
)
_RIDER_SHARE = Field(
    "rider's share",
    ("load", "rider_share"),
    Share(),
    "The part of the rider's mass on this wheel. With a scale under each wheel: how far this one rises "
    "when the rider gets on, over how far both rise together.",
)
_BIKE_MASS = Field(
    "bike mass",
    ("load", "bike_mass"),
    Amount(Measure.MASS, _FINE),
    "The whole bike as it is ridden, bottles and bags on it: hang it on the scale.",
)
_BIKE_SHARE = Field(
    "bike's share",
    ("load", "bike_share"),
    Share(),
    "The part of the bike's mass on this wheel: this wheel on a scale, the other as high, over the whole "
    "bike. About half is common practice, no source.",
)
_SCALE_MASS = Field(
    "scale shows",
    ("load", "scale_mass"),
    Amount(Measure.MASS, _FINE),
    "A scale under this wheel, the other wheel as high, the rider on board in riding position and still.",
)
_UNSPRUNG = Field(
    "unsprung mass",
    ("load", "unsprung_mass"),
    Amount(Measure.MASS, _FINE),
    "What moves with the wheel and hangs below the spring: wheel, tyre, brake, part of the swingarm or "
    "the lowers. 3 to 6 kg is common practice, no source.",
)
_TARGET = (
    Field(
        "sag",
        ("target", "sag"),
        Share(as_text=True, share_of="target"),
        "How far the suspension should settle under the rider at rest, in % or mm. Rear 25 to 30 %, front 15 "
        "to 20 % is common practice, no source; the frame maker's manual comes first.",
        head="sag wanted",
    ),
    Field(
        "of the",
        ("target", "of"),
        Choice((Option("wheel travel", "travel"), Option("shock stroke", "stroke")), absent=0),
        "Which sag is meant: of the vertical wheel travel, or of the stroke the ring on the shaft shows. "
        "With a falling leverage ratio the two differ.",
    ),
)
_AMBIENT = (
    Field(
        "temperature",
        ("ambient", "temperature"),
        Amount(Measure.TEMPERATURE, signed=True),
        "The air in the shop while the shock is pumped: a sealed chamber loses pressure as it cools.",
        usual="20 degC",
        head="shop air",
    ),
    Field(
        "altitude",
        ("ambient", "altitude"),
        Amount(Measure.ALTITUDE, signed=True),
        "Where the shop stands: the air outside is thinner higher up, and a gauge reads against it.",
        usual="0 m",
    ),
)
_RIDE = (
    Field(
        "temperature there",
        ("ride", "temperature"),
        Amount(Measure.TEMPERATURE, signed=True),
        "The air of the ride: the same gas, warmer or colder, gives another reading and another sag.",
        usual="as in the shop",
        head="air of the ride, if it differs",
    ),
    Field(
        "altitude there",
        ("ride", "altitude"),
        Amount(Measure.ALTITUDE, signed=True),
        "How high the ride is: sealed chambers keep their gas, the air outside thins.",
        usual="as in the shop",
    ),
)
_TITLE = Field(
    "job",
    ("title",),
    Words(),
    "What this job is called, on the bench and in its file.",
)


def rider_panel(job: Job, wheel: Wheel | None = None) -> Panel:
    """Return the rider panel with the rows that this job's way of weighing asks for."""
    load_from = _FRONT_LOAD_FROM if wheel == "front" else _LOAD_FROM
    load = (load_from, *_load_rows(job, wheel), _UNSPRUNG)
    return Panel("rider", (_TITLE, *load, *_TARGET, *_AMBIENT, *_RIDE, *TOOLS))


def _load_rows(job: Job, wheel: Wheel | None) -> tuple[Field, ...]:
    if job.get(("load", "scale_mass")) is not None:
        return (_SCALE_MASS,)
    if job.get(("load", "geometry")) is not None:
        return (_RIDER_MASS, _BIKE_MASS, *geometry_rows(job, wheel))
    typed = job.get(("load", "posture")) is None or job.get(("load", "rider_share")) is not None
    share = (_RIDER_SHARE,) if typed else ()
    return (_RIDER_MASS, _POSTURE, *share, _BIKE_MASS, _BIKE_SHARE)


_CALIPER = Amount(Measure.TRAVEL, {"mm": "0.1", "in": "0.005"})
_WIRE_COUNT = Bare("0.25")
_MATERIAL = Choice(
    tuple(Option(word, stored) for stored, word in MATERIAL_WORDS.items()),
    absent=list(MATERIAL_WORDS).index("chrome_silicon"),
)
_WIRE_ENDS = Choice(tuple(Option(word, stored) for stored, word in END_WORDS.items()), absent=0)
_WIRE_KEYS = ("wire_diameter", *COIL_DIAMETERS, "total_coils", "active_coils", "ends", "material", "grade")
_MEASURED = Choice(
    (
        Option("not measured", drops=_WIRE_KEYS),
        Option(
            "measured",
            mark="wire_diameter",
            needs={"wire_diameter": "8.5 mm", "inner_diameter": "36 mm", "total_coils": 9.5},
        ),
    ),
    absent=0,
)


def wire_rows(job: Job, table: TreePath) -> tuple[Field, ...]:
    """Return the rows: one that asks for the wire, and the others once there is any of it."""
    asked = row(
        table,
        "wire",
        "wire",
        _MEASURED,
        "Caliper and a count of coils tell stress, room, weight and how far the rate may stray: y shows it.",
    )
    if all(job.get((*table, key)) is None for key in _WIRE_KEYS):
        return (asked,)
    return (asked, *_caliper_rows(table), *_count_rows(table), *_kind_rows(table))


def _caliper_rows(table: TreePath) -> tuple[Field, ...]:
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


def _count_rows(table: TreePath) -> tuple[Field, ...]:
    return (
        row(
            table,
            "total_coils",
            "coils in all",
            _WIRE_COUNT,
            "Turns from tip to tip of the wire, in quarters; those lying flat at the ends count here.",
        ),
        row(
            table,
            "active_coils",
            "coils that work",
            _WIRE_COUNT,
            "Turns that are free to move. Left out, all coils less one at each closed end.",
        ),
    )


def _kind_rows(table: TreePath) -> tuple[Field, ...]:
    return (
        row(
            table,
            "ends",
            "ends",
            _WIRE_ENDS,
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


def coil_rows(job: Job, table: TreePath) -> tuple[Field, ...]:
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


def _rate_rows(job: Job, table: TreePath) -> tuple[Field, ...]:
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


def _preload_rows(job: Job, table: TreePath) -> tuple[Field, ...]:
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


def _mass_row(table: TreePath) -> Field:
    meaning = (
        "The spring on a scale. Kept beside the figures so that setups can be compared; left out, a coil is "
        "weighed by its wire."
    )
    return row(table, "mass", "spring mass", Amount(Measure.MASS, {"kg": "0.01", "lb": "0.02"}), meaning)


def _fit_rows(table: TreePath) -> tuple[Field, ...]:
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


RIDER_MASS: TreePath = ("load", "rider_mass")
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

_DRAWN: tuple[TreePath, ...] = ((*LEVERAGE, "points_mm"), (*LEVERAGE, "points_px"))


@lru_cache(maxsize=16)
def panels(job: Job, wheel: Wheel | None = None) -> tuple[Panel, ...]:
    """Return the panels of a job of one wheel with the rows that its choices ask for.

    `end` is which of two wheels it is, None where the bike on the bench has no other.
    """
    setups = (_setup_panel(job, index) for index in range(len(job.setups)))
    found = (rider_panel(job, wheel), frame_panel(job, wheel), *setups, record_panel(job))
    return tuple(map(_of_fork, found)) if is_fork(job) else found


def _of_fork(panel: Panel) -> Panel:
    """Return a panel in the words of a fork; names that a person gave to setups stay as they are."""
    return panel._replace(rows=tuple(map(_row_of_fork, panel.rows)))


def _row_of_fork(row: Field) -> Field:
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
    table: TreePath = ("setup", index)
    kind = "air" if setup.get("kind") == "air" else "coil"
    rows: tuple[Field, ...] = air_rows(job, table) if kind == "air" else coil_rows(job, table)
    return Panel(str(setup.get("name", "no name")), rows, index, kind)


def unconfirmed_at(job: Job, row: Field) -> tuple[TreePath, ...]:
    """Return where the values of a row are that nobody has typed or confirmed, none where all are."""
    if isinstance(row.kind, Pair):
        places = tuple((*row.path[:-2], key) for key in row.kind.keys)
        there = tuple(path for path in places if job.get((*path, row.path[-1])) is not None)
        return tuple(path for path in there if job.is_unconfirmed(path))
    if row.path == (*LEVERAGE, "kind"):
        return tuple(path for path in _DRAWN if job.is_unconfirmed(path))
    return (row.path,) if job.is_unconfirmed(row.path) else ()
