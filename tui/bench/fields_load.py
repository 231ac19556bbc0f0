"""The rider panel: what rests on the wheel, the sag wanted, the air of the shop, the job's title."""

from __future__ import annotations

from tui.bench.fields_geometry import geometry_rows
from tui.bench.fields_row import Amount, Choice, Option, Panel, Row, Share, Words
from tui.bench.fields_tools import TOOLS
from tui.jobs.ends import End
from tui.jobs.job import Job
from tui.shop_units import Measure

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

_LOAD_FROM = Row(
    "load from",
    ("load", "by"),
    Choice((_BY_MASS, _BY_SCALE, _BY_CENTRE), absent=0),
    "Where the load on this wheel comes from: masses and shares, one reading of a scale under the wheel with "
    "the rider in position, or where the centre of mass is, on a slope too.",
)
_FRONT_LOAD_FROM = Row(
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
_RIDER_MASS = Row(
    "rider mass",
    ("load", "rider_mass"),
    Amount(Measure.MASS),
    "The rider ready to ride, with shoes, helmet, pack and water: have them step on a scale like that.",
)
_POSTURE = Row(
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
_RIDER_SHARE = Row(
    "rider's share",
    ("load", "rider_share"),
    Share(),
    "The part of the rider's mass on this wheel. With a scale under each wheel: how far this one rises "
    "when the rider gets on, over how far both rise together.",
)
_BIKE_MASS = Row(
    "bike mass",
    ("load", "bike_mass"),
    Amount(Measure.MASS, _FINE),
    "The whole bike as it is ridden, bottles and bags on it: hang it on the scale.",
)
_BIKE_SHARE = Row(
    "bike's share",
    ("load", "bike_share"),
    Share(),
    "The part of the bike's mass on this wheel: this wheel on a scale, the other as high, over the whole "
    "bike. About half is common practice, no source.",
)
_SCALE_MASS = Row(
    "scale shows",
    ("load", "scale_mass"),
    Amount(Measure.MASS, _FINE),
    "A scale under this wheel, the other wheel as high, the rider on board in riding position and still.",
)
_UNSPRUNG = Row(
    "unsprung mass",
    ("load", "unsprung_mass"),
    Amount(Measure.MASS, _FINE),
    "What moves with the wheel and hangs below the spring: wheel, tyre, brake, part of the swingarm or "
    "the lowers. 3 to 6 kg is common practice, no source.",
)
_TARGET = (
    Row(
        "sag",
        ("target", "sag"),
        Share(as_text=True, share_of="target"),
        "How far the suspension should settle under the rider at rest, in % or mm. Rear 25 to 30 %, front 15 "
        "to 20 % is common practice, no source; the frame maker's manual comes first.",
        head="sag wanted",
    ),
    Row(
        "of the",
        ("target", "of"),
        Choice((Option("wheel travel", "travel"), Option("shock stroke", "stroke")), absent=0),
        "Which sag is meant: of the vertical wheel travel, or of the stroke the ring on the shaft shows. "
        "With a falling leverage ratio the two differ.",
    ),
)
_AMBIENT = (
    Row(
        "temperature",
        ("ambient", "temperature"),
        Amount(Measure.TEMPERATURE, signed=True),
        "The air in the shop while the shock is pumped: a sealed chamber loses pressure as it cools.",
        usual="20 degC",
        head="shop air",
    ),
    Row(
        "altitude",
        ("ambient", "altitude"),
        Amount(Measure.ALTITUDE, signed=True),
        "Where the shop stands: the air outside is thinner higher up, and a gauge reads against it.",
        usual="0 m",
    ),
)
_RIDE = (
    Row(
        "temperature there",
        ("ride", "temperature"),
        Amount(Measure.TEMPERATURE, signed=True),
        "The air of the ride: the same gas, warmer or colder, gives another reading and another sag.",
        usual="as in the shop",
        head="air of the ride, if it differs",
    ),
    Row(
        "altitude there",
        ("ride", "altitude"),
        Amount(Measure.ALTITUDE, signed=True),
        "How high the ride is: sealed chambers keep their gas, the air outside thins.",
        usual="as in the shop",
    ),
)
_TITLE = Row(
    "job",
    ("title",),
    Words(),
    "What this job is called, on the bench and in its file.",
)


def rider_panel(job: Job, end: End | None = None) -> Panel:
    """Return the rider panel with the rows that this job's way of weighing asks for."""
    load_from = _FRONT_LOAD_FROM if end == "front" else _LOAD_FROM
    load = (load_from, *_load_rows(job, end), _UNSPRUNG)
    return Panel("rider", (_TITLE, *load, *_TARGET, *_AMBIENT, *_RIDE, *TOOLS))


def _load_rows(job: Job, end: End | None) -> tuple[Row, ...]:
    if job.get(("load", "scale_mass")) is not None:
        return (_SCALE_MASS,)
    if job.get(("load", "geometry")) is not None:
        return (_RIDER_MASS, _BIKE_MASS, *geometry_rows(job, end))
    typed = job.get(("load", "posture")) is None or job.get(("load", "rider_share")) is not None
    share = (_RIDER_SHARE,) if typed else ()
    return (_RIDER_MASS, _POSTURE, *share, _BIKE_MASS, _BIKE_SHARE)
