"""A program on a pseudo terminal, and when and what it sends after a key."""

from __future__ import annotations

import fcntl
import os
import pty
import re
import select
import shutil
import signal
import struct
import sys
import tempfile
import termios
import time
from contextlib import suppress
from pathlib import Path
from types import TracebackType

from tests.homes import been_here

ROOT = Path(__file__).parents[2]
GLANCE = 0.05
"""Seconds without a byte and without work after which a program waits for a key; no part of a key's time."""
CAN_TELL = Path("/proc/self/schedstat").exists()
"""Whether this machine tells how long a thread has computed, as Linux does."""
ESCAPE, ESCAPE_WAITS = b"\x1b", 0.25
"""A lone Escape, and seconds for which the program waits for more that would make it another key."""
PATIENCE = 30.0
BENCH = ("-m", "tui")
CONTROLS = re.compile(rb"\x1b\[[0-9;?$]*[A-Za-z]")


def work_of(process: int) -> tuple[str, ...]:
    """Return how long the thread of the screen has computed so far, as the kernel counts it."""
    return tuple(Path(f"/proc/{process}/task/{process}/schedstat").read_text("ascii").split())


def is_idle(process: int, before: tuple[str, ...]) -> bool:
    """Return whether the screen has not computed since, and no thread would compute if it were let."""
    states = []
    for task in Path(f"/proc/{process}/task").iterdir():
        with suppress(FileNotFoundError, ProcessLookupError):  # a thread that has ended meanwhile
            states.append((task / "stat").read_text("ascii", "replace").rpartition(") ")[2][0])
    return work_of(process) == before and "R" not in states and "D" not in states


class PtySession:
    """One Python program on a terminal of its own; started and alive inside the `with` block."""

    busy = 0.0
    """Seconds in which any session was waited for, from the key or the start to the last byte."""

    def __init__(self, columns: int, rows: int, program: tuple[str, ...] = BENCH) -> None:
        self._size = struct.pack("HHHH", rows, columns, 0, 0)
        self._program = program
        self._home = tempfile.mkdtemp()
        been_here(Path(self._home, ".local/share"))

    def __enter__(self) -> PtySession:
        self._pid, self._line = pty.fork()
        if self._pid == 0:
            fcntl.ioctl(0, termios.TIOCSWINSZ, self._size)
            environment = {
                "HOME": self._home,
                "TMPDIR": self._home,
                "TERM": "xterm-256color",
                "LANG": "C.UTF-8",
                "PATH": "/usr/bin:/bin",
            }
            os.chdir(ROOT)
            os.execve(sys.executable, [sys.executable, *self._program], environment)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        os.kill(self._pid, signal.SIGKILL)
        os.waitpid(self._pid, 0)
        os.close(self._line)
        shutil.rmtree(self._home, ignore_errors=True)

    def press(self, key: bytes) -> int:
        """Press a key; return how many bytes come until the program waits for the next one."""
        pressed = last = time.perf_counter()
        os.write(self._line, key)
        sent, before = 0, self._work()
        least = pressed + (ESCAPE_WAITS if key == ESCAPE else 0.0)
        while (chunk := self._read(GLANCE)) or not self._is_idle(before) or time.perf_counter() < least:
            if chunk:
                last = time.perf_counter()
                sent += len(chunk)
            before = self._work()
        PtySession.busy += last - pressed
        return sent

    def strike(self, key: bytes) -> None:
        """Press a key and wait for nothing, as while something moves by itself."""
        os.write(self._line, key)

    def wait_until_idle(self) -> int:
        """Wait until the program waits for a key; return how many bytes come till then."""
        sent, before = 0, self._work()
        while (chunk := self._read(GLANCE)) or not self._is_idle(before):
            sent += len(chunk)
            before = self._work()
        return sent

    def computed(self) -> float:
        """Return for how many seconds the thread of the screen has computed so far."""
        return int(self._work()[0]) / 1e9

    def memory(self) -> float:
        """Return how much memory the program holds [MB]."""
        status = Path(f"/proc/{self._pid}/status").read_text("ascii", "replace")
        return int(status.partition("VmRSS:")[2].split()[0]) / 1024

    def _work(self) -> tuple[str, ...]:
        return work_of(self._pid)

    def _is_idle(self, before: tuple[str, ...]) -> bool:
        return is_idle(self._pid, before)

    def wait_for(self, text: str) -> int:
        """Wait until the program has written some text; return how many bytes have come."""
        started = time.perf_counter()
        seen = b""
        while text.encode() not in CONTROLS.sub(b"", seen):
            chunk = self._read(PATIENCE)
            assert chunk, f"{text!r} never came: {seen!r}"
            seen += chunk
        PtySession.busy += time.perf_counter() - started
        return len(seen)

    def bytes_while_idle(self, seconds: float) -> int:
        """Return how many bytes come while nobody touches a key."""
        sent = 0
        until = time.perf_counter() + seconds
        while (left := until - time.perf_counter()) > 0:
            sent += len(self._read(left))
        return sent

    def _read(self, patience: float) -> bytes:
        ready = select.select([self._line], [], [], patience)[0]
        return os.read(self._line, 1 << 16) if ready else b""


def busy_time() -> float:
    """Clock for the benchmarks: it runs only while a program keeps the person at the terminal waiting."""
    return PtySession.busy
