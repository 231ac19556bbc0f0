"""A chart as a file: names, curves and colours of the screen, and the numbers of the answer."""

from __future__ import annotations

import csv
import io
import os
import re
import struct
import subprocess
import sys
import xml.etree.ElementTree as ET
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from physics.answer import Answer
from tests.colour_science import contrast
from tests.tui.sheet.sheets import hostile_job
from tui.charts.export import (
    ENDINGS,
    PAPER,
    PNG,
    SVG,
    Ground,
    NothingToDraw,
    chart_file,
    chart_numbers,
    short,
)
from tui.charts.series import ChartData, Scene, chart_data
from tui.charts.views import ChartView
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.files import toml_text
from tui.kit.document import csv_text
from tui.kit.look import ChartLook
from tui.shop_units import ALL, USUAL, ShopUnits

XML = "{http://www.w3.org/2000/svg}"
DARK = Ground("#171916", "#f4f1e6")


@pytest.fixture(scope="module")
def demo() -> Answer:
    return answer_job(demo_job()).answer


def scene(answer: Answer, view: ChartView, look: ChartLook, *, slow: bool = False) -> Scene:
    return Scene(chart_data(answer, view, 1, slow=slow), USUAL, look)


class Read:
    """What an SVG holds."""

    def __init__(self, svg: bytes) -> None:
        self.root = ET.fromstring(svg)
        self.words = [element.text or "" for element in self.root.iter(f"{XML}text")]
        self.width = float(self.root.get("width", "").removesuffix("pt"))
        self.tags = {element.tag for element in self.root.iter()}
        self.colours = set(re.findall(r"#[0-9a-f]{6}", svg.decode()))
        # The library makes one group for each line it is given.
        self.lines = [
            group.find(f"{XML}path")
            for group in self.root.iter(f"{XML}g")
            if re.fullmatch(r"line2d_\d+", group.get("id", ""))
        ]

    def curves(self, colour: str) -> int:
        """Return how many lines of a colour go over half of the picture."""
        drawn = [
            line.get("d", "") for line in self.lines if line is not None and colour in line.get("style", "")
        ]
        across = [[float(x) for x in re.findall(r"[ML] ([\d.]+) ", path)] for path in drawn]
        return sum(max(xs) - min(xs) > self.width / 2 for xs in across)


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("view", ChartView)
def test_an_svg_has_every_line_with_its_name_and_both_axes(
    demo: Answer, look: ChartLook, view: ChartView
) -> None:
    shown = scene(demo, view, look)
    read = Read(chart_file(shown, SVG, DARK))
    chart = shown.chart
    for line in chart.lines:
        assert line.name in read.words
        assert read.curves(look.line(line.look).colour) == 1
    assert len(chart.lines) == {ChartView.CHAMBERS: 3, ChartView.LEVERAGE: 1}.get(view, 2)
    unit = USUAL.unit(chart.y.measure)
    assert (f"{chart.y.label} ({unit})" if unit else chart.y.label) in read.words
    assert f"{chart.x.label} ({USUAL.unit(chart.x.measure)})" in read.words
    assert any(words.startswith(f"{chart.title} over {chart.x.label}") for words in read.words)


def test_the_wheel_forces_have_static_load_and_sag(demo: Answer, look: ChartLook) -> None:
    words = Read(chart_file(scene(demo, ChartView.WHEEL, look), SVG, DARK, "2 values are unverified.")).words
    assert f"static load {demo.load.static_wheel_force:.0f} N" in words
    assert f"sag {1e3 * float(demo.setups[0].sag.wheel):.1f} mm" in words
    assert "2 values are unverified." in words


def test_a_curve_moved_slowly_is_drawn_too_and_named_once(demo: Answer, look: ChartLook) -> None:
    read = Read(chart_file(scene(demo, ChartView.WHEEL, look, slow=True), SVG, DARK))
    assert read.curves(look.line(0).colour) == 1
    assert read.curves(look.line(1).colour) == 2
    assert read.words.count("air") == 1
    assert any(words.endswith("dotted: slow") for words in read.words)


