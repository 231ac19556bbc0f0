"""The panels of a job: the fields of one subject each, depending on the choices in the job."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache, lru_cache
from typing import Any

from physics.frozen import NamedTuple
from tui.job.fields import (
    MEASURED,
    RIDDEN,
    ROWS,
    At,
    Choice,
    Field,
    Option,
    Pair,
)
from tui.job.job import ON_BIKE, Job, invented
from tui.job.tree import TreePath
from tui.job.wheels import Wheel, is_fork, spoken

LEVERAGE: TreePath = ("frame", "leverage")
RIDER_MASS: TreePath = ("load", "rider_mass")
"""The field selected at start."""

NEW_COIL = invented({"name": "coil", "kind": "coil", "rate": "solve", "preload": "1 mm", "friction": "12 N"})
"""A new coil setup with example values, all unconfirmed."""

NEW_AIR = invented({
    "name": "air", "kind": "air", "pressure": "solve", "bore": "40 mm", "rod": "9 mm", "body": "27 mm",
    "positive_volume": "105 cm3", "positive_spacers": 1, "positive_spacer_volume": "6 cm3",
    "negative": "equalised", "negative_volume": "20 cm3", "port": "6 mm", "friction": "30 N",
})  # fmt: skip
"""A new air setup with example values, all unconfirmed."""

_DRAWN: tuple[TreePath, ...] = ((*LEVERAGE, "points_mm"), (*LEVERAGE, "points_px"))


class Panel(NamedTuple):
    """The rows of one subject. `setup` is the index of the setup it shows, None for rider and frame."""

    title: str
    rows: tuple[Field, ...]
    setup: int | None = None
    kind: str = ""


@lru_cache(maxsize=16)
def panels(job: Job, wheel: Wheel | None = None) -> tuple[Panel, ...]:
    """Return the panels of a one-wheel job with the rows for its choices.

    `wheel` is which of two wheels it is, None if the bike has only this one.
    """
    frame = "fork" if is_fork(job) else "frame"
    kinds = ["air" if setup.get("kind") == "air" else "coil" for setup in job.setups]
    setups = (
        Panel(str(setup.get("name", "no name")), tuple(_rows(job, wheel, kind, index)), index, kind)
        for index, (setup, kind) in enumerate(zip(job.setups, kinds, strict=True))
    )
    rider, own, record = (
        Panel(title, tuple(_rows(job, wheel, title))) for title in ("rider", frame, "record")
    )
    return (rider, own, *setups, record)


@cache
def _in_words(panel: str, fork: bool, setup: int | None) -> tuple[Field, ...]:
    """Return the fields of a panel, in terms of a `fork` if it is one, at the paths of a `setup` if given."""
    fields = tuple(map(_of_fork, ROWS[panel])) if fork else ROWS[panel]
    if setup is None:
        return fields
    return tuple(field._replace(path=("setup", setup, *field.path[1:])) for field in fields)


def _of_fork(field: Field) -> Field:
    field = field._replace(**field.on_fork)
    texts = ("label", "meaning", "caution", "usual", "head", "alone", "compared")
    in_words: dict[str, Any] = {text: spoken(getattr(field, text), True) for text in texts}
    field = field._replace(**in_words)
    if not isinstance(field.kind, Choice):
        return field
    options = tuple(option._replace(word=spoken(option.word, True)) for option in field.kind.options)
    return field._replace(kind=field.kind._replace(options=options))


def _rows(job: Job, wheel: Wheel | None, panel: str, setup: int | None = None) -> Iterator[Field]:
    for field in _in_words(panel, is_fork(job), setup):
        if field.shown is not None and not field.shown(At(job, field.path[:-1], wheel)):
            continue
        if isinstance(field.kind, Pair):
            yield from _pairs(job, field, field.kind)
        elif field.path == ON_BIKE:
            names = dict.fromkeys(name for one in job.setups if isinstance(name := one.get("name"), str))
            if names:
                options = tuple(Option(name, name) for name in names)
                yield field._replace(kind=Choice(options, absent=0))
        elif field.path == MEASURED["of"].path or field.path == RIDDEN["symptom"].path:
            yield _as_answered(job, field)
        else:
            yield field


def _pairs(job: Job, field: Field, pair: Pair) -> Iterator[Field]:
    """Yield one row per pair, and an empty one after them."""
    table = field.path[:-1]
    columns = [job.get((*table, key)) for key in pair.keys]
    count = max((len(column) for column in columns if isinstance(column, tuple)), default=0)
    for place in range(count + 1):
        label = f"pair {place + 1}" if place < count else "add a pair"
        path = (*table, pair.keys[0], place)
        yield field._replace(label=label, path=path, kind=pair._replace(place=place))


def _as_answered(job: Job, field: Field) -> Field:
    """Return the row with the options that depend on the job.

    Several symptoms appear as one more option, which selecting any other removes. The default place of a sag
    reading is that of the target.
    """
    raw, ways = job.get(field.path), field.kind
    assert isinstance(ways, Choice)
    if not ways.several:
        return field._replace(kind=ways._replace(absent=1 if job.get(("target", "of")) == "stroke" else 0))
    if not isinstance(raw, tuple) or not all(isinstance(word, str) for word in raw):
        return field
    several = Option(", ".join(word.replace("-", " ") for word in raw), raw)
    return field._replace(kind=ways._replace(options=(*ways.options, several)))


def unconfirmed_at(job: Job, row: Field) -> tuple[TreePath, ...]:
    """Return the paths of the unconfirmed values of a row."""
    places: tuple[TreePath, ...] = (row.path,)
    if isinstance(row.kind, Pair):
        columns = ((*row.path[:-2], key) for key in row.kind.keys)
        places = tuple(path for path in columns if job.get((*path, row.path[-1])) is not None)
    elif row.path == (*LEVERAGE, "kind"):
        places = _DRAWN
    return tuple(filter(job.is_unconfirmed, places))
