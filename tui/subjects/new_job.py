"""A new job: customer, wheels and springs, typical hardware for a size, and the values still missing.

It has nothing of the demo. Values that nobody typed are typical of the size and unconfirmed, or missing: the
rider, the wheel travel and the leverage of a frame have no typical value.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from typing import TYPE_CHECKING, Literal

from physics.case import EqualisedNegative
from physics.frozen import NamedTuple
from physics.typical import ForkSize, ShockSize, Size, shock_size, typical_air, typical_coil
from tui.job.fields import Pair
from tui.job.job import Job, invented
from tui.job.panels import NEW_AIR, NEW_COIL, panels, unconfirmed_at
from tui.job.quantities import in_si, split
from tui.job.tree import Raw, Tree, TreePath, clean
from tui.job.wheels import WHEELS, Wheel, faults_of, has_front, is_fork, wheel_job
from tui.shop_units import IMPERIAL, Measure

if TYPE_CHECKING:
    from tui.job.faults import JobFault
    from tui.job.fields import Field

Kind = Literal["coil", "air"]
_MM, _CM3 = 1e-3, 1e-6
_CROSS = re.compile(r"\s*[x×*]\s*", re.IGNORECASE)
_SEVERAL = re.compile(r"\s*[x×*/]\s*|(?<=\d)\s+(?=\d)", re.IGNORECASE)
"""What parts the two lengths of a shock's size."""


class NewEnd(NamedTuple):
    """One wheel of a new job: its springs in order, and the size of its shock or fork, if known.

    `typed`: the size was read off the shock or fork, not only chosen as likely.
    """

    springs: tuple[Kind, ...]
    size: Size | None = None
    typed: bool = False


def size_text(size: Size) -> str:
    """Return a size as the trade writes it."""
    if isinstance(size, ForkSize):
        return _length(size.travel)
    ends = " trunnion" if size.trunnion else ""
    return f"{_plain(size.eye_to_eye / _MM, 0.1)} x {_length(size.stroke)}{ends}"


def is_ticket(whose: str) -> bool:
    """Return whether a text is a ticket number: it begins with a digit or #, or is one word with a digit."""
    is_a_word_with_a_digit = len(whose.split()) == 1 and any(map(str.isdecimal, whose))
    return whose[:1].isdecimal() or whose[:1] == "#" or is_a_word_with_a_digit


def typed_size(text: str, wheel: Wheel) -> Size | None:
    """Return the size in a text, in mm without a unit; None if it is not a size.

    >>> typed_size("8.5 x 2.5 in", "rear")
    ShockSize(eye_to_eye=0.2159, stroke=0.0635, longest=0.0635, trunnion=False)
    """
    known = _lengths(text, 1 if wheel == "front" else 2)
    if not known:
        return None
    if wheel == "front":
        return ForkSize(known[0])
    return shock_size(known[0], known[1]) if known[0] > known[1] else None


def _sizes(text: str, count: int) -> list[str]:
    """Return the sizes in a text, which may be 2 1/2 where an x is between two or one has its unit."""
    alone, by_cross = split(text), _CROSS.split(text.strip())
    if len(by_cross) > 1:
        return by_cross
    return by_cross if count == 1 and alone is not None and alone[1] else _SEVERAL.split(text.strip())


def _lengths(text: str, count: int) -> list[float]:
    """Return so many lengths [m] in a text, mm where it has no unit; none if there are not as many."""
    parts = _sizes(text, count)
    last = split(parts[-1])
    if last is None or len(parts) != count:
        return []
    lengths = [in_si(f"{part} {last[1] or 'mm'}", Measure.TRAVEL) for part in (*parts[:-1], last[0])]
    known = [round(length, 7) for length in lengths if length is not None and length > 0]
    return known if len(known) == count else []


def eyes_first(text: str) -> str:
    """Return the size of a shock whose stroke was typed first as it is written, empty for any other text.

    >>> eyes_first("57.5x230"), eyes_first("230 x 57.5")
    ('230 x 57.5', '')
    """
    known = _lengths(text, 2)
    if not known or known[0] >= known[1]:
        return ""
    stroke, eyes = _sizes(text, 2)
    number, unit = split(eyes) or (eyes, "")
    return f"{number} x {stroke} {unit}".rstrip()