def test_colours_are_those_of_the_screen_on_its_ground(six: Answer, look: ChartLook) -> None:
    read = Read(chart_file(scene(six, ChartView.SHAFT, look), SVG, DARK))
    lines = {line.colour for line in look.lines[:6]}
    assert read.colours == {*lines, *DARK, DARK.grid}
    assert 1.1 < contrast(DARK.grid, DARK.paper) < 2
    assert PAPER.grid == "#dddddd"


@pytest.mark.slow
def test_the_same_chart_gives_the_same_file(demo: Answer, look: ChartLook) -> None:
    shown = scene(demo, ChartView.WHEEL, look)
    for ending in ENDINGS:
        assert chart_file(shown, ending) == chart_file(shown, ending)


def test_a_png_is_one_of_its_size_in_the_colours_of_its_ground(demo: Answer, look: ChartLook) -> None:
    data = chart_file(scene(demo, ChartView.WHEEL, look), PNG, DARK)
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    assert data[12:16] == b"IHDR"
    assert struct.unpack(">II", data[16:24]) == (1350, 750)
    from matplotlib.image import imread

    corner = imread(io.BytesIO(data))[0, 0, :3] * 255
    assert corner.round().astype(int).tolist() == [0x17, 0x19, 0x16]


@pytest.mark.slow
def test_names_that_try_to_be_more_are_text(look: ChartLook) -> None:
    answer = answer_job(hostile_job()).answer
    shown = scene(answer, ChartView.WHEEL, look)
    read = Read(chart_file(shown, SVG))
    assert f"{XML}script" not in read.tags
    (name,) = (words for words in read.words if words.startswith("name <script>"))
    assert name == short(shown.chart.lines[0].name, 28)
    assert chart_file(shown, PNG)[:4] == b"\x89PNG"


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("name", ["$x_1$", "a\uffffb\x00c\n", "\u7389" * 40, "_hidden", "&<>\"'", ""])
def test_any_name_can_be_drawn(demo: Answer, look: ChartLook, name: str) -> None:
    chart = chart_data(demo, ChartView.SHAFT)
    lines = tuple(replace(line, name=name) for line in chart.lines)
    shown = Scene(replace(chart, lines=lines), USUAL, look)
    read = Read(chart_file(shown, SVG))
    assert read.curves(look.line(0).colour) == 1
    if name.isprintable() and 0 < len(name) <= 14:
        assert read.words.count(name) == 2
    assert chart_file(shown, PNG)[:4] == b"\x89PNG"


def test_a_name_is_cut_by_columns() -> None:
    assert short("12345678", 8) == "12345678"
    assert short("123456789", 8) == "12345..."
    assert short("\u7389\u7389\u7389\u7389\u7389", 8) == "\u7389\u7389..."


def test_many_setups_have_their_names_all_on_the_picture(six: Answer, look: ChartLook) -> None:
    chart = chart_data(six, ChartView.WHEEL)
    many = tuple(
        replace(line, name=f"{line.name} {round_}", look=line.look + 6 * round_)
        for round_ in range(5)
        for line in chart.lines
    )
    read = Read(chart_file(Scene(replace(chart, lines=many), USUAL, look), SVG))
    assert {line.name for line in many} <= set(read.words)


def test_a_chart_without_lines_says_why(demo: Answer, look: ChartLook) -> None:
    shown = Scene(chart_data(demo, ChartView.CHAMBERS, 0), USUAL, look)
    for ending in ENDINGS:
        with pytest.raises(NothingToDraw, match="coil is a coil and has no chambers"):
            chart_file(shown, ending)


@pytest.mark.slow
def test_threads_draw_one_after_another(demo: Answer, look: ChartLook) -> None:
    scenes = [(scene(demo, view, look), ground) for view in ChartView for ground in (DARK, PAPER)]
    alone = [chart_file(shown, SVG, ground) for shown, ground in scenes]
    with ThreadPoolExecutor(4) as pool:
        assert list(pool.map(lambda asked: chart_file(asked[0], SVG, asked[1]), scenes)) == alone


def columns_of(chart: ChartData, units: ShopUnits, look: ChartLook) -> dict[str, list[str]]:
    text = csv_text(chart_numbers(Scene(chart, units, look)))
    head, *rows = csv.reader(io.StringIO(text, newline=""), strict=True)
    return {name: [row[place] for row in rows] for place, name in enumerate(head)}


