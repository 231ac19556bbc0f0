"""The job as typed, its history, and the lists of unconfirmed values in its tables.

A value that nobody has typed or confirmed is listed by key in its table. The list changes no number. It is
part of the job, so it is kept in file, draft and records.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from functools import lru_cache
from itertools import count

from physics.frozen import dataclass
from tui.job.choices import new_word
from tui.job.faults import Findings, JobFault, NewFault, UnusableJob
from tui.job.tree import Raw, Tree, TreePath, brief, cut, holds_tables, look_up, put
from tui.saying import nearest

UNCONFIRMED = "unconfirmed"
_NO_VALUES = ("format", "kind", "name", UNCONFIRMED)
"""Keys that are not values: they say how a table is read, or are names."""
_NO_FIGURES = ("damper", "tyre")
"""Tables that affect simulated rides only, no figure of a setup."""
_SOLVE = "solve"
_LONGEST_NAME = 40
MOST_SETUPS = 20
"""Maximum number of setups per wheel: each is computed again for every key."""
UNTITLED = "untitled job"
"""Name of a job without a title."""


def listed(table: object) -> tuple[str, ...]:
    """Return the keys in the list of a table, none without a valid list."""
    raw = table.get(UNCONFIRMED) if isinstance(table, Mapping) else None
    return tuple(key for key in raw if isinstance(key, str)) if isinstance(raw, tuple) else ()


@lru_cache(maxsize=64)
def _known(tree: Tree) -> frozenset[TreePath]:
    """Return the paths of listed values; cached, because every row of the bench asks for every key."""
    return frozenset(paths_of(tree))


def paths_of(tree: Raw, here: TreePath = ()) -> Iterator[TreePath]:
    """Yield the paths of listed values, in the order of the file."""
    if isinstance(tree, Tree):
        keys = listed(tree)
        yield from ((*here, key) for key in tree if key in keys)
    steps: Iterable[tuple[str | int, Raw]] = tree.items() if isinstance(tree, Tree) else enumerate(tree)
    for step, inner in steps:
        if isinstance(inner, Tree) or holds_tables(inner):
            yield from paths_of(inner, (*here, step))


def with_list(table: Mapping[str, Raw], keys: Iterable[str]) -> Tree:
    """Return a table with these keys, as far as it has them, on its sorted list; without keys no list."""
    kept = tuple(sorted(set(keys) & (set(table) - {UNCONFIRMED})))
    rest = {key: raw for key, raw in table.items() if key != UNCONFIRMED}
    return Tree({**rest, UNCONFIRMED: kept} if kept else rest)


def tidy(table: Mapping[str, Raw]) -> Tree:
    """Return a merged table with missing keys removed from its list."""
    frozen = Tree(table)
    return with_list(frozen, listed(frozen)) if UNCONFIRMED in frozen else frozen


def without_lists(raw: Raw) -> Raw:
    """Return a value with all lists removed."""
    if isinstance(raw, Tree):
        return Tree({key: without_lists(inner) for key, inner in raw.items() if key != UNCONFIRMED})
    return tuple(map(without_lists, raw)) if holds_tables(raw) else raw


def confirmed(tree: Raw, path: TreePath) -> Raw:
    """Return the tree with the value at `path`, and the tables around it, removed from their lists."""
    for depth, step in enumerate(path):
        table = look_up(tree, path[:depth])
        keys = listed(table)
        if step in keys and isinstance(table, Tree):
            tree = put(tree, path[:depth], with_list(table, (key for key in keys if key != step)))
    return tree


def unconfirmed(tree: Raw, path: TreePath) -> Raw:
    """Return the tree with the value at `path` added to the list of its table; unchanged without a value."""
    table = look_up(tree, path[:-1])
    if not isinstance(table, Tree) or path[-1] not in table:
        return tree
    return put(tree, path[:-1], with_list(table, (*listed(table), str(path[-1]))))


def unconfirmed_setups(job: Job) -> frozenset[int]:
    """Return the indices of setups of a one-wheel job that depend on unconfirmed values."""
    paths = job.unconfirmed
    if any(path[0] not in ("title", "setup", *_NO_FIGURES, "front") for path in paths):
        return frozenset(range(len(job.setups)))
    return frozenset(int(path[1]) for path in paths if path[0] == "setup")


def invented(table: Mapping[str, Raw]) -> Tree:
    """Return a table with all its values listed; something to solve is not a value."""
    return with_list(Tree(table), (key for key, raw in table.items() if is_value(key, raw)))


def all_invented(tree: Raw) -> Raw:
    """Return a job with every value of every table listed; at the top level only the title."""
    top = with_list(tree, ("title",))
    return Tree({key: _inner_invented(raw) for key, raw in top.items()})


def _inner_invented(raw: Raw) -> Raw:
    if isinstance(raw, Tree):
        return invented({key: _inner_invented(inner) for key, inner in raw.items()})
    return tuple(map(_inner_invented, raw)) if isinstance(raw, tuple) else raw


def is_value(key: str, raw: Raw) -> bool:
    """Return whether a key has a value that can be unconfirmed."""
    return key not in _NO_VALUES and raw != _SOLVE and not isinstance(raw, Tree) and not holds_tables(raw)


def check_list(table: Mapping[str, Raw], path: TreePath, found: Findings, only: tuple[str, ...] = ()) -> None:
    """Note an invalid list, and entries that are not values of its table, with the nearest one that is."""
    if UNCONFIRMED not in table:
        return
    raw = table[UNCONFIRMED]
    if not isinstance(raw, tuple) or not all(isinstance(key, str) for key in raw):
        found.fault(
            (*path, UNCONFIRMED),
            "not a list of keys",
            f'use keys of this table, as in {UNCONFIRMED} = ["..."]',
        )
        return
    no_values = (UNCONFIRMED, "kind", "leverage")
    there = [key for key in table if (key in only if only else key not in no_values and table[key] != _SOLVE)]
    wrong = [(index, key) for index, key in enumerate(raw) if key not in there]

    def fault_of(entry: tuple[int, str]) -> NewFault:
        index, key = entry
        near = nearest(key, there)
        use = f"the nearest known key is {near}" if near else "remove it"
        return (*path, UNCONFIRMED, index), f'"{key[:_LONGEST_NAME]}" is not a key of this table', use

    found.first_faults(
        wrong,
        fault_of,
        lambda more: ((*path, UNCONFIRMED), f"{more} more are not keys of this table", "remove them"),
    )


_FELT, _SYMPTOM = "felt", "symptom"


def renewed(tree: Tree) -> Tree:
    """Return the tree of a job with older keys and words replaced by the present ones."""
    ridden = tree.get("ridden")
    if not isinstance(ridden, Tree):
        return tree
    both = _FELT in ridden and _SYMPTOM in ridden
    names = {} if both else {_FELT: _SYMPTOM}
    now = Tree({names.get(key, key): _words(key, raw) for key, raw in ridden.items()})
    return tree if now == ridden else Tree({**tree, "ridden": now})


def _words(key: str, raw: Raw) -> Raw:
    if key not in (_FELT, _SYMPTOM):
        return raw
    return tuple(map(new_word, raw)) if isinstance(raw, tuple) else new_word(raw)


@dataclass(frozen=True, slots=True)
class Job:
    """The tree of one job file. Every change makes a new job; equal and hashed by content."""

    tree: Tree

    def get(self, path: TreePath) -> Raw | None:
        """Return the raw value at `path`, None without one."""
        return look_up(self.tree, path)

    def with_value(self, path: TreePath, raw: Raw) -> Job:
        """Return the job with `raw` at `path`, typed and so confirmed."""
        return Job(confirmed(put(self.tree, path, raw), path))

    def with_invented(self, path: TreePath, raw: Raw) -> Job:
        """Return the job with `raw` at `path`, unconfirmed."""
        return Job(unconfirmed(put(self.tree, path, raw), path))

    def confirmed(self, path: TreePath) -> Job:
        """Return the job with the value at `path` confirmed; the same object if it was already."""
        return Job(tree) if (tree := confirmed(self.tree, path)) is not self.tree else self

    def is_unconfirmed(self, path: TreePath) -> bool:
        """Return whether the value at `path`, or a table or column that contains it, is listed."""
        known = _known(self.tree)
        on_a_list = any(path[:depth] in known for depth in range(1, len(path) + 1))
        return on_a_list and self.get(path) is not None

    def listed_as(self, other: Job, path: TreePath) -> Job:
        """Return the job with the lists of `other` added, in the table at `path` and the tables around it."""
        there = (
            (*path[:depth], key)
            for depth in range(len(path) + 1)
            for key in listed(other.get(path[:depth]) if depth else other.tree)
        )
        tree = self.tree
        for place in there:
            tree = unconfirmed(tree, place)
        return Job(tree)

    @property
    def unconfirmed(self) -> tuple[TreePath, ...]:
        """Paths of all unconfirmed values."""
        return tuple(paths_of(self.tree))

    def without(self, path: TreePath) -> Job:
        """Return the job without the value at `path`."""
        return Job(confirmed(cut(self.tree, path), path))

    def taken_out(self, path: TreePath) -> Job:
        """Return the job without the value at `path`, and without its table if that is then empty."""
        job = self.without(path)
        return job.without(path[:-1]) if job.get(path[:-1]) == Tree({}) else job

    @property
    def title(self) -> str:
        """The title, empty if there is none."""
        title = self.tree.get("title", "")
        return title if isinstance(title, str) else ""

    @property
    def heading(self) -> str:
        """The title on one line, for the head of a page; that of an untitled job says so."""
        return brief(self.title or UNTITLED.capitalize())

    @property
    def setups(self) -> tuple[Tree, ...]:
        """The tables of the setups in order; empty if the file has no list of tables there."""
        setups = self.tree.get("setup")
        if isinstance(setups, tuple) and all(isinstance(setup, Tree) for setup in setups):
            return setups
        return ()

    def with_setup(self, index: int | None, tree: Mapping[str, Raw]) -> Job:
        """Return the job with a setup inserted before `index`, at the end for None."""
        place = len(self.setups) if index is None else index
        return self._with_setups((*self.setups[:place], Tree(tree), *self.setups[place:]))

    def without_setup(self, index: int) -> Job:
        """Return the job without the setup at `index`."""
        return self._with_setups((*self.setups[:index], *self.setups[index + 1 :]))

    def free_name(self, wanted: str) -> str:
        """Return `wanted`, if needed with the first number appended that makes it unique."""
        taken = {setup.get("name") for setup in self.setups}
        if wanted not in taken:
            return wanted
        head, _, tail = wanted.rpartition(" ")
        stem = head if head and tail.isdecimal() else wanted
        return next(name for name in (f"{stem} {n}" for n in count(2)) if name not in taken)

    def _with_setups(self, setups: tuple[Tree, ...]) -> Job:
        return self.with_value(("setup",), setups)


_MOST_PARTS = 12
"""Maximum parts of a dotted key, and nesting depth of tables and arrays; a job has five."""
_MOST_VALUES = 20_000
"""Maximum number of values, tables and arrays in a file; a long leverage table has some thousand."""
_QUOTED = r""""(?:[^"\\]|\\.)*+"|'[^']*+'"""
_DOTTED = rf"(?<![\w-])[\w-]++(?:[ \t]*+\.[ \t]*+[\w-]++){{{_MOST_PARTS},}}"
_TOML = "use a job file in TOML"


