"""The table of the fields of a job: every key of its file, what it accepts, and its row on the bench.

It is the source of reader, faults, panels, usual ranges, inputs of sweeps, labels of sheet and records, the
JSON Schema, and README's table of keys. Ranges are in SI: wide enough for any bike in a shop, narrow enough
to catch a wrong unit or a misread decimal separator when it is typed. Imports nothing heavy: the first frame
needs these rows. `# fmt: off` keeps each field together like a row of a table.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from physics.frozen import NamedTuple
from physics.limits import LBF_PER_IN
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

    `high` None means the highest pressure of the gas law. `steps` gives own nudge steps per unit, `signed`
    allows nudging below zero, `solvable` allows the word "solve", `or_none` the word "none". `share_of` is
    the whole to which a typed percentage refers, see `tui.job.typed.whole_of`.
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

    @property
    def words(self) -> tuple[str, ...]:
        """The words accepted instead of a number."""
        return ("solve",) * self.solvable + ("none",) * self.or_none


class Share(NamedTuple):
    """A fraction: per cent on the screen; in the file a bare number, or text with its per cent sign.

    A bare number below 1 is questioned, unless the share is `small`. `share_of` is the whole by which a typed
    length is divided, see `tui.job.typed.whole_of`.
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
    """Text, shown literally."""


class Column(NamedTuple):
    """A list of `least` to `most` bare numbers from `low` to `high`; `scale` turns them into SI.

    They are typed with spaces between; `unit` follows them on the screen. With `rising` they must increase.
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
    """A nested table."""

    fields: Mapping[str, Field]


class Pair(NamedTuple):
    """Pair number `place` of two related columns of one table, e.g. travel and stroke.

    The row after the last pair is empty and takes a new one. `units` follow the two numbers on the screen,
    `step` nudges the second.
    """

    keys: tuple[str, str]
    units: tuple[str, str]
    step: str
    place: int = 0


class Option(NamedTuple):
    """One option of a choice.

    In the file it is the word `stored` at the row's path, or indicated by the presence of the key `mark`.
    `needs` are its required keys with example values to start from, `also` its optional keys; `drops` are
    keys that contradict it, and `renews` keys whose meaning depends on the option.
    """

    word: str
    stored: Raw | None = None
    mark: str | None = None
    needs: Mapping[str, Raw] = _NOTHING
    also: tuple[str, ...] = ()
    drops: tuple[str, ...] = ()
    renews: tuple[str, ...] = ()


class Choice(NamedTuple):
    """A choice of options; `absent` is the default if the file says nothing.

    With `several`, a file may name more than one in a list.
    """

    options: tuple[Option, ...]
    absent: int | None = None
    several: bool = False

    @property
    def words(self) -> tuple[str, ...]:
        """The words for the file, none if other keys determine the option."""
        return tuple(option.stored for option in self.options if isinstance(option.stored, str))

    def chosen(self, job: Job, path: TreePath) -> int | None:
        """Return the index of the job's option, None if it names an unknown one."""
        raw = job.get(path)
        for index, option in enumerate(self.options):
            if raw is not None and raw == option.stored:
                return index
            if raw is None and option.mark and job.get((*path[:-1], option.mark)) is not None:
                return index
        return self.absent if raw is None else None

    def select(self, job: Job, path: TreePath, index: int, starts: Mapping[str, Raw] | None = None) -> Job:
        """Return the job with another option; missing keys start from `starts`, else from example values.

        Values nobody has typed are unconfirmed: example values, and those listed in `starts`.
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
    """Location of a row: the job of one wheel, the table, and which of two wheels, if there are two."""

    job: Job
    table: TreePath
    wheel: Wheel | None = None

    def has(self, *keys: str) -> bool:
        """Return whether any of these keys of the table is in the job."""
        return any(self.job.get((*self.table, key)) is not None for key in keys)


class Field(NamedTuple):
    """One field: a key of the job file, or a row of a panel whose value follows from other keys.

    `path` is its path in the file, for setups without the index. `meaning` says what the value is and how to
    get it, `caution` what one must know before acting on it. `usual` is the default if it is missing, `head`
    a heading above the row. `alone` is the label without that heading, `compared` the one in lists of
    differences; each defaults to the label.

    `likely` is its usual range in the usual units, and what it is a number of. A `due` key is required; it
    requires the keys in `needs`; of `one_of` the first one present counts. `fork_only` keys are faults on a
    shock. `extra` names a part besides the spring, which "none" here denies.

    `case` is its attribute in the part of the physical case, empty if it is converted separately. `swept` is
    its label as an input of a sweep, empty if it is none; the input is named after the key, or `sweeps`. With
    `rides`, only simulated rides depend on it, no figure of a sweep. `on_fork` has the attributes that differ
    for a fork, `shown` tells whether a panel shows the row.
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
    rides: bool = False
    on_fork: Mapping[str, Any] = _NOTHING
    shown: Callable[[At], bool] | None = None

    @property
    def key(self) -> str:
        """The key in its table."""
        return str(self.path[-1])

    @property
    def full_label(self) -> str:
        """The label for use without its heading."""
        return self.alone or self.label

    @property
    def measure(self) -> Measure | None:
        """The measure of its number, None if it is not a single number."""
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
"""The ways to give the load: the keys that each needs, and those that contradict it."""
_LOAD_FROM = Field("load source", ("load", "by"), Choice(LOAD_WAYS, absent=0),
    "How this wheel's load is found: masses and weight split, one scale reading under the wheel with the "
    "rider on, or the centre of mass (also on a slope).",
    shown=lambda at: at.wheel != "front")