@pytest.mark.parametrize("units", ALL, ids=lambda units: units.name)
def test_the_points_come_back_as_the_answer_has_them(demo: Answer, look: ChartLook, units: ShopUnits) -> None:
    chart = chart_data(demo, ChartView.WHEEL, slow=True)
    columns = columns_of(chart, units, look)
    force, travel = units.unit(chart.y.measure), units.unit(chart.x.measure)
    assert list(columns) == [
        f"wheel travel ({travel})",
        f"coil: Wheel force ({force})",
        f"air: Wheel force ({force})",
        f"air: Wheel force, slow ({force})",
        f"static load ({force})",
    ]
    x, coil, air, slow, level = (
        np.array([float(cell or "nan") for cell in column]) for column in columns.values()
    )
    curves = [setup.curve for setup in demo.setups]
    np.testing.assert_array_equal(x, units.scale(curves[0].wheel_travel, chart.x.measure))
    np.testing.assert_array_equal(coil, units.scale(curves[0].riding_wheel_force, chart.y.measure))
    np.testing.assert_array_equal(air, units.scale(curves[1].riding_wheel_force, chart.y.measure))
    moved = np.isfinite(slow)
    assert 10 < moved.sum() < moved.size
    np.testing.assert_array_equal(slow[moved], units.scale(curves[1].wheel_force, chart.y.measure)[moved])
    assert set(level) == {float(units.scale(float(demo.load.static_wheel_force), chart.y.measure))}


def test_lines_with_an_x_of_their_own_have_a_column_for_it(demo: Answer, look: ChartLook) -> None:
    chart = chart_data(demo, ChartView.SHAFT)
    first, second = chart.lines
    half = replace(second, x=second.x[::2], y=second.y[::2])
    rows = chart_numbers(Scene(replace(chart, lines=(first, half)), USUAL, look))
    assert rows[0] == [
        "shock stroke (mm)", "coil: Shaft force (N)", "shock stroke (mm)", "air: Shaft force (N)",
    ]  # fmt: skip
    assert len(rows) == 1 + first.x.size
    own = USUAL.scale(half.x, chart.x.measure).tolist()
    assert [row[2] for row in rows[1 : 1 + half.x.size]] == own
    assert all(np.isnan(float(row[2])) for row in rows[1 + half.x.size :])


@pytest.mark.slow
def test_what_other_programs_are_told_of_drawing_changes_no_chart(tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(toml_text(demo_job(), None), encoding="utf-8")
    (tmp_path / "matplotlibrc").write_text("text.usetex: True\nlines.linewidth: 9\nsavefig.dpi: 20\n")
    drawn = []
    usual = os.environ | {"PYTHONPATH": str(Path(__file__).parents[3])}
    for folder, backend in ((tmp_path, "nonsense"), (tmp_path.parent, "agg")):
        command = [sys.executable, "-m", "tui", "chart", str(tmp_path / "job.toml"), "-o", f"{backend}.svg"]
        environment = usual | {"MPLBACKEND": backend}
        done = subprocess.run(command, cwd=folder, env=environment, capture_output=True, check=False)
        assert (done.returncode, done.stderr) == (0, b"")
        drawn.append((folder / command[-1]).read_bytes())
    assert drawn[0] == drawn[1]


@pytest.mark.slow
def test_only_a_picture_loads_what_draws_it() -> None:
    script = (
        "import sys; from tui.charts.export import *; from tui.charts.series import *;"
        "from tui.charts.views import ChartView; from tui.job.answer import answer_job;"
        "from tui.job.demo import demo_job; from tui.shop_units import USUAL;"
        "from tui.themes import paper_look;"
        "shown = Scene(chart_data(answer_job(demo_job()).answer, ChartView.WHEEL), USUAL, paper_look());"
        "heavy = {'matplotlib', 'plotext', 'textual'};"
        "chart_file(shown, '.csv'); print(sorted(heavy & set(sys.modules)));"
        "chart_file(shown, '.svg'); print(sorted(heavy & set(sys.modules)));"
        "print('matplotlib.pyplot' in sys.modules)"
    )
    root = Path(__file__).parents[3]
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, cwd=root, check=True
    )
    assert done.stdout.splitlines() == ["[]", "['matplotlib']", "False"]
    assert done.stderr == ""
