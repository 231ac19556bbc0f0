"""Logged rides, one or two, read in the background: their statistics in words, and one chart at a time."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache, partial

import numpy as np

from physics.arrays import Values, values
from physics.frozen import NamedTuple, dataclass
from physics.log import Histogram, Hit
from tui.bench.edit import show_wheel
from tui.bench.state import BenchState
from tui.bench.views.here import FIX_FIRST, NOTHING_YET, View, setup_tried
from tui.charts import series
from tui.charts.drawing import SHORT, TALL, picture, view_rows
from tui.charts.series import Scene
from tui.job.answer import JobAnswer
from tui.job.tree import Tree, brief
from tui.job.wheels import Wheel
from tui.kit.cells import CellRow, beside, cells
from tui.kit.document import TAKES, Document, Paragraph, Rows
from tui.kit.dressing import dressed, least_width, told
from tui.kit.keymap import by
from tui.kit.look import ChartLook
from tui.kit.roles import Role
from tui.kit.work import Task, Told
from tui.ride import logged as subject
from tui.ride.again import GROUND, Again, again, blocks, change_texts, lead
from tui.ride.logged import Logged, Ridden
from tui.shop_units import Measure, ShopUnits
from tui.subjects.asked import Seat
from tui.tables.recorded import LogFile, Recorded
from tui.tables.source import UnusableReadings

_NONE = "No log read yet: Space, then l, reads one."
_HOW = (
    "The file of any logger: a table with time and the travel of the fork, of the "
    "rear or of both, at 100 Hz or more. Any separator, point or comma; mm, %, or a sensor's counts.",
    "It shows dynamic sag, travel used, bottom-outs, speeds, and the frequency of the body, each with its "
    "interval next to what is expected of the setup. Space, then s, compares a second ride.",
)
_CARE = (
    "Mount sensor and logger clear of wheel, chain and linkage over the whole travel; check both ends of the "
    "travel by hand."
)
CHART_ROWS = SHORT + 2
"""Rows of a short chart with its heading and what stands below it."""
_TALL_FROM = 100
"""Minimum width for a tall chart above the statistics [cells]."""
_LEAST_BESIDE, _GAP = 56, 4
"""Minimum width of a chart with the statistics beside it, and the gap between them [cells]."""
_AROUND = 0.6
"""Time shown before and after a hit [s]."""
_HIGHEST = 15.0
"""Highest frequency of the spectrum in the chart [Hz]: the motion of body and wheel is below it."""


@dataclass(frozen=True, slots=True, eq=False)
class Read:
    """The files read, their contents, and the results for an answer, or the reason why there are none.

    `again` has, for each channel of the first ride, the same ground on the other setups, computed for the
    answer `again_of`; it stays until the next result is there.
    """

    files: tuple[LogFile, ...]
    bike: JobAnswer | None = None
    recorded: tuple[Recorded, ...] = ()
    rides: tuple[Logged, ...] = ()
    again: tuple[Again, ...] = ()
    again_of: JobAnswer | None = None
    trouble: str = ""


def task(state: BenchState) -> Task | None:
    """Return the task of reading and computing, None without a log or an answer.

    First the statistics, then the same ground on the other setups, which takes longer.
    """
    bike, files = state.bike_answer, state.log.files
    if bike is None or not files:
        return None
    known = found_here(state) or Read(files)
    if known.files != files:  # what is known of the first ride stays
        known = replace(known, files=files, bike=None, recorded=known.recorded[:1], rides=known.rides[:1])
    if known.bike is bike and known.rides:
        # Shown units are no part of the key: other units are the same ground in other words.
        return Task(("ground", bike, files), partial(_again, bike, known, state.units))
    return Task(("logged", bike, files), partial(_read, bike, known))


def _again(bike: JobAnswer, known: Read, units: ShopUnits, tell: Told) -> Read:
    """Fit the ground of the first ride and simulate all setups on it."""
    channels, found = known.rides[0].channels, []
    for place, ridden in enumerate(channels):

        def rides(share: float, here: int = place) -> None:
            tell((here + share) / len(channels))

        before = known.again[place] if place < len(known.again) else None
        if before is not None and _is_same(before, ridden):
            found.append(before)  # something else of the job has changed
        else:
            found.append(again(bike, ridden, units, rides))
    return replace(known, again=tuple(found), again_of=bike)


def _is_same(before: Again, ridden: Ridden) -> bool:
    """Return whether a ride and all that its changes follow from are those of before."""
    compared = before.asked is not None and "unbalanced" in before.asked.symptoms
    return (
        before.ridden.seat.there is ridden.seat.there and before.ridden.found is ridden.found and not compared
    )


def _read(bike: JobAnswer, known: Read, tell: Told) -> Read:
    """Read the files not read yet, and compute their statistics for an answer."""
    recorded: list[Recorded] = list(known.recorded)
    rides: list[Logged] = []
    count = len(known.files)
    try:
        for place, file in enumerate(known.files):

            def reads(share: float, here: int = place) -> None:
                tell((here + 0.5 * share) / count)

            def works(share: float, here: int = place) -> None:
                tell((here + 0.5 + 0.5 * share) / count)

            if place == len(recorded):
                recorded.append(file.read(reads))
            before = known.rides[place].channels if place < len(known.rides) else ()
            rides.append(subject.logged(bike, recorded[place], works, before))
    except UnusableReadings as unusable:
        # If the second ride is unusable, the first one is kept.
        trouble = "\n".join(unusable.lines)
        read = Read(known.files, bike, tuple(recorded[: len(rides)]), tuple(rides), trouble=trouble)
    else:
        read = Read(known.files, bike, tuple(recorded), tuple(rides))
    return replace(read, again=known.again, again_of=known.again_of)


def found_here(state: BenchState) -> Read | None:
    """Return the latest result for the first log, None before there is one."""
    found = state.worked.found
    return found if isinstance(found, Read) and found.files[:1] == state.log.files[:1] else None


class OnSeat(NamedTuple):
    """What a log says of one setup: its channel, and once it is found the same ground."""

    name: str
    ridden: Ridden
    again: Again | None


def of_seat(state: BenchState, seat: Seat) -> OnSeat | None:
    """Return what the first log that was read says of a setup, None if it is not of that one."""
    found = found_here(state)
    if found is None or not found.rides or found.bike is not state.bike_answer:
        return None
    ride = found.rides[0]
    for place, ridden in enumerate(ride.channels):
        if (ridden.seat.wheel, ridden.seat.place) == (seat.wheel, seat.place):
            is_known = found.again_of is state.bike_answer and place < len(found.again)
            return OnSeat(ride.name, ridden, found.again[place] if is_known else None)
    return None


def doing_text(state: BenchState) -> str:
    """Return what is being read or calculated of the log and how far it has come, empty if nothing is."""
    found, wanted = found_here(state), task(state)
    if wanted is None or state.worked.key == wanted.key:
        return ""
    is_read = found is not None and found.files == state.log.files
    is_ground = found is not None and is_read and found.bike is state.bike_answer
    what = GROUND if is_ground else f"Reading {state.log.files[-1].name}"
    old = ", the results above are OLD" if found is not None and found.again else ""
    return f"{what}: {state.worked.share_text(wanted.key)}{old}"


def for_sheet(state: BenchState) -> Read | None:
    """Return the result for the sheet, None if no log is wanted on it or none is computed yet."""
    found = found_here(state)
    is_there = found is not None and found.bike is state.bike_answer and bool(found.rides)
    return found if is_there and state.log.on_sheet else None


def is_unusable(state: BenchState) -> bool:
    """Return whether the log was read and nothing of it can be used."""
    found = found_here(state)
    return found is not None and not found.rides and bool(found.trouble) and found.bike is state.bike_answer


def sheet_task(state: BenchState) -> Task | None:
    """Return the task needed before the logged ride can be on the sheet, None without one."""
    return task(state) if state.log.on_sheet and for_sheet(state) is None else None


def not_on_sheet(state: BenchState) -> str:
    """Return why the logged ride wanted on the sheet is not on it, empty if it is."""
    if not state.log.on_sheet or for_sheet(state) is not None:
        return ""
    found, name = found_here(state), brief(state.log.files[0].name)
    if is_unusable(state) and found is not None:
        return f"{name} cannot be used: {found.trouble.splitlines()[0]}"
    wanted = task(state)
    share = "" if wanted is None else state.worked.share_text(wanted.key)
    return f"{name} is still being calculated ({share})"


def switch_on_sheet(state: BenchState) -> BenchState:
    """Put the first logged ride on the sheet, or take it off."""
    if state.log.on_sheet:
        return replace(
            state, log=state.log._replace(on_sheet=False), note="The logged ride is removed from the sheet."
        )
    wanted = replace(state, log=state.log._replace(on_sheet=True))
    why, name = not_on_sheet(wanted), brief(state.log.files[0].name)
    if is_unusable(state):
        return replace(state, note=f"Not on the sheet: {why}")
    return replace(wanted, note=f"{why}; it is added when done." if why else f"{name} is on the sheet.")


def _ridden(ride: Logged, wheel: Wheel) -> Ridden:
    """Return the channel of a wheel, by default the first."""
    return next((one for one in ride.channels if one.seat.wheel == wheel), ride.channels[0])


def lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the statistics of the logged rides and the chart shown."""
    glyphs = look.glyphs
    if not state.log.files:
        how = [Paragraph(text, gap=True) for text in _HOW]
        care = Paragraph(_CARE, Role.CAUTION)
        return dressed(Document((Paragraph(_NONE, Role.STRONG), care, *how)), width, look)
    if state.bike_answer is None:
        return told(NOTHING_YET, width, glyphs)
    found, doing = found_here(state), doing_text(state)
    if found is None:
        return told(doing or "Reading.", width, glyphs, Role.QUIET)
    trouble = [row for line in found.trouble.splitlines() for row in told(line, width, glyphs, Role.CAUTION)]
    if not found.rides:
        return trouble
    other = found.rides[1] if len(found.rides) > 1 else None
    drawn = {
        subject.CHART: partial(_chart_rows, state, found, look=look, least=_TALL_FROM),
        TAKES: partial(_change_rows, state, doing, look=look),
    }
    rode = [
        subject.Ground(tuple(lead(one, state.units)), tuple(blocks(one, state.units))) for one in found.again
    ]
    above, chart, tables = subject.documents_apart(found.rides[0], state.units, other, rode)
    aside = least_width(tables, look)
    if width - aside - _GAP >= _LEAST_BESIDE:
        drawn[subject.CHART] = partial(_chart_rows, state, found, look=look, least=_LEAST_BESIDE)
        left = dressed(chart, width - aside - _GAP, look, drawn)
        right = dressed(tables, aside, look)
        return [*trouble, *dressed(above, width, look, drawn), *beside(left, [[], *right], width - aside)]
    page = subject.document(found.rides[0], state.units, other, rode)
    return [*trouble, *dressed(page, width, look, drawn)]


