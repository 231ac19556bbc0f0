"""The terminal driver: input may be anything, and output may block for ever.

The framework's driver decodes strictly, trusts every report of the terminal, and blocks on writing. Here
invalid UTF-8 is shown as a replacement character, meaningless sequences are dropped, sizes and lengths are
bounded, and no key, signal or exit waits for a terminal that has stopped reading.
"""

from __future__ import annotations

import os
import re
import selectors
import signal
import sys
import termios
from codecs import getincrementaldecoder
from collections import deque
from collections.abc import Callable, Generator, Iterator
from contextlib import suppress
from threading import Condition, Thread
from typing import TYPE_CHECKING, Any, Protocol, cast

from textual import constants, events, messages
from textual._ansi_sequences import ANSI_SEQUENCES_KEYS
from textual._parser import ParseEOF, ParseTimeout, Peek1, Read1, TokenCallback
from textual._xterm_parser import (
    BRACKETED_PASTE_END,
    BRACKETED_PASTE_START,
    FOCUSIN,
    FOCUSOUT,
    XTermParser,
)
from textual.drivers.linux_driver import LinuxDriver
from textual.keys import Keys
from textual.message import Message

if TYPE_CHECKING:
    from textual.app import App

MOST_COLUMNS, MOST_ROWS = 1000, 500
"""The largest screen drawn; of a larger one the top left part."""
USUAL_SIZE = (80, 25)
"""Columns and rows of a terminal of unknown size."""
_LONGEST = 256
"""Maximum length of a sequence [characters]; a longer one is dropped up to its end."""
_LONGEST_TEXT = 1 << 16
"""Maximum length of a paste, and of a string report that is dropped as one [characters]."""
_ESCAPE_WAITS = min(constants.ESCAPE_DELAY, 1.0)
"""Time after which Escape counts as a key by itself [s]."""
_SILENCE = 1.0
"""Time without input after which an incomplete sequence or paste is given up [s]."""
_TICK = 0.1
"""Interval at which the reader checks for the end and for timeouts [s]."""
_BEHIND = 1 << 15
"""Number of unsent bytes above which painting is postponed."""
_PIECE = 1 << 12
"""Bytes per write."""
_PARTING = 1.0
"""Time to wait for the last output [s], once more if other output was queued before it."""
_ESCAPE, _CANCEL, _BELL = "\x1b", "\x18", "\x07"

_Reading = Generator[Read1 | Peek1, str, str]


class Waiting(Protocol):
    """An application that can report a full key queue."""

    is_busy: bool
    """Whether the queue of keys is full."""

    def catch_up(self) -> None:
        """Paint what was postponed."""