_FRONT_LOAD_FROM = _LOAD_FROM._replace(
    kind=Choice((
        Option("from rear wheel", drops=("scale_mass",)),
        _BY_SCALE._replace(needs={"scale_mass": "38 kg"}),
    ), absent=0),
    meaning="How the front wheel's load is found: what the rear's rider and bike split leaves, or one scale "
        "reading under the front wheel with the rider on.",
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
    Field("CoM behind front", ("load", "geometry", "mass_behind_front"), _BIKE_LENGTH,
        "Centre of mass of rider and bike behind the front axle: rear scale over the sum of both, times "
        "wheelbase.", likely=(250, 1200, "the CoM behind the front axle"), due=True, shown=_by_centre),
    Field("CoM height", ("load", "geometry", "mass_height"), _BIKE_LENGTH,
        "Height of that centre of mass above ground, rider in position. Only matters on a slope. Rule of "
        "thumb: about 1 m.",
        likely=(500, 1500, "the height of the CoM"), due=True, shown=_by_centre),
    Field("slope", ("load", "geometry", "slope"),
        Amount(_ANGLE, 60 * _DEGREE, -60 * _DEGREE, steps={"deg": "1"}, signed=True),
        "Ground slope, positive is downhill: moves load to the front wheel.",
        usual="0 deg", likely=(-40, 40, "a slope"), swept="slope", shown=_by_centre),
    Field("wheel", ("load", "geometry", "wheel"), Choice((Option("front", "front"), Option("rear", "rear"))),
        "Which wheel this job is for.",
        # With both wheels there is nothing to choose.
        shown=lambda at: (
            _by_centre(at) and (at.wheel is None or at.job.get((*at.table, "wheel")) not in (None, at.wheel))
        )),
)
LOAD = _table(
    Field("rider mass", ("load", "rider_mass"), Amount(_MASS, 500.0, closed=False),
        "Rider ready to ride: shoes, helmet, pack, water. Weigh them like that.",
        likely=(20, 160, "a rider"), swept="rider mass", shown=_without("scale_mass")),
    Field("rider share", ("load", "rider_share"), Share(),
        "Part of the rider's weight on this wheel. With a scale under each wheel: the rise on this scale "
        "over the rise on both when the rider gets on.",
        likely=(20, 80, "the rider share on one wheel"), swept="rider share",
        shown=lambda at: (
            not at.has("scale_mass", "geometry") and (at.has("rider_share") or not at.has("posture"))
        )),
    Field("posture", ("load", "posture"),
        Choice((
            Option("standing", "standing", drops=("rider_share",)),
            Option("seated", "seated", drops=("rider_share",)),
            Option("typed below", mark="rider_share", needs={"rider_share": 0.62}),
        )),
        "Rider's weight split: about 62 % rear standing, about 67 % rear seated (rule of thumb).",
        sweeps="rider_share", shown=_without("scale_mass", "geometry")),
    Field("bike mass", ("load", "bike_mass"), _WEIGHT,
        "The bike as ridden, bottles and bags on. Hang it on a scale.",
        likely=(6, 40, "a bike"), swept="bike mass", shown=_without("scale_mass")),
    Field("bike share", ("load", "bike_share"), Share(),
        "Part of the bike's weight on this wheel: scale under this wheel, other wheel blocked level, over "
        "the whole bike. Rule of thumb: half.", likely=(30, 70, "the bike share on one wheel"),
        swept="bike share", shown=_without("scale_mass", "geometry")),
    Field("scale reading", ("load", "scale_mass"), _WEIGHT,
        "Scale under this wheel, other wheel blocked level, rider still in riding position.",
        likely=(8, 150, "one wheel on the scale"), swept="scale reading", shown=_with("scale_mass")),
    Field("unsprung mass", ("load", "unsprung_mass"), Amount(_MASS, 100.0, steps=_TENTH_KG),
        "Mass that moves with the wheel: wheel, tyre, brake, part of the swingarm or the fork lowers. Rule "
        "of thumb: 3 to 6 kg.",
        likely=(0, 12, "unsprung mass"), due=True, swept="unsprung mass"),
    Field("centre of mass", ("load", "geometry"), Group(GEOMETRY),
        "Centre of mass of rider and bike, instead of their shares on this wheel."),
)

FRAME = _table(
    Field("name", ("frame", "name"), Words(),
        "Frame name in the records, to find it again for the next rider. Does not change any result.",
        compared="frame"),
    Field("wheel travel", ("frame", "wheel_travel"), _TRAVEL,
        "Vertical axle travel from full extension to bottom-out: spring out, lift the wheel, measure at the "
        "axle.",
        likely=(30, 260, "wheel travel"), due=True, swept="wheel travel",
        on_fork={
            "meaning": "Vertical axle travel over the full fork travel. Left empty it comes from fork travel "
            "and head angle; typed, the two must agree.",
            "usual": "from head angle", "due": False,
        }),
    Field("shock stroke", ("frame", "stroke"), _STROKE,
        "Shock stroke over full travel: printed on the shock or in its manual.",
        likely=(15, 260, "a stroke"), due=True, swept="stroke",
        on_fork={
            "label": "fork travel",
            "meaning": "Fork travel along the stanchions, full extension to bottom-out.",
        }),
    Field("eye to eye", ("frame", "eye_to_eye"), Amount(_LENGTH, 1.5, 10 * _MM, steps=_HALF_MM),
        "Eye-to-eye length, bolt centre to bolt centre, shock extended. A drawn linkage is checked against "
        "it.",
        likely=(100, 400, "an eye-to-eye length"), on_fork={"shown": _with("eye_to_eye")}),
)
_RATIO = Bare("0.01", 10.0, 0.1, ": 1")
_RATIO_LIKELY = (0.8, 5, "a leverage ratio")
_TRAVEL_COLUMN = Column(600.0, scale=_MM, rising=True)
_PAIRS_MEANING = ("Wheel travel and leverage ratio there: two numbers with a space between, from 0 mm to "
    "full travel.")
_READ_PAIRS_MEANING = ("Wheel travel and shock stroke there, spring out: two numbers with a space between. "
    "Six or more pairs average out reading errors.")


def _leverage(key: str) -> TreePath:
    return ("frame", "leverage", key)


def _end(table: str, key: str, meaning: str) -> Field:
    return Field(key, ("frame", "leverage", table, key), Words(), meaning, due=True)


LEVERAGE: Mapping[str, Fields] = {
    "ends": _table(
        Field("ratio at start", _leverage("start"), _RATIO,
            "Leverage ratio at full extension: mm of wheel travel for the first mm of stroke.",
            likely=_RATIO_LIKELY, due=True, swept="ratio at start"),
        Field("ratio at end", _leverage("end"), _RATIO,
            "Leverage ratio at full travel. Lower than at the start: progressive, stiffer deep in the "
            "travel.", likely=_RATIO_LIKELY, due=True, swept="ratio at end"),
        Field("ratio at middle", _leverage("middle"), _RATIO,
            "Leverage ratio at half the wheel travel, if known: the curve goes through it. Empty: straight "
            "line.", likely=_RATIO_LIKELY, swept="ratio at middle"),
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
                _end("known", "from", "The point at one end of the known length."),
                _end("known", "to", "The point at its other end."),
                Field("length", ("frame", "leverage", "known", "length"), Amount(_LENGTH, 3.0, 10 * _MM),
                    "Distance of the two points on the bike: it gives the photo its scale.",
                    likely=(30, 1500, "a length of the drawing"), due=True),
            )),
            "A known length on the bike: it gives the photo its scale.", needs=("points_px",)),
        Field("level points", _leverage("level"),
            Group(_table(
                _end("level", "from", "One of two points that are level on the bike."),
                _end("level", "to", "The other one."),
            )),
            "Two points that are level on the bike: a tilted photo is turned to match."),
        Field("fixed points", _leverage("fixed"), Names(40), "Pivots of the frame.", due=True),
        Field("bars", _leverage("bars"), Names(100, pairs=True),
            "Pairs of points at a fixed distance: a part with three points needs three bars, with four "
            "five.", due=True),
        Field("axle", _leverage("axle"), Words(), "The point at the wheel axle.", due=True),
        Field("shock eyes", _leverage("shock"), Names(2, 2),
            "The two mounting points of the shock.", due=True),
    ),
    "fork": _table(
        Field("head angle", _leverage("head_angle"),
            Amount(_ANGLE, 89 * _DEGREE, 20 * _DEGREE, steps={"deg": "0.5", "°": "0.5"}),
            "Head angle from horizontal, bike unloaded: angle gauge on the stanchions. A fork moves along "
            "its own axis.", likely=(55, 80, "a head angle"), due=True, swept="head angle")
    ),
}
"""Fields by kind of leverage."""


