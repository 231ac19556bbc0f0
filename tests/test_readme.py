"""README shows the program as it is: its job is answered, its screen is the screen."""

from __future__ import annotations

import importlib
import re
from pathlib import Path

import pytest

from tests.homes import been_here
from tests.readme_keys import acts_text, keys_text, with_acts, with_keys
from tests.readme_screen import SCREENS, screens, with_screens
from tui.bench.steps import VIEW_ROWS
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.job import parse
from tui.job.wheels import wheel_job

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text("utf-8")


def block(name: str) -> str:
    """Return the fenced block behind a mark."""
    found = re.search(rf"<!-- {name} -->\n```\w*\n(.*?)\n```\n<!-- end -->", README, re.DOTALL)
    assert found is not None, name
    return found[1]


def test_the_job_is_answered() -> None:
    coil, air = answer_job(parse(block("job"))).answer.setups
    assert [coil.state, air.state] == ["ok", "ok"]
    assert coil.sag.wheel_fraction == pytest.approx(0.30)


def test_the_views_have_the_names_that_their_strips_have() -> None:
    explained = {word.casefold() for word in re.findall(r"\*([\w ]+)\*", README)}
    plain = {"chart", "leverage", "spacers", "match_volumes"}
    assert {row.name.casefold() for id, row in VIEW_ROWS.items() if id not in plain} <= explained
    assert explained.isdisjoint({"after the ride", "measurements", "logged ride"})


def test_the_verdict_of_the_demo_is_the_one_told() -> None:
    told = re.search(
        r"coil holds ([\d.]+) times the static load, the air spring ([\d.]+) times "
        r"in a slow stroke and ([\d.]+) times",
        " ".join(README.split()),
    )
    assert told is not None
    coil, air = answer_job(wheel_job(demo_job(), "rear")).answer.setups
    supports = (coil.riding.support_50, air.figures.support_50, air.riding.support_50)
    assert told.groups() == tuple(f"{float(support):.2f}" for support in supports)


def test_the_linkage_is_answered_on_the_same_job() -> None:
    ends = re.search(r"\[frame\.leverage\]\n.*?\n\n", block("job"), re.DOTALL)
    assert ends is not None
    drawn = answer_job(parse(block("job").replace(ends[0], block("linkage") + "\n\n"))).answer
    assert drawn.frame.linkage is not None
    assert float(drawn.frame.linkage.wheel_travel) == pytest.approx(0.150, abs=0.001)
    assert [setup.state for setup in drawn.setups] == ["ok", "ok"]


def test_the_two_commands_set_everything_up_themselves() -> None:
    for name, last in (("run", ".venv/bin/springwright"), ("tests", ".venv/bin/python -m pytest")):
        assert block(name).startswith("python3 -m venv .venv && .venv/bin/python -m pip install")
        assert block(name).endswith(last)
    assert block("slow tests").startswith(".venv/bin/python -m pytest ")


def test_the_guides_own_links_exist() -> None:
    for name in re.findall(r"`((?:tests|themes|tui|physics)/[\w./]+)`", README):
        assert (ROOT / name).exists(), name


def test_the_table_of_keys_is_that_of_the_fields() -> None:
    assert "| `rider_mass` | mass |" in README
    assert with_keys(README, keys_text()) == README, "python -m tests.readme_keys renews it"


def test_the_table_of_acts_is_that_of_the_bench() -> None:
    assert "| `Tab` | `next` |" in README
    assert with_acts(README, acts_text()) == README, "python -m tests.readme_keys renews it"


async def test_the_screens_are_the_screens(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("HOME", "XDG_STATE_HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "TMPDIR"):
        monkeypatch.setenv(name, str(tmp_path))
    been_here(tmp_path)
    for name, value in (("LC_ALL", "C.UTF-8"), ("TERM", ""), ("COLORTERM", "")):
        monkeypatch.setenv(name, value)  # put back afterwards
    found = await screens()
    assert all(f"<!-- screen {name} -->\n" in README for name in SCREENS)
    assert with_screens(README, found) == README, "python -m tests.readme_screen renews it"


def test_what_the_contributors_guide_names_is_there() -> None:
    guide = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    paths = re.findall(r"`((?:tui|physics|tests|themes)/[\w/.]*)`", guide)
    modules = re.findall(r"`((?:tui|physics)(?:\.\w+)+)(?:\(\))?`", guide)
    assert len(paths) > 8
    assert len(modules) > 8
    assert [path for path in paths if not (ROOT / path).exists()] == []
    assert [name for name in modules if not _is_there(name)] == []


def _is_there(name: str) -> bool:
    parts = name.split(".")
    for count in range(len(parts), 0, -1):
        if ROOT.joinpath(*parts[:count]).with_suffix(".py").exists():
            found: object = importlib.import_module(".".join(parts[:count]))
            for part in parts[count:]:
                found = getattr(found, part, None)
            return found is not None
    return ROOT.joinpath(*parts).is_dir()