class Parser(XTermParser):
    """Parses terminal input into keys, pastes, sizes and mouse events; accepts any text."""

    def __init__(self) -> None:
        self._again = ""
        super().__init__()

    def parse(self, token_callback: TokenCallback[Message]) -> Generator[Read1 | Peek1, str, None]:
        """Emit the events of every complete sequence."""
        try:
            while True:
                character = yield from self._next()
                sequence = character
                if character == _ESCAPE:
                    sequence = yield from self._sequence()
                if sequence == BRACKETED_PASTE_START:
                    pasted = yield from self._paste()
                    token_callback(events.Paste(pasted.replace("\x00", "")))
                    continue
                for token in self._meaning(sequence):
                    token_callback(token)
        except ParseEOF:
            return

    def _next(self, seconds: float | None = None) -> _Reading:
        """Read a character, with a timeout."""
        if self._again:
            character, self._again = self._again[0], self._again[1:]
            return character
        return (yield Read1(seconds))

    def _sequence(self) -> _Reading:
        """Return the sequence that starts with an escape, empty if it is incomplete or meaningless."""
        try:
            second = yield from self._next(_ESCAPE_WAITS)
        except ParseTimeout:
            return _ESCAPE
        if second == _ESCAPE:
            self._again += second
            return _ESCAPE
        if second == "[":
            return (yield from self._control())
        if second in "O]PX^_":
            try:
                third = yield from self._next(_ESCAPE_WAITS)
            except ParseTimeout:
                return _ESCAPE + second
            if second == "O" and third.isascii() and third.isalnum():
                return f"\x1bO{third}"
            self._again += third
            return _ESCAPE + second if second == "O" else (yield from self._words())
        return _ESCAPE + second

    def _control(self) -> _Reading:
        sequence = "\x1b["
        length = 0
        while True:
            try:
                new = yield from self._next(_SILENCE if length else _ESCAPE_WAITS)
            except ParseTimeout:
                return "" if length else sequence
            if not " " <= new <= "~":  # nothing of the kind belongs there: the line broke it off
                self._again += new
                return ""
            length += 1
            sequence = (sequence + new)[: _LONGEST + 1]
            if sequence == "\x1b[[":  # the console of Linux sends a letter behind it
                continue
            if sequence == "\x1b[M":
                return (yield from self._old_mouse())
            if "@" <= new <= "~" or (new == "$" and sequence in ANSI_SEQUENCES_KEYS):
                return sequence if length <= _LONGEST else ""

    def _old_mouse(self) -> _Reading:
        """Skip a mouse report in a form that was not requested: three characters."""
        with suppress(ParseTimeout):
            for _ in range(3):
                yield from self._next(_SILENCE)
        return ""

    def _words(self) -> _Reading:
        """Skip a string report, which ends with BEL or ST."""
        with suppress(ParseTimeout):
            for _ in range(_LONGEST_TEXT):
                new = yield from self._next(_SILENCE)
                if new == _ESCAPE:
                    last = yield from self._next(_ESCAPE_WAITS)
                    if last != "\\":
                        self._again += new + last
                    return ""
                if new < " ":
                    self._again += "" if new == _BELL else new
                    return ""
        return ""

    def _paste(self) -> _Reading:
        """Return pasted text: the beginning if it is very long, what arrived if its end is missing."""
        pasted: list[str] = []
        seen = ""
        with suppress(ParseTimeout):
            while seen != BRACKETED_PASTE_END:
                new = yield from self._next(_SILENCE)
                seen = (seen + new)[-len(BRACKETED_PASTE_END) :]
                if len(pasted) < _LONGEST_TEXT:
                    pasted.append(new)
        return "".join(pasted).removesuffix(BRACKETED_PASTE_END)

    def _meaning(self, sequence: str) -> Iterator[Message]:
        if not sequence:
            return
        if sequence in (FOCUSIN, FOCUSOUT):
            yield events.AppFocus() if sequence == FOCUSIN else events.AppBlur()
        elif _MOUSE.fullmatch(sequence):
            event = self.parse_mouse_code(sequence)
            if isinstance(event, events.MouseEvent) and _is_within(event):
                yield event
        elif _PLACE.fullmatch(sequence) and sequence not in ANSI_SEQUENCES_KEYS:
            return  # where the cursor stands, which nobody asked
        elif _IN_STEP.fullmatch(sequence):
            yield messages.TerminalSupportsSynchronizedOutput()
        else:
            yield from self._keys(sequence)

    def _keys(self, sequence: str) -> Iterator[events.Key]:
        """Yield the keys of a sequence, none for unknown ones."""
        if sequence == _ESCAPED_TAB and "linux" not in os.environ.get("TERM", ""):
            # One packet of a slow line: taken for Shift+Tab it would lead to the wrong step.
            yield from (*self._keys(_ESCAPE), *self._keys("\t"))
            return
        is_chord = sequence[0] == _ESCAPE and len(sequence) == 2 and sequence not in ANSI_SEQUENCES_KEYS
        try:
            keys = list(self._sequence_to_key_events(sequence[-1] if is_chord else sequence, alt=is_chord))
        except (ValueError, OverflowError):  # a number that is no character
            return
        for key in keys:
            is_text = key.key.isprintable() and not _HALF.search(key.character or "")
            if key.key != Keys.Ignore and is_text:
                yield key