def parse(text: str) -> Job:
    """Parse the text of a job file; raises `UnusableJob` if it is not TOML, too deep or too large."""
    import tomllib

    if any(line.count(".") >= _MOST_PARTS and _has_endless_key(line) for line in text.split("\n")):
        raise UnusableJob((JobFault((), f"a key of more than {_MOST_PARTS} parts", _TOML),))
    try:
        table = tomllib.loads(text)
    # Deep nesting and very long numbers make the parser fail in other ways.
    except (ValueError, RecursionError) as error:
        from tui.job.fault_words import toml_fault

        raise UnusableJob((toml_fault(text, error),)) from error
    _check_size(table)
    return Job(renewed(Tree(table)))


def _has_endless_key(line: str) -> bool:
    """Return whether a line has a key with too many parts, for which the parser would take minutes."""
    return re.search(_DOTTED, re.sub(_QUOTED, "quoted", line)) is not None


def _check_size(table: Mapping[str, Raw]) -> None:
    """Raise `UnusableJob` for a table that is too deep or has too many values."""
    level: list[Raw] = [table]
    count = 0
    for _ in range(_MOST_PARTS + 1):
        count += len(level)
        if count > _MOST_VALUES:
            raise UnusableJob((JobFault((), f"more than {_MOST_VALUES} values", _TOML),))
        level = [inner for outer in level for inner in _inside(outer)]
        if not level:
            return
    raise UnusableJob((JobFault((), f"tables or arrays nested more than {_MOST_PARTS} deep", _TOML),))


