"""The charts of the sheet: in the colours of the light screen, and told apart without them."""

from __future__ import annotations

import re

import pytest

from tests.colour_science import contrast
from tests.tui.sheet.sheets import four_setups, sheet
from tui.charts.export import line_look
from tui.job.demo import demo_job
from tui.job.job import Job
from tui.sheet.model import Chart
from tui.sheet.page import _SIZE, svg_of
from tui.shop_units import USUAL
from tui.themes import find_themes, paper_look

AROUND = {"#000000", "#dddddd", "#ffffff"}
"""Axes, words and sags, the grid, the paper."""


def drawings(job: Job) -> list[str]:
    groups = sheet(job, workings=True).workings
    charts = [part for group in groups for section in group.sections for part in section.parts]
    return [svg_of(part, USUAL, "chart") for part in charts if isinstance(part, Chart)]


@pytest.mark.slow
def test_lines_have_the_colours_of_the_light_screen() -> None:
    screen = [line.colour for line in find_themes().themes["light"].look.lines]
    rear, *_, front = drawings(four_setups())
    for drawing in (rear, front):
        found = set(re.findall(r"#[0-9a-f]{6}", drawing)) - AROUND
        assert found == set(screen[:2])


def test_a_grey_print_tells_the_lines_apart() -> None:
    looks = [line_look(paper_look(), number, _SIZE) for number in range(24)]
    assert len({(str(look["linestyle"]), look["marker"]) for look in looks}) == 24
    assert len({str(look["linestyle"]) for look in looks[:6]}) == 6
    assert len({look["marker"] for look in looks[:8]}) == 8
    for look in looks:
        assert contrast(look["color"], "#ffffff") >= 4.5


def test_lines_that_coincide_show_both_markers() -> None:
    setups = demo_job().get(("setup",))
    assert isinstance(setups, tuple)
    twins = demo_job().with_value(("setup",), (setups[0], {**setups[0], "name": "twin"}))
    drawing = drawings(twins)[0]
    # The library draws each run of markers as uses of one shape, placed where they stand.
    places = [set(re.findall(r'<use [^>]*x="([\d.]+)"', part)) for part in drawing.split('id="chart-line2d_')]
    marked = [found for found in places if len(found) >= 4]
    assert len(marked) >= 2
    assert not marked[0] & marked[1]
