"""What the keys of the linkage screen and of the records send over a slow line."""

from __future__ import annotations

import pytest

from tests.benchmarks.bytes_per_key import (
    ANSWERED,
    DOWN,
    LEFT,
    MOST,
    MOVE,
    NUDGE,
    OPENING,
    RIGHT,
    SIZES,
    TAB,
    UP,
    VIEW,
    Sent,
)
from tests.benchmarks.pty_bench import CAN_TELL, ESCAPE, PtySession

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not CAN_TELL, reason="this machine does not tell whether a program waits for a key"),
]
OPENINGS = [
    (b"?", "help", OPENING), (ESCAPE, "help closes", VIEW), (b"/", "finder", OPENING),
    (b"e", "finder: e", OPENING), (ESCAPE, "finder closes", VIEW), (b" ", "menu", OPENING),
    (b" ", "menu turns", OPENING), (ESCAPE, "menu closes", VIEW),
]  # fmt: skip
LINKAGE = [
    (DOWN, "down", MOVE), (DOWN, "down", MOVE), (UP, "up", MOVE), (RIGHT, "right", MOVE),
    (b"k", "idle", MOVE),
    (b"+", "nudge", NUDGE), (b"u", "undo", NUDGE), (TAB, "bars", MOVE), (b"]", "drawing", VIEW),
    (RIGHT, "compress", MOVE), (LEFT, "extend", MOVE), (b"z", "zoom", VIEW), (b"z", "both", VIEW),
    (ESCAPE, "back", VIEW), *OPENINGS,
]  # fmt: skip
RECORDS = [
    (DOWN, "down", MOVE), (DOWN, "down", MOVE), (UP, "up", MOVE), (b"]", "frames", VIEW),
    (b"[", "jobs", VIEW),
    (b"i", "typed", VIEW), (b"d", "typed", VIEW), (ESCAPE, "cleared", VIEW), *OPENINGS,
]  # fmt: skip


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize(
    ("screen", "keys"), [("linkage drawing", LINKAGE), ("records", RECORDS)], ids=["linkage", "records"]
)
def test_no_key_sends_more_than_a_slow_line_takes(
    screen: str, keys: list[tuple[bytes, str, str]], size: tuple[int, int]
) -> None:
    with PtySession(*size) as session:
        session.wait_for(ANSWERED)
        session.wait_until_idle()
        session.press(b"/")
        session.press(screen.encode())
        opened = session.press(b"\r") + session.wait_until_idle()
        if screen == "records":
            session.press(b" ")
            session.press(b"i")
            session.wait_until_idle()
        sent = [
            Sent(screen, name, kind, session.press(key) + session.wait_until_idle())
            for key, name, kind in keys
        ]
        assert session.bytes_while_idle(0.5) == 0
    assert 0 < opened <= MOST[VIEW][SIZES.index(size)]
    assert [one for one in sent if one.number > MOST[one.kind][SIZES.index(size)]] == []
    assert all(one.number for one in sent)
