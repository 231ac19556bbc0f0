"""The command line as a whole: what is asked for, or what is wrong with how it is asked."""

from __future__ import annotations

import argparse
import sys
from typing import NoReturn

from tui import __version__
from tui.commands import add_commands, add_place
from tui.saying import say

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
        "bench screen.",
        epilog="Exit 0 with an answer, 2 for a job that cannot be used: its faults are on standard error.",
    )
    parser.add_argument("--version", action="version", version=f"%(prog)s {__version__}")
    parser.set_defaults(store=None)
    add_place(parser)
    add_commands(parser.add_subparsers(dest="command", metavar="COMMAND"))
    return parser.parse_args(words)