def _way(word: str, kind: str, needs: Mapping[str, Raw]) -> Option:
    own = tuple(LEVERAGE[kind])
    others = {key for fields in LEVERAGE.values() for key in fields} - set(own)
    also = tuple(key for key in own if key not in needs)
    renews = ("travel_mm",) if "travel_mm" in needs else ()
    return Option(word, kind, needs=needs, also=also, drops=tuple(sorted(others)), renews=renews)


_WAYS = (
    _way("start / end ratio", "ends", {"start": 2.8, "end": 2.3}),
    _way("leverage table", "table", {"travel_mm": (0.0, 75.0, 150.0), "ratio": (2.8, 2.55, 2.3)}),
    _way("measured pairs", "measured", {
        "travel_mm": (0.0, 30.0, 60.0, 90.0, 120.0, 150.0),
        "stroke_mm": (0.0, 10.9, 22.3, 34.2, 46.7, 60.0),
    }),
)


def _is_drawn(at: At) -> bool:
    return at.job.get(_leverage("kind")) == "linkage"


def _is_rear_shock(at: At) -> bool:
    return at.wheel == "rear" and at.job.get(_leverage("kind")) != "fork"


_LEVERAGE_KIND = Field("leverage source", _leverage("kind"),
    Choice((*_WAYS, _way("fork head angle", "fork", {"head_angle": "64 deg"}))),
    "Where the leverage comes from: the frame maker's ratios, travel/stroke pairs measured on the bike with "
    "the spring out, or a fork's head angle. For pivot points see the linkage drawing.",
    head="leverage", shown=lambda at: not _is_drawn(at) and not _is_rear_shock(at))
_REAR_LEVERAGE_KIND = _LEVERAGE_KIND._replace(
    kind=Choice(_WAYS), shown=lambda at: not _is_drawn(at) and _is_rear_shock(at)
)
_DRAWN_LEVERAGE_KIND = _LEVERAGE_KIND._replace(
    # Points are entered on their own screen: this choice can leave a linkage, but not select one.
    kind=Choice((*_WAYS, _way("pivot points", "linkage", {}))),
    meaning="Leverage comes from pivot points: Space, then l, shows them. Another source replaces "
        "them; u brings them back.",
    shown=_is_drawn,
)
_PAIRS = Field("pair", _leverage("pairs"), Pair(("travel_mm", "ratio"), ("mm", ": 1"), "0.01"),
    _PAIRS_MEANING, alone="travel", shown=_where("kind", "table"))
_READ_PAIRS = Field("pair", _leverage("pairs"), Pair(("travel_mm", "stroke_mm"), ("mm", "mm"), "0.1"),
    _READ_PAIRS_MEANING, alone="travel", shown=_where("kind", "measured"))

TITLE = Field("job title", ("title",), Words(), "Name of the job on screen, sheet and in the records.")
TARGET = _table(
    Field("sag", ("target", "sag"), Share(0.99, closed=False, as_text=True, share_of="target"),
        "Target static sag, in % or mm. Rule of thumb: rear 25 to 30 %, front 15 to 20 %; the frame maker's "
        "manual comes first.",
        head="target sag", likely=(5, 50, "a sag"), due=True, swept="target sag"),
    Field("measured at", ("target", "of"),
        Choice((Option("wheel travel", "travel"), Option("shock stroke", "stroke")), absent=0),
        "Sag in % of vertical wheel travel, or in % of the stroke the O-ring shows. With a progressive "
        "leverage curve the two differ.", alone="target sag measured at",
        compared="target sag measured at"),
)
AMBIENT = _table(
    Field("temperature", ("ambient", "temperature"), _TEMPERATURE,
        "Shop temperature while the shock is pumped. A sealed chamber loses pressure as it cools.",
        usual="20 degC", head="shop conditions", alone="shop temperature", compared="shop temperature",
        likely=(-25, 45, "a shop temperature"), case="temperature", swept="temperature"),
    Field("altitude", ("ambient", "altitude"), _ALTITUDE,
        "Shop altitude. A gauge reads against outside air, which is thinner higher up.",
        usual="0 m", alone="shop altitude", compared="shop altitude",
        likely=(-100, 4500, "a shop altitude"), swept="altitude"),
)
RIDE = _table(
    Field("riding temp.", ("ride", "temperature"), _TEMPERATURE,
        "Temperature where it is ridden. Colder or warmer air changes gauge reading and sag.",
        usual="same as shop", head="riding conditions, if different",
        likely=(-25, 50, "a riding temperature")),
    Field("riding altitude", ("ride", "altitude"), _ALTITUDE,
        "Altitude where it is ridden: chambers keep their air, outside air thins.",
        usual="same as shop", likely=(-100, 5500, "a riding altitude")),
)
_CAREFUL = "Rule of thumb until you type your own."
TOLERANCE = _table(
    Field("scale", ("tolerance", "scale"), Amount(_MASS, 50.0, steps={**_TENTH_KG, "g": "50"}),
        f"Scale error (±) per weighing: printed on it or in its manual. {_CAREFUL}", usual="0.5 kg",
        head="tool error (±)", alone="scale error",
        likely=(0, 5, "a scale error"), case="scale"),
    Field("gauge", ("tolerance", "gauge"), Amount(_PRESSURE, 20 * _BAR, steps=_HALF_PSI),
        f"Gauge error (±), the same for both chambers: compare two gauges on one shock. {_CAREFUL}",
        usual="2 psi", alone="gauge error", likely=(0, 15, "a gauge error"), case="gauge"),
    Field("spring rate", ("tolerance", "rate"), Share(0.5, as_text=True, small=True),
        "Rate error (±) of a coil against its print; a spring tester tells better. Left empty, a coil with "
        f"measured wire uses its grade. {_CAREFUL}",
        usual="5 %", alone="spring rate error", likely=(0, 20, "a spring rate error"), case="rate"),
    Field("air volumes", ("tolerance", "volume"),
        Amount(_VOLUME, 100 * _CM3, steps={**_HALF_CM3, "ml": "0.5", "cc": "0.5", "in3": "0.05"}),
        f"Chamber volume error (±), oil in it included. {_CAREFUL}",
        usual="1 cm3", alone="air volume error", likely=(0, 20, "a volume error"), case="volume"),
    Field("rider share", ("tolerance", "share"), Share(0.2, as_text=True, small=True),
        "Error (±) of the rider share on this wheel: a little further back or forward. Not used with a scale "
        f"under the wheel. {_CAREFUL}", usual="2 %",
        alone="rider share error", likely=(0, 10, "a rider share error"), case="share"),
)

