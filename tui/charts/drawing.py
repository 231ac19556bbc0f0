"""Scene → rows of cells: plot (or a sentence), readout at the cursor, title, and the panel with all three."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from rich.cells import cell_len

from physics.arrays import Values, values
from physics.frozen import NamedTuple
from tui.charts.plotting import AXIS_ROWS, DOTS, Canvas, Plot, extent, ticks, with_ends
from tui.charts.series import ChartData, Line, Scene, written
from tui.charts.views import END, START
from tui.kit.cells import Cell, CellRow, cells, fitted, text_of
from tui.kit.look import ChartLook, literal
from tui.kit.roles import Role
from tui.shop_units import ShopUnits

LEAST_COLUMNS, LEAST_ROWS = 10, 4
"""Minimum size of a plot [cells]: labels would collide in a smaller one."""

_MARKER_EVERY, _MARKER_APART = 12, 3
"""Columns between two markers of a line: the first, or if more, the second times the number of lines."""
_DASHES = ((1, 0), (9, 5), (3, 4))
"""Lengths of dash and gap for the first, second and third line of one colour [half columns or quarter
rows]."""
_FINE = 16
"""Points of a line in a column, from which its dots are found."""
_SLOW_EVERY = 3
"""Spacing of the dots of a slow curve [half columns]."""
_SMALL = 8
"""Height of a plot below which every second row may have a number [rows]."""
_BETWEEN_TEXTS = 3
"""Minimum gap between numbers on the x axis [cells, as counted by the library]."""
HIGHLIGHT, LAST, BAND = 256, 512, 1024
"""Flags added to the role of a cell: at the cursor, in the last tenth of the travel, in the sag band of a
setup."""
_TWO_TITLES = 8
"""Rows to spare from which a title may have a second row for the legends."""
_LONGEST_NAME, _LEAST_NAME = 16, 4
_NAME_GAP, _NAMES_OF, _LEAST_NAMED = 1, 3, 28
"""Gap before a name at the end of a line [cells], divisor of the width that names may take, and the minimum
width left for the plot [cells]."""


class Picture(NamedTuple):
    """A plot as rows of cells; its canvas, if any, starts in the top row at column `left`."""

    rows: list[CellRow]
    left: int = 0
    canvas: Canvas | None = None


def picture(scene: Scene, width: int, height: int) -> Picture:
    """Return a scene drawn in `width` by `height` cells, or a sentence that says why it cannot be drawn."""
    if width < LEAST_COLUMNS or height < LEAST_ROWS:
        return sentence("Too small for a chart.", width, height)
    lines = [line for line in scene.chart.lines if np.isfinite(line.y).any()]
    if not lines:
        return sentence(scene.chart.note or "No setup has a result to draw.", width, height)
    names = _Names.of(scene, lines, width)
    unit = f" {scene.units.unit(scene.chart.x.measure)}"
    # Beside the plot the unit takes no room from the numbers, and the last one stands below its end.
    within, beside = ("", unit) if names.width >= len(unit) else (unit, "")
    canvas, left = _canvas(scene, width - names.width, height, within)
    plot = Plot(canvas, left, scene.look.line_style, within.strip())
    if scene.chart.level is not None:
        ends, heights = values([canvas.x.low, canvas.x.high]), values([scene.y(scene.chart.level.y)] * 2)
        plot.line(*canvas.centred(ends, heights), Role.LEVEL, scene.look.glyphs.level)
    _lines(plot, scene, canvas, lines)
    x, y = (values([getattr(point, axis) for point in scene.chart.points]) for axis in ("x", "y"))
    plot.dots(*canvas.centred(scene.x(x), scene.y(y)), Role.SAG, scene.look.glyphs.sag)
    rows = plot.rows()
    _name_level(rows, scene, canvas, left)
    _shade(rows, scene, canvas, left)
    names.write(rows, canvas)
    end = len(text_of([rows[-1]]))
    rows[-1][end : end + len(beside)] = cells(beside, Role.AXIS)
    return Picture(rows, left, canvas)


SHORT, TALL = 10, 16
"""Height of a chart in a narrow and in a wide view, if the view has no height to fill [rows]."""
_IN_VIEW = {int(Role.AXIS): Role.QUIET, int(Role.LEVEL): Role.CAUTION}
"""Mapping of chart roles to roles of a view."""


def view_rows(scene: Scene, drawn: Picture, at: float | None = None) -> list[CellRow]:
    """Return a picture as rows of a view, with an arrow on its axis at position `at`, if given."""
    rows: list[CellRow] = [[(text, _IN_VIEW.get(role, role)) for text, role in row] for row in drawn.rows]
    ends = scene.chart.place
    if at is not None and drawn.canvas is not None and ends[0] <= at <= ends[-1]:
        column = drawn.left + drawn.canvas.column(scene.x(at))
        rows[drawn.canvas.rows][column] = (scene.look.glyphs.cursor, Role.STRONG)
    return rows


def sentence(text: str, width: int, height: int) -> Picture:
    """Return wrapped text, vertically centred in `width` by `height` cells."""
    lines = [""]
    for word in text.split():
        joined = f"{lines[-1]} {word}".strip()
        lines = [*lines[:-1], joined] if cell_len(joined) <= width else [*lines, word]
    above = max((height - len(lines)) // 2, 0)
    shown = ([""] * above + lines + [""] * height)[:height]
    return Picture([fitted(cells(line, Role.BASE), width, "") for line in shown])


def _canvas(scene: Scene, width: int, height: int, unit: str) -> tuple[Canvas, int]:
    """Return the canvas and its first column; `unit` stands behind the last number of the x axis."""
    chart, rows = scene.chart, height - AXIS_ROWS
    levels = [] if chart.level is None else [values([chart.level.y])]
    low, high = extent([line.y for line in chart.lines] + levels) or (0.0, 1.0)
    if chart.y.from_zero:
        low, high = min(low, 0.0), max(high, 0.0)
    y = ticks(scene.y(low), scene.y(high), max(2, min(8, (rows + (rows < _SMALL)) // 2)), tight=False)
    if len(y.at) > rows:
        y = y._replace(at=(y.low, y.high), texts=(y.texts[0], y.texts[-1]))
    left = max(map(len, y.texts)) + 1
    columns = width - left
    first, last = (float(place) for place in chart.place[[0, -1]])
    x = ticks(scene.x(first), scene.x(last), max(2, min(11, columns // 5)), tight=True)
    texts = (_end_of_axis(scene, first), _end_of_axis(scene, last))
    # If two labels collide, the library drops the right one; but the last label carries the unit.
    before, after = len(texts[0]) / 2, len(f"{texts[1]}{unit}")
    beside = max(map(len, x.texts)) / 2 + _BETWEEN_TEXTS
    x = with_ends(x, texts, ((before + beside) / columns, (after + beside) / columns))
    return Canvas(columns, rows, *DOTS[scene.look.line_style], x, y), left


def _end_of_axis(scene: Scene, place: float) -> str:
    """Return the shortest exact text for an end of the x axis."""
    text = scene.units.plain(place, scene.chart.x.measure)
    return text.rstrip("0").rstrip(".") if "." in text else text


def _lines(plot: Plot, scene: Scene, canvas: Canvas, lines: list[Line]) -> None:
    """Draw slow curves, riding curves over them, and all markers on top."""
    order = sorted(enumerate(lines), key=lambda item: not item[1].slow)
    points: dict[int, tuple[Values, Values]] = {}
    share = np.linspace(0.0, 1.0, 2 * canvas.columns)
    for number, line in order:
        known = np.isfinite(line.x) & np.isfinite(line.y)
        points[number] = scene.x(line.x[known]), scene.y(line.y[known])
        if line.slow:
            plot.dots(*_along(canvas, *points[number], share[::_SLOW_EVERY]), Role.SETUP + line.look)
            continue
        drawn, left_out = _DASHES[scene.look.before(line.look) % len(_DASHES)]
        path = _path(canvas, *points[number], drawn, left_out)
        plot.dots(*canvas.dotted(*path), Role.SETUP + line.look)
    count = max(canvas.columns // max(_MARKER_EVERY, _MARKER_APART * len(lines)), 2)
    for number, line in order:
        # Markers of coinciding lines alternate, so that all are visible.
        share = (np.arange(count) + 0.25 + 0.75 * number / len(lines)) / count
        place = canvas.centred(*_along(canvas, *points[number], share))
        plot.dots(*place, Role.SETUP + line.look, scene.look.marker(line.look, slow=line.slow))


def _path(canvas: Canvas, x: Values, y: Values, drawn: int, left_out: int) -> tuple[Values, Values]:
    """Return the points of a line that become its dots, without the gaps of its dashes.

    The library would connect a few points by dots too, but takes as long for that as for all the rest.
    """
    at, height = _along(canvas, x, y, values(np.linspace(0.0, 1.0, _FINE * canvas.columns)))
    across = np.diff(at) * 2 * canvas.columns / (canvas.x.high - canvas.x.low)
    up = np.diff(height) * 4 * canvas.rows / (canvas.y.high - canvas.y.low)
    far, steps = (
        np.concatenate([[0.0], np.cumsum(part)])
        for part in (np.hypot(across, up), np.maximum(np.abs(across), np.abs(up)))
    )
    # One dot for each step in the direction that changes more: a thin line without gaps.
    even = np.arange(0.5, max(steps[-1], 1.0))
    even = even[np.interp(even, steps, far) % (drawn + left_out) < drawn]
    return np.interp(even, steps, at), np.interp(even, steps, height)


def _along(canvas: Canvas, x: Values, y: Values, share: Values) -> tuple[Values, Values]:
    """Return points of a line at fractions of the x axis, within the extent of the line."""
    at = canvas.x.low + (canvas.x.high - canvas.x.low) * share
    at = values(at[(at >= x[0]) & (at <= x[-1])])
    return at, np.interp(at, x, y)


def _name_level(rows: list[CellRow], scene: Scene, canvas: Canvas, left: int) -> None:
    """Write the name of the level into its line, as far right as possible without covering another line.

    Its value is left out if there is no room.
    """
    level = scene.chart.level
    if level is None or (place := canvas.row(scene.y(level.y))) is None:
        return
    row = rows[place]
    for text in (f" {level.name} {scene.written(level.y)} ", f" {level.name} "):
        label = cells(text, Role.LEVEL)
        for first in range(len(row) - len(label) - 2, left, -1):
            if all(role == Role.LEVEL for _, role in row[first - 1 : first + len(label) + 2]):
                row[first : first + len(label)] = label
                return


def _shade(rows: list[CellRow], scene: Scene, canvas: Canvas, left: int) -> None:
    """Shade the last tenth of the travel and the sag bands, and mark the sags on the axis.

    Without tints, only the edge of the last tenth is drawn: anything on its area would hide the curves' ends.
    """
    chart, look, plot = scene.chart, scene.look, rows[: canvas.rows]

    def columns(low: float, high: float) -> range:
        return range(left + canvas.column(scene.x(low)), left + canvas.column(scene.x(high)) + 1)

    if chart.last is not None:
        shaded = columns(chart.last, float(chart.place[-1]))
        for row in plot:
            for column in shaded if look.shade else shaded[:1]:
                letter, role = row[column]
                if look.shade:
                    row[column] = letter, role | LAST
                elif letter == " ":
                    row[column] = look.glyphs.edge, Role.AXIS
    for band in chart.bands:
        for column in columns(band.low, band.high):
            rows[canvas.rows][column] = look.glyphs.spread, Role.SAG
            for row in plot if look.band else ():
                letter, role = row[column]
                row[column] = letter, role & ~LAST | BAND
    for column, cell in _sag_marks(scene, canvas).items():
        rows[canvas.rows][left + column] = cell


def _sag_marks(scene: Scene, canvas: Canvas) -> dict[int, Cell]:
    """Return the sag markers by column; setups in the same column share one."""
    marks: dict[int, Cell] = {}
    for band in scene.chart.bands:
        column = canvas.column(scene.x(band.at))
        if band.look is None or column in marks:
            marks[column] = scene.look.glyphs.sag, Role.SAG
        else:
            marks[column] = scene.look.marker(band.look), Role.SETUP + band.look
    return marks


class _Names(NamedTuple):
    """Names at the ends of the curves: their lines, and the width to the right of the plot."""

    scene: Scene
    lines: tuple[Line, ...]
    width: int

    @classmethod
    def of(cls, scene: Scene, lines: Sequence[Line], width: int) -> _Names:
        """Return the names of some lines, none for a single line or without room."""
        named = tuple(line for line in lines if not line.slow)
        longest = max((cell_len(line.name) for line in named), default=0) + len("● ")
        room = min(longest, _LONGEST_NAME + len("● "), width // _NAMES_OF) + _NAME_GAP
        if len(named) < 2 or room < _LEAST_NAME + _NAME_GAP or width - room < _LEAST_NAMED:
            return cls(scene, (), 0)
        return cls(scene, named, room)

    def write(self, rows: list[CellRow], canvas: Canvas) -> None:
        """Write each name beside the end of its line without overlaps, and pad the rows."""
        look, at = self.scene.look, self._rows(canvas)
        for row in rows if self.width else ():
            row += [(" ", int(Role.BASE))] * self.width
        for line, place in at:
            role = Role.SETUP + line.look
            # How well one of a terminal's own colours is read is not known; its colour for text is readable.
            words = role if look.line(line.look).colour.startswith("#") else Role.BASE
            name = cells(f"{look.marker(line.look)} ", role) + cells(line.name, words)
            rows[place][-self.width + _NAME_GAP :] = fitted(
                name, self.width - _NAME_GAP, look.glyphs.ellipsis, role
            )

    def _rows(self, canvas: Canvas) -> list[tuple[Line, int]]:
        """Return the lines from top to bottom, each with its own row near its end."""
        ends = [float(self.scene.y(line.y[np.isfinite(line.y)][-1])) for line in self.lines]
        order = sorted(range(len(self.lines)), key=lambda number: -ends[number])
        wanted = [canvas.row(ends[number]) or 0 for number in order]
        for place in range(1, len(wanted)):
            wanted[place] = max(wanted[place], wanted[place - 1] + 1)
        free = canvas.rows
        for place in reversed(range(len(wanted))):
            wanted[place] = free = min(wanted[place], free - 1)
        return [(self.lines[number], row) for number, row in zip(order, wanted, strict=True) if row >= 0]


class Reading(NamedTuple):
    """Readout of one line: its name, look, value with unit, and value in slow compression."""

    name: str
    look: int
    value: str
    slow: str | None = None


class Readout(NamedTuple):
    """Position of the cursor and the values of all lines there."""

    where: str
    readings: tuple[Reading, ...]


def place(chart: ChartData, cursor: float) -> float:
    """Return the position of the cursor on the x axis, SI."""
    return float(np.interp(cursor, chart.fraction, chart.place))


def value_at(line: Line, x: float) -> float:
    """Return the value of a line at x, SI, NaN if it has none."""
    return float(np.interp(x, line.x, line.y))


def readout(chart: ChartData, units: ShopUnits, cursor: float) -> Readout:
    """Return the values of all lines at the cursor (fraction of the wheel travel, 0 to 1)."""
    x = place(chart, cursor)
    shown = [(line, written(value_at(line, x), chart.y, units)) for line in chart.lines]
    slow = {line.look: text for line, text in shown if line.slow}
    there = ((line.name, line.look, text, slow.get(line.look)) for line, text in shown if not line.slow)
    return Readout(units.show(x, chart.x.measure), tuple(Reading(*one) for one in there))


_GAP = 2
_LEAST_READ = 8
"""Minimum width of a name beside its value [cells]."""


def readout_rows(scene: Scene, cursor: float, width: int) -> list[CellRow]:
    """Return the position of the cursor and the values of all lines, as many per row as fit."""
    read = readout(scene.chart, scene.units, cursor)
    if not read.readings:
        return []
    ends = extent([line.y for line in scene.chart.lines]) or (0.0,)
    value_width = max(len(scene.written(end)) for end in ends)
    first = len(f"at {readout(scene.chart, scene.units, END).where}")
    entries = _entries(read.readings, value_width, scene.look, width - first - _GAP)
    if (
        first + _GAP + len(entries[0]) > width
    ):  # the values matter more than the place, which the axis shows too
        first, entries = 0, _entries(read.readings, value_width, scene.look, width)
    per_row = max((width - first + _GAP * (not first)) // (len(entries[0]) + _GAP), 1)
    ellipsis = scene.look.glyphs.ellipsis
    shown = []
    for start in range(0, len(entries), per_row):
        row = fitted(cells("" if start or not first else f"at {read.where}", Role.TITLE), first, ellipsis)
        for entry in entries[start : start + per_row]:
            row += (cells(" " * _GAP, Role.BASE) if row else []) + entry
        shown.append(fitted(row, width, ellipsis))
    return shown


def _entries(readings: Sequence[Reading], value_width: int, look: ChartLook, room: int) -> list[CellRow]:
    """Return the readings as cells of equal width, so that nothing moves when a number gets shorter.

    Names are shortened if needed and possible.
    """
    names = [cells(reading.name, Role.BASE) for reading in readings]
    is_slow = any(reading.slow is not None for reading in readings)
    beside = len("● ") + (1 + value_width) + is_slow * (len(" ○ ") + value_width)
    width = min(max(map(len, names)), _LONGEST_NAME, max(room - beside, _LEAST_READ))
    shown = []
    for reading, name in zip(readings, names, strict=True):
        role = Role.SETUP + reading.look
        entry = cells(f"{look.marker(reading.look)} ", role) + fitted(name, width, look.glyphs.ellipsis)
        entry += cells(f" {reading.value:>{value_width}}", Role.BASE)
        if reading.slow is not None:
            entry += cells(f" {look.marker(reading.look, slow=True)} ", role)
            entry += cells(f"{reading.slow:>{value_width}}", Role.BASE)
        shown.append(fitted(entry, width + beside, look.glyphs.ellipsis))
    return shown


STALE_WORDS, STALE_WORD = "OLD: last valid result", "OLD"


class Layout(NamedTuple):
    """Width of the panel, and number of rows of title, plot and readout."""

    width: int
    title: int
    plot: int
    readout: int


def layout(scene: Scene, width: int, height: int) -> Layout:
    """Return the layout: the plot has priority, then the title, then as much of the readout as fits."""
    spare = max(height - LEAST_ROWS, 0)
    title = min(spare, 1)
    if spare >= _TWO_TITLES and not _titled(scene, width, stale=False, rows=1).is_whole:
        title = 2
    wanted = len(readout_rows(scene, START, width))
    lines = min(spare - title, wanted, 1 + height // 3)
    return Layout(width, title, height - title - lines, lines)


def rows(scene: Scene, drawn: Picture, shares: Layout, cursor: float, *, stale: bool) -> list[CellRow]:
    """Return all rows of the panel."""
    readout = readout_rows(scene, cursor, shares.width)
    if more := len(readout) - shares.readout:
        readout = _with_more(readout[: max(shares.readout, 0)], more, shares.width, scene.look)
    title = _titled(scene, shares.width, stale=stale, rows=shares.title).rows[: shares.title]
    return title + _with_cursor(scene, drawn, cursor) + readout


def _with_more(rows: list[CellRow], more: int, width: int, look: ChartLook) -> list[CellRow]:
    """Return rows of values, with a note at the end that `more` are left out, if it fits."""
    for told in (f" {look.glyphs.ellipsis} {more} more", f" {look.glyphs.ellipsis}") if rows else ():
        long = len(text_of(rows[-1:]).rstrip())
        if long + len(told) <= width:
            kept = fitted(rows[-1][:long], width - len(told), "")
            return [*rows[:-1], kept + cells(told, Role.AXIS)]
    return rows


class _Title(NamedTuple):
    """Rows above a plot, and whether they name all that the plot shows."""

    rows: list[CellRow]
    is_whole: bool


def _titled(scene: Scene, width: int, *, stale: bool, rows: int) -> _Title:
    """Return the title with what is over which axis, and the legends behind it or in a second row.

    The legends are dropped before the name of the x axis, and all of these before the unit, which the
    values have too.
    """
    heads, overs, legends = _heads(scene, stale), _overs(scene), _legends(scene)
    ellipsis = scene.look.glyphs.ellipsis
    for head in heads:
        if rows > 1:
            over = next((over for over in overs if len(head + over) <= width), None)
            if over is None:
                continue
            # The name of the axis goes down if it has no room above.
            missing = [] if over or len(overs) == 1 else [overs[-2][1:]]
            for place, told in enumerate(legends):
                row = _joined([*missing, *told], scene)
                if len(row) <= width:
                    titles = [fitted(head + over, width, ellipsis), fitted(row, width, ellipsis)]
                    return _Title(titles, place < _WHOLE)
        for place, told in enumerate(legends):
            # A short name of the axis does not make room for long legends.
            for named, over in enumerate(overs[: 2 if place == 0 else -1] or overs):
                row = _joined([head + over, *told], scene)
                if len(row) <= width:
                    return _Title([fitted(row, width, ellipsis)], place < _WHOLE and named < _WHOLE)
        if len(head) <= width:
            break
    return _Title([fitted(head, width, ellipsis)], is_whole=False)


def _joined(parts: Sequence[CellRow], scene: Scene) -> CellRow:
    """Return remarks on one line."""
    between = cells(f"  {scene.look.glyphs.between} ", Role.AXIS)
    return [cell for place, part in enumerate(parts) for cell in (between if place else []) + part]


def _heads(scene: Scene, stale: bool) -> list[CellRow]:
    """Return number, name and unit of a chart, from the longest to the shortest way to say it."""
    chart, unit = scene.chart, scene.units.unit(scene.chart.y.measure)
    units = cells(f" ({unit})" if unit and chart.lines else "", Role.AXIS)
    title = cells(f"{chart.number} " if chart.number else "", Role.AXIS) + cells(chart.title, Role.TITLE)
    if not stale:
        return [title + units, title]
    long, short = (
        cells(f"{scene.look.glyphs.stale} {words}", Role.STALE) + cells("  ", Role.BASE)
        for words in (STALE_WORDS, STALE_WORD)
    )
    return [long + title + units, short + title + units, short + title]


def _overs(scene: Scene) -> list[CellRow]:
    """Return the name of the x axis behind a title, from its longest form to none; the axis has its unit."""
    axis = scene.chart.x
    if not scene.chart.lines:
        return [[]]
    unit = scene.units.unit(axis.measure)
    names = [f" over {axis.label} ({unit})"] * bool(unit) + [f" over {axis.label}"]
    names += [f" over {axis.label.split()[-1]}"] * (" " in axis.label)
    return [cells(name, Role.AXIS) for name in (*names, "")]


_WHOLE = 2
"""Number of the ways to say the name of the axis, and the legends, that leave out nothing."""


def _legends(scene: Scene) -> list[list[CellRow]]:
    """Return the legends, in whole and short forms, then ever fewer of them down to none.

    Those of the shaded parts stand on their tint.
    """
    chart, look, glyphs = scene.chart, scene.look, scene.look.glyphs
    if not chart.lines:
        return [[]]

    def legend(text: str, flag: int = 0) -> list[CellRow]:
        return [cells(text, Role.AXIS | flag)] if text else []

    sag = f"{glyphs.spread}{glyphs.sag}{glyphs.spread} sag" if chart.bands else ""
    band, shade = (flag if tint else 0 for flag, tint in ((BAND, look.band), (LAST, look.shade)))
    edge = "" if shade else f"{glyphs.edge} "
    last = legend(f"{edge}last tenth", shade) if chart.last is not None else []
    movement, slow = legend(chart.movement), legend(glyphs.slow_words) if _has_slow(chart) else []
    friction = legend(literal(f"{sag} ± friction", glyphs) if sag else "", band)
    whole = legend(f"{edge}last tenth of travel", shade) if last else []
    short = legend(sag, band)
    return [
        movement + slow + friction + whole,
        movement + slow + short + last,
        slow + short + last,
        slow + short,
        slow,
        [],
    ]


def _has_slow(chart: ChartData) -> bool:
    return any(line.slow for line in chart.lines)


def _with_cursor(scene: Scene, drawn: Picture, cursor: float) -> list[CellRow]:
    """Return the plot with the cursor on the axis and on all lines."""
    canvas = drawn.canvas
    if canvas is None:
        return drawn.rows
    plot = [list(row) for row in drawn.rows]
    x = place(scene.chart, cursor)
    column = drawn.left + canvas.column(scene.x(x))
    held, role = plot[canvas.rows][column]
    is_held = role == Role.SAG or role >= Role.SETUP
    # The mark of a sag and of the band around it stays to be read under the cursor.
    plot[canvas.rows][column] = (
        (held, role + HIGHLIGHT) if is_held else (scene.look.glyphs.cursor, Role.CURSOR)
    )
    for line in sorted(scene.chart.lines, key=lambda line: not line.slow):  # the riding curve on top
        row = canvas.row(scene.y(value_at(line, x)))
        if row is not None and plot[row][column][1] % HIGHLIGHT == Role.SAG:  # a sag point stays visible
            plot[row][column] = plot[row][column][0], Role.SAG + HIGHLIGHT
        elif row is not None:
            marker = scene.look.marker(line.look, slow=line.slow)
            plot[row][column] = marker, Role.SETUP + line.look + HIGHLIGHT
    return plot