_ESCAPED_TAB = "\x1b\t"
"""Shift+Tab on the console of Linux, elsewhere Escape and Tab."""
_HALF = re.compile("[\ud800-\udfff]")
_MOUSE = re.compile(r"\x1b\[<\d{1,9};-?\d{1,9};-?\d{1,9}[Mm]")
_PLACE = re.compile(r"\x1b\[\d+;\d+R")
_IN_STEP = re.compile(r"\x1b\[\?2026;[1-9]\$y")


def _is_within(event: events.MouseEvent) -> bool:
    return 0 <= event.x < MOST_COLUMNS and 0 <= event.y < MOST_ROWS


class Writer(Thread):
    """Writes to the terminal in a thread, so that callers never block."""

    def __init__(self, number: int, encode: Callable[[str], bytes], drained: Callable[[], None]) -> None:
        """Write to a file descriptor; `drained` is called when a too long queue has been sent."""
        super().__init__(daemon=True, name="line-out")
        self._number = number
        self._encode = encode
        self._drained = drained
        self._changed = Condition()
        self._chunks: deque[bytes] = deque()
        self._waiting = 0
        self._is_told = True
        self._is_over = False
        self._is_dropping = False

    @property
    def is_behind(self) -> bool:
        """Whether so much output is queued that more of it would be outdated when shown."""
        if self._waiting < _BEHIND:
            return False
        self._is_told = False
        return self._waiting >= _BEHIND

    def write(self, text: str) -> None:
        """Queue a text for writing."""
        data = self._encode(text)
        with self._changed:
            if not self._is_over:
                self._chunks.append(data)
                self._waiting += len(data)
                self._changed.notify_all()

    def run(self) -> None:
        """Write queued output until the end."""
        while True:
            with self._changed:
                self._changed.wait_for(lambda: self._chunks or self._is_over)
                if not self._chunks:
                    return
                data = b"".join(self._chunks)
                self._chunks.clear()
                self._is_dropping = False
            is_sent = self._send(data)
            with self._changed:
                self._waiting -= len(data)
                self._is_over = self._is_over or not is_sent
                self._changed.notify_all()
                tells = not self._is_told and not self._waiting
                self._is_told = self._is_told or tells
            if tells:
                self._drained()

    def _send(self, data: bytes) -> bool:
        """Write bytes unless they are dropped meanwhile; return whether the terminal still exists."""
        place = 0
        while place < len(data) and not self._is_dropping:
            try:
                # In pieces, because a write that has started cannot be dropped.
                place += os.write(self._number, data[place : place + _PIECE])
            except BlockingIOError:
                with selectors.DefaultSelector() as selector:
                    selector.register(self._number, selectors.EVENT_WRITE)
                    selector.select()
            except OSError:
                return False
        return True

    def finish(self, parting: str) -> None:
        """End when everything is written; if nobody reads, drop it and write only what a shell needs."""
        if not self._is_written():
            with self._changed:
                self._waiting -= sum(map(len, self._chunks))
                self._chunks.clear()
                self._is_dropping = True
            # Drop unread output, so that the rest arrives when the terminal reads again.
            with suppress(termios.error):
                termios.tcflush(self._number, termios.TCOFLUSH)
            self.write(_CANCEL + parting)
            self._is_written()
        with self._changed:
            self._is_over = True
            self._changed.notify_all()

    def _is_written(self) -> bool:
        with self._changed:
            return self._changed.wait_for(lambda: not self._waiting or self._is_over, _PARTING)