PRELOAD_CAUTION = ("Preload stores energy: back the collar off before undoing anything, wear eye protection; "
    "in doubt, a qualified technician.")
AIR_CAUTION = ("Never above the max pressure on the label. Eye protection on, valve away from the face; let "
    "all air out before opening. In doubt, a qualified technician.")
_OPENING_CAUTION = ("Let all air out before opening the chamber. Afterwards never above max pressure, eye "
    "protection on; in doubt, a qualified technician.")
_GAS_CAUTION = ("Damper gas: qualified technician only, with the maker's manual. Eye protection; never above "
    "the pressure on the label.")
_GAS_HEAD = "damper gas charge, if any"
_CHAMBER = Amount(_VOLUME, 10_000 * _CM3, 0.1 * _CM3)
_SPACER_VOLUME = Amount(_VOLUME, 1000 * _CM3, steps=_HALF_CM3)
_SPACERS = Bare("1", 100, suffix="fitted", measure=_COUNT, whole=True)
_SPRING_RATE = Amount(_RATE, 1e4 * _N_PER_MM, 0.1 * _N_PER_MM)
_PUSH = Amount(_LENGTH, 600 * _MM, 0.1 * _MM, steps=_HALF_MM, share_of="stroke")


def _is_fork_or_has_legs(at: At) -> bool:
    return at.job.get(_leverage("kind")) == "fork" or at.has("lower_leg_volume", "stanchion_diameter")


EVERY_SETUP = _table(
    Field("name", ("setup", "name"), Words(),
        "Name of the setup in chart and table.", head="setup", due=True),
    Field("shock", ("setup", "shock"), Words(),
        "Name of the shock in the records, to find its data again for the next rider. Does not change any "
        "result."),
    Field("seal friction", ("setup", "friction"), Amount(_FORCE, 5000.0),
        "Seal friction each way: half the difference between the force going in and coming out, slowly, on a "
        "scale.", usual="0 N", head="friction and weight",
        likely=(0, 400, "seal friction"), case="friction", swept="seal friction"),
    Field("spring mass", ("setup", "mass"),
        Amount(_MASS, 20.0, closed=False, steps={"kg": "0.01", "lb": "0.02"}),
        "Weigh the spring. For comparing setups; left empty, a coil's weight is worked out from its wire.",
        likely=(0.03, 2.5, "a spring's mass"), case="mass"),
    Field("damper rod", ("setup", "rod"), _DIAMETER,
        "Damper rod diameter where it enters the damper, with a caliper. 0 for a fork's air spring.",
        usual="0 mm", likely=(0, 25, "a damper rod"), swept="damper rod"),
    Field("gas charge", ("setup", "gas_pressure"), Amount(_PRESSURE, steps=_FIVE_PSI, or_none=True),
        "Gas charge at full extension; \"none\" without one.",
        caution=_GAS_CAUTION, likely=(15, 600, "a damper's gas charge"), needs=("gas_volume", "rod"),
        extra="gas", swept="gas pressure"),
    Field("gas volume", ("setup", "gas_volume"), _CHAMBER,
        "Gas volume at full extension, from the maker or a service list. Not known: 30 cm3 is a rule of "
        "thumb, it counts most near full stroke.",
        likely=(1, 150, "a damper's gas volume"), needs=("gas_pressure",), swept="gas volume"),
    Field("bumper length", ("setup", "bumper_length"), _PUSH._replace(or_none=True),
        "Stroke over which the bumper is compressed: free height minus height fully compressed; "
        '"none" without one.',
        head="bottom-out bumper, if any", likely=(1, 50, "a bottom-out bumper"),
        needs=("bumper_force",), extra="bumper", swept="bumper length"),
    Field("bumper force", ("setup", "bumper_force"),
        Amount(_FORCE, 100_000.0, steps={"N": "50", "lbf": "10", "kgf": "5"}),
        "Force with the bumper fully compressed. Give it with the length, or neither.",
        likely=(100, 20_000, "the force of a bumper"), needs=("bumper_length",), swept="bumper force"),
    Field("lower leg volume", ("setup", "lower_leg_volume"), _CHAMBER._replace(or_none=True),
        "Free air in one lower leg at full extension, oil in: measure with oil and a syringe during "
        'service; "none" for vented legs.', head="air in the lower legs",
        likely=(20, 600, "the air in a lower leg"), needs=("stanchion_diameter",), fork_only=True,
        extra="lower_legs", swept="lower leg volume", shown=_is_fork_or_has_legs),
    Field("stanchion dia.", ("setup", "stanchion_diameter"), _DIAMETER._replace(low=5 * _MM),
        "Outside diameter of a stanchion, with a caliper. Give it with the volume, or neither.",
        alone="stanchion diameter",
        likely=(20, 50, "a stanchion"), needs=("lower_leg_volume",), fork_only=True,
        swept="stanchion diameter", shown=_is_fork_or_has_legs),
)
IN_TIME = ("port_length", "port_area", "time_constant")
"""Keys of a setup that affect simulated rides only: nothing to set, measure or print depends on them."""
EXTRAS: Mapping[Extra, tuple[str, str]] = {
    field.extra: (field.key, field.needs[0]) for field in EVERY_SETUP.values() if field.extra
}
"""Parts besides the spring: two keys each, both or neither, or "none" at the first."""

