"""Export of a chart as SVG, PNG, PDF, or as its numbers.

The setup sheet uses the same drawing library. Lines have the same colours and marker shapes as on the screen,
different dashes for grey prints, and their names at their ends.
"""

from __future__ import annotations

import io
import logging
import os
import re
import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from threading import Lock
from typing import TYPE_CHECKING, Any

import numpy as np
from rich.cells import cell_len, set_cell_size

from physics.arrays import Values, values
from physics.frozen import NamedTuple
from tui.charts.plotting import extent, ticks
from tui.charts.series import Line, Point, Scene
from tui.job.answer import JobAnswer
from tui.job.job import unconfirmed_setups
from tui.job.tree import brief, clean
from tui.kit.document import UNVERIFIED, Rows, csv_bytes, heading_of
from tui.kit.look import ChartLook
from tui.subjects.unverified import counted, unverified

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

SVG, PNG, PDF, CSV = ".svg", ".png", ".pdf", ".csv"
ENDINGS = (SVG, PNG, PDF, CSV)
"""Endings of chart files, which determine the form."""


class NothingToDraw(ValueError):
    """A chart without lines; the text says why."""


class Ground(NamedTuple):
    """Colours of background (`paper`), and of text and axes (`ink`): `#rrggbb`."""

    paper: str
    ink: str

    @property
    def grid(self) -> str:
        """The colour of the grid."""
        ends = ([int(colour[place : place + 2], 16) for place in (1, 3, 5)] for colour in self)
        return "#" + "".join(
            f"{round(paper + _GRID * (ink - paper)):02x}" for paper, ink in zip(*ends, strict=True)
        )


PAPER = Ground("#ffffff", "#000000")
_GRID = 0.133
"""Fraction of ink in the colour of the grid."""


class Sizes(NamedTuple):
    """Sizes of a drawing: letters and markers [pt], the longest name of a line [columns].

    The others are fractions of the plot: `sample` has start, marker and end of a line's sample beside the
    plot, and the start of its name; `name_gap` is the minimum distance of names, `sag_gap` that of sag
    labels.
    """

    letters: float
    marker: float
    longest: int
    sample: tuple[float, float, float, float]
    name_gap: float
    sag_gap: float


_DASHES: tuple[Any, ...] = (
    "-", (0, (5, 2)), (0, (1, 1.3)), (0, (6, 1.5, 1, 1.5)), (0, (9, 2)), (0, (3, 1, 1, 1, 1, 1)),
)  # fmt: skip
_SLOW_DASH = (0, (1, 3))
_SHAPES = {"●": "o", "▲": "^", "■": "s", "◆": "D", "▼": "v", "★": "*", "◉": "p", "✦": "P"}
"""Marker shapes by their character on the screen."""
_OTHERS = tuple(_SHAPES.values())
"""Marker shapes for other characters, such as letters, in the order of setups."""
_MARKED_EVERY = 0.2
"""Distance of markers on a line as a fraction of the chart; markers of coinciding lines alternate."""
_STYLE: Any = {
    "svg.fonttype": "none",
    "svg.hashsalt": "springwright",
    "text.parse_math": False,
    "font.family": "sans-serif",
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.linewidth": 0.6,
}
_IN_INK = ("text.color", "axes.edgecolor", "axes.labelcolor", "axes.titlecolor", "xtick.color", "ytick.color")
_ON_PAPER = ("figure.facecolor", "axes.facecolor")
_ONE_AT_A_TIME = Lock()
_LOW, _CLEAR = 0.12, 0.3
"""Fractions of the chart's height: below the first, a curve collides with text at the axis; then the text
goes to the second."""


