"""A PostgreSQL server of a test's own, which it may stop in the middle of anything."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
from pathlib import Path
from tempfile import mkdtemp

import pytest


def programs() -> Path:
    """Return the folder of the server's programs; without them a test is skipped, but never in CI."""
    found = shutil.which("initdb")
    folders = [Path(found).resolve().parent] if found else sorted(Path("/usr/lib/postgresql").glob("*/bin"))
    if not folders and not os.environ.get("CI"):
        pytest.skip("PostgreSQL is not installed")
    assert folders, "PostgreSQL is needed here"
    return folders[-1]


class Cluster:
    """A server with nothing on it, on the loopback address; it is gone when it is thrown away."""

    def __init__(self) -> None:
        """Make it and start it."""
        self._programs = programs()
        self._folder = Path(mkdtemp())
        # The server refuses to run as root.
        self._as_user = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
        if self._as_user:
            shutil.chown(self._folder, "postgres")
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        self._run("initdb", "-A", "trust", "-U", "postgres", "-E", "UTF8", "--no-locale")
        self.start()

    @property
    def address(self) -> str:
        """The address of its only database."""
        return f"postgresql://postgres@127.0.0.1:{self.port}/postgres"

    def start(self) -> None:
        """Start it, and wait until it answers."""
        options = f"-p {self.port} -c listen_addresses=127.0.0.1 -c unix_socket_directories="
        self._run("pg_ctl", "-w", "-t", "120", "-l", str(self._folder / "log"), "-o", options, "start")

    def pull_the_plug(self) -> None:
        """Stop it without any tidying up: the next start recovers what was acknowledged."""
        self._run("pg_ctl", "-w", "-t", "120", "-m", "immediate", "stop")

    def throw_away(self) -> None:
        """Stop it, if it runs, and delete it."""
        subprocess.run([*self._words("pg_ctl"), "-m", "immediate", "stop"], capture_output=True, cwd="/")
        shutil.rmtree(self._folder)

    def _run(self, program: str, *words: str) -> None:
        done = subprocess.run(
            [*self._words(program), *words],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            cwd="/",
        )
        assert done.returncode == 0, f"{program} failed"

    def _words(self, program: str) -> list[str]:
        return [*self._as_user, str(self._programs / program), "-D", str(self._folder / "data")]
