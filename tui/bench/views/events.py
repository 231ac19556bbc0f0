"""Simulated events: nudging event and damper; chart, readout and replay of every setup."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache, partial
from typing import cast

import numpy as np

from physics.arrays import Values, values
from physics.frozen import NamedTuple
from physics.ride import Ride
from tui.bench.edit import open_edit
from tui.bench.state import EVENTS as HERE
from tui.bench.state import BenchState, EventChoice, select_field, with_job
from tui.bench.views.here import FIX_FIRST, NOTHING_YET, View
from tui.charts import series
from tui.charts.drawing import Picture, picture, view_rows
from tui.charts.series import Scene
from tui.job.faults import UnusableJob
from tui.job.fields import DAMPER, Choice, Field
from tui.job.job import Job
from tui.job.tree import brief
from tui.job.typed import field_text, next_option, nudged, typed_into
from tui.job.wheels import is_fork, spoken
from tui.kit.cells import CellRow, beside, cells, fitted
from tui.kit.document import Block, Document, Drawing, Heading, Labelled, Paragraph, Rows, Table, heading_of
from tui.kit.dressing import dressed, least_width, setup_name, told
from tui.kit.keymap import by
from tui.kit.look import ChartLook, literal
from tui.kit.roles import Role
from tui.kit.work import Task, Told
from tui.ride import mapped, riding
from tui.ride.events import EVENTS, EventName, event_in, size_at
from tui.ride.mapped import Mapped
from tui.ride.riding import Ridden, RideFigure
from tui.shop_units import Measure, ShopUnits

_LEAST_ROWS, _MOST_ROWS = 7, 16
"""Minimum and maximum height of the chart above the figures [rows]; from the latter on they may be
beside it."""
_LEAST_BESIDE, _LEAST_ASIDE, _GAP = 70, 46, 4
"""Minimum widths of the chart and of the figures beside it, and the gap between them [cells]."""
_WINDOW = 3.0
"""Duration of one page of the chart for a longer ride [s]."""
_STILL, _AFTER, _LEAST = 0.02, 0.15, 0.3
"""Fraction of full travel within which a wheel counts as at rest, extra time shown after that as a fraction,
and the minimum duration of the chart [s]."""
_NEAR = 0.75
"""Fraction of full travel, or of static load, above which the chart shows it as a level."""
_HIGHEST = 20.0
"""Highest frequency of small waves in the chart [Hz]."""
_NONE_RIDES = "No setup has a sag, so none can ride."
_MOMENT = 0.01
"""Step of the readout [s]."""
_TEN = 10
_SLOWNESS = (1, 2, 5, 10, 20, 50)
_NAME, _LEAST_BAR, _MOST_BAR = 12, 10, 50
"""Widths [cells]: name before a bar of travel, and minimum and maximum of the bar."""
_AT_STOP = "at stop"
"""In place of a wheel force that the stop, whose stiffness nobody knows, shares."""


class _Shown(NamedTuple):
    """A quantity for the chart: its name, the attribute of the ride, and its measure.

    With `waves` it is an attribute of the response to small ground waves over frequency; a `ranged` one is a
    figure over a range of an event size or a number of the job.
    """

    name: str
    of: str
    measure: Measure
    waves: bool = False
    ranged: bool = False


_SHOWN = (
    _Shown("travel", "travel", Measure.TRAVEL),
    _Shown("wheel force", "wheel_force", Measure.FORCE),
    _Shown("tyre force", "tyre_force", Measure.FORCE),
    _Shown("body over waves", "height", Measure.RATIO, waves=True),
    _Shown("travel over waves", "travel", Measure.RATIO, waves=True),
    _Shown("over a range", "", Measure.COUNT, ranged=True),
)


class Knob(NamedTuple):
    """One adjustable item: its name, its value as shown, and its field, if it is one.

    `turned` returns the state after some steps, `taken` that after Enter where it is not one step.
    """

    label: str
    text: str
    turned: Callable[[BenchState, int], BenchState]
    meaning: str
    field: Field | None = None
    of_job: bool = False
    taken: Callable[[BenchState], BenchState] | None = None


def knobs(state: BenchState) -> list[Knob]:
    """Return the adjustable items: event and sizes, damper, and what is shown."""
    choice, name = state.event, _event(state)
    sizes = [_size_knob(choice.sizes, field) for field in EVENTS[name].fields.values()]
    damper = [_damper_knob(state, field) for field in _damper_fields(state.job)]
    return [
        Knob("event", EVENTS[name].name, _event_turned, EVENTS[name].meaning),
        *sizes,
        *damper,
        Knob("shows", _shown_text(state), _shows_turned, _OF_SHOWN),
        *(_range_knobs(state) if _is_ranged(state) else _time_knobs(state)),
        *_returning_knob(state),
    ]


def _time_knobs(state: BenchState) -> list[Knob]:
    """Return the adjustable items for a ride over time: time of the readout, and replay."""
    return [
        Knob("at", _moment_text(state), _moment_turned, _OF_MOMENT),
        Knob("replay", f"{state.event.slower} x slower", _slower_turned, _OF_REPLAY),
    ]


def _is_ranged(state: BenchState) -> bool:
    return _shown(state).ranged


def _range_knobs(state: BenchState) -> list[Knob]:
    """Return the adjustable items for a range: figure, input, and second input of a map."""
    figure, over, by = _figure(state), _over(state), _by(state)
    return [
        Knob(
            "figure", heading_of(figure.label, state.units.unit(figure.measure)), _figure_turned, _OF_FIGURE
        ),
        Knob("over", _label(state, over), _over_turned, _OF_OVER),
        Knob("by", _label(state, by) if by else _ALONE, _by_turned, _OF_BY),
        *_place_knob(state),
    ]


def _place_knob(state: BenchState) -> Iterator[Knob]:
    """Yield the place of a range that is read, where that is calculated."""
    found = mapped_here(state)
    if found is not None:
        at = _place(state, found)
        text = f"{at.text}: {at.figure}"
        yield Knob(_READ, text, _place_turned, _OF_PLACE, taken=place_taken)


def _place_of(state: BenchState, found: Mapped) -> tuple[int, ...]:
    """Return the place that is read: where event and job stand until it is moved."""
    if state.cell is None:
        return mapped.place_now(found, mapped.setup_shown(found, state.setup))
    sides = zip(state.cell, found.sides, strict=False)
    return tuple(min(max(at, 0), side.numbers.size - 1) for at, side in sides)


def _place(state: BenchState, found: Mapped) -> mapped.Place:
    setup, place = mapped.setup_shown(found, state.setup), _place_of(state, found)
    return mapped.place_read(found, _figure(state), setup, place, state.units)


def _place_turned(state: BenchState, steps: int) -> BenchState:
    """Read another place: along the first side by small steps, in a map along the second by large ones."""
    found = mapped_here(state)
    if found is None:
        return state
    down, across = (*_place_of(state, found), 0)[:2]
    if len(found.sides) > 1 and abs(steps) >= _TEN:
        across += 1 if steps > 0 else -1
    else:
        down += steps
    counts = [*(side.numbers.size for side in found.sides), 1]
    cell = (min(max(down, 0), counts[0] - 1), min(max(across, 0), counts[1] - 1))
    return replace(state, cell=cell)


def place_taken(state: BenchState) -> BenchState:
    """Put the place that is read on the bench: sizes into the event, numbers into the job."""
    found, wanted = mapped_here(state), task(state)
    if found is None or wanted is None or state.worked.key != wanted.key:
        return replace(state, note="Not calculated yet.")
    if state.is_outdated:
        return replace(state, note=FIX_FIRST)
    at = _place(state, found)
    if not at.whole:
        return replace(state, note=f"{at.text}: not set, no single field holds it.")
    sizes = state.event.sizes
    for key, text in at.sizes.items():
        sizes = typed_into(sizes, EVENTS[_event(state)].fields[key], text, state.units)
    job = state.job
    for path, value in at.typed:
        job = job.taken_out(path) if value is None else job.with_value(path, value)
    after = replace(with_sizes(state, sizes), cell=None)
    if job == state.job:
        return replace(after, note=f"{at.text}: in the event.")
    return replace(with_job(after, job), note=f"{at.text}: on the bench; u undoes it.")


def on_place(state: BenchState) -> bool:
    """Return whether the cursor is on the place of a range, which Enter uses."""
    return _is_ranged(state) and knob_here(state).taken is place_taken


def _figure(state: BenchState) -> RideFigure:
    return mapped.FIGURES.get(state.event.figure) or mapped.FIGURES[mapped.FIRST]


def _names(state: BenchState) -> tuple[str, ...]:
    return () if state.answer is None else mapped.names_of(state.answer, _event(state))


def _over(state: BenchState) -> str:
    """Return the name of the input of a range: the chosen one if it exists, else the first."""
    names = _names(state)
    return state.event.over if state.event.over in names else next(iter(names), "")


def _by(state: BenchState) -> str:
    """Return the name of the second input of a map, empty without one."""
    by = state.event.by
    return by if by in _names(state) and by != _over(state) else ""


def _label(state: BenchState, name: str) -> str:
    return name if state.answer is None else mapped.label_of(state.answer, _event(state), name)


def _next(names: Sequence[str], here: str, steps: int) -> str:
    return names[((names.index(here) if here in names else 0) + steps) % len(names)] if names else ""


def _figure_turned(state: BenchState, steps: int) -> BenchState:
    after = _next(tuple(mapped.FIGURES), _figure(state).name, steps)
    return replace(state, event=state.event._replace(figure=after))


def _over_turned(state: BenchState, steps: int) -> BenchState:
    after = _next(_names(state), _over(state), steps)
    return replace(state, cell=None, event=state.event._replace(over=after))


def _by_turned(state: BenchState, steps: int) -> BenchState:
    names = ("", *(name for name in _names(state) if name != _over(state)))
    by = _next(names, _by(state), steps)
    return replace(state, cell=None, event=state.event._replace(by=by))


def _shown_text(state: BenchState) -> str:
    """Return what the chart shows, with its unit."""
    shown = _shown(state)
    return shown.name if shown.ranged else heading_of(shown.name, state.units.unit(shown.measure))


def returning_factor(state: BenchState) -> float | None:
    """Return the factor on rebound damping at which the selected setup just returns, None without one."""
    more = more_here(state)
    if more is None or more.rebound is None:
        return None
    factor = float(more.rebound.factor[min(state.setup, len(more.rebound.factor) - 1)])
    return factor if np.isfinite(factor) and factor > 0 else None


def _returning_knob(state: BenchState) -> Iterator[Knob]:
    """Yield the rebound damping that just returns, if one was found."""
    factor = returning_factor(state)
    if factor is not None:
        yield Knob("returns with", f"{factor:.2f} x rebound", _returning_taken, _OF_RETURN)


def _returning_taken(state: BenchState, _steps: int) -> BenchState:
    return rebound_taken(state)


def rebound_taken(state: BenchState) -> BenchState:
    """Use the rebound damping with which the selected setup just returns between the bumps."""
    factor = returning_factor(state)
    if factor is None:
        return replace(state, note="No rebound found yet: choose the bump train and wait for its search.")
    if state.is_outdated:
        return replace(state, note=FIX_FIRST)
    job = riding.with_rebound(state.job, factor)
    return replace(with_job(state, job), note=f"Rebound damping times {factor:.2f}; u undoes it.")


_OF_SHOWN = (
    "What the chart shows: travel, wheel or tyre force over time; movement of body or wheel over that of the "
    "ground in small waves, by frequency, without seal friction; or a figure over a range: drop heights, "
    "damping, pressure."
)
_ALONE = "nothing else"
_OF_FIGURE = "The figure shown over the range."
_OF_OVER = (
    "What changes along the range: a size of the event, the damper, the tyre, or any number of the job that "
    "can be swept; from 0.2 to 2 times the size, or around the present value."
)
_OF_BY = (
    "A second range makes a map of the selected setup, a column for each number; without it the chart shows "
    "all setups."
)
_READ = "read"
_OF_PLACE = (
    "The number marked in the table: + - moves along the range, < > across a map. Enter puts it into event "
    "and job."
)
_OF_MOMENT = (
    "The moment shown by arrow and bars; at first that of deepest travel. No force is shown at the stop: it "
    "depends on how stiff the stop is."
)
_OF_REPLAY = "How many times slower than real time the replay is: Space, then p, starts and stops it."
_OF_RETURN = (
    "The rebound at which the selected setup just returns to sag between the bumps: Enter uses it; u "
    "undoes it."
)


def _size_knob(sizes: Job, field: Field) -> Knob:
    """Return the knob for a size of the event."""
    text = str(size_at(sizes, field))
    return Knob(field.label, text, partial(_size_turned, field), field.meaning, field)


def _damper_knob(state: BenchState, field: Field) -> Knob:
    """Return the knob for a value of the job's damper."""
    text, turned = _damper_text(state, field), partial(_damper_turned, field)
    return Knob(_WAYS[field.key], text, turned, field.meaning, field, of_job=True)


