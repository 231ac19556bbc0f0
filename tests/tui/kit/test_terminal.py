"""What a terminal may send: every byte is taken, and the key behind it is heard."""

from __future__ import annotations

import os
import pty
import select
import threading
from codecs import getincrementaldecoder
from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from textual import events
from textual.message import Message

from tests.random_cases import cases
from tui.kit import terminal
from tui.kit.terminal import Parser, Writer

DOWN = "\x1b[B"


class Silence:
    """A clock that a test turns on."""

    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def silence(monkeypatch: pytest.MonkeyPatch) -> Silence:
    clock = Silence()
    monkeypatch.setattr("textual._parser.get_time", clock)
    return clock


def told(parser: Parser, text: str, silence: Silence) -> list[Message]:
    """Return what a text means, and what it means that nothing follows it."""
    found = list(parser.feed(text))
    for _ in range(3):
        silence.now += 2.0
        found += parser.tick()
    return found


def names(found: list[Message]) -> list[str]:
    return [one.key if isinstance(one, events.Key) else type(one).__name__ for one in found]


@pytest.mark.parametrize(
    "text",
    [
        "\x1b[1114112u",
        "\x1b[55296u",
        "\x1b[97;1;1114112u",
        f"\x1b[{'9' * 5000}u",
        "\x1b[97:65;1:3u",
        "\x1b[:;:;:u",
        "\x1b[48;99999;99999;0;0t",
        f"\x1b[48;{'9' * 9};2;0;0t",
        "\x1b[48;0;0;0;0t",
        "\x1b[<0;99999;99999M",
        "\x1b[<0;-5;-5M",
        f"\x1b[<{'9' * 5000};1;1M",
        "\x1b[M\ufffd\ufffd\ufffd",
        "\x1b[0;0R",
        "\x1b]11;rgb:0000/0000/0000\x07",
        "\x1bP1$r0m\x1b\\",
        "\x1b[1;",
        f"\x1b[{'1;' * 200}",
        "\x1bO",
        "\x1b]8;;http://",
    ],
)
def test_what_says_nothing_is_dropped_and_the_next_key_is_heard(text: str, silence: Silence) -> None:
    parser = Parser()
    assert set(names(told(parser, text, silence))) <= {"alt+shift+o"}
    assert names(told(parser, f"{DOWN}7", silence)) == ["down", "7"]


@pytest.mark.parametrize("text", ["\x1b[1;", "\x1b[97", "\x1b]0;title", "\x1b"])
def test_a_sequence_that_breaks_off_takes_no_other_with_it(text: str, silence: Silence) -> None:
    assert names(told(Parser(), text + DOWN, silence))[-1] == "down"


def test_keys_mean_what_they_always_meant(silence: Silence) -> None:
    typed = "a\x1b[A\x1bOP\x1b[15~\x1b[Z\x1b[3$\x1b[[A\x1b[1;5C\x1bf\x1bx\x1b[27u\x1b[97;5uü\r\x1b"
    assert names(told(Parser(), typed, silence)) == [
        "a", "up", "f1", "f5", "shift+tab", "shift+delete", "f1", "ctrl+right", "ctrl+right", "alt+x",
        "escape", "ctrl+a", "ü", "enter", "escape",
    ]  # fmt: skip


def test_escape_and_tab_in_one_packet_are_two_keys_but_on_the_console_of_linux(
    silence: Silence, monkeypatch: pytest.MonkeyPatch
) -> None:
    for term, meant in (("xterm-256color", ["escape", "tab"]), ("screen.linux", ["shift+tab"])):
        monkeypatch.setenv("TERM", term)
        assert names(told(Parser(), "\x1b\t", silence)) == meant
        assert names(told(Parser(), "\x1b[Z", silence)) == ["shift+tab"]


