"""What nobody has typed or confirmed on sheet and report: counted first, listed, and refused when asked."""

from __future__ import annotations

from html import unescape
from pathlib import Path

import pytest

from tests.confirmed import confirmed, confirmed_demo
from tests.tui.sheet.sheets import sheet
from tui.cli import main
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.files import toml_text
from tui.job.job import Job
from tui.job.wheels import wheel_job
from tui.kit.document import Labelled, Paragraph, plain_lines
from tui.kit.roles import Role
from tui.sheet.build import written
from tui.sheet.model import Group
from tui.shop_units import USUAL
from tui.subjects.answers import answer_object
from tui.subjects.report import report
from tui.subjects.unverified import document, json_object, unverified

DEMO = demo_job()
TYPED = confirmed_demo()


def first(job: Job) -> Group:
    return sheet(job).groups[0]


def one_doubt() -> Job:
    return TYPED.with_invented(("setup", 0, "rated_stroke"), "60 mm")


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("form", ["text", "markdown", "html"])
def test_a_sheet_says_first_how_many_values_are_unverified_and_lists_them_behind_all_else(form: str) -> None:
    text = " ".join(unescape(written(sheet(DEMO, workings=True), form)).split())  # type: ignore[arg-type]
    assert "72 values are unverified" in text
    assert text.index("72 values") < text.index("Safety first")
    # What the hand sets comes before the list.
    for told in ("Nearest rate to buy", "Set pressure at full extension", "no leak"):
        assert text.index("72 values") < text.index(told) < text.index("max pressure 150 psi")
    for told in ("rider mass 82 kg", "rated stroke 64 mm", "max pressure 150 psi", "head angle 64.5 deg"):
        assert told in text
    assert "~ 82 kg" in text.replace("\\", "")
    assert "82 kg ~" not in text.replace("\\", "")


@pytest.mark.slow
@pytest.mark.parametrize("form", ["text", "markdown", "html"])
def test_a_confirmed_job_shows_nothing_of_it(form: str) -> None:
    text = written(sheet(TYPED), form)  # type: ignore[arg-type]
    assert "nverified" not in text
    assert "~" not in text.replace("\\", "")
    assert "left out" not in text
    assert "nverified" not in report(answer_job(TYPED))


def test_every_unconfirmed_value_is_listed_once() -> None:
    found = unverified(DEMO)
    assert sorted(map(str, (one.path for one in found))) == sorted(map(str, DEMO.unconfirmed))
    assert all(one.value and one.part != "file" for one in found)
    last = sheet(DEMO).groups[-1]
    assert last.title == "Unverified values"
    listed = "; ".join(part.text for part in last.sections[0].parts if isinstance(part, Labelled))
    assert len(listed.split("; ")) == len(found)


@pytest.mark.slow
def test_one_value_is_told_as_one() -> None:
    (warned,) = first(one_doubt()).sections[-1].parts
    (line,) = sheet(one_doubt()).groups[-1].sections[0].parts
    assert isinstance(warned, Paragraph)
    assert warned.role is Role.CAUTION
    assert warned.text.startswith("1 value is unverified: nobody has typed or confirmed it.")
    assert line == Labelled("rear coil", "rated stroke 60 mm")
    told = plain_lines(document(one_doubt(), USUAL), "")
    assert told == ["Unverified", "  rear coil: rated stroke 60 mm"]
    assert "\n".join(told) in report(answer_job(one_doubt()))
    assert json_object(one_doubt()) == ["setup.0.rated_stroke"]


def test_values_without_a_row_and_tables_are_listed_too() -> None:
    leverage = {"kind": "table", "travel_mm": (0, 80, 148), "ratio": (2.8, 2.4, 2.2)}
    wheel = wheel_job(TYPED, "rear").with_value(("frame", "leverage"), leverage)
    for key in ("travel_mm", "ratio"):
        wheel = wheel.with_invented(("frame", "leverage", key), leverage[key])
    wheel = wheel.with_invented(("setup", 0, "ladder_lbf_per_in"), (400, 450)).without(
        ("setup", 0, "ladder_step")
    )
    told = {one.path[-1]: one for one in unverified(wheel)}
    assert told["ratio"].value == "3 pairs"
    assert told.keys() == {"travel_mm", "ratio", "ladder_lbf_per_in"}


def test_the_report_counts_first_and_lists_at_the_end() -> None:
    lines = report(answer_job(DEMO)).splitlines()
    assert lines[2].startswith("72 values are unverified")
    place = lines.index("Unverified")
    assert len(lines) - place - 1 == 72
    assert "  rear coil: rated stroke 64 mm" in lines[place:]


# --- refused ---------------------------------------------------------------------------------