_SIZE = Amount(_LENGTH, 1.0, _MM)
_CALIPER = {"mm": "0.1", "in": "0.005"}
_COIL_DIAMETER = Amount(_LENGTH, 200 * _MM, 5 * _MM, steps=_CALIPER)
_COILS = Bare("0.25", 50.0, 1.0)
_WIRE_KEYS = ("wire_diameter", *COIL_DIAMETERS, "total_coils", "active_coils", "ends", "material", "grade")
_WITH_WIRE = _with(*_WIRE_KEYS)
STAGES = _table(
    Field("stage starts", ("setup", "stages", "compression_mm"),
        Column(600.0, scale=_MM, least=1, rising=True),
        "Compression where each stage starts, preload included, from 0.", due=True),
    Field("stage rates", ("setup", "stages", "rate_n_per_mm"), Column(1e4, 0.1, _N_PER_MM, least=1),
        "The rate of each stage.", due=True),
)
_COIL = _table(
    Field("spring rate", ("setup", "rate"), _SPRING_RATE._replace(solvable=True),
        "As printed on the spring. Solved: the rate that gives the target sag; the view order lists the "
        "nearest rates you can buy.", likely=(8, 1500, "a spring rate"), due=True,
        one_of=("stages", "rate"), case="rate", swept="spring rate", shown=_without("stages")),
    Field("stages", ("setup", "stages"), Group(STAGES),
        "A progressive coil: stages that come in one after the other, instead of one rate."),
    Field("preload", ("setup", "preload"), Amount(_LENGTH, 200 * _MM, steps=_HALF_MM),
        "How far the collar compresses the spring past first contact.", caution=PRELOAD_CAUTION, usual="0 mm",
        likely=(0, 25, "preload"), swept="preload", shown=_without("preload_turns")),
    Field("preload", ("setup", "preload_turns"), Bare("0.25", 100.0, suffix="turns", measure=_TURNS),
        "Collar turns past first contact. Rule of thumb: 1 to 3.",
        caution=PRELOAD_CAUTION, likely=(0, 20, "preload"), needs=("thread_pitch",),
        one_of=("preload", "preload_turns"), sweeps="preload", shown=_with("preload_turns")),
    Field("thread pitch", ("setup", "thread_pitch"),
        Amount(_LENGTH, 20 * _MM, 0.1 * _MM, steps={"mm": "0.25"}),
        "Collar travel per turn: measure ten threads with a caliper and divide by ten.",
        likely=(0.5, 3, "a thread pitch"), case="thread_pitch"),
    Field("max preload turns", ("setup", "max_preload_turns"),
        Bare("0.5", 100.0, suffix="turns", measure=_TURNS, closed=False),
        "Maximum preload turns the shock maker allows; above that a caution is shown.",
        likely=(0.5, 20, "a max preload"), case="max_preload_turns"),
    Field("free length", ("setup", "free_length"), _SIZE,
        "Length of the loose spring, with a caliper. Needed with the solid length to check coil bind.",
        head="spring fit (coil bind)", likely=(50, 600, "a spring's free length"),
        case="free_length"),
    Field("solid length", ("setup", "solid_length"), _SIZE,
        "Coil-bound length: total coils times wire diameter, or from the maker.",
        likely=(20, 400, "a spring's solid length"), case="solid_length"),
    Field("rated stroke", ("setup", "rated_stroke"), _TRAVEL,
        "Stroke printed on the spring: it must cover shock stroke plus preload.",
        likely=(15, 260, "a spring's rated stroke"), case="rated_stroke"),
    Field("wire diameter", ("setup", "wire_diameter"), Amount(_LENGTH, 30 * _MM, 0.5 * _MM, steps=_CALIPER),
        "Caliper on a middle coil of the loose spring, no paint.",
        caution=PRELOAD_CAUTION, likely=(2, 16, "spring wire"), shown=_WITH_WIRE),
    Field("inner diameter", ("setup", "inner_diameter"), _COIL_DIAMETER,
        "Inside diameter of the loose coil. Give one diameter only.", caution=PRELOAD_CAUTION,
        likely=(15, 80, "the inside of a spring"), one_of=COIL_DIAMETERS, shown=_WITH_WIRE),
    Field("outer diameter", ("setup", "outer_diameter"), _COIL_DIAMETER,
        "Outside diameter of the loose coil. Give one diameter only.", caution=PRELOAD_CAUTION,
        likely=(18, 100, "the outside of a spring"), one_of=COIL_DIAMETERS, shown=_WITH_WIRE),
    Field("mean diameter", ("setup", "mean_diameter"), _COIL_DIAMETER,
        "Wire centre to wire centre, loose coil. Give one diameter only.", caution=PRELOAD_CAUTION,
        likely=(15, 90, "the mean diameter of a spring"), one_of=COIL_DIAMETERS, shown=_WITH_WIRE),
    Field("active coils", ("setup", "active_coils"), _COILS,
        "Coils free to move. Left empty: total coils less one per closed end.",
        likely=(2, 50, "active coils"), shown=_WITH_WIRE),
    Field("total coils", ("setup", "total_coils"), _COILS,
        "Turns from tip to tip, to a quarter turn, flat end coils included.",
        likely=(3, 50, "total coils"), shown=_WITH_WIRE),
    Field("ends", ("setup", "ends"),
        Choice(tuple(Option(word, stored) for stored, word in END_WORDS.items()), absent=0),
        "Spring ends: closed, closed and ground, or open.",
        shown=_WITH_WIRE),
    Field("wire material", ("setup", "material"),
        Choice(tuple(Option(word, stored) for stored, word in MATERIAL_WORDS.items()),
            absent=list(MATERIAL_WORDS).index("chrome_silicon")),
        "Wire material, from the maker. Titanium values are unverified.", shown=_WITH_WIRE),
    Field("grade", ("setup", "grade"), Bare("1", 3, 1, whole=True),
        "Manufacturing grade: 1 fine, 2 medium, 3 coarse. Sets the rate tolerance.",
        usual="2", shown=_WITH_WIRE),
    Field("rate step", ("setup", "ladder_step"), _SPRING_RATE,
        "Step between available rates. Rule of thumb: 25 lbf/in.",
        usual="25 lbf/in", likely=(2, 150, "a step between rates"), case="ladder_step",
        one_of=("ladder_lbf_per_in", "ladder_step")),
    Field("rates in stock", ("setup", "ladder_lbf_per_in"),
        Column(50_000.0, 1.0, LBF_PER_IN, least=1, unit="lbf/in", rising=True),
        "Available rates, spaces between: 400 425 450. Used instead of the step.", case="ladder"),
)