def _inside(raw: Raw) -> Iterable[Raw]:
    return raw.values() if isinstance(raw, Mapping) else raw if isinstance(raw, list) else ()


ON_BIKE: TreePath = ("measured", "setup")


def setup_on_bike(job: Job) -> int:
    """Return the index of the setup that was on the bike: the one named, else the first."""
    names, meant = _names(job), job.get(ON_BIKE)
    return names.index(meant) if meant in names else 0


def still_on_bike(before: Job, after: Job) -> Job:
    """Return a changed one-wheel job with the setup on the bike updated if it was renamed or removed."""
    meant, old, new = before.get(ON_BIKE), _names(before), _names(after)
    if meant is None or after.get(ON_BIKE) != meant or meant in new:
        return after
    if len(new) < len(old):
        return after.taken_out(ON_BIKE)
    # A setup that lost its name before is the one that now has a name.
    at = old.index(meant) if meant in old else old.index(None) if None in old else len(new)
    return after.with_value(ON_BIKE, new[at]) if at < len(new) and new[at] else after


def _names(job: Job) -> list[Raw | None]:
    names = (setup.get("name") for setup in job.setups)
    return [name if isinstance(name, str) else None for name in names]


_MOST_STEPS = 1000


@dataclass(frozen=True, slots=True)
class History:
    """The job on the bench with its undo and redo lists, and the saved job.

    `saved` is None if nothing was saved, as for a recovered draft.
    """

    job: Job
    saved: Job | None
    past: tuple[Job, ...] = ()
    future: tuple[Job, ...] = ()

    @classmethod
    def starting_at(cls, job: Job) -> History:
        """Return the history of a job just opened: nothing to undo, nothing unsaved."""
        return cls(job, job)

    @property
    def has_unsaved_changes(self) -> bool:
        """Whether leaving now would lose changes; false again after undoing back to the saved job."""
        return self.job != self.saved

    def then(self, job: Job) -> History:
        """Return the history after an edit, without redo list; unchanged for the same job."""
        if job == self.job:
            return self
        return replace(self, job=job, past=(*self.past, self.job)[-_MOST_STEPS:], future=())

    def undo(self) -> History:
        """Return the history with the last edit undone, itself without one."""
        if not self.past:
            return self
        return replace(self, job=self.past[-1], past=self.past[:-1], future=(self.job, *self.future))

    def redo(self) -> History:
        """Return the history with the last undone edit redone, itself without one."""
        if not self.future:
            return self
        return replace(self, job=self.future[0], past=(*self.past, self.job), future=self.future[1:])

    def mark_saved(self) -> History:
        """Return the history with the present job as the saved one; undo still works."""
        return replace(self, saved=self.job)
