"""Text from people that would steer a terminal: nothing of it is ever sent raw, wherever it is shown."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.tui.bench.conftest import bench_app, started
from tests.tui.screens import painted
from tui.bench.files import load_job
from tui.bench.session import Session

STEERING = re.compile(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")
TITLE = r"Ann\u001b[2J\u001b]0;owned\u0007 Bidi\u202eevil\u2066 C1\u009b31m"
NAME = r"soft\u001b[31m\u202e\r\b[red]x[/]"
FILE = "job\x1b[2J\u202e\x9b5m.toml"


@pytest.fixture
def hostile(tmp_path: Path) -> Path:
    from tui.job.demo import demo_job
    from tui.job.files import save

    plain = tmp_path / "plain.toml"
    save(demo_job(), plain, None)
    text = plain.read_text()
    text = re.sub(r"^title = .*$", lambda _: f'title = "{TITLE}"', text, flags=re.MULTILINE)
    text = text.replace('name = "coil"', f'name = "{NAME}"').replace('name = "air"', f'name = "{NAME} 2"')
    assert text.count("soft") == 2
    path = tmp_path / FILE
    path.write_text(text)
    return path


@pytest.mark.slow
@pytest.mark.parametrize("size", [(80, 24), (120, 40), (200, 60)])
async def test_no_control_or_direction_mark_is_ever_sent(hostile: Path, size: tuple[int, int]) -> None:
    file = load_job(hostile)
    async with bench_app(file.job, Session(file)).run_test(size=size) as pilot:
        bench = await started(pilot)
        shown = painted(pilot)
        assert "Ann" in shown
        assert "soft" in shown
        if size[0] >= 110:
            assert "job" in bench.text("title")
        assert not STEERING.search(shown)
        keys = ["]", "]", "escape", "tab", "tab", "]", "]", "]", "escape", "space", "r", "escape", "tab", "]"]
        keys += ["escape", "z", "z", "/", "s", "o", "f", "t", "down", "down", "enter", "space", "c", "space"]
        keys += ["x", "shift+tab", "9", "escape", "+", "q", "escape", "space", "space", "f", "escape", "?"]
        keys += [
            "escape",
            "/",
            "A",
            "n",
            "n",
            "escape",
            "ctrl+s",
            "space",
            "space",
            "o",
            "escape",
            "space",
            "d",
        ]
        for key in keys:
            await bench.press(key)
            assert not STEERING.search(painted(pilot)), key


async def test_a_hostile_path_is_told_clean(hostile: Path) -> None:
    hostile.write_text('format = 1\n"l\\u001b[2Jod" = 3\n')
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        await bench.do("open")
        prompt = pilot.app.screen
        prompt.dismiss(hostile)
        await pilot.pause()
        assert "was not opened" in painted(pilot)
        assert not STEERING.search(painted(pilot))
        await bench.press("escape")
        await bench.do("open")
        pilot.app.screen.dismiss(hostile.with_name("gone\x1b[2J\u202e.toml"))
        await pilot.pause()
        assert "gone" in bench.text("note")
        assert not STEERING.search(painted(pilot))