@contextmanager
def drawing(letters: float, ground: Ground = PAPER) -> Iterator[type[Figure]]:
    """Provide the library's figure class; draw and save inside this context.

    Loading the library takes a second. Its style is global to the process, so only one thread can draw at a
    time.
    """
    # Log messages of the library, such as on an unwritable cache, would appear on the terminal.
    logging.getLogger("matplotlib").setLevel(logging.ERROR)
    with _ONE_AT_A_TIME, warnings.catch_warnings():
        # A backend exported for a notebook, and a person's own style, are for other programs.
        os.environ.pop("MPLBACKEND", None)
        import matplotlib as mpl
        from matplotlib.figure import Figure

        # The font lacks some scripts; they appear as boxes in a PNG, as in a terminal.
        warnings.filterwarnings("ignore", "Glyph .* missing")
        style = {**_STYLE, "font.size": letters}
        style |= dict.fromkeys(_IN_INK, ground.ink) | dict.fromkeys(_ON_PAPER, ground.paper)
        with mpl.rc_context():
            mpl.rcdefaults()
            mpl.rcParams.update(style)
            yield Figure


class Drawn(NamedTuple):
    """One line to draw: points in the chart's units, and style."""

    name: str
    x: Values
    y: Values
    look: dict[str, Any]


def drawn_lines(scene: Scene, lines: Sequence[Line], size: Sizes, ground: Ground = PAPER) -> list[Drawn]:
    """Return the lines of a chart to draw, without NaN points."""
    found = []
    for line in lines:
        known = np.isfinite(line.x) & np.isfinite(line.y)
        look = line_look(scene.look, line.look, size)
        if line.slow:
            look |= {"linestyle": _SLOW_DASH, "markerfacecolor": ground.paper}
        found.append(Drawn(_legible(line.name), scene.x(line.x[known]), scene.y(line.y[known]), look))
    return found


def line_look(look: ChartLook, number: int, size: Sizes) -> dict[str, Any]:
    """Return the style of a line; combinations of dash and marker repeat as late as possible."""
    line = look.line(number)
    return {
        "color": line.colour,
        "linestyle": _DASHES[number % len(_DASHES)],
        "marker": _SHAPES.get(line.marker, _OTHERS[number % len(_OTHERS)]),
        "markersize": size.marker,
        "linewidth": 1.5,
    }


def plot_lines(axes: Axes, lines: Sequence[Drawn]) -> None:
    """Draw lines with their markers staggered."""
    for place, line in enumerate(lines):
        first = _MARKED_EVERY * (place + 0.5) / len(lines)
        axes.plot(line.x, line.y, markevery=(first, _MARKED_EVERY), **line.look)


def name_lines(axes: Axes, lines: Sequence[Drawn], size: Sizes) -> None:
    """Write each name beside the end of its line with a sample of it, without overlaps."""
    low, high = axes.get_ylim()
    heights = [min((float(line.y[-1]) - low) / (high - low), 1.0) for line in lines]
    gap = min(size.name_gap, 1.0 / len(lines))
    free = 1.0 + gap
    for place in sorted(range(len(lines)), key=lambda place: (-heights[place], -float(lines[place].y[-1]))):
        line = lines[place]
        free = min(free - gap, heights[place])
        *sample, beside = size.sample
        axes.plot(sample, [free] * 3, transform=axes.transAxes, clip_on=False, markevery=[1], **line.look)
        name = short(line.name, size.longest)
        axes.text(beside, free, name, transform=axes.transAxes, va="center", color=line.look["color"])


def short(name: str, longest: int) -> str:
    """Return a name shortened to a number of columns."""
    return name if cell_len(name) <= longest else f"{set_cell_size(name, longest - 3).rstrip()}..."


def mark_sags(axes: Axes, scene: Scene, points: Sequence[Point], size: Sizes, ground: Ground = PAPER) -> None:
    """Mark each setup's sag with a ring and a line to the axis; equal sags are labelled once."""
    floor, top = axes.get_ylim()
    told: list[str] = []
    for point in points:
        x, y = scene.x(point.x), scene.y(point.y)
        axes.plot(x, y, "o", color=ground.ink, markerfacecolor=ground.paper, markersize=4.5, zorder=3)
        sag = scene.units.show(point.x, scene.chart.x.measure)
        if sag not in told:
            # A low curve would cross the label: put it above the curve.
            free = 0.04 if y - floor > _LOW * (top - floor) else _CLEAR
            height = floor + (top - floor) * (free + size.sag_gap * len(told))
            axes.plot((x, x), (floor, max(y, height)), color=ground.ink, linestyle=":", linewidth=0.8)
            axes.annotate(f"sag {sag}", (x, height), (3, 0), textcoords="offset points")
            told.append(sag)


