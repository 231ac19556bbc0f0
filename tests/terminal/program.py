"""The real program on a terminal of its own, whose screen is read and which can die at any moment."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import signal
import struct
import termios
import time
from collections.abc import Mapping, Sequence
from pathlib import Path

import pyte

from tests.benchmarks.pty_bench import GLANCE, is_idle, work_of
from tests.terminal.conftest import PROGRAM, ROOT
from tests.terminal.tmux import PATIENCE

COLUMNS, ROWS = 100, 30
_REMEMBERED = 1 << 12


class Program:
    """A session at the bench. All it has painted before its end is on `text`."""

    def __init__(
        self,
        environment: Mapping[str, str],
        words: Sequence[str] = PROGRAM,
        columns: int = COLUMNS,
        rows: int = ROWS,
    ) -> None:
        """Start a command line, which is the program itself unless another one leads to it."""
        self._screen = pyte.Screen(columns, rows)
        self._stream = pyte.ByteStream(self._screen)
        self._number, self._line = pty.fork()
        if self._number == 0:
            fcntl.ioctl(0, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
            os.chdir(ROOT)
            os.execve(words[0], list(words), dict(environment))
        self.ended: int | None = None
        self.written = b""
        """The last that was written."""

    @property
    def text(self) -> str:
        """What the terminal shows."""
        return "\n".join(self._screen.display)

    @property
    def window_title(self) -> str:
        """What the program has called the window, or its icon."""
        return f"{self._screen.title}{self._screen.icon_name}"

    @property
    def marked(self) -> str:
        """What stands in reverse video: the value under the cursor, but not one that is being typed."""
        columns, rows = range(self._screen.columns), range(self._screen.lines)
        buffer = (self._screen.buffer[row] for row in rows)
        return "\n".join("".join(row[x].data for x in columns if row[x].reverse) for row in buffer)

    def is_quiet(self, seconds: float) -> bool:
        """Return whether nothing more is written for so long."""
        return not select.select([self._line], [], [], seconds)[0]

    def write(self, keys: str | bytes) -> None:
        """Press keys, as fast as they can be pressed; bytes are sent as they are."""
        os.write(self._line, keys if isinstance(keys, bytes) else keys.encode())

    def settle(self, least: float = 0.0, most: float = PATIENCE) -> bool:
        """Read until the program waits for a key, for so many seconds at least; return whether it lives."""
        until = time.monotonic() + least
        never = until + most
        before: tuple[str, ...] = ()
        while not self.has_ended:
            assert time.monotonic() < never, f"it does not come to rest:\n{self.text}"
            if not self.is_quiet(GLANCE):
                if not self.read():
                    self._wait()
                continue
            if time.monotonic() >= until and is_idle(self._number, before):
                return True
            before = work_of(self._number)
        return False

    def press_unread(self, key: bytes, times: int) -> None:
        """Press a key so often, each when the one before is done, and read nothing of what is written."""
        for _ in range(times):
            self.write(key)
            before: tuple[str, ...] = ()
            while not is_idle(self._number, before):
                before = work_of(self._number)
                time.sleep(GLANCE)

    def press_and_read(self, key: bytes) -> None:
        """Press a key, and read what is written until the screen computes no more; its threads may."""
        self.write(key)
        before: tuple[str, ...] = ()
        while before != (before := work_of(self._number)) or not self.is_quiet(GLANCE / 5):
            if not self.is_quiet(0.0):
                assert self.read(), f"it ended:\n{self.text}"

    @property
    def computed(self) -> float:
        """Seconds for which the thread of the screen has computed so far."""
        return int(work_of(self._number)[0]) / 1e9

    def redrawn(self) -> str:
        """Return what is on the screen once all of it was drawn anew."""
        self._screen.reset()
        self.tell(signal.SIGWINCH)
        self.settle()
        return self.text

    def resize(self, columns: int, rows: int) -> None:
        """Give the window another size; how a terminal changes what it shows is its own affair."""
        self._screen.resize(rows, columns)
        fcntl.ioctl(self._line, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))

    def tell(self, number: int) -> None:
        """Send a signal."""
        os.kill(self._number, number)

    @property
    def has_ended(self) -> bool:
        """Whether the program is over."""
        if self.ended is None:
            process, status = os.waitpid(self._number, os.WNOHANG)
            if process:
                self.ended = os.waitstatus_to_exitcode(status)
        return self.ended is not None

    @property
    def echoes(self) -> bool:
        """Whether the terminal shows what is typed and hands it on by lines, as for a shell."""
        modes = termios.tcgetattr(self._line)[3]
        return bool(modes & termios.ECHO) and bool(modes & termios.ICANON)

    @property
    def memory(self) -> int:
        """Bytes of memory that the program has."""
        return int(Path(f"/proc/{self._number}/statm").read_text("ascii").split()[1]) * os.sysconf(
            "SC_PAGE_SIZE"
        )

    def read(self, most: int = 1 << 16) -> int:
        """Read what the program has written, waiting for something; return how many bytes, 0 at its end."""
        ready = select.select([self._line], [], [], PATIENCE)[0]
        assert ready, f"nothing came any more on:\n{self.text}"
        try:
            data = os.read(self._line, most)
        except OSError:  # that is how the end of a terminal reads
            return 0
        self._stream.feed(data)
        self.written = (self.written + data)[-_REMEMBERED:]
        self.took(data)
        return len(data)

    def took(self, data: bytes) -> None:
        """Hear what was written, as it came."""

    def wait_for(self, text: str, *, gone: bool = False) -> None:
        """Wait until a text is on the screen, or gone from it."""
        while (text in self.text) == gone:
            assert self.read(), f"it ended before {text!r} {'went' if gone else 'came'}:\n{self.text}"

    def wait_for_marked(self, text: str) -> None:
        """Wait until a text stands in reverse video."""
        while text not in self.marked:
            assert self.read(), f"it ended before {text!r} came:\n{self.text}"

    def kill(self, number: int = signal.SIGKILL) -> int:
        """End the program by a signal; return its exit code, below zero where the signal itself ended it."""
        os.kill(self._number, number)
        while self.read():
            pass
        return self._wait()

    def go_on_until_it_ends(self) -> int:
        """Tell a program that gives the terminal back to go on until it has ended; return its exit code."""
        seen = b""
        while b"\x1b[?1049l" not in seen:
            seen += os.read(self._line, 1 << 16)
        until = time.monotonic() + PATIENCE
        while not (ended := os.waitpid(self._number, os.WNOHANG))[0]:
            assert time.monotonic() < until, f"it stays, on:\n{self.text}"
            os.kill(self._number, signal.SIGCONT)
            if not self.is_quiet(0.005):
                self.read()
        self.ended = os.waitstatus_to_exitcode(ended[1])
        return self.ended

    def hang_up(self) -> None:
        """Close the terminal under the program, and wait for its end."""
        os.close(self._line)
        self._line = -1
        self._wait()

    def _wait(self) -> int:
        self.ended = os.waitstatus_to_exitcode(os.waitpid(self._number, 0)[1])
        return self.ended

    def close(self) -> None:
        """End the program if it is alive, and let go of the terminal."""
        if self.ended is None:
            os.kill(self._number, signal.SIGKILL)
            self._wait()
        if self._line >= 0:
            os.close(self._line)
