"""Copying by OSC 52: the exact bytes for each kind of terminal, what is kept out, and what is said."""

from __future__ import annotations

import re
import unicodedata
from base64 import b64decode, b64encode

import pytest
from hypothesis import given
from hypothesis import strategies as st
from textual.app import App

from tui.kit.clipboard import MOST_BYTES, PIECE, cleaned, copy_text, for_screen, for_tmux, sequence

TEXT = "450 lbf/in"
BARE = "\x1b]52;c;NDUwIGxiZi9pbg==\x07"
IN_TMUX = "\x1bPtmux;\x1b\x1b]52;c;NDUwIGxiZi9pbg==\x07\x1b\\"
IN_SCREEN = "\x1bP\x1b]52;c;NDUwIGxiZi9pbg==\x07\x1b\\"
SENT = "Sent to the terminal's clipboard: "


@pytest.mark.parametrize(
    ("environ", "sent"),
    [
        ({"TERM": "xterm-256color"}, BARE),
        ({}, BARE),
        ({"TERM": "xterm-256color", "TMUX": "", "STY": ""}, BARE),
        ({"TERM": "tmux-256color", "TMUX": "/tmp/tmux-0/default,1,0"}, IN_TMUX + BARE),
        ({"TERM": "screen-256color", "TMUX": "/tmp/tmux-0/default,1,0"}, IN_TMUX + BARE),
        ({"TERM": "tmux-256color"}, IN_TMUX + BARE),
        ({"TERM": "screen.xterm-256color", "STY": "1.pts-0.stand"}, IN_SCREEN),
        ({"TERM": "screen.xterm-256color"}, IN_SCREEN),
        ({"TERM": "screen-256color", "STY": "1.pts-0.stand"}, IN_SCREEN),
        ({"TERM": "screen-256color"}, IN_SCREEN + BARE),
        ({"TERM": "tmux-256color", "TMUX": "x", "STY": "1.pts-0.stand"}, IN_TMUX + BARE),
        ({"TERM": "screen.tmux-256color", "TMUX": "x", "STY": "1.pts-0.stand"}, IN_SCREEN),
    ],
)
def test_the_sequence_is_wrapped_for_what_stands_between(environ: dict[str, str], sent: str) -> None:
    written: list[str] = []
    assert copy_text(written.append, TEXT, environ) == f"{SENT}{TEXT}"
    assert written == [sent]
    assert sequence(TEXT, environ) == sent


def test_screen_has_pieces_that_its_buffer_holds() -> None:
    bare = "\x1b]52;c;" + b64encode(b"x" * 3000).decode() + "\x07"
    wrapped = for_screen(bare)
    pieces = re.findall("\x1bP(.*?)\x1b\\\\", wrapped, re.DOTALL)
    assert "".join(pieces) == bare
    assert "".join(f"\x1bP{piece}\x1b\\" for piece in pieces) == wrapped
    assert [len(piece) for piece in pieces[:-1]] == [PIECE] * 5
    assert 0 < len(pieces[-1]) <= PIECE <= 700


def test_tmux_has_every_escape_twice() -> None:
    assert for_tmux("\x1ba\x1bb") == "\x1bPtmux;\x1b\x1ba\x1b\x1bb\x1b\\"


@given(st.text())
def test_what_is_sent_is_the_text_without_what_steers_a_terminal(text: str) -> None:
    kept = cleaned(text)
    assert b64decode(sequence(kept, {})[7:-1]).decode() == kept
    assert not [
        letter
        for letter in kept
        if unicodedata.category(letter) in ("Cc", "Cs", "Cf") and letter not in "\n\t\u200c\u200d"
    ]
    assert cleaned(kept) == kept
    assert kept.count("\n") == len(re.findall("\r\n|\r|\n", text))


def test_control_characters_stay_out_and_lines_and_tabs_in() -> None:
    written: list[str] = []
    said = copy_text(written.append, "a\x1b[31m\tb\x07\r\n\u202ec\x9b2J\rd", {})
    assert b64decode(written[0][7:-1]).decode() == "a[31m\tb\nc2J\nd"
    assert said == f"{SENT}a[31m b (and 2 more lines)"


def test_of_several_lines_the_first_is_shown() -> None:
    assert copy_text(lambda _: None, "one\ntwo\n", {}) == f"{SENT}one (and 1 more line)"
    long = copy_text(lambda _: None, "x" * 500, {})
    assert long == f"{SENT}{'x' * 120}..."


def test_a_text_that_terminals_would_drop_is_not_sent() -> None:
    written: list[str] = []
    longest = "\u00e9" * (MOST_BYTES // 2)
    assert copy_text(written.append, longest, {}).startswith(SENT)
    assert len(written.pop()) <= 100_000
    told = "Not copied: 75 kB, and terminals take 75 kB at most. Export it to a file."
    assert copy_text(written.append, f"{longest}x", {}) == told
    assert written == []


@pytest.mark.parametrize("text", ["", " \n\t", "\x1b\x07"])
def test_nothing_is_sent_for_no_text(text: str) -> None:
    written: list[str] = []
    assert copy_text(written.append, text, {}) == "Nothing to copy here."
    assert written == []


@pytest.mark.parametrize("kind", ["linux", "dumb"])
def test_a_terminal_without_a_clipboard_shows_the_text(kind: str) -> None:
    written: list[str] = []
    said = copy_text(written.append, TEXT, {"TERM": kind})
    assert said == f"This terminal has no clipboard to copy to: {TEXT}"
    assert written == []


async def test_an_app_sends_through_its_driver_and_can_paste_it_itself(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    app: App[None] = App()
    written: list[str] = []
    async with app.run_test():
        assert app._driver is not None
        monkeypatch.setattr(app._driver, "write", written.append)
        assert copy_text(app, TEXT, {"TERM": "tmux-256color"}) == f"{SENT}{TEXT}"
        assert app.clipboard == TEXT
        assert "".join(written) == IN_TMUX + BARE
