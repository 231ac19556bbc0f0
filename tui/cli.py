"""The command line, from `springwright [FILE]` to `springwright store check`; defined in `commands`.

Exit code 0 with an answer or after leaving the screen, 2 for an invalid job or command line. Answers go to
standard output; everything else goes to standard error, one line per fault.
"""

from __future__ import annotations

import gc
import os
import sys
import warnings
from pathlib import Path
from typing import TYPE_CHECKING

from tui.saying import say, silence

if TYPE_CHECKING:
    import argparse
    from collections.abc import Mapping, MutableMapping
    from typing import Any

ANSWERED, UNUSABLE, INTERRUPTED = 0, 2, 130
_GARBAGE = 100_000
"""Number of new objects after which a command looks for garbage. Its modules make half as many, all used."""
_COLOUR_SYSTEMS = ("auto", "standard", "256", "truecolor", "windows")
"""Colour systems known to the screen framework."""


def main(arguments: list[str] | None = None) -> int:
    """Run one command; return the exit code.

    Without `arguments` it is the command line of this process, which ends with it.
    """
    if arguments is not None:
        return _interruptible(arguments)
    if not sys.warnoptions:
        # Warnings of libraries are for programmers, not for a person at the bench.
        warnings.simplefilter("ignore")
    # Its threads spin while they start, 0.05 s of the processor, and arrays are too small here to need them.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    code = _interruptible(sys.argv[1:])
    gc.freeze()  # or the interpreter would search everything for garbage before it ends
    return code


def _interruptible(words: list[str]) -> int:
    try:
        # Without arguments skip the parser: the bench starts sooner.
        return _commanded(words) if words else _open(None, None)
    except KeyboardInterrupt:
        return INTERRUPTED


def _commanded(words: list[str]) -> int:
    from tui.commands import TextAsked, parsed

    try:
        asked = parsed(words)
    except TextAsked as text:
        return _print(str(text))
    except SystemExit as done:  # a wrong command line
        return done.code if isinstance(done.code, int) else UNUSABLE
    if asked.command in (None, "open"):
        return _open(getattr(asked, "job", None), asked.store)
    usual = gc.get_threshold()
    gc.set_threshold(_GARBAGE)
    try:
        return _answered(asked)
    finally:
        gc.set_threshold(*usual)


def _open(job: str | None, store: str | None) -> int:
    if not _has_terminal():
        accepted = "springwright solve JOB works without one"
        say(f"springwright: the screen needs a full terminal; {accepted}")
        return UNUSABLE
    # The screen framework is the slowest import, and imports leave no garbage: the collector stays off until
    # the bench is on the screen.
    gc.disable()
    forget_wrong_environment(os.environ)
    from tui.app import run

    return run(None if job is None else Path(job), store)


def forget_wrong_environment(environ: MutableMapping[str, str]) -> None:
    """Remove environment variables that the screen framework would misread or fail on.

    An exported window size is outdated after a resize: the terminal is asked instead.
    """
    for name in ("COLUMNS", "LINES"):
        environ.pop(name, None)
    if environ.get("TEXTUAL_COLOR_SYSTEM", "auto") not in _COLOUR_SYSTEMS:
        del environ["TEXTUAL_COLOR_SYSTEM"]
    if sys.platform == "win32":
        environ.pop("TEXTUAL_DRIVER", None)


def _has_terminal() -> bool:
    streams = (sys.stdin, sys.stdout)
    if any(stream is None or not stream.isatty() for stream in streams):
        return False
    # Only POSIX terminals need TERM.
    return os.environ.get("TERM", "dumb" if os.name == "posix" else "") != "dumb"