# --- the job ---------------------------------------------------------------------------------

_RIDER = {"posture": "standing", "bike_mass": "15 kg", "bike_share": 0.5}
"""Initial values of rider and bike. Common practice, no source."""
_UNSPRUNG: Mapping[Wheel, str] = {"rear": "4.2 kg", "front": "2.1 kg"}
"""Unsprung mass by wheel. Common practice, no source."""
_SAG: Mapping[Wheel, str] = {"rear": "28 %", "front": "18 %"}
"""Target sag by wheel, within the range in the help of the field. Common practice, no source."""
_HEAD_ANGLE = "65 deg"
"""Common practice, no source."""
_FORK_FRICTION = "20 N"
"""Seal friction of a fork. Common practice, no source."""


def new_job(
    customer: str = "", ticket: str = "", *, rear: NewEnd | None = None, front: NewEnd | None = None
) -> Job:
    """Return the job of a customer whose bike has these wheels; raises `ValueError` for none.

    Customer and ticket are typed, the rest is typical and unconfirmed, or missing: see `missing`. A front
    alone is the job of a fork.
    """
    if rear is None and front is None:
        raise ValueError("a job needs a rear, a front, or both")
    only: Wheel = "front" if rear is None else "rear"
    first = rear or front
    assert first is not None
    load = invented({**_RIDER, "unsprung_mass": _UNSPRUNG[only]})
    job = Job(Tree({"format": 1, **_whose(customer, ticket), "load": load, **_end(only, first)}))
    if rear is not None and front is not None:
        job = with_front(job, front)
    return job


def with_front(job: Job, front: NewEnd) -> Job:
    """Return the job of a rear wheel with a fork added, without values of the demo."""
    load = invented({"unsprung_mass": _UNSPRUNG["front"]})
    return job.with_value(("front",), {"load": load, **_end("front", front)})


def new_setup(job: Job, kind: Kind, name: str = "") -> Tree:
    """Return a setup to add to a one-wheel job, with typical hardware for its size, if known.

    All its values are unconfirmed.
    """
    return _setup(kind, size_of(job), name or (f"fork {kind}" if is_fork(job) else kind), fork=is_fork(job))


def size_of(job: Job) -> Size | None:
    """Return the size given by the frame of a one-wheel job, None without one."""
    lengths = (job.get(("frame", key)) for key in ("stroke", "eye_to_eye"))
    stroke, eyes = (in_si(raw, Measure.TRAVEL) if isinstance(raw, str) else None for raw in lengths)
    if not stroke or stroke <= 0:
        return None
    if is_fork(job):
        return ForkSize(stroke)
    return shock_size(eyes if eyes and eyes > stroke else None, stroke)


def _whose(customer: str, ticket: str) -> dict[str, Raw]:
    typed = {"customer": clean(customer).strip(), "ticket": clean(ticket).strip()}
    record = {key: text for key, text in typed.items() if text}
    if not record:
        return {}
    return {"title": typed["customer"] or f"ticket {typed['ticket']}", "record": record}


def _end(wheel: Wheel, end: NewEnd) -> dict[str, Raw]:
    """Return the tables of one wheel, without its load."""
    if not end.springs:
        raise ValueError(f"the {wheel} needs a spring")
    fork = wheel == "front"
    lengths: dict[str, Raw] = {}
    if isinstance(end.size, ShockSize):
        lengths = {"stroke": _length(end.size.stroke), "eye_to_eye": _length(end.size.eye_to_eye)}
    elif end.size is not None:
        lengths = {"stroke": _length(end.size.travel)}
    if end.size is not None and isinstance(end.size, ForkSize) != fork:
        raise ValueError(f"{size_text(end.size)} is not a size of a {'fork' if fork else 'shock'}")
    leverage = {"kind": "fork", "head_angle": _HEAD_ANGLE} if fork else {"kind": "ends"}
    setups: list[Tree] = []
    for kind in end.springs:
        name = Job(Tree({"setup": setups})).free_name(f"fork {kind}" if fork else kind)
        setups.append(_setup(kind, end.size, name, fork=fork))
    return {
        "frame": {**(Tree(lengths) if end.typed else invented(lengths)), "leverage": invented(leverage)},
        "target": invented({"sag": _SAG[wheel]}),
        "setup": setups,
    }


