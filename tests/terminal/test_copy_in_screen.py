"""Inside a real GNU screen: what is copied arrives at the terminal outside, and every key at the bench."""

from __future__ import annotations

import re
import shlex
import subprocess
from base64 import b64decode
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.terminal.conftest import PROGRAM, need
from tests.terminal.program import Program
from tests.terminal.test_copy_in_tmux import SENT, TEXT, copies

COPIED = re.compile(rb"\x1b\]52;c;([A-Za-z0-9+/=]*)\x07")
Inside = Callable[..., "Outside"]


class Outside(Program):
    """A terminal with screen in it, which keeps all that is sent to it."""

    sent = b""

    def took(self, data: bytes) -> None:
        self.sent += data

    @property
    def clipboard(self) -> str:
        """The last text that was put on the clipboard of this terminal."""
        return b64decode(COPIED.findall(self.sent)[-1]).decode()


@pytest.fixture
def inside(tmp_path: Path, home: dict[str, str]) -> Iterator[Inside]:
    """Return a function that runs a command line in a screen of its own."""
    screen = need("screen")
    opened: list[Outside] = []
    settings = tmp_path / "screenrc"
    settings.write_text("autodetach off\nstartup_message off\nterm screen-256color\ndefutf8 on\n")
    folder = tmp_path / "sockets"
    folder.mkdir(mode=0o700)

    def run(words: list[str]) -> Outside:
        # It waits behind the command, so that what was shown stays.
        line = ["sh", "-c", f"{shlex.join(words)};  read _"]
        environment = home | {"SCREENDIR": str(folder)}
        named = [screen, "-U", "-S", f"test{len(opened)}", "-c", str(settings)]
        opened.append(Outside(environment, [*named, *line], 80, 24))
        return opened[-1]

    yield run
    for place, terminal in enumerate(opened):
        # It is not the child of whoever opened it, and stays when its terminal goes.
        named = [screen, "-S", f"test{place}", "-X", "quit"]
        subprocess.run(named, env=home | {"SCREENDIR": str(folder)}, check=False, stdout=subprocess.DEVNULL)
        terminal.close()


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("count", [1, 300])
def test_screen_passes_it_on_whole_and_shows_none_of_it(inside: Inside, count: int) -> None:
    terminal = inside(copies(count))
    terminal.wait_for(f"{SENT}{TEXT}")
    assert "52;" not in terminal.text
    assert terminal.clipboard == TEXT * count


@pytest.mark.slow
def test_the_bench_has_its_keys_its_colours_and_its_clipboard_there(inside: Inside) -> None:
    terminal = inside(list(PROGRAM))
    terminal.wait_for("● coil")
    for key, seen in (
        ("\x1b[B", "› posture"), ("\x1b[1~", "› load source"), ("\t", "› wheel travel"),
        ("\x1b[Z", "› load source"), ("\x1bOP", "─› help"), ("\x1b", "─› rider"), (" ", "Esc back"),
        (" ", "v copy value"), ("v", "Sent to the terminal's clipboard: rider and bike"),
    ):  # fmt: skip
        terminal.write(key)
        terminal.wait_for(seen)
    assert terminal.clipboard == "rider and bike"
    assert len(set(re.findall(rb"\x1b\[38;5;\d+m", terminal.sent))) > 5
