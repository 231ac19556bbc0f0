"""A job file to the text of its answer, with no screen anywhere."""

from __future__ import annotations

import sys
from pathlib import Path

from tui.job.answer import JobAnswer, answer_job
from tui.job.faults import JobFault, UnusableJob
from tui.job.files import FileTrouble, read_path, read_text
from tui.job.job import Job, parse


class Unanswered(Exception):
    """A job that got no answer: a line for every fault, and the file they are in if that is not the job's."""

    def __init__(self, lines: tuple[str, ...], source: str = "") -> None:
        """Keep the lines."""
        self.lines = lines
        self.source = source
        super().__init__("\n".join(lines))


def answered_file(source: str, *, spacers: bool = False) -> JobAnswer:
    """Return the job in the file `source` with its answer, for any command; raises `Unanswered`."""
    try:
        return answer_job(job_of(source), spacers=spacers)
    except UnusableJob as unusable:
        raise Unanswered(tuple(map(str, unusable.faults))) from unusable
    except FileTrouble as trouble:
        raise Unanswered((str(trouble.fault),)) from trouble


def refused(option: str, what: str, accepted: str) -> Unanswered:
    """Return the refusal of what an option of the command line asks for."""
    return Unanswered((str(JobFault((option,), what, accepted)),))


def job_of(source: str) -> Job:
    """Return the job in the file `source`, or on standard input for `-`, for a command to read."""
    if source != "-":
        return parse(read_path(Path(source)))
    if sys.stdin is None:
        raise FileTrouble("standard input is closed", "a job file in TOML is accepted")
    return parse(read_text(sys.stdin.buffer))