def knob_text(state: BenchState) -> str:
    """Return the description of the knob under the cursor, for the foot of the screen."""
    knob = knob_here(state)
    return f"{knob.label}: {knob.meaning}"


def help_blocks(state: BenchState) -> Iterator[Block]:
    """Yield help on the knob under the cursor and on every figure of a ride."""
    knob, fork = knob_here(state), is_fork(state.job)
    yield Heading(f"Here: {knob.label}")
    yield Paragraph(spoken(knob.meaning, fork))
    yield Heading("Figures of the event")
    for figure in riding.RIDE_FIGURES:
        yield Labelled(spoken(figure.label, fork), spoken(figure.meaning, fork))


def _damper_text(state: BenchState, field: Field) -> str:
    """Return a value of the damper as typed, else the usual one."""
    return field_text(state.job, field) or field.usual


def _damper_fields(job: Job) -> list[Field]:
    """Return the damper fields that can be nudged: a fraction or a slope for each direction."""
    if job.get(("damper", "speed_m_per_s")) is not None:
        return []
    return [
        DAMPER[f"{way}_low" if job.get(("damper", f"{way}_low")) is not None else f"{way}_share"]
        for way in ("rebound", "compression")
    ]


_WAYS = {
    "rebound_share": "rebound",
    "rebound_low": "rebound, low",
    "compression_share": "compression",
    "compression_low": "compression, low",
}
"""Names of the damper's knobs by key."""


