"""Commands and options of the command line; imports nothing heavy."""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any, NamedTuple, NoReturn

from tui.charts.views import BY_NAME
from tui.job.choices import WORDS, new_word
from tui.job.tree import brief
from tui.saying import nearest, say


def _named(job: str) -> str:
    if not job.strip():
        raise argparse.ArgumentTypeError("the name of the job file is empty; use a path")
    return job


def _path(path: str) -> str:
    if not path.strip():
        raise argparse.ArgumentTypeError("the name is empty; use a path")
    return path


class _Command(NamedTuple):
    """A command: its short and long description, and its options as spelled, with their help.

    Without a long description the short one is used. An option without a value is a switch; "a|b" is a
    choice. `taken` has further parser arguments of some options, by name.
    """

    does: str
    about: str = ""
    options: Mapping[str, str] = {}
    taken: Mapping[str, Mapping[str, Any]] = {}


_JOB = {"job JOB": "job file, or - for standard input"}
_REPLACE = "replace FILE if it exists already"
_SEVERAL = {"action": "append"}
_NEEDED = {"action": "append", "required": True}
_SYMPTOM = {"type": new_word, "choices": WORDS, "action": "append", "dest": "symptom"}
_WHEEL = {"dest": "end", "default": "rear"}
_RECORDS = "records: a file or postgresql://... (default: SPRINGWRIGHT_STORE or settings)"
_PLACE = {"--store PLACE": _RECORDS}
_OF_A_LOG = {
    "--log LOG": "add what a logged ride says, a line for each wheel",
    '--log-columns "time 1, shock 3"': "columns of the log, as for the command log",
    '--log-units "time ms, shock mm"': "units of the log, as for the command log",
}
_TAKEN: Mapping[str, Mapping[str, Any]] = {
    "job": {"type": _named},
    "file": {"type": _path},
    "paths": {"type": _path},
    # If it is not given after the command, the value given before the command is kept.
    "--store": {"type": _path, "default": argparse.SUPPRESS},
}
"""Parser arguments of options that several commands share."""

