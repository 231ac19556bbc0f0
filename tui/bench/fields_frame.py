"""The frame panel: wheel travel, shock stroke and the leverage between them."""

from __future__ import annotations

from collections.abc import Mapping

from tui.bench.fields_row import Amount, Bare, Choice, Option, Pair, Panel, Row, Words
from tui.jobs.ends import End
from tui.jobs.fork_words import is_fork
from tui.jobs.job import Job
from tui.jobs.tree import Path, Raw
from tui.shop_units import Measure

_HALF = {"mm": "0.5"}
LEVERAGE: Path = ("frame", "leverage")
_KEYS = {
    "ends": ("start", "middle", "end"),
    "table": ("travel_mm", "ratio"),
    "measured": ("travel_mm", "stroke_mm"),
    "fork": ("head_angle",),
    "linkage": ("points_mm", "points_px", "known", "level", "fixed", "bars", "axle", "shock"),
}


def _way(word: str, kind: str, needs: Mapping[str, Raw]) -> Option:
    own = _KEYS[kind]
    others = {key for keys in _KEYS.values() for key in keys} - set(own)
    also = tuple(key for key in own if key not in needs)
    renews = ("travel_mm",) if "travel_mm" in needs else ()
    return Option(word, kind, needs=needs, also=also, drops=tuple(sorted(others)), renews=renews)


_NAME = Row(
    "name",
    ("frame", "name"),
    Words(),
    "What this frame is called in the records, where it is found again for the next rider. It changes no "
    "number.",
)
_SIZES = (
    Row(
        "wheel travel",
        ("frame", "wheel_travel"),
        Amount(Measure.TRAVEL),
        "How far the axle rises straight up from full extension to the stop: spring out, wheel lifted, "
        "measured at the axle.",
    ),
    Row(
        "shock stroke",
        ("frame", "stroke"),
        Amount(Measure.TRAVEL, _HALF),
        "How far the shock shortens over the whole travel: stands on the shock or in its papers.",
    ),
    Row(
        "eye to eye",
        ("frame", "eye_to_eye"),
        Amount(Measure.TRAVEL, _HALF),
        "From the middle of one mounting bolt to the other, the shock at full length. A linkage "
        "as drawn is held against it.",
    ),
)
_FORK_SIZES = (
    Row(
        "fork travel",
        ("frame", "stroke"),
        Amount(Measure.TRAVEL, _HALF),
        "How far the fork slides in along its legs, from full length to the stop.",
    ),
    Row(
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
_KIND = Row(
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
_ENDS = (
    Row(
        "ratio at start",
        (*LEVERAGE, "start"),
        _RATIO,
        "Wheel travel over shock stroke at full extension: how many mm the wheel rises for the first mm of "
        "stroke.",
    ),
    Row(
        "ratio mid-travel",
        (*LEVERAGE, "middle"),
        _RATIO,
        "The same at half the wheel travel, where it is known: the curve then bends through it. Empty draws "
        "a straight line.",
    ),
    Row(
        "ratio at the end",
        (*LEVERAGE, "end"),
        _RATIO,
        "The same at full travel. Below the start: the wheel feels more of the spring as it goes deeper.",
    ),
)
_FORK = Row(
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


def frame_panel(job: Job, end: End | None = None) -> Panel:
    """Return the frame panel with the rows that this job's kind of leverage asks for."""
    fork = is_fork(job)
    eyes = job.get(_SIZES[-1].path) is not None
    sizes = (*_FORK_SIZES, *(_SIZES[-1:] if eyes else ())) if fork else _SIZES
    rows = (*sizes, _NAME, _kind_row(job, end), *_leverage_rows(job))
    return Panel("fork" if fork else "frame", rows)


def _kind_row(job: Job, end: End | None) -> Row:
    kind = job.get(_KIND.path)
    if kind == "linkage":
        return _DRAWN_KIND
    return _REAR_KIND if end == "rear" and kind != "fork" else _KIND


def _leverage_rows(job: Job) -> tuple[Row, ...]:
    match job.get((*LEVERAGE, "kind")):
        case "ends":
            return _ENDS
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
    job: Job, table: Path, keys: tuple[str, str], units: tuple[str, str], step: str, meaning: str
) -> tuple[Row, ...]:
    """Return one row per pair of two arrays below `table`, and an empty one behind them."""
    columns = [job.get((*table, key)) for key in keys]
    count = max((len(column) for column in columns if isinstance(column, tuple)), default=0)
    return tuple(
        Row(
            f"pair {index + 1}" if index < count else "one pair more",
            (*table, keys[0], index),
            Pair(keys, index, units, step),
            meaning,
        )
        for index in range(count + 1)
    )