def _event(state: BenchState) -> EventName:
    """Return the chosen event; a remembered name may be unknown."""
    return cast(EventName, state.event.name) if state.event.name in EVENTS else next(iter(EVENTS))


def _shown(state: BenchState) -> _Shown:
    return _SHOWN[state.event.shows % len(_SHOWN)]


def knob_here(state: BenchState) -> Knob:
    """Return the knob under the cursor."""
    there = knobs(state)
    return there[min(state.event.knob, len(there) - 1)]


def other_knob(state: BenchState, steps: int) -> BenchState:
    """Move the cursor to another knob, wrapping around."""
    count = len(knobs(state))
    knob = (min(state.event.knob, count - 1) + steps) % count
    return replace(state, event=state.event._replace(knob=knob))


def turned(state: BenchState, steps: int) -> BenchState:
    """Turn the knob under the cursor by steps."""
    return knob_here(state).turned(state, steps)


def _event_turned(state: BenchState, steps: int) -> BenchState:
    names = tuple(EVENTS)
    return with_event(state, names[(names.index(_event(state)) + (1 if steps > 0 else -1)) % len(names)])


def on_event(state: BenchState) -> bool:
    """Return whether the cursor is on the event itself, for which Enter lists all events."""
    return knob_here(state).turned is _event_turned


