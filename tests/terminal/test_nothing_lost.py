"""Sessions that end without their owner's word: whatever was committed is offered by the next start."""

from __future__ import annotations

import random
import signal
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest

from tests.terminal.program import Program
from tui.job.drafts import Abandoned, Place, abandoned_drafts

Starter = Callable[..., Program]
RIDER_MASS = ("load", "rider_mass")
OFFERED = "Unsaved work from last time"
NO_DRAFT = "disk full, no draft: save to a file"
BACK = "\x1b[A"
"""Back to the rider's mass: Enter goes on from a value."""


@pytest.fixture
def start(home: dict[str, str]) -> Iterator[Starter]:
    """Return a function that starts a session, some of its environment given, and waits for the bench."""
    sessions: list[Program] = []

    def start_one(wait_for: str = "82 kg", **environment: str) -> Program:
        sessions.append(Program(home | environment))
        sessions[-1].wait_for(wait_for)
        return sessions[-1]

    yield start_one
    for session in sessions:
        session.close()


def drafts_in(home: dict[str, str]) -> tuple[Abandoned, ...]:
    return abandoned_drafts([Place(Path(home["HOME"]) / ".local/state/springwright/drafts")]).drafts


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("seed", range(30))
def test_what_was_painted_before_a_kill_is_in_the_draft(
    seed: int, start: Starter, home: dict[str, str]
) -> None:
    chance = random.Random(seed)
    masses = range(61, 62 + chance.randrange(1, 9))
    calm = chance.randrange(len(masses))
    session = start("% ")
    session.write(f"60\r{BACK}")
    session.wait_for_marked("60 kg")
    for mass in masses[:calm]:
        session.write(f"{mass}\r{BACK}")
        session.wait_for_marked(f"{mass} kg")
    keys = [key for mass in masses[calm:] for key in (*str(mass), "\r", BACK)]
    burst = "".join(keys[: chance.randrange(1, 16)])
    session.write(burst)
    last, left = masses[max(calm + burst.count("\r") - 1, 0)], chance.randrange(600)
    while left > 0 and "\r" in burst and f"{last} kg" not in session.marked:
        left -= session.read(chance.randrange(1, 100))
    assert session.kill() == -signal.SIGKILL
    painted = [60, *masses[:calm], *(mass for mass in masses if f"{mass} kg" in session.marked)]
    kept = [int(str(draft.job.get(RIDER_MASS)).removesuffix(" kg")) for draft in drafts_in(home)]
    assert len(kept) == 1
    assert max(painted) <= max(kept)
    assert set(kept) <= {60, *masses}


@pytest.mark.slow
def test_after_a_kill_the_next_start_offers_it_and_goes_on(start: Starter) -> None:
    session = start()
    session.write("93\r")
    session.wait_for("93 kg")
    session.kill()
    again = start(OFFERED)
    again.kill()  # while it is offered: nobody has taken it up
    again = start(OFFERED)
    again.write("o")
    again.wait_for("93 kg")
    again.kill()  # it is this session's draft by now
    again = start(OFFERED)
    again.write("d")
    again.wait_for(OFFERED, gone=True)
    assert "82 kg" in again.text
    again.kill()
    start("sag").wait_for("82 kg")


@pytest.mark.slow
@pytest.mark.parametrize("how", ["SIGHUP", "SIGTERM", "line closed"])
def test_told_to_go_a_session_keeps_what_is_half_typed(
    how: str, start: Starter, home: dict[str, str]
) -> None:
    session = start()
    session.write("94")
    session.wait_for("94")
    if how == "line closed":
        session.hang_up()
    else:
        assert session.kill(signal.Signals[how]) == 128 + signal.Signals[how]
    assert [draft.job.get(RIDER_MASS) for draft in drafts_in(home)] == ["94 kg"]
    again = start(OFFERED)
    again.write("o")
    again.wait_for("94 kg")


@pytest.mark.slow
def test_told_to_go_on_while_it_leaves_it_leaves(start: Starter) -> None:
    # A dropped line does so: it tells to hang up and to go on.
    session = start()
    session.write("q")
    assert session.go_on_until_it_ends() == 0


@contextmanager
def small_disk(folder: Path) -> Iterator[Path]:
    """Mount a disk of 64 kB; skip where that is not allowed."""
    folder.mkdir()
    done = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(folder)], capture_output=True, check=False
    )
    if done.returncode:
        pytest.skip("mounting is not allowed here")
    try:
        yield folder
    finally:
        subprocess.run(["umount", str(folder)], check=True)


def fill(disk: Path) -> Path:
    """Fill a disk to the last byte; return the file that does."""
    junk = disk / "junk"
    with suppress(OSError), junk.open("wb", buffering=0) as file:
        while True:
            file.write(bytes(1024))
    return junk


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Path]:
    with small_disk(tmp_path / "disk") as folder:
        yield folder


@pytest.mark.slow
def test_a_full_disk_is_told_until_there_is_room_again(disk: Path, start: Starter) -> None:
    session = start(XDG_STATE_HOME=str(disk), TMPDIR=str(disk))
    session.write(f"91\r{BACK}")
    session.wait_for("91 kg")
    assert NO_DRAFT not in session.text
    junk = fill(disk)
    session.write("92\r")
    session.wait_for(NO_DRAFT)
    session.write("\t")
    session.write("?")
    session.wait_for("Next step of the work.")
    session.write("\x1b")
    session.wait_for("Next step of the work.", gone=True)
    assert NO_DRAFT in session.text
    junk.unlink()
    session.write("\t")
    session.wait_for(NO_DRAFT, gone=True)
    session.kill()
    again = start(OFFERED, XDG_STATE_HOME=str(disk), TMPDIR=str(disk))
    again.write("o")
    again.wait_for("92 kg")


@pytest.mark.slow
def test_where_the_home_is_full_the_second_place_is_offered_by_the_next_start(
    disk: Path, start: Starter
) -> None:
    session = start(XDG_STATE_HOME=str(disk))
    session.write(f"91\r{BACK}")
    session.wait_for("91 kg")
    fill(disk)
    session.write("92\r")
    session.wait_for("drafts go to")
    assert "no draft" not in session.text
    session.kill()
    again = start(OFFERED, XDG_STATE_HOME=str(disk))
    assert "more after this one" not in again.text
    again.write("o")
    again.wait_for("92 kg")


@pytest.mark.slow
def test_a_draft_in_a_home_that_is_read_only_by_now_goes_on_in_the_second_place(
    disk: Path, start: Starter
) -> None:
    session = start(XDG_STATE_HOME=str(disk))
    session.write(f"91\r{BACK}")
    session.wait_for("91 kg")
    session.kill()
    subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
    again = start(OFFERED, XDG_STATE_HOME=str(disk))
    again.write("o")
    again.wait_for("91 kg")
    again.write("92\r")
    again.wait_for("92 kg")
    again.kill()
    last = start(OFFERED, XDG_STATE_HOME=str(disk))
    last.wait_for("And 1 more after this one")  # the older one, which cannot be removed
    last.write("o")
    last.wait_for("92 kg")
