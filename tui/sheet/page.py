"""A chart of the sheet as SVG, in the colours of the screen, text kept as text.

Lines are told apart by dashes and markers too, as a grey print does, and named where they end.
"""

from __future__ import annotations

import io
import logging
import re
from html import escape
from importlib.resources import files
from itertools import count
from math import ceil
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from rich.cells import cell_len

from tui.charts.series import ChartData
from tui.kit.document import Paragraph
from tui.kit.roles import Role
from tui.sheet.model import Box, Chart, Part, Section, Sheet, one_line
from tui.sheet.text import bound
from tui.shop_units import Measure, ShopUnits
from tui.themes import paper_look

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_INCHES = (3.2, 1.35)
_PLOT = (0.115, 0.25, 0.655, 0.71)
"""Left, bottom, width and height of the plot, shares of the picture."""
_DASHES: tuple[Any, ...] = (
    "-", (0, (5, 2)), (0, (1, 1.3)), (0, (6, 1.5, 1, 1.5)), (0, (9, 2)), (0, (3, 1, 1, 1, 1, 1)),
)  # fmt: skip
_MARKERS = ("o", "^", "s", "D", "v", "*", "p", "P")
"""The shapes that the markers have on the screen, in the order of setups."""
_MARKED_EVERY = 0.2
"""Share of the chart between two markers of a line; those of lines that coincide come one after the other."""
_STYLE: Any = {
    "svg.fonttype": "none", "svg.hashsalt": "springwright", "text.parse_math": False,
    "font.family": "sans-serif", "font.size": 8.0,
    "axes.spines.top": False, "axes.spines.right": False, "axes.linewidth": 0.6,
}  # fmt: skip
_LONGEST_NAME = 12
_NAME_GAP = 0.13
"""Least distance of two names at the lines' ends, of the height of the plot."""
_LOW, _CLEAR = 0.12, 0.3
"""Share of the height of a chart below which a curve meets words at the axis, and where it does not."""
_SPIKE = 1.3
"""Height of a chart of rates over the highest before the last tenth, where a bumper would dwarf the rest."""


class _Drawn(NamedTuple):
    """One line as it is drawn: its points in the unit of the sheet, and its looks."""

    name: str
    x: Any
    y: Any
    look: dict[str, Any]


def svg_of(chart: Chart, units: ShopUnits, name: str) -> str:
    """Return a chart as an `<svg>` for a page, told in words too; its ids all begin with `name`.

    The same chart gives the same text, whatever the day and the machine.
    """
    # What the library tells the log, as of a cache it cannot keep, would stand on the terminal.
    logging.getLogger("matplotlib").setLevel(logging.ERROR)
    import matplotlib as mpl
    from matplotlib.figure import Figure

    target = io.StringIO()
    with mpl.rc_context(_STYLE):
        figure = Figure(figsize=_INCHES)
        _draw(figure.add_axes(_PLOT), chart, units)
        figure.savefig(target, format="svg", metadata={"Date": None})
    told = ". ".join(one.line for one in chart.lines)
    return _inline(target.getvalue(), name, chart.title, told)


def _draw(axes: Axes, chart: Chart, units: ShopUnits) -> None:
    data, lines = chart.data, list[_Drawn]()
    for place, line in enumerate(data.lines):
        x, y = units.scale(line.x, data.x.measure), units.scale(line.y, data.y.measure)
        lines.append(_Drawn(line.name, x, y, _look(line.look)))
        first = _MARKED_EVERY * (place + 0.5) / len(data.lines)
        axes.plot(x, y, markevery=(first, _MARKED_EVERY), **lines[-1].look)
    _limit(axes, lines, data)
    axes.set_xlabel(f"{data.x.label} ({units.unit(data.x.measure)})", labelpad=1)
    axes.grid(color="#dddddd", linewidth=0.5)
    axes.tick_params(width=0.6, length=2.5, pad=2)
    _name(axes, lines)
    _mark_sags(axes, chart, units)


def _look(look: int) -> dict[str, Any]:
    """Return how a setup's line is drawn; of dashes and markers no two meet twice before a round of both."""
    colour, dash, marker = paper_look().line(look).colour, look % len(_DASHES), look % len(_MARKERS)
    line = {"color": colour, "linestyle": _DASHES[dash], "linewidth": 1.5}
    return line | {"marker": _MARKERS[marker], "markersize": 3.2}


def _limit(axes: Axes, lines: list[_Drawn], data: ChartData) -> None:
    """Show all of the travel, and of the heights what matters before the very end."""
    end = max(float(line.x[-1]) for line in lines)
    low = min(0.0, *(float(np.min(line.y)) for line in lines))
    high = max(float(np.max(line.y)) for line in lines)
    if data.y.measure is Measure.WHEEL_RATE:
        low = 0.0
        high = min(high, _SPIKE * max(float(np.max(line.y[line.x <= 0.9 * end])) for line in lines))
    axes.set_xlim(0, end)
    axes.set_ylim(low, high if high > low else low + 1)