def with_event(state: BenchState, name: str) -> BenchState:
    """Return the state with another event, and say what it is."""
    after = replace(state, cell=None, event=state.event._replace(name=name, at=None, plays=False))
    if after.in_view and knob_here(after).label == "event":
        return after  # what the event is stands below already
    event = EVENTS[_event(after)]
    return replace(after, note=f"{event.name}: {event.meaning}")


def _size_turned(field: Field, state: BenchState, steps: int) -> BenchState:
    sizes = state.event.sizes
    sizes = sizes.with_value(field.path, size_at(sizes, field))
    if isinstance(field.kind, Choice):
        option = next_option(sizes, field, 1 if steps > 0 else -1)
        after = None if option is None else field.kind.select(sizes, field.path, option)
    else:
        after = nudged(sizes, field, steps)
    return state if after is None else with_sizes(state, after)


def with_sizes(state: BenchState, sizes: Job) -> BenchState:
    """Return the state with other sizes of the event, or with a message if they are invalid."""
    try:
        event_in(_event(state), sizes)
    except UnusableJob as unusable:
        return replace(state, note=f"{unusable.faults[0]}.")
    return replace(state, event=state.event._replace(sizes=sizes, at=None, plays=False))


def size_typed(state: BenchState, field: Field, text: str) -> Job:
    """Return the sizes with one as typed; raises `UnusableJob` if it is invalid."""
    sizes = typed_into(state.event.sizes, field, text, state.units)
    event_in(_event(state), sizes)
    return sizes


def _damper_turned(field: Field, state: BenchState, steps: int) -> BenchState:
    job = nudged(state.job, field, steps)
    after = state if job is None else with_job(state, job)
    wrong = [fault for fault in after.faults if fault.path == field.path]
    if not wrong:
        return after
    return replace(state, note=f"{field.full_label}: {wrong[0].what}; {wrong[0].accepted}.")


def _shows_turned(state: BenchState, steps: int) -> BenchState:
    shows = (state.event.shows + (1 if steps > 0 else -1)) % len(_SHOWN)
    return replace(state, event=state.event._replace(shows=shows))


def show_other(state: BenchState) -> BenchState:
    """Show travel, wheel force, tyre force and the response to small waves in turn."""
    return _shows_turned(state, 1)


def _slower_turned(state: BenchState, steps: int) -> BenchState:
    here = min(_SLOWNESS, key=lambda slower: abs(slower - state.event.slower))
    place = _SLOWNESS.index(here) + (1 if steps > 0 else -1)
    slower = _SLOWNESS[min(max(place, 0), len(_SLOWNESS) - 1)]
    return replace(state, event=state.event._replace(slower=slower))


def _moment_turned(state: BenchState, steps: int) -> BenchState:
    return _moved(state, steps * _MOMENT)