class _Change(NamedTuple):
    """One suggested change: its line, the setup as typed with it, and the log that suggests it."""

    text: str
    typed: Tree
    again: Again


def _changes(state: BenchState) -> list[_Change]:
    """Return all suggested changes, of all channels."""
    found = found_here(state)
    rode = found.again if found is not None and found.again_of is state.bike_answer else ()
    return [
        _Change(text, typed, one)
        for one in rode
        for text, typed in zip(change_texts(one, state.units, _wheel(one, rode)), one.typed, strict=False)
    ]


def _wheel(one: Again, rode: Sequence[Again]) -> str:
    """Return the wheel of a log if there are two, else empty."""
    return one.ridden.seat.wheel if len(rode) > 1 else ""


def _change_here(state: BenchState, changes: Sequence[_Change]) -> int:
    return min(state.taken, len(changes) - 1)


def _change_rows(state: BenchState, doing: str, width: int, *, look: ChartLook) -> list[CellRow]:
    """Return the progress, and the lines that Enter tries, the selected one marked."""
    rows = told(f"{doing}.", width, look.glyphs, Role.QUIET) if doing else []
    changes = _changes(state)
    for place, change in enumerate(changes):
        here = place == _change_here(state, changes)
        mark = f"{look.glyphs.selected} " if here else "  "
        role = Role.CURSOR if here and state.in_view else Role.BASE
        for row in told(change.text, width - 2, look.glyphs, role):
            rows.append(cells(mark, Role.STRONG) + row)
            mark = "  "
    return rows