def _name(axes: Axes, lines: list[_Drawn]) -> None:
    """Write each name beside the end of its line, with a sample of it, none over another."""
    low, high = axes.get_ylim()
    heights = [min((float(line.y[-1]) - low) / (high - low), 1.0) for line in lines]
    free = 1.0 + _NAME_GAP
    for place in sorted(range(len(lines)), key=lambda place: (-heights[place], -float(lines[place].y[-1]))):
        line, at = lines[place], axes.transAxes
        name = line.name if len(line.name) <= _LONGEST_NAME else f"{line.name[: _LONGEST_NAME - 3]}..."
        free = min(free - _NAME_GAP, heights[place])
        axes.plot((1.02, 1.07, 1.12), (free,) * 3, transform=at, clip_on=False, markevery=[1], **line.look)
        axes.text(1.14, free, name, transform=at, va="center", color=line.look["color"])


def _mark_sags(axes: Axes, chart: Chart, units: ShopUnits) -> None:
    """Ring each setup's sag and drop a line to the axis, where it stands once for all that are alike."""
    floor, top = axes.get_ylim()
    measure = chart.data.x.measure
    told: list[str] = []
    for point in chart.sags:
        x, y = units.scale(point.x, measure), units.scale(point.y, chart.data.y.measure)
        axes.plot(x, y, "o", color="black", markerfacecolor="white", markersize=4.5, zorder=3)
        sag = units.show(point.x, measure)
        if sag not in told:
            # A curve that is low there would strike its words through: above it there is room.
            free = 0.04 if y - floor > _LOW * (top - floor) else _CLEAR
            height = floor + (top - floor) * (free + 0.14 * len(told))
            axes.plot((x, x), (floor, max(y, height)), color="black", linestyle=":", linewidth=0.8)
            axes.annotate(f"sag {sag}", (x, height), (3, 0), textcoords="offset points")
            told.append(sag)


def _inline(svg: str, name: str, title: str, told: str) -> str:
    """Return the drawing without what only a file of its own needs."""
    svg = svg[svg.index("<svg") :]
    svg = re.sub(r"\s*<metadata>.*?</metadata>", "", svg, flags=re.DOTALL)
    svg = re.sub(r'\b(id="|xlink:href="#|url\(#)', rf"\g<1>{name}-", svg)
    head, body = svg.split(">", 1)
    view = re.search(r'viewBox="[^"]*"', head)
    assert view is not None
    words = f'<title id="{name}-title">{escape(title)}</title><desc id="{name}-desc">{escape(told)}</desc>'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" {view[0]} '
        f'role="img" aria-labelledby="{name}-title {name}-desc">{words}{body}'
    )


_SIZES = (9.0, 8.5, 8.0, 7.6, 7.3, 7.0, 6.7, 6.4, 6.1, 5.8)
_HEIGHT, _WIDTH, _GAP = 765.0, 544.0, 11.0
"""What the smaller of A4 and Letter leaves between the margins, and between two columns [pt]."""
_LETTER, _LEADING = 0.485, 1.17
"""Mean width of a letter and height of a line, of the size."""
_CHART = 0.42
"""Height of a chart over its width."""
_DENSE = 0.9
_HEAD, _GROUP, _SECTION = 5.0, 3.2, 1.4
"""Lines that the head, a group and a section take for themselves; columns seldom end as one."""


class Print(NamedTuple):
    """Size of print [pt] and number of columns."""

    size: float
    columns: int


def print_of(sheet: Sheet) -> Print:
    """Return the largest print that has a sheet on one page; past the least it goes on to a second."""

    def height(one: Print) -> float:
        sections = sum(_section(section, one) for group in sheet.groups for section in group.sections)
        return (_HEAD + _GROUP * len(sheet.groups)) * one.size * _LEADING + sections / one.columns

    tried = (Print(size, columns) for size in _SIZES for columns in (2, 3))
    return next((one for one in tried if height(one) <= _HEIGHT), Print(_SIZES[-1], 3))


def _section(section: Section, asked: Print) -> float:
    column = (_WIDTH - _GAP * (asked.columns - 1)) / asked.columns
    size = asked.size * (_DENSE if section.dense else 1.0)
    letters = column / (_LETTER * size)
    told = [_text(part) for part in section.parts if not isinstance(part, Chart)]
    lines = sum(ceil(cell_len(text) / letters) for text in (["; ".join(told)] if section.dense else told))
    charts = len(section.parts) - len(told)
    return (lines + _SECTION + 1.2 * charts) * size * _LEADING + charts * column * _CHART


def _text(part: Part) -> str:
    """Return a part as it is measured."""
    if isinstance(part, Box):
        return part.text
    mark = "    " if isinstance(part, Paragraph) and part.role is Role.CAUTION else ""
    return one_line(part, f"{'_' * 14} ", "{}") + mark


def page(sheet: Sheet) -> str:
    """Return the sheet as HTML that needs no other file and loads nothing."""
    from jinja2 import Environment, StrictUndefined
    from markupsafe import Markup

    here, numbers = files("tui.sheet"), count(1)

    def drawing(chart: Chart) -> Markup:
        # Made by us, every name in it escaped.
        return Markup(svg_of(chart, sheet.units, f"chart{next(numbers)}"))

    env = Environment(autoescape=True, undefined=StrictUndefined, keep_trailing_newline=True)
    env.filters["bound"] = bound
    template = env.from_string((here / "page.html.j2").read_text("utf-8"))
    style = Markup((here / "page.css").read_text("utf-8"))
    return template.render(sheet=sheet, style=style, print=print_of(sheet), drawing=drawing)