_SECOND_CHAMBER: Mapping[str, Raw] = {"negative_volume": "20 cm3"}
_BODY = "Outside diameter of the damper body where the negative chamber seals."
_AIR_SHAFT = "Diameter of the air shaft where the negative chamber seals."
_AIR = _table(
    Field("pressure", ("setup", "pressure"), Amount(_PRESSURE, solvable=True),
        "Gauge at full extension, chambers equalised; solved for sag.", caution=AIR_CAUTION,
        likely=(12, 420, "a set pressure"), due=True, case="pressure", swept="set pressure",
        on_fork={"likely": (12, 200, "a fork's set pressure")}),
    Field("bore", ("setup", "bore"), _DIAMETER._replace(low=_MM),
        "Inside diameter of the positive chamber, with an inside caliper.",
        likely=(15, 80, "a bore"), due=True, case="bore", swept="bore"),
    Field("damper body", ("setup", "body"), _DIAMETER, _BODY, usual="0 mm",
        likely=(0, 70, "the body in a bore"), case="body", swept="damper body or air shaft",
        on_fork={"label": "air shaft", "meaning": _AIR_SHAFT}),
    Field("volume", ("setup", "positive_volume"), _CHAMBER,
        "Positive chamber volume at full extension, no spacers: from the maker, or measured with oil and a "
        "syringe during service.", head="positive chamber", alone="positive volume",
        likely=(15, 800, "a positive chamber"), due=True, case="positive_volume", swept="positive volume"),
    Field("spacers", ("setup", "positive_spacers"), _SPACERS,
        "Each raises the bottom-out force; breakaway changes little.",
        caution=_OPENING_CAUTION, usual="0", alone="positive spacers", likely=(0, 15, "volume spacers"),
        needs=("positive_spacer_volume",), case="positive_spacers", swept="positive spacers"),
    Field("pos. spacer vol.", ("setup", "positive_spacer_volume"), _SPACER_VOLUME,
        "Volume of one positive spacer: drop it in a measuring cylinder of water, read the rise.",
        usual="0 cm3", alone="positive spacer volume", compared="positive spacer volume",
        likely=(0, 60, "a volume spacer"),
        case="positive_spacer_volume", swept="positive spacer volume"),
    Field("type", ("setup", "negative"),
        Choice((
            Option("equalised (port)", "equalised", needs={**_SECOND_CHAMBER, "port": "6 mm"}),
            Option("separate valve", "separate", needs={**_SECOND_CHAMBER, "negative_pressure": "150 psi"}),
            Option("coil", "mechanical", needs={"negative_rate": "60 N/mm", "negative_length": "12 mm"}),
            Option("none", "none"),
        )),
        "What works against the positive chamber: air equalised through a port, air with its own valve, a "
        "coil, or none.", head="negative spring", alone="negative spring type", due=True),
    Field("volume", ("setup", "negative_volume"), _CHAMBER,
        "Negative chamber volume at full extension, no spacers. More adds sag at the same pressure; for the "
        "same sag: more pressure and higher breakaway.",
        alone="negative volume", likely=(1, 250, "a negative chamber"), swept="negative volume",
        shown=_where("negative", "equalised", "separate")),
    Field("spacers", ("setup", "negative_spacers"), _SPACERS,
        "Less sag; for the same sag: less pressure, lower breakaway.",
        caution=_OPENING_CAUTION, usual="0",
        alone="negative spacers", likely=(0, 15, "volume spacers"), needs=("negative_spacer_volume",),
        swept="negative spacers", shown=_where("negative", "equalised", "separate")),
    Field("neg. spacer vol.", ("setup", "negative_spacer_volume"), _SPACER_VOLUME,
        "Volume of one negative spacer.",
        usual="0 cm3", alone="negative spacer volume", compared="negative spacer volume",
        likely=(0, 60, "a volume spacer"),
        swept="negative spacer volume", shown=_where("negative", "equalised", "separate")),
    Field("port position", ("setup", "port"), _PUSH._replace(low=0.0),
        "Stroke where the chambers equalise, in mm or %: compress slowly and listen, or measure to the "
        "dimple.", likely=(0, 60, "a port position"), swept="port position",
        shown=_where("negative", "equalised")),
    Field("port length", ("setup", "port_length"), Amount(_LENGTH, 50 * _MM, 0.1 * _MM, steps=_HALF_MM),
        "Stroke over which the equalising port is open. Counts only in events.",
        usual="2 mm", likely=(0.5, 15, "the length of a port"), rides=True,
        shown=_where("negative", "equalised")),
    Field("port area", ("setup", "port_area"), Amount(Measure.AREA, 1e-3),
        "Flow area of the equalising port times its flow coefficient. Counts only in events.",
        usual="3 mm2", likely=(0.2, 30, "the flow area of a port"), rides=True,
        shown=_where("negative", "equalised")),
    Field("negative pressure", ("setup", "negative_pressure"), Amount(_PRESSURE),
        "Gauge reading at the negative valve, full extension.",
        caution=AIR_CAUTION, likely=(12, 420, "a negative chamber's pressure"),
        swept="negative pressure", shown=_where("negative", "separate")),
    Field("neg. coil rate", ("setup", "negative_rate"), _SPRING_RATE,
        "Rate of the negative coil. One rate suits one rider weight only.",
        alone="negative coil rate", likely=(5, 1500, "the rate of a negative coil"),
        swept="negative coil rate", shown=_where("negative", "mechanical")),
    Field("neg. coil length", ("setup", "negative_length"), _PUSH,
        "Stroke from full extension over which that coil acts, in mm or %.",
        alone="negative coil length", likely=(1, 80, "a negative coil length"),
        swept="negative coil length", shown=_where("negative", "mechanical")),
    Field("heat time", ("setup", "time_constant"), Amount(Measure.TIME, 1000.0, 1e-3),
        "Time constant of the heat between the air and its chamber's wall. Counts only in events.",
        usual="estimated", likely=(0.2, 60, "a time constant of heat"), case="time_constant"),
    Field("max pressure", ("setup", "max_pressure"), Amount(_PRESSURE, closed=False, steps=_FIVE_PSI),
        "Maximum pressure on the label.",
        caution=AIR_CAUTION, likely=(50, 600, "a max pressure"), case="max_pressure",
        on_fork={"likely": (50, 300, "a fork's max pressure")}),
    Field("pump hose volume", ("setup", "hose_volume"), Amount(_VOLUME, 1000 * _CM3),
        "Pump hose volume: it fills when the pump goes back on, so it reads low.",
        usual="0 cm3", likely=(0, 30, "a pump hose volume"), case="hose_volume"),
)
_SLEEVE_MASS = EVERY_SETUP["mass"]._replace(
    meaning="Weight of the air spring parts above that of the bare damper. For comparing setups."
)
SPRING: Mapping[str, Fields] = {"coil": _COIL, "air": _AIR}
"""Fields specific to a kind of spring; `EVERY_SETUP` has the common ones."""
SETUP: Mapping[str, Fields] = {
    "coil": {**EVERY_SETUP, **_COIL},
    "air": {**EVERY_SETUP, "mass": _SLEEVE_MASS, **_AIR},
}
"""All fields of a setup by kind of spring."""
_WINDING = Field("coil type", ("setup", "winding"),
    Choice((
        Option("linear", mark="rate", needs={"rate": "solve"}, drops=("stages",)),
        Option("progressive", mark="stages", drops=("rate",),
            needs={"stages": {"compression_mm": (0.0, 30.0), "rate_n_per_mm": (80.0, 95.0)}}),
    ), absent=0),
    "Linear, or progressive: stages come in one after the other as the coil compresses.")
