"""The sheet as one page of HTML with its charts, fit to be printed and to be read on a telephone."""

from __future__ import annotations

from importlib.resources import files
from itertools import count

from tui.sheet.drawn import svg_of
from tui.sheet.fitting import print_of
from tui.sheet.model import Chart, Sheet
from tui.sheet.wrapped import bound


def page(sheet: Sheet) -> str:
    """Return the sheet as HTML that needs no other file and loads nothing."""
    from jinja2 import Environment, StrictUndefined
    from markupsafe import Markup

    numbers = count(1)

    def drawing(chart: Chart) -> Markup:
        # Made by us, every name in it escaped.
        return Markup(svg_of(chart, sheet.units, f"chart{next(numbers)}"))

    here = files("tui.sheet")
    env = Environment(autoescape=True, undefined=StrictUndefined, keep_trailing_newline=True)
    env.filters["bound"] = bound
    template = env.from_string((here / "page.html.j2").read_text("utf-8"))
    style = Markup((here / "page.css").read_text("utf-8"))
    return template.render(sheet=sheet, style=style, print=print_of(sheet), drawing=drawing)