_INCHES, _DPI = (9.0, 5.0), 150
_SIZE = Sizes(10.0, 5.0, 28, (1.015, 1.035, 1.055, 1.065), 0.055, 0.055)
_LEFT, _RIGHT, _BOTTOM, _TOP = 0.9, 0.1, 0.6, 0.6
"""Margins of the plot, without the names of lines [inches]."""
_SHADE, _BAND = 0.05, 0.16
"""Opacity of the shading."""
_COLUMN = 0.62
"""Width of a text column as a fraction of the letter size."""


def chart_file(scene: Scene, ending: str, ground: Ground = PAPER, note: str = "") -> bytes:
    """Return a chart as a file of a form in `ENDINGS`; deterministic.

    A drawing has the colours of the scene's look, which must be `#rrggbb`, on `ground`, and a `note` below
    its title. Raises `NothingToDraw`.
    """
    if not _seen(scene):
        raise NothingToDraw(scene.chart.note or "No setup has a result to draw.")
    if ending == CSV:
        return csv_bytes(chart_numbers(scene))
    target = io.BytesIO()
    title = f"{_legible(scene.chart.title)} over {scene.chart.x.label}"
    with drawing(_SIZE.letters, ground) as figure_class:
        figure = figure_class(figsize=_INCHES)
        _draw(figure, scene, ground, title, note)
        if ending == PNG:
            about = {"Title": title, "Software": None}
            figure.savefig(target, format="png", dpi=_DPI, metadata=about)
        elif ending == PDF:
            unsaid = dict.fromkeys(("CreationDate", "Creator", "Producer"))
            figure.savefig(target, format="pdf", metadata={"Title": title, **unsaid})
        else:
            figure.savefig(target, format="svg", metadata={"Title": title, "Date": None, "Creator": None})
    return target.getvalue()


def marked(scene: Scene, answered: JobAnswer) -> tuple[Scene, str]:
    """Return a chart with setups marked that have unverified values, and a note on these values.

    `answered` is the answer for the wheel of the chart. The note is empty if everything is confirmed.
    """
    setups = answered.answer.setups
    doubted = {place: setups[place].name for place in unconfirmed_setups(answered.job)}
    lines = tuple(
        replace(line, name=f"{line.name}{UNVERIFIED}") if doubted.get(line.look) == line.name else line
        for line in scene.chart.lines
    )
    values = unverified(answered.job)
    chart = replace(scene.chart, lines=lines)
    return replace(scene, chart=chart), counted(len(values)) if values else ""


def _seen(scene: Scene) -> list[Line]:
    return [line for line in scene.chart.lines if np.isfinite(line.y).any()]