def _moved(state: BenchState, seconds: float) -> BenchState:
    found = found_here(state)
    if found is None:
        return state
    end = ride_end(found.ride)
    at = min(max(moment(state.event, found.ride) + seconds, 0.0), end)
    return replace(state, event=state.event._replace(at=at, plays=state.event.plays and at < end))


def moment(choice: EventChoice, ride: Ride) -> float:
    """Return the time of the readout [s]: the chosen one, else that of the deepest travel of any setup."""
    if choice.at is not None:
        return choice.at
    if not np.isfinite(ride.deepest).any():
        return 0.0
    setup = int(np.nanargmax(ride.deepest))
    return float(ride.time[int(np.argmax(ride.travel[setup]))])


def _moment_text(state: BenchState) -> str:
    found = found_here(state)
    at = state.event.at if found is None else moment(state.event, found.ride)
    return "deepest" if at is None else state.units.show(at, Measure.TIME)


def replay_started(state: BenchState) -> BenchState:
    """Start the replay from the beginning of the ride, or pause a running one."""
    found, choice = found_here(state), state.event
    if _is_ranged(state):
        return replace(state, note="A range has no replay: show travel or a force first.")
    if found is None:
        return replace(state, note=NOTHING_YET if state.answer is None else "Nothing to replay yet.")
    if choice.plays:
        return replace(state, event=choice._replace(plays=False), note="Replay stopped.")
    ended = choice.at is None or choice.at >= ride_end(found.ride)
    at = 0.0 if ended else choice.at
    return replace(state, event=choice._replace(plays=True, at=at), note="Replay: the same key stops it.")


def replayed(state: BenchState, seconds: float) -> BenchState:
    """Advance the replay by a time [s]; it stops at the end of the ride."""
    if not state.event.plays:
        return state
    return _moved(state, seconds / state.event.slower)


KEYS: Mapping[str, Callable[[BenchState], BenchState]] = {
    "left": by(other_knob, -1),
    "right": by(other_knob, 1),
    **dict.fromkeys("+=", by(turned, 1)),
    **dict.fromkeys("-_", by(turned, -1)),
    ">": by(turned, _TEN),
    "<": by(turned, -_TEN),
}
"""Keys while the view has the focus."""


def acts(_state: BenchState) -> Mapping[str, str]:
    """Return the keys of the view that do actions of the bench."""
    return {"enter": "event_enter"}


def task(state: BenchState) -> Task | None:
    """Return the task of computing the ride, None before there is an answer."""
    if state.answer is None:
        return None
    answered, event, sizes = state.answer, _event(state), state.event.sizes

    def work(progress: Told) -> Ridden | str:
        try:
            return riding.ridden(answered, event, sizes, progress)
        except UnusableJob as unusable:
            return f"{unusable.faults[0]}."

    key = (HERE, state.wheel, answered.job, event, sizes)
    if _is_ranged(state):
        return Task((*key, _over(state), _by(state)), partial(_mapped, state))
    ridden, further = found_here(state), (*key, "searched")
    if ridden is None or state.worked.key not in (key, further) or event not in riding.SEARCHED:
        return Task(key, work)
    return Task(further, lambda progress: Further(ridden, riding.searched(ridden, progress)))


def _mapped(state: BenchState, progress: Told) -> Mapped | str:
    """Compute the event of a state over its range."""
    assert state.answer is not None
    event, sizes, by = _event(state), state.event.sizes, _by(state)
    counts = (mapped.DOWN, mapped.ACROSS) if by else (mapped.ALONE,)
    names = (_over(state), by) if by else (_over(state),)
    try:
        sides = [
            mapped.usual_side(state.answer, event, sizes, name, count)
            for name, count in zip(names, counts, strict=True)
        ]
        return mapped.mapped(state.answer, event, sizes, sides, progress)
    except UnusableJob as unusable:
        return f"{unusable.faults[0]}."


def mapped_here(state: BenchState) -> Mapped | None:
    """Return the range computed last for this wheel, None without one."""
    found, key = state.worked.found, state.worked.key
    is_here = isinstance(key, tuple) and key[:2] == (HERE, state.wheel)
    return found if is_here and isinstance(found, Mapped) else None


class Further(NamedTuple):
    """A ride with the results of its searches."""

    ridden: Ridden
    more: riding.Searched


def found_here(state: BenchState) -> Ridden | None:
    """Return the ride computed last for this wheel, None without one."""
    found, key = state.worked.found, state.worked.key
    ridden = found.ridden if isinstance(found, Further) else found
    is_here = isinstance(key, tuple) and key[:2] == (HERE, state.wheel)
    return ridden if is_here and isinstance(ridden, Ridden) else None


def more_here(state: BenchState) -> riding.Searched | None:
    """Return the search results for the ride shown, None while unknown."""
    found = state.worked.found
    return found.more if isinstance(found, Further) and found_here(state) is found.ridden else None


