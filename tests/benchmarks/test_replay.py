"""A replay over a slow line: how many bytes a second it sends, and that keys are answered meanwhile."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Mapping
from pathlib import Path

import pytest

from tests.benchmarks.bytes_per_key import ANSWERED, LEFT, RIGHT, SIZES
from tests.benchmarks.pty_bench import CAN_TELL, PtySession
from tests.homes import been_here
from tests.terminal.program import Program

pytestmark = pytest.mark.slow
LINE = 20_000
"""Bytes a second that a slow line takes."""
SHARE = 0.2
"""Part of such a line that a replay may take, so that the answer to a key comes through at once."""
DELAY = 0.15
"""Seconds that the line takes each way."""
SOON = 1.0
"""Seconds within which a key is answered, the line left out."""


@pytest.mark.skipif(not CAN_TELL, reason="this machine does not tell whether a program waits for a key")
@pytest.mark.parametrize(("event", "faster"), [("drop", 0), ("road", 3)], ids=["drop", "road, not slowed"])
@pytest.mark.parametrize("size", SIZES)
def test_a_replay_takes_a_small_part_of_a_slow_line(size: tuple[int, int], event: str, faster: int) -> None:
    with PtySession(*size) as session:
        session.wait_for(ANSWERED)
        session.wait_until_idle()
        for key in (b"/", b"events"):
            session.press(key)
        session.strike(b"\r")
        session.wait_for("coil from")
        if event == "road":
            session.strike(b"-")
            session.wait_for("degC")
        session.wait_until_idle()
        session.press(LEFT)
        for _ in range(faster):
            session.press(b"-")
        session.press(b" ")
        session.strike(b"p")
        sent = [session.bytes_while_idle(1.0) for _ in range(3 if event == "road" else 1)]
        session.strike(b"]")
        session.wait_for("logger")
        session.wait_until_idle()
        still = session.bytes_while_idle(0.5)
    assert 0 < max(sent) <= SHARE * LINE
    assert still == 0


class SlowLine(Program):
    """A program at the other end of a slow line."""

    def read(self, most: int = LINE // 20) -> int:
        """Read what the line has brought meanwhile."""
        count = super().read(most)
        time.sleep(count / LINE)
        return count

    def write(self, keys: str | bytes) -> None:
        """Press keys; they and what they do come as much later as the line takes both ways."""
        time.sleep(2 * DELAY)
        super().write(keys)

    def answered(self, keys: str, text: str, *, gone: bool = False) -> float:
        """Press keys; return the seconds until a text is there, or gone."""
        struck = time.monotonic()
        self.write(keys)
        self.wait_for(text, gone=gone)
        return time.monotonic() - struck


@pytest.fixture
def home(tmp_path: Path) -> Mapping[str, str]:
    been_here(tmp_path / ".local/share")
    return {"HOME": str(tmp_path), "TMPDIR": str(tmp_path), "PATH": os.environ["PATH"], "LANG": "C.UTF-8",
            "TERM": "xterm-256color"}  # fmt: skip


def test_keys_are_answered_during_a_replay_and_leaving_ends_it(home: Mapping[str, str]) -> None:
    line = SlowLine(home, (sys.executable, "-m", "tui"), 80, 24)
    try:
        line.wait_for(ANSWERED)
        line.write("/events\r")
        line.wait_for("coil from")
        line.write(" ")
        line.wait_for("p replay")
        taken = [line.answered("p", "Replay: the same key stops it.")]
        taken += [line.answered(RIGHT.decode(), "› height"), line.answered("+", "0.55 m")]
        line.wait_for("Flat drop of 0.55 m")
        line.write(" ")
        line.wait_for("p replay")
        line.answered("p", "Replay")
        taken += [line.answered("?", "HERE: HEIGHT"), line.answered("\x1b", "HERE: HEIGHT", gone=True)]
        line.write("q")
        while line.read():
            pass
    finally:
        line.close()
    assert max(taken) <= 2 * DELAY + SOON