def _change_turned(state: BenchState, steps: int) -> BenchState:
    changes = _changes(state)
    return replace(state, taken=(_change_here(state, changes) + steps) % len(changes))


def _change_tried(state: BenchState) -> BenchState:
    """Add a copy of the ridden setup with the change applied; undo removes it."""
    if state.is_outdated:
        return replace(state, note=FIX_FIRST)
    changes = _changes(state)
    change = changes[_change_here(state, changes)]
    if change.again.ridden.seat.wheel != state.wheel:
        state = replace(show_wheel(state, change.again.ridden.seat.wheel), in_view=True)
    return setup_tried(state, change.typed, "Added as")


def now_keys(state: BenchState) -> Mapping[str, Callable[[BenchState], BenchState]]:
    """Return the keys if there are changes to try."""
    if not _changes(state):
        return {}
    return {"<": by(_change_turned, -1), ">": by(_change_turned, 1), "enter": _change_tried}


def acts(state: BenchState) -> Mapping[str, str]:
    """Return the action of Enter without a log: ask for one."""
    return {} if state.log.files else {"enter": "log"}


def numbers(state: BenchState) -> Rows:
    """Return all statistics of the first ride, none before it is read."""
    found = found_here(state)
    return subject.numbers(found.rides[0], state.units) if found and found.rides else []


