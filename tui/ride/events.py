"""The events that a wheel rides through, their sizes, and the event asked for in SI.

The sizes of an event are fields like those of a job: they have units, ranges and a meaning, are read and
nudged by the same code, and stand as typed in a small tree, one table by the name of each event.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Mapping
from typing import Any, Literal, cast, get_args

from physics.frozen import NamedTuple
from physics.ground import Bumps, Compression, Drop, Event, Landing, Road, RoadClass, SquareEdge
from tui.job.faults import Findings, JobFault, Spelling, UnusableJob
from tui.job.fields import Amount, Bare, Choice, Field, Fields, Option
from tui.job.job import Job
from tui.job.quantities import with_unit
from tui.job.reading import Section, Value, read_fields
from tui.job.tree import Raw, Tree
from tui.job.typed import LONGEST_WHOLE
from tui.shop_units import KEY_UNITS, USUAL, Measure, ShopUnits, keyed

EventName = Literal["drop", "landing", "edge", "bumps", "compression", "road"]

CAUTION = (
    "The rider is modelled as a mass without legs: for comparing setups only, never a height or a speed to "
    "ride."
)
"""Stands on every page about a ride in time, wherever it is read."""

DESCENT = "descent"
"""The size of a road that no ride depends on: the time on it, for the heat."""
_CM, _DEGREE = 0.01, 0.017453292519943295
_HEIGHT = Amount(Measure.DISTANCE, 20.0, _CM, steps={"m": "0.05", "cm": "5", "mm": "50", "ft": "0.25"})
_BUMP = Amount(Measure.TRAVEL, 1.0, 1e-3, steps={"mm": "5", "cm": "0.5", "in": "0.2"})
_SPEED = Amount(Measure.SPEED, 40.0, 0.1)


class EventKind(NamedTuple):
    """An event: its name, its definition in a sentence, its sizes, and how to make the event of `physics`."""

    name: str
    meaning: str
    fields: Fields
    build: Callable[[Section], Event]


def _sizes(event: EventName, *fields: Field) -> Fields:
    return {str(field.path[0]): field._replace(path=(event, *field.path)) for field in fields}


def _speed(usual: str) -> Field:
    return Field("speed", ("speed",), _SPEED, "Speed of the bike along the ground.", usual=usual)


def _number(section: Section, key: str) -> float:
    return cast(float, section[key])


EVENTS: Mapping[EventName, EventKind] = {
    "drop": EventKind(
        "flat drop",
        "Free fall onto level ground: wheel extended, tyre just touching.",
        _sizes("drop", Field("height", ("height",), _HEIGHT, "Height the tyre falls.", usual="0.5 m")),
        lambda asked: Drop(_number(asked, "height")),
    ),
    "landing": EventKind(
        "landing on a slope",
        "A drop onto a slope: only speed and gravity at right angles to the slope count.",
        _sizes(
            "landing",
            Field("height", ("height",), _HEIGHT, "Height the tyre falls.", usual="1 m"),
            Field(
                "slope",
                ("slope",),
                Amount(Measure.ANGLE, 60 * _DEGREE, 0.0, steps={"deg": "1", "°": "1"}),
                "Slope of the landing, downhill in the direction of the ride.",
                usual="20 deg",
            ),
            _speed("3 m/s"),
        ),
        lambda asked: Landing(*(_number(asked, key) for key in ("height", "slope", "speed"))),
    ),
    "edge": EventKind(
        "square edge",
        "A step up, rounded off by the radius of the wheel.",
        _sizes(
            "edge",
            Field("height", ("height",), _BUMP, "Height of the step.", usual="60 mm"),
            _speed("5 m/s"),
        ),
        lambda asked: SquareEdge(_number(asked, "height"), _number(asked, "speed")),
    ),
    "bumps": EventKind(
        "bump train",
        "Cosine bumps in a row: shows packing down and whether the wheel returns in time.",
        _sizes(
            "bumps",
            Field("height", ("height",), _BUMP, "Height of each bump.", usual="60 mm"),
            Field(
                "length",
                ("length",),
                Amount(Measure.DISTANCE, 20.0, 5 * _CM),
                "Length of each bump along the ground.",
                usual="1 m",
            ),
            _speed("6 m/s"),
            Field("bumps", ("count",), Bare("1", 100, 1, measure=Measure.COUNT, whole=True),
                "Number of bumps.", usual="8"),
            Field(
                "spacing",
                ("spacing",),
                Amount(Measure.DISTANCE, 20.0),
                "Level ground between two bumps.",
                usual="0 m",
            ),
        ),
        lambda asked: Bumps(
            height=_number(asked, "height"),
            length=_number(asked, "length"),
            speed=_number(asked, "speed"),
            count=int(_number(asked, "count")),
            spacing=_number(asked, "spacing"),
        ),
    ),
    "compression": EventKind(
        "compression",
        "A dip ridden at speed: the load rises by v²/R while it lasts.",
        _sizes(
            "compression",
            Field(
                "radius",
                ("radius",),
                Amount(Measure.DISTANCE, 200.0, 0.5, steps={"m": "0.5", "ft": "2"}),
                "Radius of the dip.",
                usual="6 m",
            ),
            Field(
                "angle",
                ("angle",),
                Amount(Measure.ANGLE, 180 * _DEGREE, _DEGREE, steps={"deg": "5", "°": "5"}),
                "Angle that the trail turns through in the dip.",
                usual="40 deg",
            ),
            _speed("8 m/s"),
        ),
        lambda asked: Compression(*(_number(asked, key) for key in ("radius", "angle", "speed"))),
    ),
    "road": EventKind(
        "random road",
        "Random road of an ISO 8608 class: C and D are like a trail; on E the wheel is in the air much of "
        "the time.",
        _sizes(
            "road",
            Field(
                "class",
                ("class",),
                Choice(tuple(Option(word, word) for word in get_args(RoadClass)), absent=3),
                "ISO 8608 class, from A (smooth) to H.",
                usual="D",
            ),
            _speed("6 m/s"),
            Field("seed", ("seed",), Bare("1", 10_000, measure=Measure.COUNT, whole=True),
                "The same seed gives the same road.", usual="0"),
            Field(
                DESCENT,
                (DESCENT,),
                Amount(Measure.TIME, 36_000.0, 1.0, steps={"min": "1", "s": "10", "h": "0.1"}),
                "Time on such a road: how warm the shock becomes, and what that does to the sag.",
                usual="10 min",
            ),
        ),
        lambda asked: Road(
            cast(RoadClass, asked["class"]), _number(asked, "speed"), int(_number(asked, "seed"))
        ),
    ),
}  # fmt: skip
"""By its word on the command line."""

SIZES = tuple(dict.fromkeys(key for kind in EVENTS.values() for key in kind.fields))
"""Every size that some event has."""

NO_SIZES = Job(Tree({}))
"""The sizes of all events as they usually are."""


def sizes_asked(event: EventName, texts: Mapping[str, str]) -> Job:
    """Return the sizes that were asked for by text, bare numbers in the usual unit; raises `UnusableJob`."""
    fields = EVENTS[event].fields
    known = ", ".join(fields)
    others = [key for key in texts if key not in fields]
    if others:
        what = f"not a size of the event {EVENTS[event].name}"
        raise UnusableJob(tuple(JobFault((key,), what, f"use {known}") for key in others))
    sizes = NO_SIZES
    for key, text in texts.items():
        sizes = sizes.with_value((event, key), _typed(fields[key], text))
    event_in(event, sizes)
    return sizes


def _typed(field: Field, text: str) -> Raw:
    kind = field.kind
    if isinstance(kind, Amount):
        return with_unit(text, USUAL.unit(kind.measure))
    if isinstance(kind, Choice):
        return text.strip().upper()
    return int(text) if text.strip().isdecimal() and len(text) <= LONGEST_WHOLE else text


def event_in(event: EventName, sizes: Job) -> Event:
    """Return an event of these sizes, the usual ones where none is typed; raises `UnusableJob`."""
    return EVENTS[event].build(_read(event, sizes))


def event_with(event: EventName, sizes: Job, numbers: Mapping[str, float]) -> Event:
    """Return an event with some numbers [SI] in place of its sizes; raises `UnusableJob` for the others."""
    return EVENTS[event].build({**_read(event, sizes), **numbers})


def number_asked(event: EventName, key: str, text: str) -> float:
    """Return a size asked for by text [SI], a bare number in the usual unit; raises `UnusableJob`."""
    return _number(_read(event, sizes_asked(event, {key: text})), key)


def size_now(event: EventName, sizes: Job, key: str) -> float:
    """Return a size of an event [SI], the usual one where none is typed; raises `UnusableJob`."""
    return float(_number(_read(event, sizes), key))


def size_at(sizes: Job, field: Field) -> Raw:
    """Return a size as typed, the usual one where none is."""
    raw = sizes.get(field.path)
    if raw is not None:
        return raw
    return int(field.usual) if isinstance(field.kind, Bare) else field.usual


def _read(event: EventName, sizes: Job) -> Section:
    fields, found = EVENTS[event].fields, Findings(Spelling(Tree({}), {}))
    read = read_fields({key: size_at(sizes, field) for key, field in fields.items()}, fields, (), found)
    if found.faults:
        raise UnusableJob(tuple(found.faults))
    return read


def event_text(
    event: EventName, sizes: Job, units: ShopUnits, *, whole: bool = True, but: Container[str] = ()
) -> str:
    """Return an event with its sizes `but` some, such as "square edge, height 60.0 mm, speed 5.0 m/s".

    One that is not the `whole` has its first size alone, as in "square edge of 60.0 mm".
    """
    read, fields = _read(event, sizes), EVENTS[event].fields
    shown = {key: field for key, field in fields.items() if key not in but}
    texts = [(field.label, _size_text(field, read[key], units)) for key, field in shown.items()]
    if not whole:
        return f"{EVENTS[event].name} of {texts[0][1]}" if event != "road" else f"random road {texts[0][1]}"
    return ", ".join((EVENTS[event].name, *map(" ".join, texts)))


def _size_text(field: Field, value: Value, units: ShopUnits) -> str:
    if field.measure is None or not isinstance(value, float):
        return str(value)
    return duration_text(value) if field.key == DESCENT else units.show(value, field.measure)


def duration_text(seconds: float) -> str:
    """Return a long duration as a person says it, such as "10 min" or "45 s"."""
    return f"{seconds / 60:.4g} min" if seconds >= 60 else f"{seconds:.4g} s"


def sizes_object(event: EventName, sizes: Job, but: Container[str] = ()) -> dict[str, Any]:
    """Return the sizes of an event `but` some as plain data, each in the unit that its key ends in."""
    fields, found = EVENTS[event].fields, dict[str, Any]()
    for key, value in _read(event, sizes).items():
        if key in but:
            continue
        measure, kind = fields[key].measure, fields[key].kind
        end = next(iter(KEY_UNITS.get(measure, ("",)))) if measure else ""
        found[f"{key}{end}"] = int(cast(float, value)) if isinstance(kind, Bare) else value
    return keyed(**found)
