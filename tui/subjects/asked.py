"""The input of a command: a job file with its answer and one setup in it; and the text it prints."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from physics.answer import SetupAnswer
from physics.frozen import NamedTuple
from tui.job.answer import JobAnswer, answer_job
from tui.job.faults import JobFault, UnusableJob
from tui.job.files import FileTrouble, read_path, read_text
from tui.job.job import Job, parse
from tui.job.tree import Raw, Tree, brief
from tui.job.wheels import WHEELS, Wheel


class Unanswered(Exception):
    """A job without an answer: a line for each fault, and the file at fault if not the job file."""

    def __init__(self, lines: tuple[str, ...], source: str = "") -> None:
        self.lines, self.source = lines, source
        super().__init__("\n".join(lines))


@contextmanager
def job_faults_told() -> Iterator[None]:
    """Raise faults of a job or its file as `Unanswered`."""
    try:
        yield
    except UnusableJob as unusable:
        raise Unanswered(tuple(map(str, unusable.faults))) from unusable
    except FileTrouble as trouble:
        raise Unanswered((str(trouble.fault),)) from trouble


def answered_file(source: str, *, spacers: bool = False) -> JobAnswer:
    """Return the job in the file `source` with its answer, for any command; raises `Unanswered`."""
    with job_faults_told():
        return answer_job(job_of(source), spacers=spacers)


def refused(option: str, what: str, accepted: str) -> Unanswered:
    """Return the refusal of the value of a command-line option."""
    return Unanswered((str(JobFault((option,), what, accepted)),))


def job_of(source: str) -> Job:
    """Return the job in the file `source`, or on standard input for `-`, for a command to read."""
    if source != "-":
        return parse(read_path(Path(source)))
    if sys.stdin is None:
        raise FileTrouble("standard input is closed", "use a job file in TOML")
    return parse(read_text(sys.stdin.buffer))


class Seat(NamedTuple):
    """One setup of a bike: its wheel, the wheel's answer and its index there."""

    wheel: Wheel
    there: JobAnswer
    place: int

    @property
    def answer(self) -> SetupAnswer:
        """The setup's answer."""
        return self.there.answer.setups[self.place]

    @property
    def name(self) -> str:
        """The setup's name."""
        return self.answer.name

    @property
    def typed(self) -> Tree:
        """The setup as typed."""
        return self.there.job.setups[self.place]

    @property
    def outside(self) -> float:
        """Ambient pressure [Pa] of the shop."""
        return float(self.there.answer.shop.pressure)

    @property
    def fork(self) -> bool:
        """Whether the wheel has a fork."""
        return self.there.answer.frame.fork


def seats(bike: JobAnswer) -> list[Seat]:
    """Return every setup of a bike, the rear's first."""
    answers = [(wheel, there) for wheel in WHEELS if (there := bike.at(wheel)) is not None]
    return [Seat(wheel, at, place) for wheel, at in answers for place, _ in enumerate(at.answer.setups)]


def seat_named(option: str, name: str, known: list[Seat], *, first: bool = True) -> Seat:
    """Return the setup of a name; without a name the `first` of all, or the only one.

    Raises `Unanswered` if no setup or several have the name, or if a name is needed.
    """
    named = [seat for seat in known if name in ("", seat.name)]
    if name and len(named) > 1:
        raise several_named(option, name, len(named))
    if named and (first or name or len(known) == 1):
        return named[0]
    what = f'no setup is named "{brief(name)}"' if name else "the job has more than one setup"
    listed = ", ".join(f'"{brief(seat.name)}"' for seat in known)
    raise refused(option, what, f"use --{option} with one of {listed}")


def several_named(option: str, name: str, count: int) -> Unanswered:
    """Return the refusal of a name that several setups have."""
    return refused(option, f'{count} setups are named "{brief(name)}"', "give each a name of its own")


def change_object(before: Mapping[str, Raw], typed: Mapping[str, Raw]) -> dict[str, Any]:
    """Return the keys to set in a setup's table of the job file, and those to remove."""
    write = {key: raw for key, raw in typed.items() if before.get(key) != raw}
    return {"write": write, "take_out": [key for key in before if key not in typed]}


def printed(found: Mapping[str, Any] | Iterable[str]) -> str:
    """Return the output of a command: plain data as JSON, lines as text."""
    text = json.dumps(found, allow_nan=False) if isinstance(found, Mapping) else "\n".join(found)
    return f"{text}\n"