def scene(state: BenchState, look: ChartLook) -> Scene | None:
    """Return the chart shown, None before there is one."""
    found = found_here(state)
    if found is None or not found.rides:
        return None
    return _scene(found, state.wheel, state.log.chart, state.units, look)


def _chart_rows(state: BenchState, found: Read, width: int, *, look: ChartLook, least: int) -> list[CellRow]:
    """Return the chart with its heading, a tall one in at `least` so many columns."""
    shown = scene(state, look)
    if shown is None:
        return []
    chart, units = shown.chart, state.units
    rows = view_rows(shown, picture(shown, width, TALL if width >= least else SHORT))
    # A point is drawn by the mark of the sag: below stands what it is here.
    for point in chart.points:
        where = units.show(point.x, Measure.FREQUENCY)
        rows.append(cells(f"{look.glyphs.sag} {point.name} {where}", Role.SAG))
    return [[], cells(_heading(chart, units), Role.STRONG), *rows, []]


def _heading(chart: series.ChartData, units: ShopUnits) -> str:
    unit = units.unit(chart.y.measure)
    return f"{chart.title}{f' ({unit})' if unit else ''} {chart.number}"


def heading_shown(state: BenchState, look: ChartLook) -> str:
    """Return the line above the chart that is shown, empty without one."""
    shown = scene(state, look)
    return "" if shown is None else _heading(shown.chart, state.units)


_Rides = tuple[tuple[str, Ridden], ...]
_FRACTION = series.Axis("time", Measure.FRACTION)


@lru_cache(maxsize=16)
def _scene(found: Read, wheel: Wheel, place: int, units: ShopUnits, look: ChartLook) -> Scene:
    """Return the chart at an index of the cycle: histograms, spectrum, then the hardest hits."""
    rides = tuple((ride.name, _ridden(ride, wheel)) for ride in found.rides)
    charts = _charts(rides)
    place %= len(charts)
    return Scene(replace(charts[place](), number=f"{place + 1}/{len(charts)}"), units, look)


def _charts(rides: _Rides) -> Sequence[Callable[[], series.ChartData]]:
    hits = rides[0][1].found.hits
    return (
        partial(_travel, rides),
        partial(_speeds, rides),
        partial(_spectrum, rides),
        *(partial(_hit, rides[0], place, hit) for place, hit in enumerate(hits)),
    )


def _chart(
    title: str, x: series.Axis, y: series.Axis, lines: Sequence[series.Line], ends: tuple[float, float]
) -> series.ChartData:
    return series.ChartData(title, x, y, values([0.0, 1.0]), values(ends), tuple(lines))


