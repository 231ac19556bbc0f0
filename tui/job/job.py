"""Values of a job that nobody has typed or confirmed: listed by key in the table that holds them.

The list changes no number. It stands in the job, so that it goes wherever the job goes: file, draft, records.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import count

from tui.job.choices import new_word
from tui.job.faults import Findings, JobFault, NewFault, UnusableJob
from tui.job.tree import Raw, Tree, TreePath, cut, holds_tables, look_up, put
from tui.saying import nearest

UNCONFIRMED = "unconfirmed"
_NO_VALUES = ("format", "kind", "name", UNCONFIRMED)
"""Keys that say how a table is read, or what it is called on the screen."""
_NO_FIGURES = ("damper", "tyre")
"""Tables that no figure of a setup depends on: they tell how it rides in time."""
_SOLVE = "solve"
_LONGEST_NAME = 40
MOST_SETUPS = 20
"""Setups of one wheel that are taken: each of them is calculated again with every key."""
UNTITLED = "untitled job"
"""What a job without a title is called."""


def listed(table: object) -> tuple[str, ...]:
    """Return the keys in the list of a table, none if it has no sound list."""
    raw = table.get(UNCONFIRMED) if isinstance(table, Mapping) else None
    return tuple(key for key in raw if isinstance(key, str)) if isinstance(raw, tuple) else ()


@lru_cache(maxsize=64)
def _known(tree: Tree) -> frozenset[TreePath]:
    """Return where the values are that are on a list; every row of the bench asks with every key pressed."""
    return frozenset(paths_of(tree))


def paths_of(tree: Raw, here: TreePath = ()) -> Iterator[TreePath]:
    """Yield where the values are that are on a list, in the order of the file."""
    if isinstance(tree, Tree):
        keys = listed(tree)
        yield from ((*here, key) for key in tree if key in keys)
    steps: Iterable[tuple[str | int, Raw]] = tree.items() if isinstance(tree, Tree) else enumerate(tree)
    for step, inner in steps:
        if isinstance(inner, Tree) or holds_tables(inner):
            yield from paths_of(inner, (*here, step))


def with_list(table: Mapping[str, Raw], keys: Iterable[str]) -> Tree:
    """Return a table with these of its keys on its list, in alphabetical order; no list for none."""
    kept = tuple(sorted(set(keys) & (set(table) - {UNCONFIRMED})))
    rest = {key: raw for key, raw in table.items() if key != UNCONFIRMED}
    return Tree({**rest, UNCONFIRMED: kept} if kept else rest)


def tidy(table: Mapping[str, Raw]) -> Tree:
    """Return a table put together from others, its list without the keys that it does not have."""
    frozen = Tree(table)
    return with_list(frozen, listed(frozen)) if UNCONFIRMED in frozen else frozen


def without_lists(raw: Raw) -> Raw:
    """Return a value with no list in any table of it: its values alone."""
    if isinstance(raw, Tree):
        return Tree({key: without_lists(inner) for key, inner in raw.items() if key != UNCONFIRMED})
    return tuple(map(without_lists, raw)) if holds_tables(raw) else raw


def confirmed(tree: Raw, path: TreePath) -> Raw:
    """Return the tree with the value at `path`, and what holds it, on no list."""
    for depth, step in enumerate(path):
        table = look_up(tree, path[:depth])
        keys = listed(table)
        if step in keys and isinstance(table, Tree):
            tree = put(tree, path[:depth], with_list(table, (key for key in keys if key != step)))
    return tree


def unconfirmed(tree: Raw, path: TreePath) -> Raw:
    """Return the tree with the value at `path` on the list of its table; itself if there is no value."""
    table = look_up(tree, path[:-1])
    if not isinstance(table, Tree) or path[-1] not in table:
        return tree
    return put(tree, path[:-1], with_list(table, (*listed(table), str(path[-1]))))


def unconfirmed_setups(job: Job) -> frozenset[int]:
    """Return which setups of a single wheel stand on a value that nobody has typed or confirmed."""
    paths = job.unconfirmed
    if any(path[0] not in ("title", "setup", *_NO_FIGURES, "front") for path in paths):
        return frozenset(range(len(job.setups)))
    return frozenset(int(path[1]) for path in paths if path[0] == "setup")


def invented(table: Mapping[str, Raw]) -> Tree:
    """Return a table with all its values on its list; what is solved for is no value."""
    return with_list(Tree(table), (key for key, raw in table.items() if is_value(key, raw)))


def all_invented(tree: Raw) -> Raw:
    """Return a job with every value in every table of it on a list; at its top only the title."""
    top = with_list(tree, ("title",))
    return Tree({key: _inner_invented(raw) for key, raw in top.items()})


def _inner_invented(raw: Raw) -> Raw:
    if isinstance(raw, Tree):
        return invented({key: _inner_invented(inner) for key, inner in raw.items()})
    return tuple(map(_inner_invented, raw)) if isinstance(raw, tuple) else raw


def is_value(key: str, raw: Raw) -> bool:
    """Return whether what stands under a key is a value that can be invented."""
    return key not in _NO_VALUES and raw != _SOLVE and not isinstance(raw, Tree) and not holds_tables(raw)


def check_list(table: Mapping[str, Raw], path: TreePath, found: Findings, only: tuple[str, ...] = ()) -> None:
    """Note a list that is none, and what it names that is no value of its table, with the nearest that is."""
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
    """Return the tree of a job with its older keys and words as they are called now."""
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
        """Return the raw value at `path`, None if nothing stands."""
        return look_up(self.tree, path)

    def with_value(self, path: TreePath, raw: Raw) -> Job:
        """Return the job with `raw` at `path`, as typed: confirmed, whatever stood there."""
        return Job(confirmed(put(self.tree, path, raw), path))

    def with_invented(self, path: TreePath, raw: Raw) -> Job:
        """Return the job with `raw` at `path`, which nobody has typed or confirmed."""
        return Job(unconfirmed(put(self.tree, path, raw), path))

    def confirmed(self, path: TreePath) -> Job:
        """Return the job with the value at `path` confirmed as it is; the same job where it was."""
        return Job(tree) if (tree := confirmed(self.tree, path)) is not self.tree else self

    def is_unconfirmed(self, path: TreePath) -> bool:
        """Return whether the value at `path`, or a table or column around it, is on a list."""
        known = _known(self.tree)
        on_a_list = any(path[:depth] in known for depth in range(1, len(path) + 1))
        return on_a_list and self.get(path) is not None

    def listed_as(self, other: Job, path: TreePath) -> Job:
        """Return the job with unconfirmed what `other` has so in the table at `path` and around it."""
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
        """Where the values are that nobody has typed or confirmed."""
        return tuple(paths_of(self.tree))

    def without(self, path: TreePath) -> Job:
        """Return the job with nothing at `path`."""
        return Job(confirmed(cut(self.tree, path), path))

    def taken_out(self, path: TreePath) -> Job:
        """Return the job with nothing at `path`, and without the table around it where that is empty then."""
        job = self.without(path)
        return job.without(path[:-1]) if job.get(path[:-1]) == Tree({}) else job

    @property
    def title(self) -> str:
        """The title, empty if there is none."""
        title = self.tree.get("title", "")
        return title if isinstance(title, str) else ""

    @property
    def setups(self) -> tuple[Tree, ...]:
        """The tables of the setups in order; empty if the file has no list of tables there."""
        setups = self.tree.get("setup")
        if isinstance(setups, tuple) and all(isinstance(setup, Tree) for setup in setups):
            return setups
        return ()

    def with_setup(self, index: int | None, tree: Mapping[str, Raw]) -> Job:
        """Return the job with one setup more, put in before `index`, or at the end for None."""
        place = len(self.setups) if index is None else index
        return self._with_setups((*self.setups[:place], Tree(tree), *self.setups[place:]))

    def without_setup(self, index: int) -> Job:
        """Return the job without the setup at `index`."""
        return self._with_setups((*self.setups[:index], *self.setups[index + 1 :]))

    def free_name(self, wanted: str) -> str:
        """Return `wanted`, or `wanted` with the first number behind it that no setup has yet."""
        taken = {setup.get("name") for setup in self.setups}
        if wanted not in taken:
            return wanted
        head, _, tail = wanted.rpartition(" ")
        stem = head if head and tail.isdecimal() else wanted
        return next(name for name in (f"{stem} {n}" for n in count(2)) if name not in taken)

    def _with_setups(self, setups: tuple[Tree, ...]) -> Job:
        return self.with_value(("setup",), setups)


_MOST_PARTS = 12
"""Parts of one dotted key, and tables or arrays inside each other, that are taken; a job has five."""
_MOST_VALUES = 20_000
"""Values, tables and arrays that are taken in one file; a long table of leverage has some thousand."""
_QUOTED = r""""(?:[^"\\]|\\.)*+"|'[^']*+'"""
_DOTTED = rf"(?<![\w-])[\w-]++(?:[ \t]*+\.[ \t]*+[\w-]++){{{_MOST_PARTS},}}"
_TOML = "use a job file in TOML"


