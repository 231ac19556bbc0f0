"""Tables under a slip of their name, read as the ones they can only be, so that none hides what is in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches

from tui.jobs.tree import Path, Table, look_up, put

_CLEARLY = 0.7
"""How alike two names must be, from 0 to 1, for one to be a slip of the other."""
_LONGEST_NAME = 40
_TOP = (
    "record", "load", "frame", "target", "ambient", "ride", "tolerance", "setup", "measured", "ridden",
    "front",
)  # fmt: skip
FRONT_TABLES = ("load", "frame", "target", "setup", "measured")
"""What a front wheel has of its own beside the rear one."""
_INNER: Mapping[Path, tuple[str, ...]] = {
    ("load",): ("geometry",),
    ("frame",): ("leverage",),
    ("front",): FRONT_TABLES,
    ("front", "frame"): ("leverage",),
}


@dataclass(frozen=True, slots=True)
class Spelling:
    """The tree of a job with every table under its right name, and what those names are in the file.

    `slips` leads from the right path of a table to the path it has in the file.
    """

    tree: Table
    slips: Mapping[Path, Path]

    def in_file(self, path: Path) -> Path:
        """Return where the file has what is read at `path`."""
        for length in range(len(path), 0, -1):
            if path[:length] in self.slips:
                return (*self.slips[path[:length]], *path[length:])
        return path


def spelled(tree: Table) -> Spelling:
    """Put the tables of a job under their right names."""
    spelling = _respelled(Spelling(tree, {}), (), _TOP)
    for path, names in _INNER.items():
        spelling = _respelled(spelling, path, names)
    for path in (("setup",), ("front", "setup")):
        setups = look_up(spelling.tree, path)
        for index in range(len(setups) if isinstance(setups, tuple) else 0):
            spelling = _respelled(spelling, (*path, index), ("stages",))
    return spelling


def _respelled(spelling: Spelling, path: Path, names: tuple[str, ...]) -> Spelling:
    table = look_up(spelling.tree, path)
    if not isinstance(table, Table):
        return spelling
    meant = _meant(table, names)
    if not meant:
        return spelling
    here = spelling.in_file(path)
    slips = {(*path, name): (*here, key) for key, name in meant.items()}
    renamed = Table({meant.get(key, key): value for key, value in table.items()})
    return Spelling(put(spelling.tree, path, renamed), {**spelling.slips, **slips})


def _meant(table: Table, names: tuple[str, ...]) -> dict[str, str]:
    """Return the keys of `table` that are slips, each with the one of `names` that is meant by it."""
    absent = [name for name in names if name not in table]
    meant: dict[str, str] = {}
    for key, value in table.items():
        if key not in names and (isinstance(value, Table) or _is_list_of_tables(value)):
            near = get_close_matches(key[:_LONGEST_NAME].casefold(), absent, n=1, cutoff=_CLEARLY)
            if near:
                absent.remove(near[0])
                meant[key] = near[0]
    return meant


def _is_list_of_tables(value: object) -> bool:
    return isinstance(value, tuple) and any(isinstance(item, Table) for item in value)