def test_reports_are_understood(silence: Silence) -> None:
    found = told(Parser(), "\x1b[<0;10;5M\x1b[<64;1;1M\x1b[?2026;2$y\x1b[I\x1b[O", silence)
    assert names(found) == [
        "MouseDown", "MouseScrollUp", "TerminalSupportsSynchronizedOutput", "AppFocus", "AppBlur",
    ]  # fmt: skip
    assert isinstance(found[0], events.MouseDown)
    assert (found[0].x, found[0].y) == (9, 4)


def test_a_size_is_taken_from_the_system_alone(silence: Silence) -> None:
    assert told(Parser(), "\x1b[48;24;80;480;800t\x1b[?2048;2$y\x1b[?2048;9$y", silence) == []


def test_a_paste_that_never_ends_ends_in_silence(silence: Silence) -> None:
    parser = Parser()
    found = told(parser, "\x1b[200~45 mm\x1b[", silence)
    assert [one.text for one in found if isinstance(one, events.Paste)] == ["45 mm\x1b["]
    assert names(told(parser, f"{DOWN}7", silence)) == ["down", "7"]


def test_of_a_long_paste_the_beginning_is_taken(silence: Silence) -> None:
    parser = Parser()
    (pasted,) = told(parser, f"\x1b[200~{'7' * 200_000}\x1b[201~", silence)
    assert isinstance(pasted, events.Paste)
    assert pasted.text == "7" * (1 << 16)
    assert names(told(parser, DOWN, silence)) == ["down"]


pieces = st.one_of(
    st.binary(max_size=6),
    st.sampled_from(
        [b"\x1b", b"\x1b[", b"\x1b[<", b"\x1b[48;", b"\x1b[200~", b"\x1b[201~", b"\x1b]", b"\x1bO"]
    ),
    st.integers(0, 1 << 40).map(lambda number: str(number).encode()),
    st.sampled_from([b";", b":", b"u", b"t", b"M", b"~", b"$y", b"R", "ü".encode(), b"\xfc"]),
)


@settings(max_examples=cases(100))
@given(st.lists(pieces, max_size=30).map(b"".join))
def test_after_any_bytes_and_a_silence_the_next_key_is_heard(data: bytes) -> None:
    clock = Silence()
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("textual._parser.get_time", clock)
        parser = Parser()
        text = getincrementaldecoder("utf-8")("replace").decode(data, final=True)
        found = told(parser, text, clock) if text else []
        for one in found:
            assert not isinstance(one, events.Resize)
            if isinstance(one, events.Key):
                (one.key + (one.character or "")).encode()
        assert names(told(parser, DOWN, clock))[-1:] == ["down"]


@pytest.fixture
def line() -> Iterator[tuple[int, int]]:
    """A pseudo terminal: the end that reads the screen, and the program's."""
    outer, inner = pty.openpty()
    yield outer, inner
    os.close(inner)
    os.close(outer)


def read_all(number: int) -> bytes:
    data = b""
    while select.select([number], [], [], 0.2)[0]:
        data += os.read(number, 1 << 16)
    return data


def test_who_writes_waits_for_nobody_and_hears_when_all_is_read(line: tuple[int, int]) -> None:
    outer, inner = line
    drained = threading.Event()
    writer = Writer(inner, str.encode, drained.set)
    writer.start()
    assert not writer.is_behind
    for _ in range(100):
        writer.write("x" * 1000)
    assert writer.is_behind
    assert len(read_all(outer)) == 100_000
    assert drained.wait(10)
    assert not writer.is_behind
    writer.finish("")
    writer.join(10)
    assert not writer.is_alive()


def test_who_leaves_a_terminal_that_does_not_read_does_not_wait(
    line: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(terminal, "_PARTING", 0.01)
    outer, inner = line
    writer = Writer(inner, str.encode, lambda: None)
    writer.start()
    writer.write("x" * 300_000)
    writer.finish("good bye")
    sent = read_all(outer)
    assert sent.endswith(b"\x18good bye")
    assert len(sent) < 100_000
    writer.join(10)
    assert not writer.is_alive()