def _text(asked: argparse.Namespace) -> str:
    """Return the output of a command; its modules are loaded here."""
    given = {key: value or "" for key, value in vars(asked).items()}
    match asked.command:
        case "solve" if asked.json:
            from tui.subjects.answers import answer_text

            return answer_text(asked.job)
        case "solve":
            from tui.subjects.report import report_text

            return report_text(asked.job)
        case "fit":
            from tui.subjects import readings

            fit = readings.FitAsked(*(given[key] for key in readings.FitAsked._fields))
            return readings.command(asked.job, fit, as_json=asked.json)
        case "advise" if asked.log:
            from tui.ride import again

            ridden = (given[key] for key in ("symptom", "setup", "log", "log_columns", "log_units"))
            return again.advise_command(asked.job, again.AdviseAsked(*ridden), as_json=asked.json)
        case "advise":
            from tui.subjects import advice

            return advice.command(asked.job, given["symptom"], asked.setup, as_json=asked.json)
        case "match":
            from tui.subjects import match

            wanted = match.MatchAsked(given["target"], given["using"], tuple(given["want"]), asked.volumes)
            return match.command(asked.job, wanted, as_json=asked.json)
        case "sweep":
            from tui.subjects import sweep

            swept = sweep.SweepAsked(asked.over, asked.figure, asked.end)
            return sweep.command(asked.job, swept, as_json=asked.json, as_csv=asked.csv)
        case "ride":
            from tui.ride import mapped, riding
            from tui.ride.events import SIZES

            sizes = {key: text for key in SIZES if (text := given[key])}
            if asked.over or asked.figure:
                ranged = mapped.MapAsked(
                    asked.event,
                    sizes,
                    tuple(given["over"]),
                    tuple(given["figure"]),
                    asked.wheel,
                    given["setup"],
                    given["units"],
                )
                return mapped.command(asked.job, ranged, as_json=asked.json, as_csv=asked.csv)
            ride = riding.RideAsked(asked.event, sizes, asked.wheel, given["setup"], given["units"])
            return riding.command(asked.job, ride, as_json=asked.json, as_csv=asked.csv)
        case "log":
            from tui.ride import again

            log = again.LogAsked(
                given["columns"], given["units"], given["using"], given["against"], given["setup"]
            )
            return again.command(asked.job, asked.log, log, as_json=asked.json, as_csv=asked.csv)
        case "sheet":
            from tui.sheet.command import SheetAsked, sheet_text

            output, form, units, date = (given[key] for key in SheetAsked._fields[:4])
            of_log = {key: given[key] for key in ("log", "log_columns", "log_units")}
            sheet = SheetAsked(
                output, form, units, date, asked.strict, asked.workings, **of_log, replace=asked.replace
            )
            return sheet_text(asked.job, sheet)
        case "chart":
            from tui.sheet.command import ChartAsked, chart_text

            setup, units = given["setup"], given["units"]
            chart = ChartAsked(asked.output, asked.view, setup, asked.wheel, units, asked.slow, asked.replace)
            return chart_text(asked.job, chart)
        case "table" if asked.damper:
            from tui.ride import damper_table

            return damper_table.command(asked.job, given["columns"], given["units"])
        case "table":
            from tui.subjects import leverage

            return leverage.command(asked.job, given["columns"], given["units"])
        case "keys":
            from tui.own_keys import keys_text

            return keys_text()
        case "schema":
            from tui.job.schema import schema_text

            return schema_text()
        case "paths":
            from tui.settings import paths_text

            return paths_text(asked.store)
        case "store":
            return _of_records(asked, given)
    raise NotImplementedError(asked.command)


def _of_records(asked: argparse.Namespace, given: Mapping[str, Any]) -> str:
    from tui.settings import find_settings
    from tui.store.command import StoreAsked, store_text

    paths = tuple(map(Path, filter(None, (given.get("file"), *given.get("paths", ())))))
    found = find_settings()
    if found.told:
        say(f"springwright: {found.told}")
    typed = (found.settings.store, found.settings.mechanic, found.store_lines)
    return store_text(StoreAsked(asked.act, asked.store, paths, getattr(asked, "yes", False), *typed))


def _answered(asked: argparse.Namespace) -> int:
    """Print the output of a command, or its errors."""
    from tui.subjects.asked import Unanswered  # the physics loads numpy, which help must not wait for

    job = getattr(asked, "job", f"springwright {asked.command}")
    try:
        text = _text(asked)
    except Unanswered as unanswered:
        for line in unanswered.lines:
            say(f"{unanswered.source or job}: {line}")
        return UNUSABLE
    except Exception as bug:  # the mechanic can do nothing with a traceback, and should not be left with one
        say(f"{job}: file: the bench failed on it ({type(bug).__name__}: {bug}); please report it")
        return UNUSABLE
    return _print(text)


def _print(text: str) -> int:
    if not text:  # the answer is in a file
        return ANSWERED
    if sys.stdout is None:
        say("springwright: there is no standard output to write to")
        return UNUSABLE
    try:
        if hasattr(sys.stdout, "reconfigure"):
            sys.stdout.reconfigure(errors="replace")
        sys.stdout.write(text)
        sys.stdout.flush()
    except OSError as trouble:
        silence(sys.stdout)
        # A closed pipe, such as a pager that was left, is not an error.
        if not isinstance(trouble, BrokenPipeError):
            say(f"springwright: the result could not be written: {trouble.strerror or trouble}")
            return UNUSABLE
    return ANSWERED
