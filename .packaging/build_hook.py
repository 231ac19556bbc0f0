"""Make completion for the shells and the manual page from the one parser, when the package is built."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from types import ModuleType
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

SHELLS = {
    "bash": "share/bash-completion/completions/springwright",
    "zsh": "share/zsh/site-functions/_springwright",
    "fish": "share/fish/vendor_completions.d/springwright.fish",
}
"""Where each shell looks for its completion, below the place of installation."""
FILES, FOLDERS = ("FILE", "JOB", "LOG", "PATH"), ("FOLDER",)


class Made(BuildHookInterface[Any]):
    """Files that go into the wheel beside the packages."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Make the files and name the places where they are installed."""
        made = Path(self.directory) / "made"
        made.mkdir(parents=True, exist_ok=True)
        for source, target in write(Path(self.root), made):
            build_data["shared_data"][str(source)] = target


def write(root: Path, folder: Path) -> list[tuple[Path, str]]:
    """Write the files to a folder; return each with the place where it is installed."""
    import shtab
    from argparse_manpage.manpage import Manpage

    # The parser needs none of the libraries that the program needs.
    sys.path.insert(0, str(root))
    try:
        from tui.commands import parser
    finally:
        sys.path.remove(str(root))
    asked = parser()
    _name_files(asked, shtab)
    written = []
    for shell, target in SHELLS.items():
        source = folder / f"springwright.{shell}"
        source.write_text(shtab.complete(asked, shell), "utf-8")
        written.append((source, target))
    asked.man_short_description = str(asked.description).partition(".")[0]
    page = folder / "springwright.1"
    page.write_text(str(Manpage(asked)), "utf-8")
    return [*written, (page, "share/man/man1/springwright.1")]


def _name_files(asked: argparse.ArgumentParser, shtab: ModuleType) -> None:
    """Say which options take a file, for this parser and those of its commands."""
    for action in asked._actions:
        if isinstance(action, argparse._SubParsersAction):
            for command in set(action.choices.values()):
                _name_files(command, shtab)
        elif action.metavar in FILES:
            action.complete = shtab.FILE  # type: ignore[attr-defined]
        elif action.metavar in FOLDERS:
            action.complete = shtab.DIRECTORY  # type: ignore[attr-defined]
