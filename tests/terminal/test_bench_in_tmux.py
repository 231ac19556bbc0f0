"""The bench in real terminals: sizes, terminal kinds, an SSH line that drops, signals, hostile names."""

from __future__ import annotations

import os
import re
import signal
from collections.abc import Callable
from pathlib import Path

import pytest

from physics.answer import CoilAnswer
from tests.terminal.conftest import PROGRAM
from tests.terminal.tmux import Tmux
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.files import load

Opener = Callable[[int, int], Tmux]
LBF_PER_IN = 175.126835246


def solved_rate_of_demo(rider_mass: str) -> str:
    """Return the coil rate the demo job is solved to for a rider, as the bench writes it."""
    found = answer_job(demo_job().with_value(("load", "rider_mass"), rider_mass)).answer.setups[0].coil
    assert isinstance(found, CoilAnswer)
    return f"{float(found.rate) / LBF_PER_IN:.0f}"


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("kind", ["xterm-256color", "tmux-256color", "linux"])
@pytest.mark.parametrize(("columns", "rows"), [(80, 24), (120, 40)])
def test_a_heavier_rider_needs_a_stiffer_coil(
    terminal: Opener, home: dict[str, str], kind: str, columns: int, rows: int
) -> None:
    pane = terminal(columns, rows)
    pane.type_line(PROGRAM, home | {"TERM": kind})
    pane.wait_for("82 kg")
    pane.wait_for(f"coil {solved_rate_of_demo('82 kg')} lbf/in")
    pane.write("91")
    pane.press("Enter")
    pane.wait_for(f"coil {solved_rate_of_demo('91 kg')} lbf/in")
    pane.write("u")
    pane.wait_for(f"coil {solved_rate_of_demo('82 kg')} lbf/in")


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("plain", [{"LANG": "C"}, {"LC_ALL": "C"}, {"LANG": "C", "PYTHONCOERCECLOCALE": "0"}])
def test_without_utf8_every_character_is_plain(
    terminal: Opener, home: dict[str, str], plain: dict[str, str]
) -> None:
    pane = terminal(80, 24)
    pane.type_line(PROGRAM, home | plain)
    assert pane.wait_for("82 kg").isascii()


def test_no_color_sends_no_colour(terminal: Opener, home: dict[str, str]) -> None:
    pane = terminal(80, 24)
    pane.type_line(PROGRAM, home | {"NO_COLOR": "1"})
    pane.wait_for("82 kg")
    attributes = re.findall(r"\x1b\[([0-9;]*)m", pane.screen(escapes=True))
    numbers = {number for run in attributes for number in run.split(";") if number}
    assert numbers <= {"0", "1", "2", "4", "7", "39", "49"}


def test_over_ssh_edit_save_and_leave(
    terminal: Opener, home: dict[str, str], ssh_words: list[str], tmp_path: Path
) -> None:
    pane = terminal(80, 24)
    job = tmp_path / "stand 3.toml"
    pane.type_line([*ssh_words, remote_line(home)], home)
    pane.wait_for("82 kg")
    pane.write("91,5")
    pane.press("Enter")
    pane.wait_for("91,5 kg")
    pane.write(" ")
    pane.wait_for("job and program")
    pane.write(" ")
    pane.wait_for("save to a file")
    pane.write("f")
    pane.wait_for("Save the job as")
    pane.press("C-u")
    pane.write(str(job))
    pane.press("Enter")
    pane.wait_for("Saved to")
    assert " * " not in pane.screen(), "the mark of what is not saved"
    pane.write("q")
    pane.wait_for("ready>")
    assert load(job).job.get(("load", "rider_mass")) == "91,5 kg"


@pytest.mark.slow
def test_a_dropped_line_loses_nothing(terminal: Opener, home: dict[str, str], ssh_words: list[str]) -> None:
    pane = terminal(80, 24)
    pane.type_line([*ssh_words, remote_line(home)], home)
    pane.wait_for("82 kg")
    pane.write("93")
    pane.press("Enter")
    pane.wait_for("93 kg")
    pane.close()
    again = terminal(80, 24)
    again.type_line(PROGRAM, home)
    again.wait_for("Unsaved work from last time")
    again.write("o")
    again.wait_for("93 kg")


def test_told_to_stop_it_leaves_the_terminal_as_it_was(
    terminal: Opener, home: dict[str, str], tmp_path: Path
) -> None:
    pane = terminal(80, 24)
    number = tmp_path / "number"
    pane.type_line(["sh", "-c", f"echo $$ > {number}; exec {' '.join(PROGRAM)}"], home)
    pane.wait_for("82 kg")
    os.kill(int(number.read_text()), signal.SIGTERM)
    pane.wait_for("82 kg", gone=True)
    pane.write("stty -a | grep -o -e ' -echo ' -e ' -icanon '; echo al''ive")
    pane.press("Enter")
    shown = pane.wait_for("alive\nready>")
    assert "\n -echo" not in shown
    assert "\n -icanon" not in shown


@pytest.mark.slow
def test_any_size_and_back(terminal: Opener, home: dict[str, str]) -> None:
    pane = terminal(80, 24)
    pane.type_line(PROGRAM, home)
    pane.wait_for("82 kg")
    for columns, rows in ((1, 1), (200, 60), (3, 50), (90, 2), (40, 12), (80, 24)):
        pane.resize(columns, rows)
        pane.write("+")
    pane.wait_for("88 kg")
    assert "Traceback" not in pane.screen()


def test_a_dumb_terminal_is_told_of_the_headless_command(terminal: Opener, home: dict[str, str]) -> None:
    pane = terminal(100, 24)
    pane.type_line(PROGRAM, home | {"TERM": "dumb"})
    assert "springwright solve" in pane.wait_for("solve")


def remote_line(home: dict[str, str]) -> str:
    """Return the command line that starts the program at the far end."""
    settings = " ".join(f"{name}={value}" for name, value in home.items() if name != "TERM")
    return f"exec env {settings} {' '.join(PROGRAM)}"
