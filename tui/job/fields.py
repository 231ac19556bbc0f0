"""The one table of the fields of a job: every key of its file, what it takes, and its row on the bench.

Reader, faults, panels, usual ranges, inputs of sweeps, labels of sheet and records, the JSON Schema and
README's table of keys come from here. Ranges are in SI: wide enough for whatever rolls into a shop, narrow
enough that a slip of the unit, or thousands taken for decimals, is caught where it was typed. Nothing heavy
is loaded: the first frame needs these rows. `# fmt: off` keeps a field together, as a row of the table.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, NamedTuple

from tui.job.choices import COIL_DIAMETERS, END_WORDS, MATERIAL_WORDS, SYMPTOMS
from tui.job.faults import TABLES
from tui.job.job import ON_BIKE, UNCONFIRMED, Job, listed
from tui.job.tree import Raw, TreePath
from tui.job.wheels import Wheel
from tui.shop_units import Measure

if TYPE_CHECKING:
    from physics.case import Extra

_NOTHING: Mapping[str, Any] = MappingProxyType({})


class Amount(NamedTuple):
    """A quantity with its unit, text in the file, from `low` to `high` [SI]; `low` itself where `closed`.

    `high` is None for what goes up to the highest pressure of the law for air. `steps` gives nudges of its
    own per unit, `signed` allows nudges below zero, `solvable` the word "solve", `or_none` the word "none".
    `share_of` is the whole that a share typed with its per cent sign is of, see `tui.job.typed.whole_of`.
    """

    measure: Measure
    high: float | None = None
    low: float = 0.0
    closed: bool = True
    steps: Mapping[str, str] = _NOTHING
    signed: bool = False
    solvable: bool = False
    share_of: str = ""
    or_none: bool = False


class Share(NamedTuple):
    """A fraction: per cent on the screen; in the file a bare number, or text with its per cent sign.

    A bare number below 1 is asked about, unless the share is `small`. `share_of` is the whole that a length
    typed in its place is divided by, see `tui.job.typed.whole_of`.
    """

    high: float = 1.0
    closed: bool = True
    as_text: bool = False
    small: bool = False
    share_of: str = ""
    low: float = 0.0
    measure: Measure = Measure.FRACTION


class Bare(NamedTuple):
    """A bare number in the file from `low` to `high`; `low` itself only where `closed`; `whole` for counts.

    `suffix` follows it on the screen, `step` is its nudge.
    """

    step: str
    high: float
    low: float = 0.0
    suffix: str = ""
    measure: Measure = Measure.RATIO
    closed: bool = True
    whole: bool = False


class Words(NamedTuple):
    """Text, shown letter by letter as it stands."""


class Column(NamedTuple):
    """A list of `least` to `most` bare numbers from `low` to `high`; `scale` turns them into SI.

    They are typed with spaces between; `unit` follows them on the screen. Those of a `rising` one go up.
    """

    high: float
    low: float = 0.0
    scale: float = 1.0
    least: int = 2
    unit: str = ""
    rising: bool = False
    most: int = 1000


class Points(NamedTuple):
    """A table of `least` to `most` points by name, each two bare numbers from `low` to `high`."""

    high: float
    low: float
    least: int = 3
    most: int = 40


class Names(NamedTuple):
    """A list of `least` to `most` names of points, or of pairs of them with `pairs`."""

    most: int
    least: int = 1
    pairs: bool = False


class Group(NamedTuple):
    """A table of its own below a key."""

    fields: Mapping[str, Field]


class Pair(NamedTuple):
    """Pair number `place` of two columns of one table that belong together, e.g. travel and stroke.

    The row behind the last one is empty and takes a new pair. `units` follow the two numbers on the
    screen, `step` nudges the second.
    """

    keys: tuple[str, str]
    units: tuple[str, str]
    step: str
    place: int = 0


class Option(NamedTuple):
    """One way of a choice.

    The file holds it as the word `stored` at the row's path, or by the key `mark` being there at all.
    `needs` are the keys it cannot do without, with invented values to start from, and `also` those it may
    have besides; `drops` must not stand beside it, and `renews` mean something else in another way.
    """

    word: str
    stored: Raw | None = None
    mark: str | None = None
    needs: Mapping[str, Raw] = _NOTHING
    also: tuple[str, ...] = ()
    drops: tuple[str, ...] = ()
    renews: tuple[str, ...] = ()


class Choice(NamedTuple):
    """One of several ways; `absent` is the one a file means that says nothing.

    A file may name `several` of them in a list.
    """

    options: tuple[Option, ...]
    absent: int | None = None
    several: bool = False

    @property
    def words(self) -> tuple[str, ...]:
        """The words that the file may hold; none where other keys say which way it is."""
        return tuple(option.stored for option in self.options if isinstance(option.stored, str))

    def chosen(self, job: Job, path: TreePath) -> int | None:
        """Return the index of the way the job takes, None where it names one that is not known."""
        raw = job.get(path)
        for index, option in enumerate(self.options):
            if raw is not None and raw == option.stored:
                return index
            if raw is None and option.mark and job.get((*path[:-1], option.mark)) is not None:
                return index
        return self.absent if raw is None else None

    def select(self, job: Job, path: TreePath, index: int, starts: Mapping[str, Raw] | None = None) -> Job:
        """Return the job on another way; keys it lacks then start from `starts`, else invented.

        What nobody has typed is unconfirmed: the invented values, and those on the list of `starts`.
        """
        option = self.options[index]
        table = path[:-1]
        for key in (*option.drops, *option.renews):
            job = job.without((*table, key))
        job = job.with_value(path, option.stored) if option.stored else job.taken_out(path)
        found = {**option.needs, **(starts or {})}
        typed = set(starts or {}) - set(listed(starts))
        for key in (*option.needs, *option.also):
            if key in found and job.get((*table, key)) is None:
                put = job.with_value if key in typed else job.with_invented
                job = put((*table, key), found[key])
        return job


Kind = Amount | Share | Bare | Words | Column | Points | Names | Group | Pair | Choice


class At(NamedTuple):
    """Where a row would stand: the job of one wheel, the table, and which of two wheels, if there are two."""

    job: Job
    table: TreePath
    wheel: Wheel | None = None

    def has(self, *keys: str) -> bool:
        """Return whether any of these keys of the table is in the job."""
        return any(self.job.get((*self.table, key)) is not None for key in keys)


class Field(NamedTuple):
    """One field: a key of the job file, or a row of a panel that other keys of the file answer.

    `path` is its place in the file, of a setup without its number. `meaning` says what the value is and how
    to get it, `caution` what must be known before a hand acts on it. `usual` is what a file means that leaves
    the value out, `head` a heading above the row. `alone` is the label away from that heading, `compared` the
    one among differences; each is the label where it is empty.

    `likely` is its usual range in the usual units and what it is a number of. A `due` key must be there; with
    `needs` these must be there as well, and of `one_of` the first that is there counts. `fork_only` keys are
    faults on a shock. `extra` names what a shock or fork has besides its spring, which "none" here denies.

    `case` is its name in the part of the physical case that its table makes, empty where it has its own way
    there. `swept` is what it is called as an input of a sweep, empty where it is none; the input has the name
    of the key, or `sweeps`. `on_fork` is what is otherwise where the leverage is a fork's, and `shown` tells
    whether a panel shows the row.
    """

    label: str
    path: TreePath
    kind: Kind
    meaning: str
    caution: str = ""
    usual: str = ""
    head: str = ""
    alone: str = ""
    compared: str = ""
    likely: tuple[float, float, str] | None = None
    due: bool = False
    needs: tuple[str, ...] = ()
    one_of: tuple[str, ...] = ()
    fork_only: bool = False
    extra: Extra | None = None
    case: str = ""
    swept: str = ""
    sweeps: str = ""
    on_fork: Mapping[str, Any] = _NOTHING
    shown: Callable[[At], bool] | None = None

    @property
    def key(self) -> str:
        """The key in its table."""
        return str(self.path[-1])

    @property
    def full_label(self) -> str:
        """The label away from the heading it has on the bench."""
        return self.alone or self.label

    @property
    def measure(self) -> Measure | None:
        """What its number measures, None for what is no single number."""
        return self.kind.measure if isinstance(self.kind, Amount | Share | Bare) else None


Fields = Mapping[str, Field]
"""The fields of one table by key."""


def _table(*fields: Field) -> Fields:
    return {field.key: field for field in fields}


def _with(*keys: str) -> Callable[[At], bool]:
    return lambda at: at.has(*keys)


def _without(*keys: str) -> Callable[[At], bool]:
    return lambda at: not at.has(*keys)


def _where(key: str, *words: str) -> Callable[[At], bool]:
    return lambda at: at.job.get((*at.table, key)) in words


_MASS, _LENGTH, _FORCE, _RATE = Measure.MASS, Measure.TRAVEL, Measure.FORCE, Measure.SPRING_RATE
_PRESSURE, _VOLUME, _ANGLE = Measure.PRESSURE, Measure.VOLUME, Measure.ANGLE
_COUNT, _TURNS = Measure.COUNT, Measure.TURNS
_MM, _CM3, _N_PER_MM, _BAR = 1e-3, 1e-6, 1e3, 1e5
_DEGREE = 0.017453292519943295
_LBF_PER_IN = 0.45359237 * 9.80665 / 0.0254
_HALF_MM = {"mm": "0.5"}
_TENTH_KG = {"kg": "0.1", "lb": "0.2", "lbs": "0.2"}
_HALF_CM3 = {"cm3": "0.5"}
_HALF_PSI = {"psi": "0.5", "bar": "0.05"}
_FIVE_PSI = {"psi": "5", "bar": "0.5"}
_TEMPERATURE = Amount(Measure.TEMPERATURE, 333.15, 233.15, signed=True)
_ALTITUDE = Amount(Measure.ALTITUDE, 11_000.0, -1000.0, signed=True)
_WEIGHT = Amount(_MASS, 500.0, closed=False, steps=_TENTH_KG)
_TRAVEL = Amount(_LENGTH, 600 * _MM, _MM)
_STROKE = _TRAVEL._replace(steps=_HALF_MM)
_DIAMETER = Amount(_LENGTH, 200 * _MM, steps=_HALF_MM)

# fmt: off
_SHARES = ("rider_share", "posture", "bike_share")
_MASSES: Mapping[str, Raw] = {"rider_mass": "80 kg", "bike_mass": "15 kg"}
_BY_SCALE = Option("scale reading", mark="scale_mass", needs={"scale_mass": "60 kg"},
    drops=(*_MASSES, *_SHARES, "geometry"))
LOAD_WAYS = (
    Option("rider and bike", needs={**_MASSES, "posture": "standing", "bike_share": 0.5},
        also=("rider_share",), drops=("scale_mass", "geometry")),
    _BY_SCALE,
    Option("centre of mass", mark="geometry",
        needs={
            **_MASSES,
            "geometry": {
                "wheelbase": "1220 mm", "mass_behind_front": "740 mm", "mass_height": "1050 mm",
                "slope": "0 deg",
            },
        },
        drops=("scale_mass", *_SHARES)),
)
"""The ways to know the load, the keys that each needs and those that contradict it."""
_LOAD_FROM = Field("load from", ("load", "by"), Choice(LOAD_WAYS, absent=0),
    "Where the load on this wheel comes from: masses and shares, one reading of a scale under the wheel with "
    "the rider in position, or where the centre of mass is, on a slope too.",
    shown=lambda at: at.wheel != "front")
_FRONT_LOAD_FROM = _LOAD_FROM._replace(
    kind=Choice((
        Option("left by the rear", drops=("scale_mass",)),
        _BY_SCALE._replace(needs={"scale_mass": "38 kg"}),
    ), absent=0),
    meaning="Where the load on the front wheel comes from: the rider and bike of the rear wheel's panel, "
    "less the shares that rest there, or one reading of a scale under the front wheel with the rider in "
    "position.",
    shown=lambda at: at.wheel == "front",
)


def _by_centre(at: At) -> bool:
    load = At(at.job, ("load",))
    return load.has("geometry") and not load.has("scale_mass")


_BIKE_LENGTH = Amount(_LENGTH, 3.0, steps={"mm": "5", "in": "0.2"})
GEOMETRY = _table(
    Field("wheelbase", ("load", "geometry", "wheelbase"), _BIKE_LENGTH._replace(low=0.3),
        "From the front axle to the rear one, the bike level and unloaded.",
        likely=(800, 1600, "a wheelbase"), due=True, shown=_by_centre),
    Field("mass behind front", ("load", "geometry", "mass_behind_front"), _BIKE_LENGTH,
        "How far behind the front axle the mass of rider and bike acts: the rear scale over both, times the "
        "wheelbase.", likely=(250, 1200, "the CoM behind the front axle"), due=True, shown=_by_centre),
    Field("mass height", ("load", "geometry", "mass_height"), _BIKE_LENGTH,
        "How far above the ground that mass acts, rider in position. It counts on a slope only; about a "
        "metre is common practice, no source.",
        likely=(500, 1500, "the height of the CoM"), due=True, shown=_by_centre),
    Field("slope", ("load", "geometry", "slope"),
        Amount(_ANGLE, 60 * _DEGREE, -60 * _DEGREE, steps={"deg": "1"}, signed=True),
        "Slope of the ground, nose down above zero: it moves load to the front wheel.",
        usual="0 deg", likely=(-40, 40, "a slope"), swept="slope", shown=_by_centre),
    Field("wheel", ("load", "geometry", "wheel"), Choice((Option("front", "front"), Option("rear", "rear"))),
        "The wheel whose suspension is on the bench.",
        # Where the bike has both wheels there is nothing to choose.
        shown=lambda at: (
            _by_centre(at) and (at.wheel is None or at.job.get((*at.table, "wheel")) not in (None, at.wheel))
        )),
)
LOAD = _table(
    Field("rider mass", ("load", "rider_mass"), Amount(_MASS, 500.0, closed=False),
        "The rider ready to ride, with shoes, helmet, pack and water: have them step on a scale like that.",
        likely=(20, 160, "a rider"), swept="rider mass", shown=_without("scale_mass")),
    Field("rider's share", ("load", "rider_share"), Share(),
        "The part of the rider's mass on this wheel. With a scale under each wheel: how far this one rises "
        "when the rider gets on, over how far both rise together.",
        likely=(20, 80, "the rider's share on one wheel"), swept="rider's share",
        shown=lambda at: (
            not at.has("scale_mass", "geometry") and (at.has("rider_share") or not at.has("posture"))
        )),
    Field("posture", ("load", "posture"),
        Choice((
            Option("standing", "standing", drops=("rider_share",)),
            Option("seated", "seated", drops=("rider_share",)),
            Option("share typed below", mark="rider_share", needs={"rider_share": 0.62}),
        )),
        "How the rider's mass is split between the wheels: standing puts about 62 % on the rear wheel, "
        "seated about 67 % (common practice, no source).",
        sweeps="rider_share", shown=_without("scale_mass", "geometry")),
    Field("bike mass", ("load", "bike_mass"), _WEIGHT,
        "The whole bike as it is ridden, bottles and bags on it: hang it on the scale.",
        likely=(6, 40, "a bike"), swept="bike mass", shown=_without("scale_mass")),
    Field("bike's share", ("load", "bike_share"), Share(),
        "The part of the bike's mass on this wheel: this wheel on a scale, the other as high, over the whole "
        "bike. About half is common practice, no source.", likely=(30, 70, "the bike's share on one wheel"),
        swept="bike's share", shown=_without("scale_mass", "geometry")),
    Field("scale shows", ("load", "scale_mass"), _WEIGHT,
        "A scale under this wheel, the other wheel as high, the rider on board in riding position and "
        "still.",
        likely=(8, 150, "one wheel on the scale"), swept="scale reading", shown=_with("scale_mass")),
    Field("unsprung mass", ("load", "unsprung_mass"), Amount(_MASS, 100.0, steps=_TENTH_KG),
        "What moves with the wheel and hangs below the spring: wheel, tyre, brake, part of the swingarm or "
        "the lowers. 3 to 6 kg is common practice, no source.",
        likely=(0, 12, "unsprung mass"), due=True, swept="unsprung mass"),
    Field("centre of mass", ("load", "geometry"), Group(GEOMETRY),
        "Where the mass of rider and bike acts, in place of their shares on this wheel."),
)

FRAME = _table(
    Field("name", ("frame", "name"), Words(),
        "What this frame is called in the records, where it is found again for the next rider. It changes no "
        "number.", compared="frame"),
    Field("wheel travel", ("frame", "wheel_travel"), _TRAVEL,
        "How far the axle rises straight up from full extension to the stop: spring out, wheel lifted, "
        "measured at the axle.",
        likely=(30, 260, "wheel travel"), due=True, swept="wheel travel",
        on_fork={
            "meaning": "How far the axle rises straight up over all the fork travel. Left out, it follows "
                "from fork travel and head angle; typed, the two must agree.",
            "usual": "from the angle", "due": False,
        }),
    Field("shock stroke", ("frame", "stroke"), _STROKE,
        "How far the shock shortens over the whole travel: stands on the shock or in its papers.",
        likely=(15, 260, "a stroke"), due=True, swept="stroke",
        on_fork={
            "label": "fork travel",
            "meaning": "How far the fork slides in along its legs, from full length to the stop.",
        }),
    Field("eye to eye", ("frame", "eye_to_eye"), Amount(_LENGTH, 1.5, 10 * _MM, steps=_HALF_MM),
        "From the middle of one mounting bolt to the other, the shock at full length. A linkage as drawn is "
        "held against it.",
        likely=(100, 400, "an eye-to-eye length"), on_fork={"shown": _with("eye_to_eye")}),
)
_RATIO = Bare("0.01", 10.0, 0.1, ": 1")
_RATIO_LIKELY = (0.8, 5, "a leverage ratio")
_TRAVEL_COLUMN = Column(600.0, scale=_MM, rising=True)
_PAIRS_MEANING = ("Wheel travel and the leverage ratio there: two numbers with a space between, from 0 mm to "
    "the end.")
_READ_PAIRS_MEANING = ("Wheel travel and shock stroke used there, spring out: two numbers with a space "
    "between. Six pairs or more smooth out the reading.")


def _leverage(key: str) -> TreePath:
    return ("frame", "leverage", key)


def _end(table: str, key: str, meaning: str) -> Field:
    return Field(key, ("frame", "leverage", table, key), Words(), meaning, due=True)


LEVERAGE: Mapping[str, Fields] = {
    "ends": _table(
        Field("ratio at start", _leverage("start"), _RATIO,
            "Wheel travel over shock stroke at full extension: how many mm the wheel rises for the first mm "
            "of stroke.", likely=_RATIO_LIKELY, due=True, swept="ratio at start"),
        Field("ratio at the end", _leverage("end"), _RATIO,
            "The same at full travel. Below the start: the wheel feels more of the spring as it goes "
            "deeper.", likely=_RATIO_LIKELY, due=True, swept="ratio at the end"),
        Field("ratio mid-travel", _leverage("middle"), _RATIO,
            "The same at half the wheel travel, where it is known: the curve then bends through it. Empty "
            "draws a straight line.", likely=_RATIO_LIKELY, swept="ratio mid-travel"),
    ),
    "table": _table(
        Field("wheel travels", _leverage("travel_mm"), _TRAVEL_COLUMN, _PAIRS_MEANING, due=True),
        Field("leverage ratios", _leverage("ratio"), Column(10.0, 0.1), _PAIRS_MEANING, due=True),
    ),
    "measured": _table(
        Field("wheel travels", _leverage("travel_mm"), _TRAVEL_COLUMN, _READ_PAIRS_MEANING, due=True),
        Field("shock strokes", _leverage("stroke_mm"), _TRAVEL_COLUMN, _READ_PAIRS_MEANING, due=True),
    ),
    "linkage": _table(
        Field("points in mm", _leverage("points_mm"), Points(5000.0, -5000.0),
            "Pivots, axle and eyes of the shock at full extension by name: x and y in mm, y up."),
        Field("points in pixels", _leverage("points_px"), Points(100_000.0, -100_000.0),
            "The same points in a side photo: x and y in pixels, y down as in a picture.",
            needs=("known",), one_of=("points_mm", "points_px")),
        Field("known length", _leverage("known"),
            Group(_table(
                _end("known", "from", "The point at one end of the length that is known."),
                _end("known", "to", "The point at its other end."),
                Field("length", ("frame", "leverage", "known", "length"), Amount(_LENGTH, 3.0, 10 * _MM),
                    "How far apart the two points are on the bike: it gives the photo its scale.",
                    likely=(30, 1500, "a length of the drawing"), due=True),
            )),
            "A length that is known on the bike, which gives the photo its scale.", needs=("points_px",)),
        Field("level points", _leverage("level"),
            Group(_table(
                _end("level", "from", "One of two points that lie level on the bike."),
                _end("level", "to", "The other one."),
            )),
            "Two points that lie level on the bike: a photo held askew is turned until they do."),
        Field("fixed points", _leverage("fixed"), Names(40), "Pivots of the frame.", due=True),
        Field("bars", _leverage("bars"), Names(100, pairs=True),
            "Pairs of points that keep their distance: three points of one part are three bars, four are "
            "five.", due=True),
        Field("axle", _leverage("axle"), Words(), "The point that is the axle of the wheel.", due=True),
        Field("shock eyes", _leverage("shock"), Names(2, 2),
            "The two points that the shock is between.", due=True),
    ),
    "fork": _table(
        Field("head angle", _leverage("head_angle"),
            Amount(_ANGLE, 89 * _DEGREE, 20 * _DEGREE, steps={"deg": "0.5", "°": "0.5"}),
            "The steering axis from the ground, bike unloaded: an angle gauge on the stanchions. A fork "
            "moves along its own axis.", likely=(55, 80, "a head angle"), due=True, swept="head angle")
    ),
}
"""By the kind of leverage what it holds."""


def _way(word: str, kind: str, needs: Mapping[str, Raw]) -> Option:
    own = tuple(LEVERAGE[kind])
    others = {key for fields in LEVERAGE.values() for key in fields} - set(own)
    also = tuple(key for key in own if key not in needs)
    renews = ("travel_mm",) if "travel_mm" in needs else ()
    return Option(word, kind, needs=needs, also=also, drops=tuple(sorted(others)), renews=renews)


_WAYS = (
    _way("ratio at the ends", "ends", {"start": 2.8, "end": 2.3}),
    _way("table of ratios", "table", {"travel_mm": (0.0, 75.0, 150.0), "ratio": (2.8, 2.55, 2.3)}),
    _way("pairs off the bike", "measured", {
        "travel_mm": (0.0, 30.0, 60.0, 90.0, 120.0, 150.0),
        "stroke_mm": (0.0, 10.9, 22.3, 34.2, 46.7, 60.0),
    }),
)


def _is_drawn(at: At) -> bool:
    return at.job.get(_leverage("kind")) == "linkage"


def _is_rear_shock(at: At) -> bool:
    return at.wheel == "rear" and at.job.get(_leverage("kind")) != "fork"


_LEVERAGE_KIND = Field("leverage from", _leverage("kind"),
    Choice((*_WAYS, _way("fork head angle", "fork", {"head_angle": "64 deg"}))),
    "How the leverage is known: from the frame maker's ratios, from pairs of travel and stroke measured on "
    "the bike with the spring out, or from a fork's head angle. From pivot points: Space, then l.",
    head="leverage", shown=lambda at: not _is_drawn(at) and not _is_rear_shock(at))
_REAR_LEVERAGE_KIND = _LEVERAGE_KIND._replace(
    kind=Choice(_WAYS), shown=lambda at: not _is_drawn(at) and _is_rear_shock(at)
)
_DRAWN_LEVERAGE_KIND = _LEVERAGE_KIND._replace(
    # Points are typed on a screen of their own: from here a way leads out of a linkage, but none into one.
    kind=Choice((*_WAYS, _way("pivot points", "linkage", {}))),
    meaning="The leverage comes from pivot points: k shows them, with the linkage drawn. Enter takes it from "
    "ratios instead; undo brings the points back.",
    shown=_is_drawn,
)
_PAIRS = Field("pair", _leverage("pairs"), Pair(("travel_mm", "ratio"), ("mm", ": 1"), "0.01"),
    _PAIRS_MEANING, alone="travel", shown=_where("kind", "table"))
_READ_PAIRS = Field("pair", _leverage("pairs"), Pair(("travel_mm", "stroke_mm"), ("mm", "mm"), "0.1"),
    _READ_PAIRS_MEANING, alone="travel", shown=_where("kind", "measured"))

TITLE = Field("job", ("title",), Words(),
    "What this job is called, on the bench and in its file.", alone="title", compared="title")
TARGET = _table(
    Field("sag", ("target", "sag"), Share(0.99, closed=False, as_text=True, share_of="target"),
        "How far the suspension should settle under the rider at rest, in % or mm. Rear 25 to 30 %, front 15 "
        "to 20 % is common practice, no source; the frame maker's manual comes first.",
        head="sag wanted", likely=(5, 50, "a sag"), due=True, swept="sag wanted"),
    Field("of the", ("target", "of"),
        Choice((Option("wheel travel", "travel"), Option("shock stroke", "stroke")), absent=0),
        "Which sag is meant: of the vertical wheel travel, or of the stroke the ring on the shaft shows. "
        "With a falling leverage ratio the two differ.", alone="sag of the", compared="sag is of the"),
)
AMBIENT = _table(
    Field("temperature", ("ambient", "temperature"), _TEMPERATURE,
        "The air in the shop while the shock is pumped: a sealed chamber loses pressure as it cools.",
        usual="20 degC", head="shop air", alone="temperature in the shop", compared="shop temperature",
        likely=(-25, 45, "the air in a shop"), case="temperature", swept="temperature"),
    Field("altitude", ("ambient", "altitude"), _ALTITUDE,
        "Where the shop stands: the air outside is thinner higher up, and a gauge reads against it.",
        usual="0 m", alone="altitude in the shop", compared="shop altitude",
        likely=(-100, 4500, "the altitude of a shop"), swept="altitude"),
)
RIDE = _table(
    Field("temperature there", ("ride", "temperature"), _TEMPERATURE,
        "The air of the ride: the same gas, warmer or colder, gives another reading and another sag.",
        usual="as in the shop", head="air of the ride, if it differs", likely=(-25, 50, "the air of a ride")),
    Field("altitude there", ("ride", "altitude"), _ALTITUDE,
        "How high the ride is: sealed chambers keep their gas, the air outside thins.",
        usual="as in the shop", likely=(-100, 5500, "the altitude of a ride")),
)
_CAREFUL = "Common practice, no source, until you type your own."
TOLERANCE = _table(
    Field("scale", ("tolerance", "scale"), Amount(_MASS, 50.0, steps={**_TENTH_KG, "g": "50"}),
        "How far the scale may be off either way, each time something is weighed: stands on it or in its "
        f"papers. {_CAREFUL}", usual="0.5 kg", head="tool errors, either way", alone="scale off by",
        likely=(0, 5, "the error of a scale"), case="scale"),
    Field("gauge", ("tolerance", "gauge"), Amount(_PRESSURE, 20 * _BAR, steps=_HALF_PSI),
        "How far the pump's gauge may be off either way, the same for both chambers: compare two gauges on "
        f"one shock. {_CAREFUL}",
        usual="2 psi", alone="gauge off by", likely=(0, 15, "the error of a gauge"), case="gauge"),
    Field("coil rate", ("tolerance", "rate"), Share(0.5, as_text=True, small=True),
        "How far a coil may be off the rate printed on it, either way: a spring tester knows better. Left "
        f"out, a coil whose wire is measured strays as its grade allows. {_CAREFUL}",
        usual="5 %", alone="coil rate off by", likely=(0, 20, "the error of a coil's rate"), case="rate"),
    Field("air volumes", ("tolerance", "volume"),
        Amount(_VOLUME, 100 * _CM3, steps={**_HALF_CM3, "ml": "0.5", "cc": "0.5", "in3": "0.05"}),
        f"How far the volume of an air chamber may be off, either way: oil in it counts too. {_CAREFUL}",
        usual="1 cm3", alone="air volumes off by", likely=(0, 20, "the error of a volume"), case="volume"),
    Field("rider's share", ("tolerance", "share"), Share(0.2, as_text=True, small=True),
        "How far the rider's share on this wheel may be off, either way: a little further back or forward. "
        f"With a scale under the wheel it does not count. {_CAREFUL}", usual="2 %",
        alone="rider's share off by", likely=(0, 10, "the error of a rider's share"), case="share"),
)

PRELOAD_CAUTION = ("Preload stores energy: back the collar off before anything is undone, wear eye "
    "protection, and leave what is in doubt to a qualified technician.")
AIR_CAUTION = ("Never above the limit on the label. Eye protection on, valve away from the face; let all air "
    "out before opening. In doubt, a qualified technician.")
_OPENING_CAUTION = ("Let all air out before opening the chamber. Never above the label's limit after, eye "
    "protection on; in doubt, a qualified technician.")
_GAS_CAUTION = ("The damper charge is for a qualified technician with the maker's manual: eye protection, "
    "never above the label.")
_GAS_HEAD = "damper gas, if it has any"
_CHAMBER = Amount(_VOLUME, 10_000 * _CM3, 0.1 * _CM3)
_SPACER_VOLUME = Amount(_VOLUME, 1000 * _CM3, steps=_HALF_CM3)
_SPACERS = Bare("1", 100, suffix="fitted", measure=_COUNT, whole=True)
_SPRING_RATE = Amount(_RATE, 1e4 * _N_PER_MM, 0.1 * _N_PER_MM)
_PUSH = Amount(_LENGTH, 600 * _MM, 0.1 * _MM, steps=_HALF_MM, share_of="stroke")


def _is_fork_or_has_legs(at: At) -> bool:
    return at.job.get(_leverage("kind")) == "fork" or at.has("lower_leg_volume", "stanchion_diameter")


EVERY_SETUP = _table(
    Field("name", ("setup", "name"), Words(),
        "What this setup is called in the chart and in the table.", head="setup", due=True),
    Field("shock", ("setup", "shock"), Words(),
        "What the shock itself is called in the records, where its measures are found again for the next "
        "rider. It changes no number."),
    Field("seal friction", ("setup", "friction"), Amount(_FORCE, 5000.0),
        "What the seals hold back in either direction: half the difference between pushing the shaft in and "
        "letting it out, slowly, on a scale.", usual="0 N", head="friction and weight",
        likely=(0, 400, "seal friction"), case="friction", swept="seal drag"),
    Field("spring mass", ("setup", "mass"),
        Amount(_MASS, 20.0, closed=False, steps={"kg": "0.01", "lb": "0.02"}),
        "The spring on a scale. Kept beside the figures so that setups can be compared; left out, a coil is "
        "weighed by its wire.", likely=(0.03, 2.5, "a spring's mass"), case="mass"),
    Field("damper rod", ("setup", "rod"), _DIAMETER,
        "Diameter of the damper rod where it enters the damper, with a caliper. A fork's air shaft has none: "
        "0.", usual="0 mm", likely=(0, 25, "a damper rod"), swept="damper rod"),
    Field("gas charge", ("setup", "gas_pressure"), Amount(_PRESSURE, steps=_FIVE_PSI, or_none=True),
        "The damper's charge at full extension; \"none\" where it has none.",
        caution=_GAS_CAUTION, likely=(15, 600, "a damper's gas charge"), needs=("gas_volume", "rod"),
        extra="gas", swept="gas pressure"),
    Field("gas volume", ("setup", "gas_volume"), _CHAMBER,
        "Volume of that charge at full extension. Given with the pressure or not at all.",
        likely=(1, 150, "a damper's gas volume"), needs=("gas_pressure",), swept="gas volume"),
    Field("bumper length", ("setup", "bumper_length"), _PUSH._replace(or_none=True),
        "Stroke over which the bottom-out bumper is squeezed: its free height less what is left when it is "
        'squeezed flat; "none" for a shock without one.',
        head="bottom-out bumper, if it has one", likely=(1, 50, "a bottom-out bumper"),
        needs=("bumper_force",), extra="bumper", swept="bumper length"),
    Field("bumper force", ("setup", "bumper_force"),
        Amount(_FORCE, 100_000.0, steps={"N": "50", "lbf": "10", "kgf": "5"}),
        "Force when the bumper is fully squeezed. Given with the length or not at all.",
        likely=(100, 20_000, "the force of a bumper"), needs=("bumper_length",), swept="bumper force"),
    Field("lower leg volume", ("setup", "lower_leg_volume"), _CHAMBER._replace(or_none=True),
        "Free air in one lower leg at full extension, oil in: fill it with oil from a syringe while it is "
        'open for service; "none" where the legs are vented.', head="air in the lower legs",
        likely=(20, 600, "the air in a lower leg"), needs=("stanchion_diameter",), fork_only=True,
        extra="lower_legs", swept="lower leg volume", shown=_is_fork_or_has_legs),
    Field("stanchion diameter", ("setup", "stanchion_diameter"), _DIAMETER._replace(low=5 * _MM),
        "Outer diameter of a stanchion, with a caliper. Given with the volume or not at all.",
        likely=(20, 50, "a stanchion"), needs=("lower_leg_volume",), fork_only=True,
        swept="stanchion diameter", shown=_is_fork_or_has_legs),
)
EXTRAS: Mapping[Extra, tuple[str, str]] = {
    field.extra: (field.key, field.needs[0]) for field in EVERY_SETUP.values() if field.extra
}
"""What a shock or fork has besides its spring: two keys, both or neither, or "none" at the first."""

_SIZE = Amount(_LENGTH, 1.0, _MM)
_CALIPER = {"mm": "0.1", "in": "0.005"}
_COIL_DIAMETER = Amount(_LENGTH, 200 * _MM, 5 * _MM, steps=_CALIPER)
_COILS = Bare("0.25", 50.0, 1.0)
_WIRE_KEYS = ("wire_diameter", *COIL_DIAMETERS, "total_coils", "active_coils", "ends", "material", "grade")
_WITH_WIRE = _with(*_WIRE_KEYS)
STAGES = _table(
    Field("starts of the stages", ("setup", "stages", "compression_mm"),
        Column(600.0, scale=_MM, least=1, rising=True),
        "The compression at which each stage starts, preload included, from 0 on.", due=True),
    Field("rates of the stages", ("setup", "stages", "rate_n_per_mm"), Column(1e4, 0.1, _N_PER_MM, least=1),
        "The rate of each stage.", due=True),
)
_COIL = _table(
    Field("spring rate", ("setup", "rate"), _SPRING_RATE._replace(solvable=True),
        "Force per length of squeeze, as printed on the spring. Solved: the rate that gives the sag wanted; "
        "b lists the springs to buy on either side of it.", likely=(8, 1500, "a spring rate"), due=True,
        one_of=("stages", "rate"), case="rate", swept="spring rate", shown=_without("stages")),
    Field("stages", ("setup", "stages"), Group(STAGES),
        "A coil wound in stages that take over one after the other, in place of one rate."),
    Field("preload", ("setup", "preload"), Amount(_LENGTH, 200 * _MM, steps=_HALF_MM),
        "How far the collar squeezes the spring past first touch.", caution=PRELOAD_CAUTION, usual="0 mm",
        likely=(0, 25, "preload"), swept="preload", shown=_without("preload_turns")),
    Field("preload", ("setup", "preload_turns"), Bare("0.25", 100.0, suffix="turns", measure=_TURNS),
        "Turns past first touch; one to three is common practice, no source.",
        caution=PRELOAD_CAUTION, likely=(0, 20, "preload"), needs=("thread_pitch",),
        one_of=("preload", "preload_turns"), sweeps="preload", shown=_with("preload_turns")),
    Field("thread pitch", ("setup", "thread_pitch"),
        Amount(_LENGTH, 20 * _MM, 0.1 * _MM, steps={"mm": "0.25"}),
        "How far the collar moves in one turn: measure ten threads with a caliper and divide by ten.",
        likely=(0.5, 3, "a thread pitch"), case="thread_pitch"),
    Field("most turns", ("setup", "max_preload_turns"),
        Bare("0.5", 100.0, suffix="turns", measure=_TURNS, closed=False),
        "The most turns of preload the maker of the shock allows; beyond that the answer carries a caution.",
        likely=(0.5, 20, "the most preload"), case="max_preload_turns"),
    Field("free length", ("setup", "free_length"), _SIZE,
        "Length of the spring lying on the bench, with a caliper. With the solid length it shows coil bind.",
        head="will it fit, where it is known", likely=(50, 600, "a spring's free length"),
        case="free_length"),
    Field("solid length", ("setup", "solid_length"), _SIZE,
        "Length with all coils touching: turns of wire times wire thickness, or from the maker.",
        likely=(20, 400, "a spring's solid length"), case="solid_length"),
    Field("rated stroke", ("setup", "rated_stroke"), _TRAVEL,
        "The stroke printed on the spring: it must cover the shock's stroke and the preload.",
        likely=(15, 260, "a spring's rated stroke"), case="rated_stroke"),
    Field("wire thickness", ("setup", "wire_diameter"), Amount(_LENGTH, 30 * _MM, 0.5 * _MM, steps=_CALIPER),
        "Caliper on a middle coil of the loose spring, paint off.",
        caution=PRELOAD_CAUTION, likely=(2, 16, "spring wire"), shown=_WITH_WIRE),
    Field("inner diameter", ("setup", "inner_diameter"), _COIL_DIAMETER,
        "Across the inside of the loose coil. One diameter only.", caution=PRELOAD_CAUTION,
        likely=(15, 80, "the inside of a spring"), one_of=COIL_DIAMETERS, shown=_WITH_WIRE),
    Field("outer diameter", ("setup", "outer_diameter"), _COIL_DIAMETER,
        "Across the outside of the loose coil. One diameter only.", caution=PRELOAD_CAUTION,
        likely=(18, 100, "the outside of a spring"), one_of=COIL_DIAMETERS, shown=_WITH_WIRE),
    Field("mean diameter", ("setup", "mean_diameter"), _COIL_DIAMETER,
        "From mid-wire to mid-wire, the coil loose. One diameter only.", caution=PRELOAD_CAUTION,
        likely=(15, 90, "the mean diameter of a spring"), one_of=COIL_DIAMETERS, shown=_WITH_WIRE),
    Field("coils that work", ("setup", "active_coils"), _COILS,
        "Turns that are free to move. Left out, all coils less one at each closed end.",
        likely=(2, 50, "active coils"), shown=_WITH_WIRE),
    Field("coils in all", ("setup", "total_coils"), _COILS,
        "Turns from tip to tip of the wire, in quarters; those lying flat at the ends count here.",
        likely=(3, 50, "total coils"), shown=_WITH_WIRE),
    Field("ends", ("setup", "ends"),
        Choice(tuple(Option(word, stored) for stored, word in END_WORDS.items()), absent=0),
        "How the wire ends: laid flat on the next coil, ground level as well, or left open.",
        shown=_WITH_WIRE),
    Field("wire of", ("setup", "material"),
        Choice(tuple(Option(word, stored) for stored, word in MATERIAL_WORDS.items()),
            absent=list(MATERIAL_WORDS).index("chrome_silicon")),
        "What the wire is made of, from the maker. Titanium's figures are from memory.", shown=_WITH_WIRE),
    Field("grade", ("setup", "grade"), Bare("1", 3, 1, whole=True),
        "How closely it was wound: 1 close, 2 ordinary, 3 coarse. It sets how far the rate may stray.",
        usual="2", shown=_WITH_WIRE),
    Field("rates come every", ("setup", "ladder_step"), _SPRING_RATE,
        "Step between the rates one can order. 25 lbf/in is common practice, no source.",
        usual="25 lbf/in", likely=(2, 150, "a step between rates"), case="ladder_step",
        one_of=("ladder_lbf_per_in", "ladder_step")),
    Field("rates on the shelf", ("setup", "ladder_lbf_per_in"),
        Column(50_000.0, 1.0, _LBF_PER_IN, least=1, unit="lbf/in", rising=True),
        "The rates one can order, where they are known, with spaces between: 400 425 450. They go before the "
        "step.", case="ladder"),
)

_SECOND_CHAMBER: Mapping[str, Raw] = {"negative_volume": "20 cm3"}
_BODY = "Outer diameter of the damper body where the negative chamber seals on it."
_AIR_SHAFT = "Diameter of the air shaft that the piston sits on, where the negative chamber seals on it."
_AIR = _table(
    Field("pressure", ("setup", "pressure"), Amount(_PRESSURE, solvable=True),
        "On the gauge at full extension, chambers settled; solved for sag.", caution=AIR_CAUTION,
        likely=(12, 420, "a set pressure"), due=True, case="pressure", swept="set pressure"),
    Field("bore", ("setup", "bore"), _DIAMETER._replace(low=_MM),
        "Inner diameter of the air sleeve, with an inside caliper.",
        likely=(15, 80, "a bore"), due=True, case="bore", swept="bore"),
    Field("damper body", ("setup", "body"), _DIAMETER, _BODY, usual="0 mm",
        likely=(0, 70, "the body in a bore"), case="body", swept="damper body or air shaft",
        on_fork={"label": "air shaft", "meaning": _AIR_SHAFT}),
    Field("volume", ("setup", "positive_volume"), _CHAMBER,
        "Air in the positive chamber at full extension, no spacer in: from the maker, or filled with oil "
        "from a syringe while it is open for service.", head="positive chamber", alone="positive volume",
        likely=(15, 800, "a positive chamber"), due=True, case="positive_volume", swept="positive volume"),
    Field("spacers", ("setup", "positive_spacers"), _SPACERS,
        "Each firms up the end of the travel, the start stays much the same.",
        caution=_OPENING_CAUTION, usual="0", alone="positive spacers", likely=(0, 15, "volume spacers"),
        needs=("positive_spacer_volume",), case="positive_spacers", swept="positive spacers"),
    Field("each spacer takes", ("setup", "positive_spacer_volume"), _SPACER_VOLUME,
        "Volume of one spacer: drop it in a measuring cylinder of water and read the rise.",
        usual="0 cm3", alone="positive each spacer takes", likely=(0, 60, "a volume spacer"),
        case="positive_spacer_volume", swept="positive spacer takes"),
    Field("made by", ("setup", "negative"),
        Choice((
            Option("equalised (port)", "equalised", needs={**_SECOND_CHAMBER, "port": "6 mm"}),
            Option("air, own valve", "separate", needs={**_SECOND_CHAMBER, "negative_pressure": "150 psi"}),
            Option("a coil", "mechanical", needs={"negative_rate": "60 N/mm", "negative_length": "12 mm"}),
            Option("nothing", "none"),
        )),
        "What pulls the shock in against the positive chamber: air that meets it at a port, air with a valve "
        "of its own, a coil, or nothing.", head="negative spring", alone="negative made by", due=True),
    Field("volume", ("setup", "negative_volume"), _CHAMBER,
        "Air in the negative chamber at full extension, no spacer in. More of it pulls further in: more sag "
        "at the same pressure. Set for the same sag: more pressure and a harder start.",
        alone="negative volume", likely=(1, 250, "a negative chamber"), swept="negative volume",
        shown=_where("negative", "equalised", "separate")),
    Field("spacers", ("setup", "negative_spacers"), _SPACERS,
        "Less sag; for the same sag: less pressure, a softer start.", caution=_OPENING_CAUTION, usual="0",
        alone="negative spacers", likely=(0, 15, "volume spacers"), needs=("negative_spacer_volume",),
        swept="negative spacers", shown=_where("negative", "equalised", "separate")),
    Field("each spacer takes", ("setup", "negative_spacer_volume"), _SPACER_VOLUME,
        "Volume of one negative spacer.",
        usual="0 cm3", alone="negative each spacer takes", likely=(0, 60, "a volume spacer"),
        swept="negative spacer takes", shown=_where("negative", "equalised", "separate")),
    Field("port at stroke", ("setup", "port"), _PUSH._replace(low=0.0),
        "Stroke at which the two chambers meet, in mm or %: push the shock in slowly and listen, or measure "
        "the dimple.", likely=(0, 60, "the port's place in the stroke"), swept="port at stroke",
        shown=_where("negative", "equalised")),
    Field("its pressure", ("setup", "negative_pressure"), Amount(_PRESSURE),
        "On the gauge at the negative valve, full extension.",
        caution=AIR_CAUTION, alone="negative its pressure", likely=(12, 420, "a negative chamber's pressure"),
        swept="negative pressure", shown=_where("negative", "separate")),
    Field("its rate", ("setup", "negative_rate"), _SPRING_RATE,
        "Rate of the coil that pushes the shock in. One rate suits one rider's weight only.",
        alone="negative its rate", likely=(5, 1500, "the rate of a negative coil"),
        swept="negative coil's rate", shown=_where("negative", "mechanical")),
    Field("its push", ("setup", "negative_length"), _PUSH,
        "How far from full extension that coil still pushes, a length or % of the stroke.",
        alone="negative its push", likely=(1, 80, "the push of a negative coil"),
        swept="negative coil's push", shown=_where("negative", "mechanical")),
    Field("label's limit", ("setup", "max_pressure"), Amount(_PRESSURE, closed=False, steps=_FIVE_PSI),
        "The highest pressure on the shock's label.",
        caution=AIR_CAUTION, likely=(50, 600, "a label's max pressure"), case="max_pressure"),
    Field("pump hose holds", ("setup", "hose_volume"), Amount(_VOLUME, 1000 * _CM3),
        "Air in the pump's hose: the gauge drops by it when the pump goes back on.",
        usual="0 cm3", likely=(0, 30, "a pump's hose"), case="hose_volume"),
)
_SLEEVE_MASS = EVERY_SETUP["mass"]._replace(
    meaning="What the air sleeve weighs more than a bare damper, on a scale. Kept beside the figures so that "
    "setups can be compared."
)
SPRING: Mapping[str, Fields] = {"coil": _COIL, "air": _AIR}
"""By the kind of spring what only a setup with one holds; `EVERY_SETUP` is what each holds."""
SETUP: Mapping[str, Fields] = {
    "coil": {**EVERY_SETUP, **_COIL},
    "air": {**EVERY_SETUP, "mass": _SLEEVE_MASS, **_AIR},
}
"""By the kind of spring all that a setup holds."""
_WINDING = Field("wound with", ("setup", "winding"),
    Choice((
        Option("one rate", mark="rate", needs={"rate": "solve"}, drops=("stages",)),
        Option("stages", mark="stages", drops=("rate",),
            needs={"stages": {"compression_mm": (0.0, 30.0), "rate_n_per_mm": (80.0, 95.0)}}),
    ), absent=0),
    "One rate all the way, or stages that take over one after the other as the coil is squeezed.")
_STAGE_PAIRS = Field("pair", ("setup", "stages", "pairs"),
    Pair(("compression_mm", "rate_n_per_mm"), ("mm", "N/mm"), "1"),
    "A stage of the coil: the compression, preload included, at which it starts in mm, and its rate in N/mm; "
    "two numbers with a space between.",
    alone="compression", shown=lambda at: at.job.get(at.table) is not None)
_PRELOAD_BY = Field("preload by", ("setup", "preload_by"),
    Choice((
        Option("length", mark="preload", needs={"preload": "1 mm"}, drops=("preload_turns",)),
        Option("collar turns", mark="preload_turns", drops=("preload",),
            needs={"preload_turns": 1.0, "thread_pitch": "1 mm"}),
    ), absent=0),
    "How the preload is counted: length or turns of the collar.")
_WIRE = Field("wire", ("setup", "wire"),
    Choice((
        Option("not measured", drops=_WIRE_KEYS),
        Option("measured", mark="wire_diameter",
            needs={"wire_diameter": "8.5 mm", "inner_diameter": "36 mm", "total_coils": 9.5}),
    ), absent=0),
    "Caliper and a count of coils tell stress, room, weight and how far the rate may stray: y shows it.")

RECORD = _table(
    Field("customer", ("record", "customer"), Words(),
        "Whose bike it is, as the records should find it again: a name, or leave it out and keep to the "
        "ticket."),
    Field("ticket", ("record", "ticket"), Words(),
        "The number on the bike's ticket. A name or a ticket is enough for the records."),
    Field("bike", ("record", "bike"), Words(),
        "Which bike it is: colour, size, a frame number, whatever tells it from the customer's others."),
)
_CLICKS = Bare("1", 200, suffix="clicks", measure=_COUNT, whole=True)
MEASURED = _table(
    Field("on the bike", ON_BIKE, Words(),
        "The setup that was on the bike when this was measured: sag and gauge are held against it.",
        head="measured on the bike", compared="measured with"),
    Field("sag measured", ("measured", "sag"), Amount(_LENGTH, 600 * _MM, steps=_HALF_MM, share_of="read"),
        "Rider on board, in riding position: bounce once, sit still, read how far it went in. Do it twice "
        "and take the middle.", likely=(2, 130, "a measured sag"), sweeps="sag"),
    Field("read at", ("measured", "of"),
        Choice((Option("the wheel", "travel"), Option("the shock", "stroke"))),
        "Where that sag was read: straight up at the axle, or by the ring on the shock's shaft.",
        compared="sag measured at"),
    Field("gauge", ("measured", "gauge"), Amount(_PRESSURE),
        "What the gauge shows, bike unloaded. A pump put on again fills its hose and so shows less.",
        caution="Eye protection on, valve away from the face; never above the label's limit.",
        compared="gauge measured", likely=(12, 420, "a gauge reading")),
    Field("rebound", ("measured", "rebound_clicks"), _CLICKS,
        "Clicks from fully closed: turn it in gently until it stops, count on the way back. Never force it "
        "past the stop.", likely=(0, 40, "rebound clicks")),
    Field("compression", ("measured", "compression_clicks"), _CLICKS,
        "Clicks from fully closed, counted like the rebound's. Where there are two knobs, the low-speed "
        "one.", likely=(0, 40, "compression clicks")),
    Field("tyre", ("measured", "tyre"), Amount(_PRESSURE, 10 * _BAR, steps=_HALF_PSI),
        "Pressure of this wheel's tyre, cold: it is a spring of its own and part of how the bike feels.",
        caution="Never above the limit on the tyre or the rim, whichever is lower.",
        likely=(8, 70, "a tyre")),
    Field("scale", ("measured", "scale"), _WEIGHT,
        "What a scale under this wheel shows, the other wheel as high, rider on board in riding position and "
        "still. Have someone hold the bar.", likely=(8, 150, "one wheel on the scale")),
)
"""What was read off the bike; `setup` is the name of the one that was on it."""
RIDDEN = _table(
    Field("it rode", ("ridden", "symptom"),
        Choice((
            Option("nothing said"),
            *(Option(said.word.replace("-", " "), said.word) for said in SYMPTOMS.values()),
        ), absent=0, several=True),
        "What the rider noticed. A says what to change for it, and takes several: Space ticks them there.",
        head="how it rode"),
    Field("rider's words", ("ridden", "words"), Words(),
        "What the rider said, as they said it: where, at what speed, which end."),
)

FIELDS: Mapping[str, Fields] = {
    "record": RECORD, "load": LOAD, "frame": FRAME, "target": TARGET, "ambient": AMBIENT, "ride": RIDE,
    "tolerance": TOLERANCE, "measured": MEASURED, "ridden": RIDDEN,
}
"""By its name what a table of the file holds; leverage and setups hold what goes with their kinds."""
TYPED_ONLY = ("record", "ride", "measured", "ridden")
"""The tables with no invented values, and so with no list of unconfirmed ones."""
TOP = ("format", "title", UNCONFIRMED, *TABLES)
"""The keys of a job file at its top, in their order."""


def _rows(fields: Fields, *rows: str | Field) -> tuple[Field, ...]:
    return tuple(fields[row] if isinstance(row, str) else row for row in rows)


# A file that names no wheel means that of the frame, which is the rear one unless it is a fork's.
_EITHER_WHEEL = Choice((Option("rear", "rear"), Option("front", "front")), absent=0)
_WHEEL = GEOMETRY["wheel"]._replace(kind=_EITHER_WHEEL, on_fork={"kind": _EITHER_WHEEL._replace(absent=1)})
_LEVERAGE_ROWS = (
    *(_LEVERAGE_KIND, _REAR_LEVERAGE_KIND, _DRAWN_LEVERAGE_KIND),
    *(
        field._replace(shown=_where("kind", kind))
        for kind, keys in (("ends", ("start", "middle", "end")), ("fork", ("head_angle",)))
        for field in _rows(LEVERAGE[kind], *keys)
    ),
    *(_PAIRS, _READ_PAIRS),
)
_LAST_ROWS = (
    "gas_volume", "bumper_length", "bumper_force", "lower_leg_volume", "stanchion_diameter", "name", "shock",
)
ROWS: Mapping[str, tuple[Field, ...]] = {
    "rider": (
        *(TITLE, _LOAD_FROM, _FRONT_LOAD_FROM),
        *_rows(LOAD, "scale_mass", "rider_mass", "posture", "rider_share", "bike_mass", "bike_share"),
        *_rows(GEOMETRY, "wheelbase", "mass_behind_front", "mass_height", "slope", _WHEEL),
        LOAD["unsprung_mass"],
        *(*TARGET.values(), *AMBIENT.values(), *RIDE.values()),
        *_rows(TOLERANCE, "scale", "share", "gauge", "rate", "volume"),
    ),
    "frame": (*_rows(FRAME, "wheel_travel", "stroke", "eye_to_eye", "name"), *_LEVERAGE_ROWS),
    "fork": (*_rows(FRAME, "stroke", "wheel_travel", "eye_to_eye", "name"), *_LEVERAGE_ROWS),
    "coil": _rows(
        SETUP["coil"],
        *("rate", _WINDING, _STAGE_PAIRS),
        *("preload_turns", "preload", _PRELOAD_BY, "thread_pitch", "max_preload_turns", "friction", "mass"),
        *("free_length", "solid_length", "rated_stroke", "ladder_step", "ladder_lbf_per_in"),
        *(_WIRE, *_WIRE_KEYS),
        *(SETUP["coil"]["rod"]._replace(head=_GAS_HEAD), "gas_pressure", *_LAST_ROWS),
    ),
    "air": _rows(
        SETUP["air"],
        *("pressure", "max_pressure", "hose_volume"),
        *("positive_volume", "positive_spacers", "positive_spacer_volume", "bore", "rod", "body"),
        *("negative", "negative_pressure", "negative_volume", "negative_spacers", "negative_spacer_volume"),
        *("port", "negative_rate", "negative_length", "friction", "mass"),
        *(SETUP["air"]["gas_pressure"]._replace(head=_GAS_HEAD), *_LAST_ROWS),
    ),
    "record": (*RECORD.values(), *MEASURED.values(), *RIDDEN.values()),
}
"""By panel its rows in their order."""
# fmt: on


def every_field() -> Iterator[Field]:
    """Yield every key of the file that holds a value, in the order of the file; a setup's for each kind."""
    yield TITLE
    tables = (RECORD, LOAD, FRAME, *LEVERAGE.values(), TARGET, AMBIENT, RIDE, TOLERANCE, *SETUP.values())
    for fields in (*tables, MEASURED, RIDDEN):
        for field in fields.values():
            yield field
            if isinstance(field.kind, Group):
                yield from field.kind.fields.values()


_BY_PATH = {field.path: field for field in every_field()}
_TOTAL_MASS = "total_mass"
INPUTS: Mapping[str, tuple[str, Measure]] = {
    **{field.key: (field.swept, field.measure) for field in every_field() if field.swept and field.measure},
    _TOTAL_MASS: ("rider and bike", _MASS),
}
"""By the name of an input of a sweep what it is called and what it measures."""


def field_at(path: TreePath) -> Field | None:
    """Return the field at a path of the job of one wheel, None where the file holds no single value there."""
    return _BY_PATH.get(tuple(step for step in path if isinstance(step, str)))


def input_at(path: TreePath) -> str:
    """Return the name of the input of a sweep that the value at a path is, empty where it is none."""
    field = field_at(path)
    if field is None or not (field.swept or field.sweeps):
        return ""
    return field.sweeps or field.key


def field_of_input(name: str) -> Field:
    """Return the field whose range an input of a sweep has; raises `StopIteration` for no such name."""
    key = "rider_mass" if name == _TOTAL_MASS else name
    return next(field for field in every_field() if field.swept and field.key == key)