@pytest.fixture
def job(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    return tmp_path / "job.toml"


def test_strict_refuses_with_a_line_for_every_value(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job.write_text(toml_text(DEMO, None))
    target = job.parent / "sheet.html"
    assert main(["sheet", str(job), "--strict", "-o", str(target)]) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert not target.exists()
    lines = shown.err.splitlines()
    assert len(lines) == 72
    assert f"{job}: setup.0.rated_stroke: rated stroke 64 mm is unverified; type it, or" in shown.err
    assert main(["sheet", str(job)]) == 0


def test_strict_lets_a_confirmed_job_through(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job.write_text(toml_text(TYPED, None))
    assert main(["sheet", str(job), "--strict"]) == 0
    shown = capsys.readouterr()
    assert shown.err == ""
    assert shown.out.startswith("Setup sheet: ")


def test_strict_asks_nothing_of_an_end_that_is_left_out(
    job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own = confirmed(wheel_job(DEMO, "rear"))
    job.write_text(toml_text(Job(own.tree).with_value(("front",), DEMO.tree["front"]), None))
    assert main(["sheet", str(job), "--strict"]) == 0
    shown = capsys.readouterr().out
    assert "The front wheel is left out" in shown
    assert "fork" not in shown.replace("forks", "").lower().split("the front wheel")[0]
    assert "Front wheel\n" not in shown


# --- ends that are left out ------------------------------------------------------------------


@pytest.mark.slow
def test_the_demo_fork_is_not_on_the_sheet_or_in_the_report_of_a_customer() -> None:
    own = DEMO.with_value(("load", "rider_mass"), "70 kg")
    titles = [group.title for group in sheet(own).groups]
    assert "Rear wheel" in titles
    assert "Front wheel" not in titles
    assert any(
        isinstance(part, Paragraph) and part.role is Role.BASE and "left out" in part.text
        for part in first(own).sections[-1].parts
    )
    said = report(answer_job(own))
    assert "The front wheel is left out" in said
    assert "Front and rear" not in said
    assert "Front wheel\n" not in said
    both = report(answer_job(DEMO))
    assert "Front and rear" in both
    assert "Front wheel" in both


def test_a_fork_alone_is_handed_over_without_the_demo_rear() -> None:
    own = DEMO.with_value(("title",), "Fork only").with_value(("front", "frame", "stroke"), "150 mm")
    titles = [group.title for group in sheet(own).groups]
    assert "Front wheel" in titles
    assert "Rear wheel" not in titles
    assert "The rear wheel is left out" in report(answer_job(own))


# --- cautions --------------------------------------------------------------------------------


@pytest.mark.slow
def test_a_caution_that_stands_on_an_unverified_limit_says_so_everywhere() -> None:
    doubted, typed = one_doubt(), TYPED.with_value(("setup", 0, "rated_stroke"), "60 mm")
    told = (
        "The spring is rated for 60.0 mm stroke; this shock with its preload needs 61.9 mm. "
        "Fit a longer spring."
    )
    doubt = "Unverified: rated stroke 60 mm."
    for job, expected in ((doubted, True), (typed, False)):
        answered = answer_job(job)
        json_said = [caution["text"] for caution in answer_object(answered)["setups"][0]["cautions"]]
        for text in (report(answered), " ".join(written(sheet(job), "text").split()), " ".join(json_said)):
            assert told in text
            assert (doubt in text) is expected


def test_an_unverified_limit_for_pumping_sends_to_the_label() -> None:
    job = TYPED.with_invented(("setup", 1, "max_pressure"), "320 psi")
    text = " ".join(written(sheet(job), "text").split())
    assert "Max pressure 320 psi is unverified: read the shock's label before pumping" in text
    assert "Max pressure entered: 320 psi" not in text
    assert "Max pressure entered: 320 psi" in " ".join(written(sheet(TYPED), "text").split())


@pytest.mark.slow
def test_one_go_stands_on_no_unverified_limit_on_sheet_and_report() -> None:
    doubted = TYPED.with_invented(("setup", 1, "max_pressure"), "320 psi")
    for job, expected in ((doubted, True), (TYPED, False)):
        answered = answer_job(job)
        fill = answer_object(answered)["setups"][1]["fill"]
        once = f"{fill['single_fill_psi']:.0f} psi"
        only = f"only where the label allows {once}"
        on_sheet, said = " ".join(written(sheet(job), "text").split()), report(answered)
        assert (f"Or in one go: {only}: pump once to {once}" in on_sheet) is expected
        assert (f"Or in one go: pump once to {once}" in on_sheet) is not expected
        assert (f"Or once to {once}, {only}, and cycle" in said) is expected
        assert (f"Or once to {once}, and cycle" in said) is not expected


@pytest.mark.slow
def test_a_shop_without_a_name_has_no_line() -> None:
    unnamed = sheet(TYPED)._replace(shop="")
    assert written(unnamed, "text").startswith("Setup sheet: ")
    assert written(unnamed, "markdown").startswith("# Setup sheet: ")
    assert written(unnamed, "markdown").splitlines()[2].startswith("- **Date")
    assert 'class="shop"' not in written(unnamed, "html")
    assert 'class="shop"' in written(sheet(TYPED), "html")