COMMANDS = {
    "open": _Command(
        "open the bench screen", "", {"job JOB": "job file to open", **_PLACE}, {"job": {"nargs": "?"}}
    ),
    "solve": _Command(
        "calculate a job file without the screen",
        "Calculate a job file.",
        {**_JOB, "--json": "print the result as JSON"},
    ),
    "fit": _Command(
        "calculate a setup from measurements",
        "Rate, preload, friction or volumes from a spring tester's file; the negative volume from two gauge "
        "readings; the rider load from a sag.",
        {
            **_JOB,
            "--setup NAME": "the measured setup; not needed if there is only one",
            "--readings FILE": "stroke and force table, in and out",
            "--units mm,N": "units of stroke and force if the file has none",
            '--columns "stroke 2, force 3"': "columns, if the file does not name them",
            "--friction 15N": "seal friction if measured one way only: a force, or setup; N without a unit",
            "--spring-alone": "a coil was measured by itself, not the whole shock: subtract no damper gas",
            "--before 200psi": "gauge before cycling, negative chamber empty; psi without a unit",
            "--after 170psi": "gauge after cycling once, at full extension; psi without a unit",
            "--pressure 190psi": "set pressure instead of the job's; psi without a unit",
            "--sag 45mm": "measured sag, same reference as the target, a length or 30 %%; mm without a unit",
            "--json": "print the result as JSON",
        },
    ),
    "advise": _Command(
        "what to change after the ride",
        "Ranked changes for a rider's complaint, each with its effect in numbers. With a logged ride what it "
        "shows is the complaint, and each change is ridden over its ground.",
        {
            **_JOB,
            "--symptom WORD": f"one of {', '.join(WORDS)}; repeatable",
            "--felt WORD": argparse.SUPPRESS,  # earlier scripts have it
            "--setup NAME": "the setup ridden (default: first; with --log the one on the bike)",
            **_OF_A_LOG,
            "--log LOG": "logged ride of that setup, in place of a complaint or besides",
            "--json": "print the result as JSON",
        },
        {"--symptom": _SYMPTOM, "--felt": _SYMPTOM, "--log": {"type": _path}},
    ),
    "match": _Command(
        "match one spring to another, or to target figures",
        "Settings of one setup closest to another's wheel force, or to target figures.",
        {
            **_JOB,
            "--target NAME": "target setup to match (default: first)",
            "--with NAME": "setup to adjust (default: first of the other kind)",
            "--want FIGURE>=NUMBER": 'target figure instead of --target, e.g. "support_50>=1.7" or '
            '"natural_frequency_hz<=2.4"; a number without a unit is in N, N/mm, lbf/in, mm, J, Hz or %%',
            "--volumes": "vary volumes and port instead of spacers",
            "--cans": argparse.SUPPRESS,
            "--goal NAME": argparse.SUPPRESS,
            "--json": "print the result as JSON",
        },
        {
            "--with": {"dest": "using"},
            "--want": _SEVERAL,
            "--cans": {"dest": "volumes"},
            "--goal": {"dest": "target"},
        },
    ),
    "sweep": _Command(
        "figures of every setup over a range of one input or of two",
        "Figures of every setup over a range of one input, or a map over two. Values the job says to solve "
        "are solved for each case.",
        {
            **_JOB,
            "--over NAME=FROM..TO[:COUNT]": "input and range, e.g. rider_mass=50kg..120kg:15; twice for a "
            "map; a number without a unit is in kg, mm, N, psi, lbf/in, cm3, degC, m, deg or %%",
            "--figure NAME": "figure to show, e.g. bottom_ratio; repeatable",
            "--wheel rear|front": "which wheel of a job with two",
            "--end rear|front": argparse.SUPPRESS,
            "--json": "print the result as JSON",
            "--csv": "print a row for each case, for a spreadsheet",
        },
        {"--over": _NEEDED, "--figure": _NEEDED, "--wheel": _WHEEL, "--end": _WHEEL},
    ),
    "ride": _Command(
        "ride every setup through an event, in time",
        "Every setup of a wheel through the same drop, landing, edge, bumps, compression or random road. The "
        "rider is a mass without legs: for comparing only, never a height or a speed to ride.",
        {
            **_JOB,
            "--event drop|landing|edge|bumps|compression|road": "event to ride",
            "--height 0.5m": "height of drop or landing, m without a unit; of edge or bumps, mm without one",
            "--speed 7m/s": "speed of the bike, for all events but the drop; m/s without a unit",
            "--slope 20deg": "slope of the landing, downhill; deg without a unit",
            "--length 1m": "length of each bump; m without a unit",
            "--spacing 0m": "level ground between two bumps; m without a unit",
            "--count 8": "number of bumps",
            "--radius 6m": "radius of the compression; m without a unit",
            "--angle 40deg": "angle it turns through; deg without a unit",
            "--class D": "class of the road in ISO 8608, A to H",
            "--seed 0": "seed of the road: the same seed gives the same road",
            "--descent 10min": "length of the descent in time, for the heat of the shock; s without a unit",
            "--over NAME=FROM..TO[:COUNT]": "ride over a range of a size of the event or of a number of the "
            "job, e.g. height=0.2m..1m:9 or pressure=180psi..240psi:5; twice for a map",
            "--figure NAME": "figure over the range (default: travel_used_fraction); repeatable",
            "--wheel rear|front": "which wheel of a job with two",
            "--setup NAME": "this setup alone (default: all)",
            "--units usual|metric|imperial": "units of the figures",
            "--json": "print the result as JSON",
            "--csv": "print the whole ride, a row for each moment, for a spreadsheet",
        },
        {
            "--event": {"required": True},
            "--wheel": {"default": "rear"},
            "--over": _SEVERAL,
            "--figure": _SEVERAL,
        },
    ),
    "log": _Command(
        "analyse a logged ride on the setup ridden",
        "A logger's table with time and one or two of shock stroke, fork travel and rear wheel travel: "
        "statistics with their intervals, next to what is expected of the setup on the bike. The rider is a "
        "mass without legs: for comparing only, never a speed to ride.",
        {
            **_JOB,
            "log LOG": "file of the logger, 100 Hz or more",
            "--with OTHER": "a second ride, compared with the first",
            "--setup NAME": "the setup ridden (default: the one on the bike)",
            "--against NAME": "ride the same ground on this setup, or on all: what it would have used",
            '--columns "time 1, shock 3"': "columns of time, shock, fork, wheel if not named",
            '--units "time ms, shock counts 512 3800"': "units if the file has none: mm, %% of stroke, %% of "
            "travel, or counts with the readings at full extension and fully compressed",
            "--json": "print the result as JSON",
            "--csv": "print a row for each statistic, for a spreadsheet",
        },
        {"log": {"type": _path}, "--with": {"dest": "using", "type": _path}},
    ),
    "sheet": _Command(
        "write the setup sheet that goes with the bike",
        "What to set, sag to expect, cautions, room for what is measured: one page, as text or Markdown of "
        "80 columns, or as HTML. With --workings an appendix of figures, curves and inputs follows.",
        {
            **_JOB,
            "-o --output FILE": "output file .txt, .md or .html; - or none prints it",
            "--replace": _REPLACE,
            "--format text|markdown|html": "instead of the ending of FILE",
            "--units usual|metric|imperial": "instead of those in the settings",
            "--date YYYY-MM-DD": "date on the sheet (default: today)",
            "--strict": "refuse values that nobody has typed or confirmed, naming each",
            "--workings": "add the workings: figures, curves, riding conditions, inputs",
            **_OF_A_LOG,
        },
        {"--format": {"dest": "form"}, "--log": {"type": _path}},
    ),
    "chart": _Command(
        "draw a chart of a job as a picture, or write its points as a table",
        "One chart of every setup, drawn as on paper, or its points for a spreadsheet.",
        {
            **_JOB,
            f"--view {'|'.join(BY_NAME)}": "chart to draw (default: wheel-force)",
            "-o --output FILE": "file to write, .svg, .png, .pdf or .csv",
            "--replace": _REPLACE,
            "--setup NAME": "setup for the chamber forces (default: first with air)",
            "--slow": "add the curves of slow compression past sag",
            "--wheel rear|front": "which wheel of a job with two",
            "--units usual|metric|imperial": "instead of those in the settings",
        },
        {
            "--view": {"default": "wheel-force"},
            "-o": {"required": True},
            "--wheel": {"default": "rear"},
        },
    ),
    "table": _Command(
        "turn a table (CSV) of leverage or of a damper into lines of a job file",
        "Two of wheel travel, shock stroke and leverage ratio, in any order, to [frame]; with --damper shaft "
        "speed and force of a damper tester to [damper].",
        {
            "job FILE": "file with the table",
            "--damper": "the table is of a damper tester: speed and force, compression positive",
            '--columns "travel 1, ratio 3"': "columns of travel, stroke, ratio, or of speed, force",
            "--units mm,mm": "units of travel and stroke, or of speed and force, if the file has none",
        },
    ),
    "keys": _Command(
        "print everything the bench can do, with its keys",
        "Everything the bench can do: key, name for [keys] in settings.toml, label, step and what it does.",
    ),
    "schema": _Command(
        "print a JSON Schema of job files, for completion in an editor",
        "Print the JSON Schema of a job file.",
    ),
    "paths": _Command(
        "print where settings, records, drafts and themes are kept",
        "Print where settings, themes, records, backups, drafts and what the bench remembers are kept.",
        _PLACE,
    ),
    "store": _Command(
        "check, back up, export, import and purge the records",
        "Check, back up, export, import and purge the workshop's records.",
        _PLACE,
    ),
}


