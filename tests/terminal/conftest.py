"""Real terminals: tmux panes and a real SSH server on the loopback address."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.homes import been_here
from tests.terminal.tmux import PATIENCE, Tmux

ROOT = Path(__file__).parent.parent.parent
PROGRAM = (sys.executable, "-m", "tui")


def need(tool: str) -> str:
    """Return the path of a system tool; without it a test is skipped, but never on the build machine."""
    found = shutil.which(tool, path=f"{os.environ.get('PATH', '')}:/usr/sbin:/sbin")
    if found is None and not os.environ.get("CI"):
        pytest.skip(f"{tool} is not installed")
    assert found is not None, f"{tool} is needed here"
    return found


@pytest.fixture
def home(tmp_path: Path) -> dict[str, str]:
    """Return the environment of a person whose home is empty but for records with nothing in them."""
    folder = tmp_path / "home"
    been_here(folder / ".local/share")
    return {
        "HOME": str(folder),
        "TMPDIR": str(folder),
        "PATH": "/usr/bin:/bin",
        "LANG": "C.UTF-8",
        "PYTHONPATH": str(ROOT),
        "TERM": "xterm-256color",
    }


@pytest.fixture
def terminal(tmp_path: Path) -> Iterator[Callable[[int, int], Tmux]]:
    """Return a function that opens a terminal of so many columns and rows."""
    need("tmux")
    opened: list[Tmux] = []

    def open_one(columns: int, rows: int) -> Tmux:
        folder = tmp_path / f"t{len(opened)}"
        folder.mkdir()
        opened.append(Tmux(folder, columns, rows))
        return opened[-1]

    yield open_one
    for tmux in opened:
        tmux.close()


@pytest.fixture
def ssh_words(tmp_path: Path) -> Iterator[list[str]]:
    """Start an SSH server on the loopback address; return the words that log in with a terminal."""
    sshd, ssh = need("sshd"), need("ssh")
    Path("/run/sshd").mkdir(exist_ok=True)
    for name in ("host", "person"):
        subprocess.run(
            [need("ssh-keygen"), "-q", "-t", "ed25519", "-N", "", "-f", str(tmp_path / name)], check=True
        )
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    config = tmp_path / "sshd_config"
    config.write_text(
        f"ListenAddress 127.0.0.1\nPort {port}\nHostKey {tmp_path / 'host'}\n"
        f"AuthorizedKeysFile {tmp_path / 'person.pub'}\nPidFile none\nStrictModes no\n"
        "PermitRootLogin yes\nPasswordAuthentication no\nUsePAM no\nAcceptEnv *\n"
    )
    server = subprocess.Popen(
        [sshd, "-D", "-e", "-f", str(config)], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    _wait_for_port(port)
    yield [
        ssh, "-tt", "-q", "-F", "none", "-i", str(tmp_path / "person"), "-p", str(port),
        "-o", "StrictHostKeyChecking=no",
        "-o", "UserKnownHostsFile=/dev/null", "-o", "IdentitiesOnly=yes", "127.0.0.1",
    ]  # fmt: skip
    server.terminate()
    server.wait()


def _wait_for_port(port: int) -> None:
    deadline = time.monotonic() + PATIENCE
    while True:
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1).close()
            return
        except OSError:
            assert time.monotonic() < deadline, "the SSH server never answered"
            time.sleep(0.05)