class Driver(LinuxDriver):
    """Driver for a terminal that may send anything and may stop reading."""

    def __init__(
        self,
        app: App[Any],
        *,
        debug: bool = False,
        mouse: bool = True,
        size: tuple[int, int] | None = None,
    ) -> None:
        """Take the terminal on which the program runs."""
        super().__init__(app, debug=debug, mouse=mouse, size=size or terminal_size())
        streams = (stream for stream in (sys.__stderr__, sys.__stdout__) if stream is not None)
        # Standard error may be a file, but the screen is not.
        self._screen = next((stream for stream in streams if stream.isatty()), sys.stderr)
        self._out: Writer | None = None
        self._parting: list[str] | None = None

    @property
    def is_behind(self) -> bool:
        """Whether so much output is queued that painting must wait."""
        return self._out is not None and self._out.is_behind

    def start_application_mode(self) -> None:
        """Take the terminal."""
        stream = self._screen
        encoding, errors = stream.encoding or "utf-8", stream.errors or "replace"
        self._out = Writer(stream.fileno(), lambda text: text.encode(encoding, errors), self._drained)
        self._out.start()
        super().start_application_mode()  # type: ignore[no-untyped-call]

    def stop_application_mode(self) -> None:
        """Give the terminal back."""
        self._parting = []
        super().stop_application_mode()

    def close(self) -> None:
        """Make sure that the terminal is restored, if possible."""
        super().close()  # ends the writer of the framework, which has nothing to write
        if self._out is not None:
            self._out.finish("".join(self._parting or ()))
        self._out, self._parting = None, None

    def write(self, data: str) -> None:
        """Write to the terminal without blocking."""
        if self._parting is not None:
            self._parting.append(data)
        if self._out is not None:
            self._out.write(data)

    def give_back(self) -> None:
        """Restore the terminal without waiting: the program is about to be terminated."""
        if self.attrs_before is not None:
            with suppress(termios.error):
                termios.tcsetattr(self.fileno, termios.TCSANOW, self.attrs_before)
        number = self._screen.fileno()
        with suppress(OSError, termios.error):
            termios.tcflush(number, termios.TCOFLUSH)
            os.set_blocking(number, False)
            try:
                os.write(number, _GIVEN_BACK)
            finally:
                os.set_blocking(number, True)

    def _drained(self) -> None:
        with suppress(RuntimeError):  # the loop is closed: nothing is painted any more
            self._loop.call_soon_threadsafe(cast(Waiting, self._app).catch_up)

    def _get_terminal_size(self) -> tuple[int, int]:
        return terminal_size()

    def _query_in_band_window_resize(self) -> None:
        """Do not request in-band size reports: the system's sizes are reliable, reports can be lost."""

    def run_input_thread(self) -> None:
        """Read input until the program ends or the connection is gone."""
        parser = Parser()
        decode = getincrementaldecoder("utf-8")("replace").decode
        with selectors.DefaultSelector() as selector:
            selector.register(self.fileno, selectors.EVENT_READ)
            while not self.exit_event.is_set():
                if cast(Waiting, self._app).is_busy:
                    self.exit_event.wait(_TICK / 10)
                    continue
                data = None
                if selector.select(_TICK):
                    data = self._read()
                    if data == b"":
                        # As on SIGHUP: the draft is kept.
                        os.kill(os.getpid(), signal.SIGHUP)
                        return
                # After a pause, give up an incomplete character.
                text = decode(data or b"", final=data is None)
                for event in (*(parser.feed(text) if text else ()), *parser.tick()):
                    self.process_message(event)

    def _read(self) -> bytes | None:
        """Return the input, empty if the connection ended, None for a spurious wake-up."""
        try:
            return os.read(self.fileno, 4096)
        except (BlockingIOError, InterruptedError):
            return None
        except OSError:
            return b""


_GIVEN_BACK = (
    f"{_CANCEL}\x1b[?2026l\x1b[?2004l\x1b[?7h\x1b[?2048l\x1b[?1000l\x1b[?1003l\x1b[?1015l\x1b[?1006l\x1b[<u"
    "\x1b[?1049l\x1b[?25h\x1b[?1004l"
).encode()
"""Sequences that restore a terminal completely."""


def terminal_size() -> tuple[int, int]:
    """Return columns and rows of the program's terminal, limited to what is drawn."""
    columns, rows = 0, 0
    for stream in (sys.__stderr__, sys.__stdout__, sys.__stdin__):
        with suppress(AttributeError, ValueError, OSError):
            columns, rows = os.get_terminal_size(stream.fileno())  # type: ignore[union-attr]
        if columns and rows:
            break
    usual = USUAL_SIZE
    return min(columns or usual[0], MOST_COLUMNS), min(rows or usual[1], MOST_ROWS)