_ACTS: Mapping[str, tuple[str, Mapping[str, str], str | int]] = {
    "check": ("check for errors, change nothing", {}, ""),
    "backup": (
        "back up to one file, others can keep working",
        {"file FILE": "new file (default: beside the records)"}, "?",
    ),
    "export": (
        "export as job files and CSV tables", {"paths FOLDER": "new or empty folder"}, 1
    ),
    "import": (
        "import an export, a backup or job files; nothing is overwritten",
        {"paths PATH": "folder, backup or job files"},
        "+",
    ),
    "purge": ("erase deleted jobs", {"--yes": "really erase; without it they are only counted"}, ""),
}  # fmt: skip
"""Actions of `springwright store`: description, options besides the place, and number of files or folders."""


def _add(commands: argparse._SubParsersAction[Any], name: str, asked: _Command) -> argparse.ArgumentParser:
    about = asked.about or f"{asked.does[:1].upper()}{asked.does[1:]}."
    command: argparse.ArgumentParser = commands.add_parser(name, help=asked.does, description=about)
    _add_options(command, asked)
    return command


def _add_options(command: argparse.ArgumentParser, asked: _Command) -> None:
    alone = command.add_mutually_exclusive_group() if "--felt" in asked.taken else command
    for spelled, told in asked.options.items():
        first, *rest = spelled.split(" ")
        names = [first, *(word for word in rest if word.startswith("--"))]
        metavar = " ".join(word for word in rest if word not in names)
        taken: dict[str, Any] = {"help": told}
        if "|" in metavar:
            taken["choices"] = metavar.split("|")
        elif metavar:
            taken["metavar"] = metavar
        else:
            taken["action"] = "store_true"
        holder = alone if first in ("--symptom", "--felt") else command
        holder.add_argument(*names, **{**taken, **_TAKEN.get(first, {}), **asked.taken.get(first, {})})


class TextAsked(Exception):
    """Help or version, which the command line asks for in place of an answer."""


