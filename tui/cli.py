"""The commands: `springwright [open [JOB]]` and `springwright solve JOB [--json]`."""

from __future__ import annotations

import sys
from pathlib import Path

from tui import __version__

USAGE = """\
springwright: coil rate or air pressure for this rider on this frame

usage:
  springwright solve JOB [--json]   answer a job file; - reads standard input
  springwright --help | --version

Exit 0 with an answer, 2 for a job that cannot be used (faults on standard error).
"""


def main(arguments: list[str] | None = None) -> int:
    """Run one command; return the exit code."""
    words = sys.argv[1:] if arguments is None else arguments
    match words:
        case ["--version"]:
            sys.stdout.write(f"springwright {__version__}\n")
            return 0
        case ["--help"] | ["-h"] | []:
            sys.stdout.write(USAGE)
            return 0
        case ["solve", job, "--json"] | ["solve", "--json", job]:
            return _solve(job, as_json=True)
        case ["solve", job]:
            return _solve(job, as_json=False)
        case _:
            sys.stderr.write(USAGE)
            return 2


def _read(job: str) -> str:
    """Return the text of a job file, or of standard input for `-`; raises OSError or UnicodeDecodeError."""
    raw = sys.stdin.buffer.read() if job == "-" else Path(job).read_bytes()
    return raw.decode("utf-8")


def _solve(job: str, *, as_json: bool) -> int:
    import json

    from tui.jobs.answer_json import answer_object
    from tui.jobs.answering import answer_job
    from tui.jobs.job import UnusableJob, parse
    from tui.report import report

    try:
        text = _read(job)
    except (OSError, UnicodeDecodeError) as trouble:
        return _refuse([f"{job}: cannot be read: {trouble}; a TOML file in UTF-8"])
    try:
        found = answer_object(answer_job(parse(text)))
    except UnusableJob as unusable:
        return _refuse([f"{job}: {fault}" for fault in unusable.faults])
    sys.stdout.write(json.dumps(found, allow_nan=False) + "\n" if as_json else report(found))
    return 0


def _refuse(lines: list[str]) -> int:
    for line in lines:
        sys.stderr.write(line.translate(dict.fromkeys(range(32))) + "\n")
    return 2