def _steps(found: Histogram, height: Values) -> tuple[Values, Values]:
    """Return a histogram as a step line."""
    return values(np.repeat(found.edges, 2)[1:-1]), values(np.repeat(height, 2))


def _travel(rides: _Rides) -> series.ChartData:
    bars = [(name, ridden.found.travel) for name, ridden in rides]
    lines = [
        series.Line(name, look, *_steps(one, one.share))
        for look, (name, one) in zip(subject.looks([ridden for _, ridden in rides]), bars, strict=True)
    ]
    x = series.Axis("wheel travel", Measure.FRACTION)
    return _chart("Time in each tenth of the travel", x, _FRACTION, lines, (0.0, 1.0))


def _speeds(rides: _Rides) -> series.ChartData:
    bars = [(name, ridden.found.shaft.histogram) for name, ridden in rides]
    # Bins differ in width: divided by it, areas are fractions of the time.
    lines = [
        series.Line(name, look, *_steps(one, values(one.share / np.diff(one.edges))))
        for look, (name, one) in zip(subject.looks([ridden for _, ridden in rides]), bars, strict=True)
    ]
    used = np.flatnonzero(sum(one.share for _, one in bars))
    edges = bars[0][1].edges[used[0] : used[-1] + 2] if used.size else bars[0][1].edges
    x = series.Axis("shaft speed, rebound below zero", Measure.SHAFT_SPEED)
    y = series.Axis("density", Measure.RATIO)
    return _chart("Time at each shaft speed, share per m/s", x, y, lines, (float(edges[0]), float(edges[-1])))


def _spectrum(rides: _Rides) -> series.ChartData:
    lines = []
    for look, (name, ridden) in zip(subject.looks([ridden for _, ridden in rides]), rides, strict=True):
        found = ridden.found.spectrum
        there = (found.frequency > 0) & (found.frequency <= _HIGHEST)
        power = found.density[there]
        # The spectrum of travel falls steeply with frequency; that of speed shows body and wheel equally
        # well.
        slope = values(power * found.frequency[there] ** 2)
        top = float(slope.max()) if slope.size else 1.0
        lines.append(series.Line(name, look, values(found.frequency[there]), values(slope / top)))
    x, y = series.Axis("frequency", Measure.SURGE), series.Axis("over its peak", Measure.RATIO)
    chart = _chart("Power spectrum of the wheel speed over its peak", x, y, lines, (0.0, _HIGHEST))
    natural = float(rides[0][1].seat.answer.riding.natural_frequency)
    if np.isfinite(natural) and lines[0].x.size:
        height = float(np.interp(natural, lines[0].x, lines[0].y))
        chart = replace(chart, points=(series.Point("natural frequency", natural, height),))
    return chart


def _hit(ride: tuple[str, Ridden], place: int, hit: Hit) -> series.ChartData:
    name, ridden = ride
    log = ridden.log
    piece = next(
        one for one in log.pieces if one.start <= hit.time <= one.start + len(one.wheel) / log.rate + 1e-9
    )
    clock = piece.start + np.arange(len(piece.wheel)) / log.rate
    there = np.abs(clock - hit.time) <= _AROUND
    line = series.Line(name, ridden.seat.place, values(clock[there]), values(piece.wheel[there]))
    ends = (float(clock[there][0]), float(clock[there][-1]))
    axes = series.Axis("time", Measure.TIME), series.Axis("wheel travel", Measure.TRAVEL)
    chart = _chart(f"Hit {place + 1} of {len(ridden.found.hits)}: wheel travel", *axes, [line], ends)
    return replace(chart, level=series.Level("full travel", log.wheel_travel))


def _turned(steps: int, state: BenchState) -> BenchState:
    return replace(state, log=state.log._replace(chart=state.log.chart + steps))


KEYS: Mapping[str, Callable[[BenchState], BenchState]] = {
    "left": partial(_turned, -1),
    "right": partial(_turned, 1),
}
"""Keys while the view has the focus."""


VIEW = View(lines, task=task, keys=KEYS, now_keys=now_keys, acts=acts, scene=scene, numbers=numbers)