def lines(state: BenchState, width: int, look: ChartLook, height: int = 0) -> list[CellRow]:
    """Return the view: the latest ride, and the progress of the next one.

    With a `height`, chart and bars end there, and the figures follow, beside the chart if there is room.
    """
    wanted = task(state)
    if wanted is None:
        return told(NOTHING_YET, width, look.glyphs)
    found, doing = found_here(state), _doing(state, wanted)
    over = mapped_here(state) if _is_ranged(state) else None
    if over is not None:
        return _range_lines(state, over, doing, (width, height), look)
    if found is None or _is_ranged(state):
        why = state.worked.found if state.worked.key == wanted.key else None
        said, role = (why, Role.CAUTION) if isinstance(why, str) else (doing, Role.QUIET)
        return [*told(said, width, look.glyphs, role), *_knob_rows(state, "", width, look)]
    page = riding.document(found, state.units, more_here(state), _waits(state, wanted))
    above = Document(page.blocks[: page.blocks.index(Drawing(riding.CHART))], page.fork)
    knobs = {riding.KNOBS: lambda width: _knob_rows(state, doing, width, look)}
    lines = dressed(above, width, look, knobs)
    rows = height - len(lines) - 1 - len(found.ride.names)
    below = Document(page.blocks[len(above.blocks) + 1 :], page.fork)
    tables = Document(tuple(block for block in below.blocks if isinstance(block, Table)), page.fork)
    aside = max(_LEAST_ASIDE, least_width(tables, look))
    if rows >= _MOST_ROWS and width - aside - _GAP >= _LEAST_BESIDE:
        chart = _chart_rows(state, found, (width - aside - _GAP, rows), look)
        return lines + beside(chart, dressed(below, aside, look), width - aside)
    for others in range(len(found.ride.names) - 1, riding.OTHERS, -1):
        whole = riding.document(found, state.units, more_here(state), _waits(state, wanted), others)
        if least_width(whole, look) <= width:
            page = whole
            break
    rows = min(max(rows - 1, _LEAST_ROWS), _MOST_ROWS)
    drawn = {riding.CHART: lambda width: _chart_rows(state, found, (width, rows), look)}
    return dressed(page, width, look, knobs | drawn)


def _range_lines(
    state: BenchState, found: Mapped, doing: str, size: tuple[int, int], look: ChartLook
) -> list[CellRow]:
    """Return the view of a range: the latest one, and the progress of the next one."""
    width, height = size
    read = _place_of(state, found) if on_place(state) and state.view_has_focus else None
    page = mapped.document(found, _figure(state), state.units, state.setup, read=read)
    knobs = {riding.KNOBS: lambda width: _knob_rows(state, doing, width, look)}
    if len(found.sides) > 1:
        return dressed(page, width, look, knobs)
    above = Document(page.blocks[: page.blocks.index(Drawing(riding.CHART))], page.fork)
    rows = min(max(height - len(dressed(above, width, look, knobs)) - 1, _LEAST_ROWS), _MOST_ROWS)
    scene = _range_scene(found, _figure(state).name, state.units, look)

    def chart(width: int) -> list[CellRow]:
        return view_rows(scene, _picture(scene, width, rows))

    return dressed(page, width, look, knobs | {riding.CHART: chart})


@lru_cache(maxsize=4)
def _range_scene(found: Mapped, name: str, units: ShopUnits, look: ChartLook) -> Scene:
    """Return the chart of a figure over a range."""
    figure, side = mapped.FIGURES[name], found.sides[0]
    x = side.read(found.answered.case)
    drawn = [mapped.of_figure(found, figure, place) for place in range(len(found.names))]
    is_near = name == mapped.FIRST and any(np.nanmax(one, initial=0.0) >= _NEAR for one in drawn)
    chart = series.ChartData(
        title=f"{mapped.what_rode(found, units)}, rider as a mass: {figure.label}",
        x=series.Axis(side.label, side.measure),
        y=series.Axis(figure.label, figure.measure),
        fraction=values([0.0, 1.0]),
        place=x,
        lines=tuple(
            series.Line(setup, place, x, y)
            for place, (setup, y) in enumerate(zip(found.names, drawn, strict=True))
        ),
        level=series.Level("full travel", 1.0) if is_near else None,
        note=f"No setup has {figure.label} in this range.",
    )
    return Scene(chart, units, look)


def _doing(state: BenchState, wanted: Task) -> str:
    """Return the progress of the work, empty if it is done."""
    if state.worked.key is not None and state.worked.key in (wanted.key, _first_part(wanted)):
        return ""
    return f"calculating: {state.worked.share_text(wanted.key)}"