_STAGE_PAIRS = Field("pair", ("setup", "stages", "pairs"),
    Pair(("compression_mm", "rate_n_per_mm"), ("mm", "N/mm"), "1"),
    "One stage of the coil: compression in mm (preload included) where it starts, and rate in N/mm; two "
    "numbers with a space between.",
    alone="compression", shown=lambda at: at.job.get(at.table) is not None)
_PRELOAD_BY = Field("preload given as", ("setup", "preload_by"),
    Choice((
        Option("length", mark="preload", needs={"preload": "1 mm"}, drops=("preload_turns",)),
        Option("turns", mark="preload_turns", drops=("preload",),
            needs={"preload_turns": 1.0, "thread_pitch": "1 mm"}),
    ), absent=0),
    "Preload as a length or in collar turns.")
_WIRE = Field("wire", ("setup", "wire"),
    Choice((
        Option("not measured", drops=_WIRE_KEYS),
        Option("measured", mark="wire_diameter",
            needs={"wire_diameter": "8.5 mm", "inner_diameter": "36 mm", "total_coils": 9.5}),
    ), absent=0),
    "With caliper and coil count the wire view shows stress, coil-bind clearance, weight and rate tolerance.")

RECORD = _table(
    Field("customer", ("record", "customer"), Words(),
        "Customer's name, to find the job again. Or leave it empty and use the ticket number."),
    Field("ticket", ("record", "ticket"), Words(),
        "Number on the bike's ticket. Name or ticket is enough."),
    Field("bike", ("record", "bike"), Words(),
        "Which of the customer's bikes: colour, size, frame number."),
)
_CLICKS = Bare("1", 200, suffix="clicks", measure=_COUNT, whole=True)
MEASURED = _table(
    Field("setup on bike", ON_BIKE, Words(),
        "The setup on the bike when measured: sag and gauge are compared with it.",
        head="measured on the bike"),
    Field("sag measured", ("measured", "sag"), Amount(_LENGTH, 600 * _MM, steps=_HALF_MM, share_of="read"),
        "Rider on, still, riding position: bounce once, let it settle, read the sag. Do it twice, take the "
        "average.", likely=(2, 130, "a measured sag"), sweeps="sag"),
    Field("measured at", ("measured", "of"),
        Choice((Option("the wheel", "travel"), Option("the shock", "stroke"))),
        "Where the sag was measured: vertically at the axle, or by the O-ring on the shaft.",
        compared="sag measured at"),
    Field("gauge", ("measured", "gauge"), Amount(_PRESSURE),
        "Gauge reading, bike unloaded. A pump put back on reads less because its hose fills.",
        caution="Eye protection on, valve away from the face; never above max pressure.",
        compared="gauge measured", likely=(12, 420, "a gauge reading"),
        on_fork={"likely": (12, 250, "a fork's gauge reading")}),
    Field("rebound", ("measured", "rebound_clicks"), _CLICKS,
        "Clicks from fully closed: turn in gently to the stop, count back out. Never force it.",
        likely=(0, 40, "rebound clicks")),
    Field("compression", ("measured", "compression_clicks"), _CLICKS,
        "Clicks from fully closed, counted the same way. With two knobs: low-speed.",
        likely=(0, 40, "compression clicks")),
    Field("tyre", ("measured", "tyre"), Amount(_PRESSURE, 10 * _BAR, steps=_HALF_PSI),
        "Cold tyre pressure, this wheel. The tyre is a spring too.",
        caution="Never above the limit on tyre or rim, whichever is lower.",
        likely=(8, 70, "a tyre")),
    Field("scale", ("measured", "scale"), _WEIGHT,
        "Scale under this wheel, other wheel blocked level, rider still in riding position. Have someone "
        "steady the bar.", likely=(8, 150, "one wheel on the scale")),
)
"""Measurements on the bike; `setup` is the name of the setup that was on it."""
_SLOPE = Amount(Measure.DAMPING, 200_000.0)
_KNEE = Amount(Measure.SHAFT_SPEED, 10.0, closed=False)
_OF_CRITICAL = Share(3.0, as_text=True, small=True)
_PAIRS_OF_SPEED = ("speed_m_per_s", "force_n")
_SLOPES = tuple(f"{way}_{part}" for way in ("rebound", "compression") for part in ("low", "knee", "high"))
_SHARES_OF_CRITICAL = ("rebound_share", "compression_share")


def _damped(way: str, usual: str, short: str, head: str = "") -> tuple[Field, ...]:
    """Return the fields of one damper direction: a fraction of critical damping, or slopes and a knee."""
    share, low, knee, high = (f"{way}_{part}" for part in ("share", "low", "knee", "high"))
    by, measured = (_PAIRS_OF_SPEED[0], low, share), "from a damper tester"
    return (
        Field(f"{short} damping", ("damper", share), _OF_CRITICAL,
            f"Damping in {way}, in % of critical damping at sag: a guess until the damper is measured.",
            usual=usual, head=head, alone=f"{way} damping", likely=(3, 120, f"{way} damping"), one_of=by,
            rides=True, shown=lambda at: not at.has(low, *_PAIRS_OF_SPEED)),
        Field(f"{way}, low", ("damper", low), _SLOPE,
            f"Low-speed {way} damping at the shaft, force over speed below the knee: {measured}.",
            head=head, alone=f"low-speed {way}", likely=(50, 8000, f"low-speed {way}"), one_of=by,
            rides=True, shown=_with(low)),
        Field(f"{way} knee", ("damper", knee), _KNEE,
            f"Shaft speed at which the shims open in {way}. Give it with the high-speed slope, or neither.",
            likely=(0.02, 2, f"a {way} knee"), needs=(low, high), rides=True,
            shown=_with(low)),
        Field(f"{way}, high", ("damper", high), _SLOPE,
            f"High-speed {way} damping at the shaft: slope of force over speed above the knee.",
            alone=f"high-speed {way}", likely=(20, 5000, f"high-speed {way}"), needs=(low, knee),
            rides=True, shown=_with(low)),
    )


