"""Faults of a job."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import islice
from typing import TypeVar

from physics.frozen import NamedTuple, dataclass
from tui.job.tree import Raw, Tree, TreePath, brief, holds_tables, look_up, put
from tui.saying import first_of, nearest, printable


@dataclass(frozen=True, slots=True)
class JobFault:
    """One fault of a job: the `path` of the value, `what` is wrong there and what is `accepted`.

    An empty path is the file as a whole. Both texts are one printable line each, whatever the file holds.
    """

    path: TreePath
    what: str
    accepted: str

    def __post_init__(self) -> None:
        """Escape line ends and terminal controls in quoted values."""
        object.__setattr__(self, "what", printable(self.what))
        object.__setattr__(self, "accepted", printable(self.accepted))

    def __str__(self) -> str:
        return f"{dotted(self.path)}: {self.what}; {self.accepted}"

    @property
    def is_unfinished(self) -> bool:
        """Whether it is that measured pairs do not reach the full travel yet."""
        return self.what.startswith(TO_MEASURE)


TO_MEASURE = "still to measure"
"""Begins what is wrong with pairs that do not reach the full travel yet."""


class UnusableJob(ValueError):
    """A job that cannot be used, with every fault found in it."""

    def __init__(self, faults: tuple[JobFault, ...]) -> None:
        self.faults = faults
        super().__init__("\n".join(map(str, faults)))


def dotted(path: TreePath) -> str:
    """Write a path as in the messages: `setup.0.rate`, or `file` for the file as a whole."""
    return printable(".".join(brief(str(step)) or '""' for step in path)) if path else "file"


def reason_of(trouble: OSError | ValueError) -> str:
    """Return why a file cannot be read or written, in the words of the system if possible."""
    if isinstance(trouble, OSError) and trouble.strerror:
        return trouble.strerror
    # Each version of Python words this its own way.
    return "no path holds a null byte" if "embedded null" in str(trouble) else str(trouble)


_CLEARLY = 0.7
"""Similarity, 0 to 1, from which one name counts as a misspelling of another."""
_LONGEST_NAME = 40
MOST_TOLD = 20
"""Number of faults of one kind listed individually per table."""
TABLES = (
    "record", "load", "frame", "target", "ambient", "ride", "tolerance", "setup", "damper", "tyre",
    "measured", "ridden", "front",
)  # fmt: skip
"""The tables of a job file, in their order."""
FRONT_TABLES = ("load", "frame", "target", "setup", "damper", "tyre", "measured")
"""Tables that a front wheel has of its own."""
_INNER: Mapping[TreePath, tuple[str, ...]] = {
    ("load",): ("geometry",),
    ("frame",): ("leverage",),
    ("front",): FRONT_TABLES,
    ("front", "frame"): ("leverage",),
}


class Spelling(NamedTuple):
    """The tree of a job with misspelt table names corrected.

    `slips` maps the right path of a table to its path in the file.
    """

    tree: Tree
    slips: Mapping[TreePath, TreePath]

    def in_file(self, path: TreePath) -> TreePath:
        """Return the path in the file of what is read at `path`."""
        for length in range(len(path), 0, -1):
            if path[:length] in self.slips:
                return (*self.slips[path[:length]], *path[length:])
        return path


def spelled(tree: Tree) -> Spelling:
    """Correct misspelt names of tables of a job."""
    spelling = _respelled(Spelling(tree, {}), (), TABLES)
    for path, names in _INNER.items():
        spelling = _respelled(spelling, path, names)
    for path in (("setup",), ("front", "setup")):
        setups = look_up(spelling.tree, path)
        for index in range(len(setups) if isinstance(setups, tuple) else 0):
            spelling = _respelled(spelling, (*path, index), ("stages",))
    return spelling


def _respelled(spelling: Spelling, path: TreePath, names: tuple[str, ...]) -> Spelling:
    table = look_up(spelling.tree, path)
    if not isinstance(table, Tree):
        return spelling
    meant = _meant(table, names)
    if not meant:
        return spelling
    here = spelling.in_file(path)
    slips = {(*path, name): (*here, key) for key, name in meant.items()}
    renamed = Tree({meant.get(key, key): value for key, value in table.items()})
    return Spelling(put(spelling.tree, path, renamed), {**spelling.slips, **slips})


def _meant(table: Tree, names: tuple[str, ...]) -> dict[str, str]:
    """Return misspelt keys of `table` with the one of `names` that each stands for."""
    tables = (key for key, raw in table.items() if isinstance(raw, Tree) or holds_tables(raw))
    unknown = tuple(islice((key for key in tables if key not in names), MOST_TOLD))
    if not unknown:
        return {}
    from difflib import get_close_matches  # words are seldom at fault

    absent = [name for name in names if name not in table]
    meant: dict[str, str] = {}
    for key in unknown:
        near = get_close_matches(key[:_LONGEST_NAME].casefold(), absent, n=1, cutoff=_CLEARLY)
        if near:
            absent.remove(near[0])
            meant[key] = near[0]
    return meant


UNKNOWN_KEY = "unknown key"
Wrong = TypeVar("Wrong")
NewFault = tuple[TreePath, str, str]
"""The arguments of `Findings.fault`."""


class Findings:
    """Faults found so far while reading, with paths of the file."""

    def __init__(self, spelling: Spelling) -> None:
        self.faults: list[JobFault] = []
        self._spelling = spelling

    def slips(self) -> None:
        """Note the tables with misspelt names."""
        for right, typed in self._spelling.slips.items():
            self.faults.append(JobFault(typed, UNKNOWN_KEY, _nearest_is(str(right[-1]))))

    def fault(self, path: TreePath, what: str, accepted: str) -> None:
        """Note one fault."""
        self.faults.append(JobFault(self._spelling.in_file(path), what, accepted))

    def unknown_keys(self, table: Mapping[str, Raw], known: Iterable[str], path: TreePath) -> None:
        """Note every unknown key of `table`, with the nearest `known` one."""
        names = sorted(known)
        unknown = [key for key in table if key not in names]
        self.first_faults(
            unknown,
            lambda key: ((*path, key), UNKNOWN_KEY, key_to_use(key, names)),
            lambda more: (path, f"{more} more unknown keys", "use a job file"),
        )

    def first_faults(
        self, wrong: Sequence[Wrong], fault_of: Callable[[Wrong], NewFault], rest: Callable[[int], NewFault]
    ) -> None:
        """Note the first of several faults of one kind individually, and one fault that counts the rest."""
        if wrong:  # seldom: most keys pass here
            for fault in first_of(wrong, MOST_TOLD, fault_of, rest):
                self.fault(*fault)


_FEW = 14
"""Number of known keys up to which all are listed if none is near."""


def key_to_use(key: str, known: Sequence[str]) -> str:
    """Return what to use instead of an unknown key."""
    if near := nearest(key, known):
        return _nearest_is(near)
    return f"use one of {', '.join(known)}" if len(known) <= _FEW else "springwright schema lists all keys"


def _nearest_is(name: str) -> str:
    return f"the nearest known key is {name}"