def _first_part(wanted: Task) -> object:
    """Return the key of the ride if its search is the task, None if the ride itself is."""
    key = cast(tuple[object, ...], wanted.key)
    return key[:-1] if key[-1] == "searched" else None


def _waits(state: BenchState, wanted: Task) -> str:
    """Return the placeholder for the result of a search, empty if nothing is searched for."""
    if _event(state) not in riding.SEARCHED:
        return ""
    what = {"drop": riding.MEETS, "bumps": riding.RETURNS, "road": riding.WARMS}[_event(state)]
    share = state.worked.share_text(wanted.key if _first_part(wanted) else None)
    return f"{what}: calculating, {share}."


def _knob_rows(state: BenchState, doing: str, width: int, look: ChartLook) -> list[CellRow]:
    """Return the knobs, as many per row as fit, the one under the cursor marked.

    The progress is after the last one, so that nothing moves when the work is done.
    """
    here, rows = knob_here(state), list[CellRow]()
    row: CellRow = []
    for knob in knobs(state):
        is_here = knob.label == here.label and state.view_has_focus
        mark = look.glyphs.selected if is_here else " "
        piece = cells(f"{mark} {knob.label} ", Role.HERE if is_here else Role.QUIET)
        piece += cells(knob.text, Role.HERE if is_here else Role.STRONG) + cells(" ", Role.BASE)
        if row and len(row) + len(piece) > width:
            rows.append(row)
            row = []
        row = row + piece
    return [*rows, row + cells(f" {doing}" if doing else "", Role.QUIET)]


def scene(state: BenchState, look: ChartLook) -> Scene | None:
    """Return the chart of the ride shown, None before there is one."""
    found, over = found_here(state), mapped_here(state)
    if (found is None and over is None) or _doing(state, cast(Task, task(state))):
        return None
    if over is not None:
        return None if len(over.sides) > 1 else _range_scene(over, _figure(state).name, state.units, look)
    assert found is not None
    return _scene(found, state.event.shows, 0, state.units, look)


def numbers(state: BenchState) -> Rows:
    """Return the table of the whole ride, empty before it is computed and for small waves."""
    found, over = found_here(state), mapped_here(state)
    if over is not None and _is_ranged(state):
        return [] if _doing(state, cast(Task, task(state))) else mapped.numbers_of(over, state.units)
    if found is None or _shown(state).waves or _doing(state, cast(Task, task(state))):
        return []
    return riding.numbers(found, state.units)


@lru_cache(maxsize=4)
def _scene(found: Ridden, shows: int, page: int, units: ShopUnits, look: ChartLook) -> Scene:
    """Return the chart of one page of a ride; a short ride has one page."""
    ride, shown = found.ride, _SHOWN[shows % len(_SHOWN)]
    first, last = _page_ends(ride, page)
    there = slice(int(np.searchsorted(ride.time, first)), int(np.searchsorted(ride.time, last)) + 1)
    if shown.waves:
        return Scene(_waves_chart(found, shown), units, look)
    drawn = cast(Values, getattr(ride, shown.of))
    full, load = found.answered.answer.frame.wheel_travel, found.answered.answer.load.static_wheel_force
    level = series.Level("static load", float(load))
    if shown.measure is Measure.TRAVEL:
        level = series.Level("full travel", float(full))
    is_near = np.nanmax(drawn, initial=0.0) >= _NEAR * level.y
    chart = series.ChartData(
        title=f"{riding.what_rode(found, units)}, rider as a mass: {shown.name}",
        x=series.Axis("time", Measure.TIME),
        y=series.Axis(shown.name, shown.measure),
        fraction=values([0.0, 1.0]),
        place=values([first, last]),
        lines=tuple(
            series.Line(name, look_of, ride.time[there], drawn[look_of, there])
            for look_of, name in enumerate(ride.names)
        ),
        level=level if is_near else None,
        note=_NONE_RIDES,
    )
    return Scene(chart, units, look)


def _waves_chart(found: Ridden, shown: _Shown) -> series.ChartData:
    """Return the chart of the amplitude ratio of body height or wheel travel to small ground waves."""
    there = found.response.frequency <= _HIGHEST
    hertz = values(found.response.frequency[there])
    gain = np.abs(cast(Values, getattr(found.response, shown.of))[:, there])
    return series.ChartData(
        title=f"Small waves, rider as a mass: {shown.name}",
        x=series.Axis("frequency", Measure.FREQUENCY),
        y=series.Axis(shown.name, shown.measure),
        fraction=values([0.0, 1.0]),
        place=values([hertz[0], hertz[-1]]),
        lines=tuple(
            series.Line(name, look, hertz, values(gain[look])) for look, name in enumerate(found.ride.names)
        ),
        level=series.Level("ground", 1.0),
        note=_NONE_RIDES,
    )