_SPEED_PAIRS = ("Shaft speed and force, compression positive, rebound negative: two numbers with a space "
    "between, or a file of a damper tester.")
DAMPER = _table(
    *_damped("rebound", "50 %", "rebound", "damper"),
    *_damped("compression", "25 %", "compr."),
    Field("shaft speeds", ("damper", "speed_m_per_s"), Column(20.0, -20.0, rising=True), _SPEED_PAIRS,
        needs=("force_n",)),
    Field("damper forces", ("damper", "force_n"), Column(100_000.0, -100_000.0), _SPEED_PAIRS,
        needs=("speed_m_per_s",)),
)
"""The damper at the shaft, for each direction."""
_DAMPER_BY = Field("damper source", ("damper", "by"),
    Choice((
        Option("% critical damping", drops=(*_SLOPES, *_PAIRS_OF_SPEED)),
        Option("slopes", mark="rebound_low",
            needs={"rebound_low": "1800 N s/m", "compression_low": "900 N s/m"},
            also=_SLOPES, drops=(*_SHARES_OF_CRITICAL, *_PAIRS_OF_SPEED)),
        Option("damper tester", mark="speed_m_per_s",
            needs={"speed_m_per_s": (-1.0, 0.0, 1.0), "force_n": (-1800.0, 0.0, 900.0)},
            drops=(*_SLOPES, *_SHARES_OF_CRITICAL)),
    ), absent=0),
    "Where the damping comes from: % of critical damping (a guess), a slope each way, or speeds and forces "
    "of a damper tester.")
_DAMPER_PAIRS = Field("pair", ("damper", "pairs"), Pair(_PAIRS_OF_SPEED, ("m/s", "N"), "10"), _SPEED_PAIRS,
    alone="shaft speed", shown=_with("speed_m_per_s"))
TYRE = _table(
    Field("tyre stiffness", ("tyre", "stiffness"), Amount(Measure.WHEEL_RATE, 1e7, 1e3, steps={"N/mm": "5"}),
        "Vertical stiffness of the tyre at riding pressure: load on a scale over the drop of the rim.",
        usual="120 N/mm", head="tyre and wheel", likely=(30, 400, "a tyre's stiffness"),
        rides=True),
    Field("tyre damping", ("tyre", "damping"), Amount(Measure.DAMPING, 100_000.0),
        "Damping of the tyre. Small against the damper's and rarely measured.",
        usual="100 N s/m", likely=(0, 1000, "a tyre's damping"), rides=True),
    Field("wheel radius", ("tyre", "radius"), Amount(_LENGTH, 1.0, 50 * _MM),
        "Radius of the wheel with its tyre: a larger wheel rounds off bumps more.",
        usual="350 mm", likely=(200, 420, "a wheel's radius"), rides=True),
)
"""The tyre of this wheel."""
RIDDEN = _table(
    Field("complaint", ("ridden", "symptom"),
        Choice((
            Option("none"),
            *(Option(said.word.replace("-", " "), said.word) for said in SYMPTOMS.values()),
        ), absent=0, several=True),
        "Rider's complaint. The view 'advice' shows what to change; tick several complaints there with +.",
        head="ride feedback"),
    Field("rider's words", ("ridden", "words"), Words(),
        "In the rider's words: where, what speed, which end."),
)

FIELDS: Mapping[str, Fields] = {
    "record": RECORD, "load": LOAD, "frame": FRAME, "target": TARGET, "ambient": AMBIENT, "ride": RIDE,
    "tolerance": TOLERANCE, "damper": DAMPER, "tyre": TYRE, "measured": MEASURED, "ridden": RIDDEN,
}
"""Fields of the tables of the file; those of leverage and setups depend on their kinds."""
TYPED_ONLY = ("record", "ride", "measured", "ridden")
"""Tables without example values, and so without a list of unconfirmed ones."""
TOP = ("format", "title", UNCONFIRMED, *TABLES)
"""The keys of a job file at its top, in their order."""


def _rows(fields: Fields, *rows: str | Field) -> tuple[Field, ...]:
    return tuple(fields[row] if isinstance(row, str) else row for row in rows)


# Without a wheel in the file it is that of the frame: the rear one, or the front one for a fork.
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
        *IN_TIME,
        *(SETUP["air"]["gas_pressure"]._replace(head=_GAS_HEAD), *_LAST_ROWS),
    ),
    "record": (
        *(*RECORD.values(), *MEASURED.values(), *RIDDEN.values()),
        *(*_rows(DAMPER, *_SHARES_OF_CRITICAL, *_SLOPES), _DAMPER_BY, _DAMPER_PAIRS),
        *TYRE.values(),
    ),
}
"""Rows of each panel in order."""
# fmt: on


def every_field() -> Iterator[Field]:
    """Yield every key with a value in the order of the file; those of setups for each kind."""
    yield TITLE
    tables = (RECORD, LOAD, FRAME, *LEVERAGE.values(), TARGET, AMBIENT, RIDE, TOLERANCE, *SETUP.values())
    for fields in (*tables, DAMPER, TYRE, MEASURED, RIDDEN):
        for field in fields.values():
            yield field
            if isinstance(field.kind, Group):
                yield from field.kind.fields.values()


_BY_PATH = {field.path: field for field in every_field()}
TOTAL_MASS = "total_mass"
INPUTS: Mapping[str, tuple[str, Measure]] = {
    **{
        field.key: (field.swept or field.full_label, field.measure)
        for field in every_field()
        if (field.swept or field.rides) and field.measure
    },
    TOTAL_MASS: ("rider and bike", _MASS),
}
"""Label and measure of the inputs of sweeps and rides, by name."""


def field_at(path: TreePath) -> Field | None:
    """Return the field at a path of a one-wheel job, None if the path is not that of a single value."""
    return _BY_PATH.get(tuple(step for step in path if isinstance(step, str)))


def input_at(path: TreePath) -> str:
    """Return the name of the sweep input at a path, empty if it is not an input."""
    field = field_at(path)
    if field is None or not (field.swept or field.sweeps):
        return ""
    return field.sweeps or field.key


def field_of_input(name: str) -> Field:
    """Return the field with the range of an input; raises `StopIteration` for an unknown name."""
    key = "rider_mass" if name == TOTAL_MASS else name
    return next(field for field in every_field() if (field.swept or field.rides) and field.key == key)