def parse(text: str) -> Job:
    """Read the text of a job file; raise `UnusableJob` where it is no TOML, or too deep or long."""
    import tomllib

    if any(line.count(".") >= _MOST_PARTS and _has_endless_key(line) for line in text.split("\n")):
        raise UnusableJob((JobFault((), f"a key of more than {_MOST_PARTS} parts", _TOML),))
    try:
        table = tomllib.loads(text)
    # Deep nesting and endless digits break the parser in its own ways.
    except (ValueError, RecursionError) as error:
        from tui.job.fault_words import toml_fault

        raise UnusableJob((toml_fault(text, error),)) from error
    _check_size(table)
    return Job(renewed(Tree(table)))


def _has_endless_key(line: str) -> bool:
    """Return whether a line has a key of more parts than are taken: the parser takes minutes."""
    return re.search(_DOTTED, re.sub(_QUOTED, "quoted", line)) is not None


def _check_size(table: Mapping[str, Raw]) -> None:
    """Raise `UnusableJob` for a table that goes too deep or holds too many values to be a job."""
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
    """Return the place of the setup that was on the bike: the one named, else the first."""
    names, meant = _names(job), job.get(ON_BIKE)
    return names.index(meant) if meant in names else 0


def still_on_bike(before: Job, after: Job) -> Job:
    """Return a changed job of one wheel with the same setup on the bike: renamed with it, gone with it."""
    meant, old, new = before.get(ON_BIKE), _names(before), _names(after)
    if meant is None or after.get(ON_BIKE) != meant or meant in new:
        return after
    if len(new) < len(old):
        return after.taken_out(ON_BIKE)
    # A setup whose name was taken out first is the one with it.
    at = old.index(meant) if meant in old else old.index(None) if None in old else len(new)
    return after.with_value(ON_BIKE, new[at]) if at < len(new) and new[at] else after


