"""The sheet as HTML with charts as SVG, in the colours of the screen, with text as text.

Lines also differ by dashes and markers, for grey prints, and have their names at their ends.
"""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from html import escape
from importlib.resources import files
from itertools import count
from math import ceil
from typing import TYPE_CHECKING

import numpy as np
from rich.cells import cell_len

from physics.frozen import NamedTuple
from tui.charts.export import PAPER, Drawn, Sizes, drawing, drawn_lines, mark_sags, name_lines, plot_lines
from tui.charts.series import ChartData, Scene
from tui.kit.document import Paragraph
from tui.kit.look import bound
from tui.kit.roles import Role
from tui.sheet.model import Box, Chart, Group, Part, Section, Sheet, one_line
from tui.shop_units import Measure, ShopUnits
from tui.themes import paper_look, paper_theme

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_INCHES = (3.2, 1.35)
_PLOT = (0.115, 0.25, 0.655, 0.71)
"""Left, bottom, width and height of the plot, as fractions of the picture."""
_SIZE = Sizes(8.0, 3.2, 12, (1.02, 1.07, 1.12, 1.14), 0.13, 0.14)
_SPIKE = 1.3
"""Upper limit of a rate chart relative to the maximum before the last tenth of the travel: a bumper exceeds
it."""


def svg_of(chart: Chart, units: ShopUnits, name: str) -> str:
    """Return a chart as an `<svg>` for a page, with a description; all its ids begin with `name`.

    The output is deterministic.
    """
    target = io.StringIO()
    with drawing(_SIZE.letters) as figure_class:
        figure = figure_class(figsize=_INCHES)
        _draw(figure.add_axes(_PLOT), chart, Scene(chart.data, units, paper_look()))
        figure.savefig(target, format="svg", metadata={"Date": None})
    told = ". ".join(one.line for one in chart.lines)
    return _inline(target.getvalue(), name, chart.title, told)


def _draw(axes: Axes, chart: Chart, scene: Scene) -> None:
    lines = drawn_lines(scene, chart.data.lines, _SIZE)
    plot_lines(axes, lines)
    _limit(axes, lines, chart.data)
    unit = scene.units.unit(chart.data.x.measure)
    axes.set_xlabel(f"{chart.data.x.label} ({unit})", labelpad=1)
    axes.grid(color=PAPER.grid, linewidth=0.5)
    axes.tick_params(width=0.6, length=2.5, pad=2)
    name_lines(axes, lines, _SIZE)
    mark_sags(axes, scene, chart.sags, _SIZE)


def _limit(axes: Axes, lines: list[Drawn], data: ChartData) -> None:
    """Set the axes: the whole travel, and the range of values that matters before the very end."""
    end = max(float(line.x[-1]) for line in lines)
    low = min(0.0, *(float(np.min(line.y)) for line in lines))
    high = max(float(np.max(line.y)) for line in lines)
    if data.y.measure is Measure.WHEEL_RATE:
        low = 0.0
        high = min(high, _SPIKE * max(float(np.max(line.y[line.x <= 0.9 * end])) for line in lines))
    axes.set_xlim(0, end)
    axes.set_ylim(low, high if high > low else low + 1)


def _inline(svg: str, name: str, title: str, told: str) -> str:
    """Return the drawing without the parts that only a separate file needs."""
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
"""Height and width inside the margins of both A4 and Letter, and the gap between two columns [pt]."""
_LETTER, _LEADING = 0.485, 1.17
"""Mean width of a letter and height of a line, as fractions of the font size."""
_CHART = 0.42
"""Aspect ratio of a chart, height over width."""
_DENSE = 0.9
_HEAD, _GROUP, _SECTION = 5.0, 4.2, 1.4
"""Extra lines for the header, a group and a section, including unequal ends of columns."""


class Print(NamedTuple):
    """Font size [pt] and number of columns."""

    size: float
    columns: int


def print_of(groups: Sequence[Group]) -> Print:
    """Return the largest print that fits groups on one page; with the smallest they may need two."""

    def height(one: Print) -> float:
        sections = sum(_section(section, one) for group in groups for section in group.sections)
        return (_HEAD + _GROUP * len(groups)) * one.size * _LEADING + sections / one.columns

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
    """Return the text of a part for measuring."""
    if isinstance(part, Box):
        return part.text
    mark = "    " if isinstance(part, Paragraph) and part.role is Role.CAUTION else ""
    return one_line(part, f"{'_' * 14} ", "{}") + mark


def page(sheet: Sheet) -> str:
    """Return the sheet as self-contained HTML."""
    from jinja2 import Environment, StrictUndefined
    from markupsafe import Markup

    here, numbers = files("tui.sheet"), count(1)

    def drawing(chart: Chart) -> Markup:
        # Trusted markup: all names in it are escaped.
        return Markup(svg_of(chart, sheet.units, f"chart{next(numbers)}"))

    env = Environment(autoescape=True, undefined=StrictUndefined, keep_trailing_newline=True)
    env.filters["bound"] = bound
    template = env.from_string((here / "page.html.j2").read_text("utf-8"))
    style = Markup((here / "page.css").read_text("utf-8"))
    ui = paper_theme().ui
    prints = {"print": print_of(sheet.groups), "appendix": print_of(sheet.workings)}
    return template.render(sheet=sheet, style=style, ui=ui, **prints, drawing=drawing)
