"""The sheet as a page of HTML: its structure, its charts, names that are only names, one sheet of paper."""

import re
import shutil
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.colour_science import contrast
from tests.tui.ride.test_logged import BOTH, recorded
from tests.tui.sheet.sheets import HOSTILE, four_setups, full_job, hostile_job, sheet
from tui.job.demo import demo_job
from tui.job.job import Job
from tui.job.wheels import wheel_job
from tui.sheet.model import Sheet
from tui.sheet.page import page
from tui.shop_units import IMPERIAL, METRIC, USUAL, ShopUnits
from tui.themes import find_themes

CHROMIUM = shutil.which("chromium")
QUIET = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--no-pdf-header-footer",
)  # fmt: skip


class Read(HTMLParser):
    """Tags, ids and text of a page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.ids: list[str] = []
        self.words = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.ids += [value or "" for name, value in attrs if name == "id"]

    def handle_data(self, data: str) -> None:
        self.words += data.replace("\N{NO-BREAK SPACE}", " ")


def test_it_stands_alone_and_loads_nothing() -> None:
    text = page(sheet(full_job()))
    read = Read(text)
    assert not {"script", "link", "img", "iframe", "object"} & set(read.tags)
    assert "default-src 'none'" in text
    assert not re.search(r"(src|href)=\"(?!#)", text)
    assert "Setup 1 of 2: coil, coil spring" in read.words
    assert "Customer: Jo Example" in read.words
    assert read.tags.count("h1") == 1
    assert read.tags.count("h2") == 5
    assert Read(page(sheet(full_job(), workings=True))).tags.count("h2") == 8


@pytest.mark.slow
def test_each_wheel_has_force_and_rate_drawn_and_told() -> None:
    text = page(sheet(full_job(), workings=True))
    drawings = re.findall(r"<svg.*?</svg>", text, re.DOTALL)
    assert len(drawings) == 4
    for number, drawing in enumerate(drawings, 1):
        root = ElementTree.fromstring(drawing)
        assert root.get("aria-labelledby") == f"chart{number}-title chart{number}-desc"
        title, told = root[0], root[1]
        assert (title.text or "").startswith(("Force at the wheel (N)", "Rate at the wheel (N/mm)"))
        assert re.search(r"(air|fork): -?\d+(\.\d)? N", told.text or "")
        words = " ".join(element.text or "" for element in root.iter("{http://www.w3.org/2000/svg}text"))
        assert "wheel travel (mm)" in words
        assert re.search(r"sag \d+\.\d mm", words)
        assert ("coil" in words and "air" in words) or "fork" in words
    rear = drawings[0]
    assert "stroke-dasharray" in rear
    assert len(Read(text).ids) == len(set(Read(text).ids))


@pytest.mark.slow
def test_the_same_sheet_is_the_same_text() -> None:
    made = sheet(full_job(), workings=True)
    assert page(made) == page(made)
    assert not re.search(r"<metadata|dc:date", page(made))


def test_hostile_names_are_only_names() -> None:
    text = page(sheet(hostile_job()))
    read = Read(text)
    assert "script" not in read.tags
    assert "<script>alert(1)</script>" in read.words
    assert "\x1b" not in text
    assert "\u202e" not in text


@pytest.mark.slow
def test_only_a_page_loads_what_draws_it() -> None:
    script = (
        "import sys; from tests.tui.sheet.sheets import full_job, sheet; from tui.sheet.build import written;"
        "made = sheet(full_job(), workings=True); heavy = {'matplotlib', 'jinja2', 'textual'};"
        "written(made, 'text'); written(made, 'markdown'); print(sorted(heavy & set(sys.modules)));"
        "written(made, 'html'); print(sorted(heavy & set(sys.modules)), 'matplotlib.pyplot' in sys.modules)"
    )
    root = Path(__file__).parents[3]
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, cwd=root, check=True
    )
    assert done.stdout.splitlines() == ["[]", "['jinja2', 'matplotlib'] False"]
    assert done.stderr == ""


def test_the_page_without_workings_draws_nothing() -> None:
    assert "<svg" not in page(sheet(full_job()))


@pytest.mark.fast_cases(1)
@pytest.mark.skipif(CHROMIUM is None, reason="no chromium to print with")
@pytest.mark.parametrize(
    ("job", "units"),
    [
        pytest.param(wheel_job(demo_job(), "rear"), USUAL, id="one wheel"),
        pytest.param(full_job(), METRIC, id="both wheels"),
        pytest.param(four_setups(), IMPERIAL, id="four setups"),
        pytest.param(hostile_job(), USUAL, id="long names"),
    ],
)
@pytest.mark.slow
def test_it_prints_on_one_page(job: Job, units: ShopUnits, tmp_path: Path) -> None:
    assert pages(sheet(job, units), tmp_path) == 1


@pytest.mark.slow
@pytest.mark.skipif(CHROMIUM is None, reason="no chromium to print with")
@pytest.mark.parametrize("job", [four_setups(), hostile_job()], ids=["four setups", "long names"])
def test_a_logged_ride_leaves_it_on_one_page(job: Job, tmp_path: Path) -> None:
    assert pages(sheet(job, ride=recorded(BOTH, f"{HOSTILE}.csv")), tmp_path) == 1


def pages(made: Sheet, folder: Path) -> int:
    """Return on how many pages a sheet is printed."""
    source, printed = folder / "sheet.html", folder / "sheet.pdf"
    source.write_text(page(made), "utf-8")
    assert CHROMIUM is not None
    asked = (*QUIET, f"--user-data-dir={folder / 'profile'}", f"--print-to-pdf={printed}", source.as_uri())
    subprocess.run([CHROMIUM, *asked], capture_output=True, check=True, timeout=60)
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", printed.read_bytes()))


def test_the_page_has_the_colours_of_the_light_screen() -> None:
    ui = find_themes(Path("/nowhere")).themes["light"].ui
    text = page(sheet(full_job()))
    for name, colour in (("heading", ui["secondary"]), ("warning", ui["warning"])):
        assert f"--{name}: {colour}" in text
        assert f"var(--{name})" in text
        assert contrast(colour, "#ffffff") >= 4.5
