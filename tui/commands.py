"""The commands and their options, as the command line takes them; nothing heavy is loaded here."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

from tui import __version__
from tui.job.tree import brief
from tui.saying import say

if TYPE_CHECKING:
    Commands = argparse._SubParsersAction[Any]


def add_commands(commands: Commands) -> None:
    """Add every command."""
    _add_open(commands)
    _add_solve(commands)
    _add_fit(commands)
    _add_advise(commands)
    _add_match(commands)
    _add_sweep(commands)
    _add_sheet(commands)
    _add_table(commands)
    commands.add_parser(
        "schema",
        help="print a JSON Schema of job files, for completion in an editor",
        description="Print the JSON Schema of a job file.",
    )
    _add_store(commands)


def _add_open(commands: Commands) -> None:
    screen = commands.add_parser("open", help="open the bench screen", description="Open the bench screen.")
    screen.add_argument("job", metavar="JOB", nargs="?", type=_named, help="job file to open")
    add_place(screen)


def _add_solve(commands: Commands) -> None:
    solve = commands.add_parser(
        "solve", help="answer a job file without the screen", description="Answer a job file."
    )
    solve.add_argument("job", metavar="JOB", type=_named, help="job file, or - for standard input")
    solve.add_argument("--json", action="store_true", help="print the answer as one JSON object")


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
    fit.add_argument("--columns", metavar='"stroke 2, force 3"', help="columns, where the file does not say")
    fit.add_argument(
        "--friction",
        metavar="15N",
        help="seal friction where readings go one way: a force, or setup; N without a unit",
    )
    fit.add_argument(
        "--before", metavar="200psi", help="gauge before cycling, negative chamber empty; psi without a unit"
    )
    fit.add_argument(
        "--after", metavar="170psi", help="gauge after cycling once, at full extension; psi without a unit"
    )
    fit.add_argument(
        "--pressure", metavar="190psi", help="set pressure, in place of the job's; psi without a unit"
    )
    fit.add_argument(
        "--sag", metavar="45mm", help="sag as the target counts it, a length or 30 %%; mm without a unit"
    )
    fit.add_argument("--json", action="store_true", help="print what they say as one JSON object")


def _add_advise(commands: Commands) -> None:
    from tui.job.choices import WORDS, new_word

    advise = commands.add_parser(
        "advise",
        help="what to change after the ride",
        description="What the rider felt to a ranked list of changes, each with its effect in numbers.",
    )
    advise.add_argument("job", metavar="JOB", type=_named, help="job file, or - for standard input")
    asked = advise.add_mutually_exclusive_group(required=True)
    asked.add_argument(
        "--symptom",
        metavar="WORD",
        type=new_word,
        choices=WORDS,
        action="append",
        help=f"one of {', '.join(WORDS)}; may be given several times",
    )
    # What scripts of before have; help does not show it.
    asked.add_argument(
        "--felt",
        dest="symptom",
        metavar="WORD",
        type=new_word,
        choices=WORDS,
        action="append",
        help=argparse.SUPPRESS,
    )
    advise.add_argument("--setup", metavar="NAME", help="the setup that was ridden, else the first")
    advise.add_argument("--json", action="store_true", help="print the advice as one JSON object")


def _add_match(commands: Commands) -> None:
    match = commands.add_parser(
        "match",
        help="set one spring like another, or for wanted figures",
        description="Settings of one setup that come close to another in wheel force, or to figures.",
    )
    match.add_argument("job", metavar="JOB", type=_named, help="job file, or - for standard input")
    match.add_argument("--goal", metavar="NAME", help="the target setup, which to ride like, else the first")
    match.add_argument(
        "--with", dest="using", metavar="NAME", help="the setup to set, else one of the other kind"
    )
    match.add_argument(
        "--want",
        metavar="FIGURE>=NUMBER",
        action="append",
        help='wanted in place of a target setup, as "support_50>=1.7" or "natural_frequency_hz<=2.4"; '
        "a number without a unit is in N, N/mm, lbf/in, mm, J, Hz or %%",
    )
    match.add_argument(
        "--volumes", action="store_true", help="volumes and port are free in place of the spacers"
    )
    match.add_argument("--cans", dest="volumes", action="store_true", help=argparse.SUPPRESS)
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
        help="input and range, as rider_mass=50kg..120kg:15; twice for a map; a number without a unit is "
        "in kg, mm, N, psi, lbf/in, cm3, degC, m, deg or %%",
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


def _add_table(commands: Commands) -> None:
    table = commands.add_parser(
        "table",
        help="leverage from a table in a CSV file to the [frame] of a job",
        description="Two columns of wheel travel, shock stroke and leverage ratio, in any order, to the "
        "lines of a job file.",
    )
    table.add_argument("job", metavar="FILE", type=_named, help="file with the table")
    table.add_argument(
        "--columns", metavar='"travel 1, ratio 3"', help="columns of travel, stroke or ratio, if not said"
    )
    table.add_argument("--units", metavar="mm,mm", help="units of travel and stroke where the file has none")


def _add_sheet(commands: Commands) -> None:
    sheet = commands.add_parser(
        "sheet",
        help="write the setup sheet that goes with the bike",
        description="What to set, what to expect, room for what is measured: as text or Markdown of 80 "
        "columns, or as one page of HTML with its charts.",
    )
    sheet.add_argument("job", metavar="JOB", type=_named, help="job file, or - for standard input")
    sheet.add_argument(
        "-o", "--output", metavar="FILE", help="file to write, .txt, .md or .html; - or none prints it"
    )
    sheet.add_argument(
        "--format", dest="form", choices=("text", "markdown", "html"), help="in place of what FILE ends in"
    )
    sheet.add_argument(
        "--units", choices=("usual", "metric", "imperial"), help="in place of those of the settings"
    )
    sheet.add_argument("--date", metavar="YYYY-MM-DD", help="date on the sheet, else today")
    sheet.add_argument(
        "--strict", action="store_true", help="refuse values that nobody has typed or confirmed, naming each"
    )


def _add_store(commands: Commands) -> None:
    store = commands.add_parser(
        "store",
        help="look after the workshop's records",
        description="Check, copy and write out the workshop's records, bring others in, erase the deleted.",
    )
    acts = store.add_subparsers(dest="act", metavar="ACT", required=True)
    _add_act(acts, "check", "look for faults; nothing is changed")
    backup = _add_act(acts, "backup", "copy everything to one file while others work")
    backup.add_argument("file", metavar="FILE", nargs="?", type=_path, help="new file, else one beside them")
    out = _add_act(acts, "export", "write everything as job files and CSV tables")
    out.add_argument("paths", metavar="FOLDER", nargs=1, type=_path, help="folder that is new or empty")
    bring = _add_act(acts, "import", "bring in an export, a backup or job files; nothing is written over")
    bring.add_argument("paths", metavar="PATH", nargs="+", type=_path, help="folder, backup or job files")
    purge = _add_act(acts, "purge", "erase deleted jobs for good")
    purge.add_argument("--yes", action="store_true", help="do it; without this they are only counted")


def _add_act(acts: Commands, name: str, does: str) -> argparse.ArgumentParser:
    act: argparse.ArgumentParser = acts.add_parser(
        name, help=does, description=f"{does[:1].upper()}{does[1:]}."
    )
    add_place(act)
    return act


def add_place(command: argparse.ArgumentParser) -> None:
    """Add `--store`; where it is not given there, what stood before the command stays."""
    command.add_argument(
        "--store",
        metavar="PLACE",
        type=_path,
        default=argparse.SUPPRESS,
        help="the records: a file or postgresql://..., else as SPRINGWRIGHT_STORE or the settings say",
    )


def _named(job: str) -> str:
    if not job.strip():
        raise argparse.ArgumentTypeError("the name of the job file is empty; a path to it is accepted")
    return job


def _path(path: str) -> str:
    if not path.strip():
        raise argparse.ArgumentTypeError("the name is empty; a path is accepted")
    return path


UNUSABLE = 2
"""Exit code for a command line that cannot be used."""


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        """Refuse a command line; it may hold terminal controls."""
        self.print_usage(sys.stderr)
        say(f"{self.prog}: {message}")
        raise SystemExit(UNUSABLE)


def parsed(words: list[str]) -> argparse.Namespace:
    """Return what is asked for; raises SystemExit after help, version and a wrong command line."""
    parser = _Parser(
        prog="springwright",
        description="Coil rate or air pressure for this rider on this frame. Without a command it opens the "
        "bench screen, on a job where a file is named.",
        usage="%(prog)s [-h] [--version] [--store PLACE] [FILE | COMMAND ...]",
        epilog="Exit 0 with an answer, 2 for a job that cannot be used: its faults are on standard error.",
    )
    parser.add_argument("--version", action="version", version=f"%(prog)s {__version__}")
    parser.set_defaults(store=None)
    add_place(parser)
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", prog=parser.prog)
    add_commands(commands)
    return parser.parse_args(_with_command(words, tuple(commands.choices), parser))


_OPEN, _STORE, _JOB_FILE = "open", "--store", ".toml"


def _with_command(words: list[str], commands: tuple[str, ...], parser: _Parser) -> list[str]:
    """Return the words with the command that opens the bench before a job file that comes without one.

    A first word that is neither a command nor a file is refused with the nearest command.
    """
    at = _first_word(words)
    if at is None or words[at] in commands or not words[at].strip():
        return words
    if words[at].casefold().endswith(_JOB_FILE) or _is_file(words[at]):
        return [*words[:at], _OPEN, *words[at:]]
    from difflib import get_close_matches  # a command line is seldom at fault

    nearest = get_close_matches(words[at][:40].casefold(), commands, n=1, cutoff=0.0)[0]
    parser.error(f"{brief(words[at])}: no such command and no such file; the nearest command is {nearest}")


def _first_word(words: list[str]) -> int | None:
    """Return the place of the first word that is no option and belongs to none, None where there is none."""
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