def _names(job: Job) -> list[Raw | None]:
    names = (setup.get("name") for setup in job.setups)
    return [name if isinstance(name, str) else None for name in names]


_MOST_STEPS = 1000


@dataclass(frozen=True, slots=True)
class History:
    """The job on the bench, the ones before it, the ones undone, and the one that is in the file.

    `saved` is None if nothing of it was ever saved, as with a draft that was recovered.
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
        """Whether leaving now would lose something; undoing back to what is saved makes it false."""
        return self.job != self.saved

    def then(self, job: Job) -> History:
        """Return the history one edit further; what was undone is dropped. The same job is no edit."""
        if job == self.job:
            return self
        return replace(self, job=job, past=(*self.past, self.job)[-_MOST_STEPS:], future=())

    def undo(self) -> History:
        """Return the history one edit back, itself if there is nothing to undo."""
        if not self.past:
            return self
        return replace(self, job=self.past[-1], past=self.past[:-1], future=(self.job, *self.future))

    def redo(self) -> History:
        """Return the history with the last undone edit done again, itself if there is none."""
        if not self.future:
            return self
        return replace(self, job=self.future[0], past=(*self.past, self.job), future=self.future[1:])

    def mark_saved(self) -> History:
        """Return the history with the present job as the saved one; undo still leads further back."""
        return replace(self, saved=self.job)