def ride_end(ride: Ride) -> float:
    """Return the end of the chart of a ride [s]: a short one ends when every wheel is at rest."""
    end = float(ride.time[-1])
    if end > _WINDOW:
        return end
    apart = np.abs(ride.travel - ride.travel[:, -1:]) / ride.wheel_travel
    moves = np.nanmax(apart, axis=0, initial=0.0) >= _STILL
    last = ride.time.size - 1 - int(np.argmax(moves[::-1])) if moves.any() else 0
    return min(max(float(ride.time[last]) * (1 + _AFTER), _LEAST), end)


def _page_ends(ride: Ride, page: int) -> tuple[float, float]:
    """Return start and end of a page [s]."""
    return page * _WINDOW, min((page + 1) * _WINDOW, ride_end(ride))


def _page_of(ride: Ride, at: float) -> int:
    pages = max(int(np.ceil(float(ride.time[-1]) / _WINDOW - 1e-9)), 1)
    return min(int(at / _WINDOW), pages - 1)


@lru_cache(maxsize=4)
def _picture(scene: Scene, width: int, height: int) -> Picture:
    return picture(scene, width, height)


def _chart_rows(state: BenchState, found: Ridden, size: tuple[int, int], look: ChartLook) -> list[CellRow]:
    """Return the chart with an arrow at the time of the readout, and every setup's travel at that time."""
    ride, choice, (width, height) = found.ride, state.event, size
    at = moment(choice, ride)
    scene = _scene(found, choice.shows, _page_of(ride, at), state.units, look)
    read = None if _shown(state).waves else min(at, float(scene.chart.place[-1]))
    rows = view_rows(scene, _picture(scene, width, height), read)
    return [*rows, *_bars(state, found, at, width, look)]


def _bars(state: BenchState, found: Ridden, at: float, width: int, look: ChartLook) -> list[CellRow]:
    """Return which moment is shown, then every setup's travel at it as a bar, and both as numbers."""
    ride, full, units = found.ride, float(found.answered.answer.frame.wheel_travel), state.units
    place = min(int(np.searchsorted(ride.time, at)), ride.time.size - 1)
    numbers = [
        f" {units.show(ride.travel[setup, place], Measure.TRAVEL):>9}"
        f" {_force_text(ride, setup, place, units):>12}"
        for setup in range(len(ride.names))
    ]
    heads = f" {'travel':>9} {'wheel force':>12}"
    room = min(width - _NAME - max(map(len, numbers), default=0), _MOST_BAR)
    before = _NAME + (room if room >= _LEAST_BAR else 0)
    when = f"at {units.show(at, Measure.TIME)}"
    if state.event.at is None and np.isfinite(ride.deepest).any():
        deepest = literal(brief(ride.names[int(np.nanargmax(ride.deepest))]), look.glyphs)
        whole = f"{when}, {f'{deepest} at its ' if len(ride.names) > 1 else ''}deepest"
        when = whole if len(whole) < before else when
    rows = [cells(f"{when:<{before}}", Role.LABEL) + cells(heads, Role.QUIET)]
    for setup, name in enumerate(ride.names):
        row = fitted(setup_name(name, setup, look), _NAME - 1, look.glyphs.ellipsis)
        row += cells(" ", Role.BASE)
        travel = float(ride.travel[setup, place])
        if room >= _LEAST_BAR:
            long = round(min(max(travel / full, 0.0), 1.0) * room) if np.isfinite(travel) else 0
            row += cells(look.glyphs.thick * long, Role.SETUP + setup % len(look.lines))
            row += cells(look.glyphs.thin * (room - long), Role.RULE)
        rows.append(row + cells(numbers[setup], Role.BASE))
    return rows


def _force_text(ride: Ride, setup: int, place: int, units: ShopUnits) -> str:
    """Return the wheel force of spring, damper and seals at a moment, or that the stop shares it."""
    if ride.stop_force[setup, place] > 0 and ride.travel[setup, place] >= ride.wheel_travel:
        return _AT_STOP
    return units.show(ride.wheel_force[setup, place], Measure.FORCE)


def chosen(state: BenchState) -> BenchState | Field:
    """Return the state after Enter on the knob under the cursor, or the size to be typed.

    A choice switches to its next option; a value of the damper goes to its field, to be typed there; a place
    of a range is used.
    """
    knob = knob_here(state)
    if knob.taken is not None:
        return knob.taken(state)
    if knob.field is None or isinstance(knob.field.kind, Choice):
        return knob.turned(state, 1)
    if not knob.of_job:
        return knob.field
    return open_edit(select_field(replace(state, in_view=False), knob.field.path))


VIEW = View(lines, lines, task=task, keys=KEYS, acts=acts, scene=scene, numbers=numbers)
