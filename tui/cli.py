"""The commands: `springwright [open [JOB]]`, `springwright solve JOB [--json]`, `springwright fit JOB …`.

Exit 0 with an answer or after the screen was left, 2 for a job or a command line that cannot be used.
Answers go to standard output; everything else goes to standard error, one line per fault.
"""

from __future__ import annotations

import argparse
import gc
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from tui import __version__

if TYPE_CHECKING:
    Commands = argparse._SubParsersAction["_Parser"]

ANSWERED, UNUSABLE, INTERRUPTED = 0, 2, 130
"""Exit codes."""


def main(arguments: list[str] | None = None) -> int:
    """Run one command; return the exit code."""
    try:
        asked = _parser().parse_args(arguments)
    except SystemExit as done:  # help, version and a wrong command line end here
        return done.code if isinstance(done.code, int) else UNUSABLE
    try:
        if asked.command == "solve":
            return _answered(asked.job, lambda: _solved(asked))
        if asked.command == "fit":
            return _answered(asked.job, lambda: _fitted(asked))
        if asked.command == "advise":
            return _answered(asked.job, lambda: _advised(asked))
        if asked.command == "match":
            return _answered(asked.job, lambda: _matched(asked))
        if asked.command == "sweep":
            return _answered(asked.job, lambda: _swept(asked))
        return _open(getattr(asked, "job", None))
    except KeyboardInterrupt:
        return INTERRUPTED


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        """Refuse a command line; it may hold terminal controls."""
        self.print_usage(sys.stderr)
        _say(f"{self.prog}: {message}")
        raise SystemExit(UNUSABLE)


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(
        prog="springwright",
        description="Coil rate or air pressure for this rider on this frame. Without a command it opens the "
        "bench screen.",
        epilog="Exit 0 with an answer, 2 for a job that cannot be used: its faults are on standard error.",
    )
    parser.add_argument("--version", action="version", version=f"%(prog)s {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")
    screen = commands.add_parser("open", help="open the bench screen", description="Open the bench screen.")
    screen.add_argument("job", metavar="JOB", nargs="?", type=_named, help="job file to open")
    solve = commands.add_parser(
        "solve", help="answer a job file without the screen", description="Answer a job file."
    )
    solve.add_argument("job", metavar="JOB", type=_named, help="job file, or - for standard input")
    solve.add_argument("--json", action="store_true", help="print the answer as one JSON object")
    _add_fit(commands)
    _add_advise(commands)
    _add_match(commands)
    _add_sweep(commands)
    return parser


def _add_fit(commands: Commands) -> None:
    fit = commands.add_parser(
        "fit",
        help="go backwards from readings of a setup",
        description="Rate, preload, friction or volumes from a spring tester's file; the negative volume "
        "from two gauge readings; the rider's load from a sag.",
    )
    fit.add_argument("job", metavar="JOB", type=_named, help="job file, or - for standard input")
    fit.add_argument("--setup", metavar="NAME", help="the setup that was read; the only one needs no name")
    fit.add_argument("--readings", metavar="FILE", help="table of stroke and force, in and out")
    fit.add_argument("--units", metavar="mm,N", help="units of stroke and force where the file has none")
    fit.add_argument("--before", metavar="200psi", help="gauge before cycling, negative chamber empty")
    fit.add_argument("--after", metavar="170psi", help="gauge after cycling once, at full extension")
    fit.add_argument("--pressure", metavar="190psi", help="set pressure, in place of the job's")
    fit.add_argument("--sag", metavar="45mm", help="sag as the target counts it, a length or a share")
    fit.add_argument("--json", action="store_true", help="print what they say as one JSON object")


def _add_advise(commands: Commands) -> None:
    from tui.jobs.felt_words import WORDS

    advise = commands.add_parser(
        "advise",
        help="what to change after the ride",
        description="What the rider felt to a ranked list of changes, each with its effect in numbers.",
    )
    advise.add_argument("job", metavar="JOB", type=_named, help="job file, or - for standard input")
    felt = ", ".join(WORDS)
    advise.add_argument("--felt", metavar="WORD", choices=WORDS, required=True, help=f"one of {felt}")
    advise.add_argument("--setup", metavar="NAME", help="the setup that was ridden, else the first")
    advise.add_argument("--json", action="store_true", help="print the advice as one JSON object")


def _add_match(commands: Commands) -> None:
    match = commands.add_parser(
        "match",
        help="set one spring like another, or for wanted figures",
        description="Settings of one setup that come close to another in wheel force, or to figures.",
    )
    match.add_argument("job", metavar="JOB", type=_named, help="job file, or - for standard input")
    match.add_argument("--goal", metavar="NAME", help="the setup to be like, else the first")
    match.add_argument(
        "--with", dest="using", metavar="NAME", help="the setup to set, else one of the other kind"
    )
    match.add_argument(
        "--want",
        metavar="FIGURE>=NUMBER",
        action="append",
        help='wanted in place of a goal, as "support_50>=1.7"',
    )
    match.add_argument(
        "--cans", action="store_true", help="volumes and port are free in place of the spacers"
    )
    match.add_argument("--json", action="store_true", help="print what is found as one JSON object")


