"""The real program on a line that sends anything, and to a terminal that stops to read."""

from __future__ import annotations

import shlex
import signal
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.terminal.conftest import PROGRAM
from tests.terminal.program import COLUMNS, Program
from tui.job.demo import demo_job
from tui.job.drafts import Place, abandoned_drafts
from tui.job.files import toml_text

Starter = Callable[..., Program]
LEFT_IN = 10.0
"""Seconds of patience; the program itself takes three at most."""

WHOLE = [
    "ü".encode("latin-1"),
    bytes(range(0x80, 0x100)),
    b"\x1b[200~\xfc\x1b[201~",
    b"\x1b[1114112u",
    b"\x1b[55296u",
    b"\x1b[97;1;1114112u",
    b"\x1b[" + b"9" * 20 + b"u",
    b"\x1b[97:65;1:3u\x1b[:;:;:u",
    b"\x1b[48;99999;99999;0;0t",
    b"\x1b[48;9999999999;2;0;0t",
    b"\x1b[48;30;100;0;0t\x1b[<0;90;3M",
    b"\x1b[<35;99999;99999M",
    b"\x1b[M\xff\xff\xff",
    b"\x1b[?2048;9$y",
    b"\x00",
]
BROKEN_OFF = [b"\xe1", b"\x1b[200~never ends", b"\x1b]11;rgb:0000/0000/0000"]


@pytest.fixture
def start(home: dict[str, str]) -> Iterator[Starter]:
    """Return a function that starts a session and waits for the bench."""
    sessions: list[Program] = []

    def start_one(*words: str, **environment: str) -> Program:
        sessions.append(Program(home | environment, (*PROGRAM, *words)))
        sessions[-1].wait_for(", sag 29.0 %")
        return sessions[-1]

    yield start_one
    for session in sessions:
        session.close()


@pytest.mark.slow
def test_whatever_comes_in_the_next_key_is_heard(start: Starter) -> None:
    session = start()
    for noise in (b"".join(WHOLE), *BROKEN_OFF):
        session.write(noise)
        assert session.settle(1.2), f"it ended on {noise!r}:\n{session.text}"
        session.write("\x1b")  # out of the value that may be open by now
        session.settle(0.25)
        session.write("\x1b[H")
        session.settle()
        first = session.marked
        session.write("\x1b[B")
        session.settle()
        assert first.strip() != session.marked.strip() != "", f"it is deaf behind {noise!r}"
    assert session.memory < 100e6


@pytest.mark.slow
@pytest.mark.parametrize("name", ["SIGTERM", "SIGHUP", "SIGQUIT"])
def test_told_to_go_it_goes_though_nobody_reads(name: str, start: Starter, home: dict[str, str]) -> None:
    session = start()
    session.write("94\r")
    session.wait_for("94 kg")
    session.press_unread(b"]", 25)
    number = signal.Signals[name]
    session.tell(number)
    until = time.monotonic() + LEFT_IN
    while not session.has_ended:
        assert time.monotonic() < until, "it is still there"
        time.sleep(0.01)
    assert session.ended == 128 + number
    assert session.echoes
    kept = abandoned_drafts([Place(Path(home["HOME"]) / ".local/state/springwright/drafts")]).drafts
    assert [draft.job.get(("load", "rider_mass")) for draft in kept] == ["94 kg"]


@pytest.mark.slow
def test_a_terminal_that_reads_again_shows_what_is_there_by_now(start: Starter) -> None:
    session = start()
    session.press_unread(b"]", 40)
    session.settle()
    shown = session.text
    assert shown == session.redrawn()


@pytest.mark.slow
def test_ended_by_the_signal_to_quit_the_terminal_is_given_back(start: Starter) -> None:
    session = start()
    assert session.kill(signal.SIGQUIT) == 128 + signal.SIGQUIT
    assert b"\x1b[?1049l" in session.written
    assert session.echoes


@pytest.mark.slow
def test_the_window_is_as_large_as_the_terminal_says_whatever_is_exported(start: Starter) -> None:
    session = start(COLUMNS="99999", LINES="99999", TEXTUAL_COLOR_SYSTEM="nope", ESCDELAY="99999999")
    assert max(len(line.rstrip()) for line in session.text.splitlines()) == COLUMNS
    session.write("?")
    session.wait_for("Next step of the work.")
    session.write("\x1b")
    session.wait_for("Next step of the work.", gone=True)


@pytest.mark.slow
def test_in_a_smaller_window_nothing_is_left_of_the_larger_one(start: Starter) -> None:
    session = start()
    for columns, rows in ((200, 60), (COLUMNS, 30), (80, 24)):
        session.resize(columns, rows)
        session.settle()
        shown = session.text
        assert shown == session.redrawn()


@pytest.mark.slow
def test_no_name_becomes_the_title_of_the_window(start: Starter, tmp_path: Path) -> None:
    path = tmp_path / "job\x1b]0;owned\x07.toml"
    named = demo_job().with_value(("title",), "Ann\x1b]2;owned\x07\x9d0;owned\x9c")
    path.write_text(toml_text(named, None), "utf-8")
    session = start(str(path))
    assert "Ann" in session.text
    assert "owned" not in session.window_title


@pytest.mark.slow
def test_in_a_deleted_working_directory_the_bench_works(home: dict[str, str]) -> None:
    words = ("/bin/sh", "-c", f"cd && mkdir gone && cd gone && rmdir ../gone && exec {shlex.join(PROGRAM)}")
    session = Program(home, words)
    session.wait_for(", sag 29.0 %")
    for act, title in (("save to a file", "Save"), ("open a job file", "Open a job"), ("records", "no jobs")):
        session.write(f"/{act}\r")
        session.wait_for(title)
        session.settle()
        session.write(b"\x1b")
        session.settle(0.5)
    assert session.kill(signal.SIGTERM) == 128 + signal.SIGTERM