def _draw(figure: Figure, scene: Scene, ground: Ground, title: str, note: str) -> None:
    chart, named = scene.chart, [line for line in _seen(scene) if not line.slow]
    # Riding curves are drawn over slow ones.
    lines = drawn_lines(scene, sorted(_seen(scene), key=lambda line: not line.slow), _SIZE, ground)
    ends = drawn_lines(scene, named, _SIZE, ground)
    axes = figure.add_axes(_place(ends))
    levels = [] if chart.level is None else [values([chart.level.y])]
    low, high = extent([line.y for line in chart.lines] + levels) or (0.0, 1.0)
    if chart.y.from_zero:
        low, high = min(low, 0.0), max(high, 0.0)
    first, last = (scene.x(float(place)) for place in chart.place[[0, -1]])
    x = ticks(first, last, 11, tight=True)
    y = ticks(scene.y(low), scene.y(high), 8, tight=False)
    axes.set_xlim(x.low, x.high)
    axes.set_ylim(y.low, y.high)
    axes.set_xticks(x.at, x.texts)
    axes.set_yticks(y.at, y.texts)
    axes.grid(color=ground.grid, linewidth=0.6)
    axes.set_axisbelow(True)
    _shade(axes, scene, ground, x.high)
    if chart.level is not None:
        height = scene.y(chart.level.y)
        axes.axhline(height, color=ground.ink, linestyle="--", linewidth=0.8)
        told = f"{chart.level.name} {scene.written(chart.level.y)}"
        axes.annotate(told, (x.high, height), (-3, 3), textcoords="offset points", ha="right")
    plot_lines(axes, lines)
    name_lines(axes, ends, _SIZE)
    mark_sags(axes, scene, chart.points, _SIZE, ground)
    axes.set_xlabel(heading_of(chart.x.label, scene.units.unit(chart.x.measure)))
    axes.set_ylabel(heading_of(chart.y.label, scene.units.unit(chart.y.measure)))
    legends = [title, chart.movement, "dotted: slow" if len(lines) > len(ends) else ""]
    axes.set_title(", ".join(filter(None, legends)), loc="left", pad=20 if note else 8)
    if note:
        axes.annotate(_legible(note), (0, 1), (0, 6), "axes fraction", textcoords="offset points")


def _shade(axes: Axes, scene: Scene, ground: Ground, end: float) -> None:
    """Shade the last tenth of the travel, and around each sag the band in which seal friction can hold."""
    chart = scene.chart
    if chart.last is not None:
        axes.axvspan(scene.x(chart.last), end, color=ground.ink, alpha=_SHADE, linewidth=0)
    for band in chart.bands:
        colour = ground.ink if band.look is None else scene.look.line(band.look).colour
        axes.axvspan(scene.x(band.low), scene.x(band.high), color=colour, alpha=_BAND, linewidth=0)
    if chart.y.signed:
        axes.axhline(0.0, color=ground.ink, linewidth=0.6)


def _place(named: Sequence[Drawn]) -> tuple[float, float, float, float]:
    """Return left, bottom, width and height of the plot as fractions of the picture; names need the rest."""
    width, height = _INCHES
    columns = max(cell_len(short(line.name, _SIZE.longest)) for line in named)
    names = columns * _COLUMN * _SIZE.letters / 72
    plot = (width - _LEFT - _RIGHT - names) / _SIZE.sample[-1]
    return _LEFT / width, _BOTTOM / height, plot / width, (height - _BOTTOM - _TOP) / height


_NO_XML = re.compile("[\ufffe\uffff]")


def _legible(text: str) -> str:
    """Return text as one line that every drawing format can hold."""
    return _NO_XML.sub("\ufffd", brief(clean(text)))


def chart_numbers(scene: Scene) -> Rows:
    """Return the points of all lines in the chart's units: a column for x, then one per line.

    Lines with another x have their own column for it.
    """
    chart = scene.chart
    x_unit, y_unit = (scene.units.unit(axis.measure) for axis in (chart.x, chart.y))
    columns: list[tuple[str, Values]] = []
    before: Values | None = None
    for line in chart.lines:
        if before is None or not np.array_equal(before, line.x, equal_nan=True):
            columns.append((heading_of(chart.x.label, x_unit), scene.x(line.x)))
            before = line.x
        slowly = ", slow" if line.slow else ""
        label = f"{line.name}: {chart.y.label}{slowly}"
        columns.append((heading_of(label, y_unit), scene.y(line.y)))
    if chart.level is not None and before is not None:
        level = np.full_like(before, scene.y(chart.level.y))
        columns.append((heading_of(chart.level.name, y_unit), level))
    longest = max((column.size for _, column in columns), default=0)
    filled = [np.pad(column, (0, longest - column.size), constant_values=np.nan) for _, column in columns]
    return [[head for head, _ in columns], *np.array(filled).T.tolist()]