def _add_sweep(commands: Commands) -> None:
    sweep = commands.add_parser(
        "sweep",
        help="figures of every setup over a range of one input or of two",
        description="Figures of every setup over a range of one input, or a map over two. Each case is "
        "solved anew where the job has something to solve.",
    )
    sweep.add_argument("job", metavar="JOB", type=_named, help="job file, or - for standard input")
    sweep.add_argument(
        "--over",
        metavar="NAME=FROM..TO[:COUNT]",
        action="append",
        required=True,
        help="input and range, as rider_mass=50kg..120kg:15; twice for a map",
    )
    sweep.add_argument(
        "--figure",
        metavar="NAME",
        action="append",
        required=True,
        help="figure to show, as bottom_ratio; may be given again",
    )
    sweep.add_argument("--end", choices=("rear", "front"), default="rear", help="wheel of a whole bike")
    sweep.add_argument("--json", action="store_true", help="print what is found as one JSON object")


def _named(job: str) -> str:
    if not job.strip():
        raise argparse.ArgumentTypeError("the name of the job file is empty; a path to it is accepted")
    return job


def _open(job: str | None) -> int:
    if not _has_terminal():
        _say(
            "springwright: the bench screen needs a terminal that can draw; "
            "springwright solve JOB answers without one"
        )
        return UNUSABLE
    # The screen's library is the slowest import of all. Nothing of what loading makes is rubbish, so nobody
    # looks for any until the bench is on the screen; it turns the collector on again.
    gc.disable()
    from tui.app import run

    return run(None if job is None else Path(job))


def _has_terminal() -> bool:
    streams = (sys.stdin, sys.stdout)
    if any(stream is None or not stream.isatty() for stream in streams):
        return False
    # Only a POSIX terminal has to name itself.
    return os.environ.get("TERM", "dumb" if os.name == "posix" else "") != "dumb"


def _solved(asked: argparse.Namespace) -> str:
    from tui.headless import answer_text

    return answer_text(asked.job, as_json=asked.json)


def _fitted(asked: argparse.Namespace) -> str:
    from tui.headless_fit import FitAsked, fit_text

    given = FitAsked(*(getattr(asked, key) or "" for key in FitAsked._fields))
    return fit_text(asked.job, given, as_json=asked.json)


def _advised(asked: argparse.Namespace) -> str:
    from tui.headless_advice import advice_text

    return advice_text(asked.job, asked.felt, asked.setup, as_json=asked.json)


def _matched(asked: argparse.Namespace) -> str:
    from tui.headless_match import MatchAsked, match_text

    given = MatchAsked(asked.goal or "", asked.using or "", tuple(asked.want or ()), asked.cans)
    return match_text(asked.job, given, as_json=asked.json)


def _swept(asked: argparse.Namespace) -> str:
    from tui.headless_sweep import SweepAsked, sweep_text

    return sweep_text(asked.job, SweepAsked(asked.over, asked.figure, asked.end), as_json=asked.json)


def _answered(job: str, text_of: Callable[[], str]) -> int:
    """Print the text of an answer, or why there is none."""
    from tui.headless import Unanswered  # the physics loads numpy, which help must not wait for

    try:
        text = text_of()
    except Unanswered as unanswered:
        for line in unanswered.lines:
            _say(f"{job}: {line}")
        return UNUSABLE
    except Exception as bug:  # the mechanic can do nothing with a traceback, and should not be left with one
        _say(f"{job}: file: the bench failed on it ({type(bug).__name__}: {bug}); please report it")
        return UNUSABLE
    return _print(text)


def _print(text: str) -> int:
    if sys.stdout is None:
        _say("springwright: there is no standard output to answer on")
        return UNUSABLE
    try:
        if hasattr(sys.stdout, "reconfigure"):
            sys.stdout.reconfigure(errors="replace")
        sys.stdout.write(text)
        sys.stdout.flush()
    except OSError as trouble:
        # The interpreter must not try to flush the rest when it ends.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        # Whoever closed the pipe, such as a pager, has seen enough.
        if not isinstance(trouble, BrokenPipeError):
            _say(f"springwright: the answer could not be written: {trouble.strerror or trouble}")
            return UNUSABLE
    return ANSWERED


def _say(line: str) -> None:
    if sys.stderr is not None:
        sys.stderr.write("".join(c if c.isprintable() else repr(c)[1:-1] for c in line) + "\n")
