"""Every chart of the bench as a picture: in each form with its title, its lines and their names."""

from __future__ import annotations

import io
import re
import struct
import xml.etree.ElementTree as ET
import zlib
from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from matplotlib.image import imread

from tests.tui.bench.views.test_events import rode
from tests.tui.bench.views.test_tolerance import on_bench
from tests.tui.looks import LOOK
from tests.tui.ride.test_logged import SHOCK
from tui.bench.export import scene_shown
from tui.bench.state import BenchState, show_view, with_log
from tui.bench.views.pane import views
from tui.charts.export import PDF, PNG, SVG, chart_file, short
from tui.charts.series import Scene, chart_data
from tui.charts.views import ChartView
from tui.job.demo import demo_job
from tui.job.wheels import wheel_job
from tui.linkage.panes import curve
from tui.linkage.state import open_linkage, with_answer
from tui.shop_units import USUAL
from tui.tables.recorded import LogFile

TEXT = "{http://www.w3.org/2000/svg}text"
SHOWN_OF_EVENT = 6
CHARTS_OF_LOG = 4
"""Travel, speeds and spectrum, and the first hit: the others are like it."""


@cache
def rear() -> BenchState:
    return on_bench(wheel_job(demo_job(), "rear"))


@cache
def logged() -> BenchState:
    with TemporaryDirectory() as folder:
        path = Path(folder, "ride.csv")
        path.write_text("\n".join(SHOCK.splitlines()[:1501]))
        return rode(with_log(on_bench(demo_job()), LogFile.at(path)))


def drawn(name: str) -> Scene | None:
    """Return the chart of this view, at the place that a number behind its name says."""
    view, _, place = name.partition(" ")
    if view == "sweep":
        return scene_shown(show_view(rear(), view), LOOK)
    if view == "events":
        event = show_view(rear(), view)
        return scene_shown(rode(replace(event, event=event.event._replace(shows=int(place)))), LOOK)
    if view == "logged":
        return scene_shown(replace(logged(), log=logged().log._replace(chart=int(place))), LOOK)
    if view == "linkage":
        linkage = with_answer(open_linkage(wheel_job(demo_job(), "rear")))
        return curve(linkage.answer, USUAL, LOOK) if linkage.answer else None
    answer = rear().answer
    return Scene(chart_data(answer.answer, ChartView[view], 1), USUAL, LOOK) if answer else None


NAMES = (
    *(view.name for view in ChartView),
    "sweep",
    *(f"events {place}" for place in range(SHOWN_OF_EVENT)),
    *(f"logged {place}" for place in range(CHARTS_OF_LOG)),
    "linkage",
)


def test_these_are_all_charts_there_are() -> None:
    of_views = {name for name, view in views().items() if view.scene is not None}
    assert of_views == {name.split()[0] for name in NAMES if name.islower()} - {"linkage"}


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("name", NAMES)
def test_every_chart_is_a_picture_in_every_form(name: str) -> None:
    scene = drawn(name)
    assert scene is not None
    names = {short(line.name, 28) for line in scene.chart.lines if not line.slow}
    assert names
    svg = ET.fromstring(chart_file(scene, SVG))
    words = {element.text for element in svg.iter(TEXT)}
    assert names <= words
    assert any(f"{scene.chart.title} over {scene.chart.x.label}" in (text or "") for text in words)
    png = chart_file(scene, PNG)
    assert png[:8] == b"\x89PNG\r\n\x1a\n"
    assert struct.unpack(">II", png[16:24]) == (1350, 750)
    pixels = imread(io.BytesIO(png))[::3, ::3, :3].reshape(-1, 3)
    assert len(np.unique(pixels, axis=0)) > 3, "paper, ink, and the colours of the lines"
    pdf = chart_file(scene, PDF)
    assert pdf.startswith(b"%PDF-1.")
    assert pdf.rstrip().endswith(b"%%EOF")
    assert len(re.findall(rb"/Type /Page\b", pdf)) == 1
    streams = re.findall(rb"/FlateDecode.*?>>\s*stream\r?\n(.*?)\r?\nendstream", pdf, re.DOTALL)
    strokes = b"".join(zlib.decompressobj().decompress(stream) for stream in streams)
    assert strokes.count(b" l\n") > 20, "axes and curves"
