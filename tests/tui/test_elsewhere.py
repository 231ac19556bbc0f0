"""Where a system lacks what POSIX has: no call that does not exist there, outside a guard."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.homes import been_here

WITHOUT = r"""
import asyncio, builtins, os, signal, sys
import sqlalchemy, sqlalchemy.dialects.sqlite, pint, scipy.optimize, tomlkit, uuid, email.policy
import sqlite3, tempfile, subprocess, platformdirs, textual.app, textual.drivers.headless_driver

# The libraries know where they run; only this program is to find nothing of it.
MISSING = {"termios", "tty", "fcntl", "pwd", "grp", "resource", "pty", "curses", "readline", "syslog"}
found = builtins.__import__

def importing(name, globals=None, *rest, **more):
    asker = (globals or {}).get("__name__", "")
    if name.partition(".")[0] in MISSING and asker.partition(".")[0] in ("tui", "physics"):
        raise ImportError(name)
    return found(name, globals, *rest, **more)

builtins.__import__ = importing

class Locking:
    LK_NBLCK = 2
    @staticmethod
    def locking(number, mode, count):
        pass

sys.modules["msvcrt"] = Locking
for name in ("fork", "getuid", "geteuid", "getgid", "getegid", "chown", "fchown", "fchmod", "lchown",
             "mkfifo", "killpg", "getpgid", "setsid", "statvfs", "uname", "O_NOFOLLOW", "O_DIRECTORY",
             "O_NONBLOCK", "sysconf", "getloadavg", "sched_getaffinity", "openpty", "tcgetpgrp", "sync"):
    if hasattr(os, name):
        delattr(os, name)
for name in ("SIGHUP", "SIGQUIT", "SIGTSTP", "SIGCONT", "SIGWINCH", "SIGALRM", "SIGUSR1", "SIGUSR2",
             "SIGPIPE", "SIGKILL", "SIGSTOP", "alarm", "setitimer", "pthread_sigmask", "pause"):
    if hasattr(signal, name):
        delattr(signal, name)

def not_here(*_):
    raise NotImplementedError

asyncio.unix_events._UnixSelectorEventLoop.add_signal_handler = not_here
sys.platform = "win32"
"""

BENCH = """
from tui.app import BenchApp
from tui.bench.session import Session
from tui.bench.state import open_bench
from tui.job.demo import demo_job
from tui.job.job import History
from tui.store.records import Records
from textual.drivers.headless_driver import HeadlessDriver

class Elsewhere(HeadlessDriver):
    is_headless = False

app = BenchApp(open_bench(History.starting_at(demo_job())), Session(records=Records(None, None, "")))
app.driver_class = Elsewhere

async def walk():
    task = asyncio.create_task(app.run_async(headless=False, size=(100, 30)))
    while app.bench is None or app.bench.state.answer is None:
        await asyncio.sleep(0.01)
        assert not task.done(), task
    from textual import events
    async def press(*keys):
        for key in keys:
            app.post_message(events.Key(key, key if len(key) == 1 else None))
        for _ in range(60):
            await asyncio.sleep(0.01)
    await press("+", "]", "]", "escape", "tab", "?", "escape", "plus")
    mass = app.bench.state.job.get(("load", "rider_mass"))
    assert mass == "83 kg", mass
    assert not app.bench.session.trouble, app.bench.session.trouble
    app.post_message(events.Key("ctrl+z", None))
    signal.raise_signal(signal.SIGTERM)
    await task
    assert app.return_code == 128 + signal.SIGTERM, app.return_code

asyncio.run(walk())
print("left")
"""

COMMAND = """
from tui.cli import main

raise SystemExit(main(sys.argv[1:]))
"""


def elsewhere(code: str, home: Path, *words: str) -> subprocess.CompletedProcess[str]:
    been_here(home / ".local/share")
    usual = {
        "HOME": str(home),
        "TMPDIR": str(home),
        "PATH": "/usr/bin:/bin",
        "LANG": "C.UTF-8",
        "USERNAME": "someone",
    }
    root = Path(__file__).parents[2]
    return subprocess.run(
        [sys.executable, "-c", WITHOUT + code, *words],
        env={**usual, "PYTHONPATH": str(root)},
        cwd=home,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


@pytest.mark.slow
def test_the_bench_runs_and_is_told_to_go_where_the_loop_takes_no_signals(tmp_path: Path) -> None:
    done = elsewhere(BENCH, tmp_path)
    assert (done.returncode, done.stdout) == (0, "left\n"), done.stderr


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize(
    "words",
    [
        ["solve", "job.toml", "--json"],
        ["sheet", "job.toml", "-o", "sheet.txt"],
        ["store", "import", "job.toml"],
    ],
)
def test_commands_run_without_what_only_posix_has(words: list[str], tmp_path: Path) -> None:
    from tui.job.demo import demo_job
    from tui.job.files import save

    save(demo_job(), tmp_path / "job.toml", None)
    done = elsewhere(COMMAND, tmp_path, *words)
    assert "please report" not in done.stderr
    assert "Traceback" not in done.stderr
    assert done.returncode == 0, done.stderr
    assert words[0] != "sheet" or (tmp_path / "sheet.txt").stat().st_size > 1000
