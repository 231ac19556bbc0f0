"""A logged ride on the sheet: one short section, a line a wheel, in every form and from the command line."""

from pathlib import Path

import pytest

from tests.confirmed import confirmed_demo
from tests.tui.ride.test_logged import BOTH, SHOCK, demo_logged, recorded
from tests.tui.sheet.sheets import DAY, HOSTILE, SHOP, full_job, sheet
from tui.cli import main
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.files import toml_text
from tui.job.wheels import wheel_job
from tui.ride.events import CAUTION
from tui.ride.logged import logged, used_text
from tui.sheet.build import sheet_of, written
from tui.sheet.text import markdown, plain
from tui.shop_units import ALL, USUAL, ShopUnits

Printed = pytest.CaptureFixture[str]
GOLDEN = Path(__file__).with_name("demo_logged_ride.txt")
HERE, NEXT = "\n\nLogged ride\n", "\n\nHand over\n"


def section(text: str) -> str:
    """Return the section of a logged ride in a sheet as text."""
    assert text.count(HERE) == 1
    return text[text.index(HERE) : text.index(NEXT)].strip() + "\n"


@pytest.mark.slow
def test_the_section_of_the_demo_ride_is_this_one_and_the_rest_is_as_without_it() -> None:
    text = plain(sheet(full_job(), ride=recorded(BOTH)))
    assert section(text) == GOLDEN.read_text("utf-8")
    assert text.replace(f"\n\n{section(text)}", "") == plain(sheet(full_job()))


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("units", ALL, ids=[units.name for units in ALL])
@pytest.mark.slow
def test_each_wheel_has_the_words_of_the_verdict(units: ShopUnits) -> None:
    job = full_job()
    ride = logged(answer_job(job), recorded(BOTH))
    said = " ".join(section(plain(sheet(job, units, ride=recorded(BOTH)))).split())
    for name, channel in zip(("Rear wheel", "Front wheel"), ride.channels, strict=True):
        assert f"{name}: {used_text(channel, units)}, setup ridden: {channel.seat.name}" in said
    assert said.count("95 % of the time below") == 2
    assert said.count("as calculated") == 3
    assert f"Caution: {CAUTION}" in said


@pytest.mark.slow
def test_one_wheel_has_one_line() -> None:
    job = wheel_job(full_job(), "rear")
    said = section(plain(sheet(job, ride=recorded(SHOCK))))
    assert "The wheel: used 93.3 % of its travel, 95 % of the time below" in " ".join(said.split())
    assert "Front" not in said


@pytest.mark.slow
def test_an_end_that_is_left_off_the_sheet_has_no_line() -> None:
    job = demo_job().with_value(("record", "customer"), "Jo Example")
    assert "Front wheel\n" not in plain(sheet(job))
    assert "Front wheel:" not in section(plain(sheet(job, ride=recorded(BOTH))))


def test_a_file_is_named_literally_in_every_form() -> None:
    made = sheet_of(
        answer_job(confirmed_demo()), SHOP, DAY, USUAL, ride=demo_logged(SHOCK)._replace(name=HOSTILE)
    )
    assert "\\<script\\>alert(1)\\</script\\>" in markdown(made).replace("\n", "")
    page = written(made, "html")
    assert "<script" not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page
    for form in (plain(made), markdown(made), page):
        assert "\x1b" not in form
        assert form.count("Logged ride") == 1


@pytest.fixture
def job(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    path = tmp_path / "job.toml"
    path.write_text(toml_text(full_job(), None))
    return path


@pytest.mark.slow
def test_the_command_puts_a_log_on_the_sheet(job: Path, capsys: Printed) -> None:
    log = job.parent / "morning.csv"
    log.write_text(BOTH)
    assert main(["sheet", str(job), "--log", str(log)]) == 0
    assert section(capsys.readouterr().out) == GOLDEN.read_text("utf-8")
    _, *rows = SHOCK.splitlines()
    log.write_text("\n".join(["a,b", *rows]))
    told = ("--log-columns", "time 1, shock 2", "--log-units", "time ms, shock mm")
    assert main(["sheet", str(job), "--log", str(log), *told]) == 0
    assert "Rear wheel: used 93.3 % of its travel, 95 % of the time below 55.6 % (54.0" in section(
        capsys.readouterr().out
    )


def test_what_is_wrong_with_a_log_is_told_by_the_options_of_this_command(job: Path, capsys: Printed) -> None:
    log = job.parent / "bare.csv"
    log.write_text("a,b\n1,2\n2,3\n")
    for words, said in (
        (("--log", str(log)), '--log-columns "time 1, shock 2"'),
        (("--log", str(log), "--log-columns", "time 1, shock 2"), '--log-units "time ms'),
        (("--log", str(log), "--log-columns", "time"), 'log-columns: "time" cannot be read; give the'),
        (("--log", f"{log}.none"), "no such file"),
        (("--log-units", "time ms"), "log-units: there is no log; use it with --log LOG"),
    ):
        assert main(["sheet", str(job), *words]) == 2
        shown = capsys.readouterr()
        assert shown.out == ""
        assert said.lower() in shown.err.lower()