class _Parser(argparse.ArgumentParser):
    def print_help(self, _file: object = None) -> NoReturn:
        """Raise the help as `TextAsked`: whoever prints it knows what to do if it cannot be written."""
        raise TextAsked(self.format_help())

    def error(self, message: str) -> NoReturn:
        """Refuse a command line, which may contain terminal controls."""
        if not message.startswith("argument "):  # of one value the others are no news
            self.print_usage(sys.stderr)
        say(f"{self.prog}: {message}")
        raise SystemExit(2)

    def _check_value(self, action: argparse.Action, value: Any) -> None:  # noqa: ANN401 - of any type
        """Refuse a word that is not among the choices, naming the nearest one."""
        if action.choices is None or value in action.choices or not isinstance(value, str):
            super()._check_value(action, value)
            return
        words = [str(word) for word in action.choices]
        near = nearest(str(value), words)
        told = f"{brief(value)} is none of {', '.join(words)}"
        raise argparse.ArgumentError(action, f"{told}; the nearest is {near}" if near else told)


class _TellVersion(argparse.Action):
    """The version; looking it up is slow."""

    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> NoReturn:
        """Raise the version as `TextAsked`."""
        from tui import version

        raise TextAsked(f"{parser.prog} {version()}\n")


def parsed(words: list[str]) -> argparse.Namespace:
    """Return the parsed arguments; raises `TextAsked`, or SystemExit after an error."""
    # All words after a command are its own: the options of the other commands need not be made.
    made = parser(words[:1] if words and words[0] in COMMANDS else COMMANDS)
    return made.parse_args(_with_command(_with_signs(words), tuple(COMMANDS), made))


def parser(names: Iterable[str] = COMMANDS) -> _Parser:
    """Return the parser of a command line with these commands.

    That with all of them is the source of shell completion and manual page.
    """
    parser = _Parser(
        prog="springwright",
        description="Coil rate or air pressure for a rider and frame. Without a command, opens the bench "
        "screen; with a job file, on that job.",
        usage="%(prog)s [-h] [--version] [--store PLACE] [FILE | COMMAND ...]",
        epilog="Exit 0 with a result, 2 for an invalid job (errors on standard error).",
    )
    parser.add_argument("--version", action=_TellVersion, nargs=0, help="show the version and exit")
    parser.set_defaults(store=None)
    _add_options(parser, _Command("", "", _PLACE))
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", prog=parser.prog)
    made = {name: _add(commands, name, COMMANDS[name]) for name in names}
    if "store" in made:
        _add_acts(made["store"])
    return parser


def _add_acts(store: argparse.ArgumentParser) -> None:
    acts = store.add_subparsers(dest="act", metavar="ACT", required=True)
    for name, (does, options, count) in _ACTS.items():
        taken = {key: {"nargs": count} for key in ("file", "paths")}
        _add(acts, name, _Command(does, "", {**_PLACE, **options}, taken))


_NEGATIVE = re.compile(r"-[0-9.,]")


def _with_signs(words: list[str]) -> list[str]:
    """Return the words with negative numbers joined to their option: alone they look like options."""
    joined: list[str] = []
    for word in words:
        before = joined[-1] if joined else ""
        if _NEGATIVE.match(word) and before.startswith("--") and "=" not in before:
            joined[-1] = f"{before}={word}"
        else:
            joined.append(word)
    return joined


_OPEN, _STORE, _JOB_FILE = "open", "--store", ".toml"


def _with_command(words: list[str], commands: tuple[str, ...], parser: _Parser) -> list[str]:
    """Return the words with the open command inserted before a job file given without a command.

    A first word that is neither a command nor a file is refused, naming the nearest command.
    """
    at = _first_word(words)
    if at is None or words[at] in commands or not words[at].strip():
        return words
    if words[at].casefold().endswith(_JOB_FILE) or _is_file(words[at]):
        return [*words[:at], _OPEN, *words[at:]]
    near = nearest(words[at], commands)
    accepted = f"the nearest command is {near}" if near else "springwright --help lists the commands"
    parser.error(f"{brief(words[at])}: no such command and no such file; {accepted}")


def _first_word(words: list[str]) -> int | None:
    """Return the index of the first word that is not an option or its value, None without one."""
    taken = False
    for at, word in enumerate(words):
        if not taken and (word == "-" or not word.startswith("-")):
            return at
        # An option may be cut short as long as it is told from the others.
        taken = not taken and len(word) > 2 and _STORE.startswith(word)
    return None


def _is_file(word: str) -> bool:
    try:
        return Path(word).is_file()
    except OSError:  # too long for a name, or in a folder that is closed to this user
        return False