def _setup(kind: Kind, size: Size | None, name: str, *, fork: bool) -> Tree:
    usual = NEW_COIL if kind == "coil" else NEW_AIR
    solved = {"rate": "solve"} if kind == "coil" else {"pressure": "solve"}
    friction = _FORK_FRICTION if fork else usual["friction"]
    kinds = {"kind": kind} if kind == "coil" else {"kind": kind, "negative": "equalised"}
    fitted = {} if size is None else _hardware(kind, size)
    return invented({"name": name, **kinds, **solved, **fitted, "friction": friction})


def _hardware(kind: Kind, size: Size) -> dict[str, Raw]:
    """Return the typical hardware for a size by keys of a setup, rounded like measured values."""
    if kind == "coil":
        coil = typical_coil(size)
        assert coil.free_length is not None
        assert coil.solid_length is not None
        assert coil.rated_stroke is not None
        step = IMPERIAL.show(coil.ladder_step, Measure.SPRING_RATE)
        return {
            "preload": _length(float(coil.preload)),
            "free_length": _length(coil.free_length, 1),
            "solid_length": _length(coil.solid_length, 1),
            "rated_stroke": _length(coil.rated_stroke, 1),
            # The step of a shock's rates is the usual one of the field.
            **({"ladder_step": step} if isinstance(size, ForkSize) else {}),
        }
    air = typical_air(size)
    assert isinstance(air.negative, EqualisedNegative)
    rod = {"rod": _length(float(air.rod), 0.5)} if air.rod else {}
    return {
        "bore": _length(float(air.bore), 0.5),
        **rod,
        "body": _length(float(air.body), 0.5),
        "positive_volume": _volume(float(air.positive_volume), 1),
        "positive_spacers": 0,
        "positive_spacer_volume": _volume(float(air.positive_spacer_volume), 0.5),
        "negative_volume": _volume(float(air.negative.volume), 0.5),
        "port": _length(float(air.negative.port), 0.5),
    }


def _length(si: float, step: float = 0.1) -> str:
    return f"{_plain(si / _MM, step)} mm"


def _volume(si: float, step: float) -> str:
    return f"{_plain(si / _CM3, step)} cm3"


def _plain(value: float, step: float) -> str:
    return f"{round(value / step) * step:.1f}".removesuffix(".0")


# --- what is missing -------------------------------------------------------------------------


class Missing(NamedTuple):
    """A value that is still to be typed, or only to be confirmed if it is `there`.

    `path` is its path in the one-wheel job of `wheel`, and so that of a row of its panels.
    """

    wheel: Wheel
    path: TreePath
    there: bool


def missing(job: Job, faults: tuple[JobFault, ...] | None = None) -> tuple[Missing, ...]:
    """Return the values still to be typed or confirmed, by wheel, in the order rider, frame, springs.

    `faults` are those of the whole job, if already known.
    """
    if faults is None:
        from tui.job.reading import look

        faults = look(job)[1]
    found: dict[TreePath, Missing] = {}
    both = has_front(job)
    for wheel in WHEELS if both else WHEELS[:1]:
        alone = wheel_job(job, wheel)
        faulty = {fault.path for fault in faults_of(job, wheel, faults)}
        for panel in panels(alone, wheel if both else None):
            for row in panel.rows:
                bad = is_faulty(row, faulty)
                if bad or unconfirmed_at(alone, row):
                    found.setdefault(_in_file(job, wheel, row.path), Missing(wheel, row.path, not bad))
    return tuple(found.values())


def is_faulty(row: Field, faulty: Collection[TreePath]) -> bool:
    """Return whether a row has one of the faults, by their paths."""
    return any(path in faulty for path in _places(row))


def _places(row: Field) -> tuple[TreePath, ...]:
    """Return the paths at which a fault of a row may be."""
    if isinstance(row.kind, Pair):
        columns = tuple((*row.path[:-2], key) for key in row.kind.keys)
        return (row.path, *columns, *((*column, row.path[-1]) for column in columns))
    return (row.path,)


def _in_file(job: Job, wheel: Wheel, path: TreePath) -> TreePath:
    """Return the path of a wheel's value in the file; values shared by the front are those of the rear."""
    own: TreePath = ("front", *path)
    return own if wheel == "front" and (path[0] != "load" or job.get(own) is not None) else path
