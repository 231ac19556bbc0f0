"""Values of a job that nobody has typed or confirmed: listed by key in the table that holds them.

The list changes no number. It stands in the job, so that it goes wherever the job goes: file, draft, records.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from typing import TYPE_CHECKING

from tui.jobs.tree import Path, Raw, Table, look_up, put

if TYPE_CHECKING:
    from tui.jobs.findings import Findings
    from tui.jobs.job import Job

KEY = "unconfirmed"
_NO_VALUES = ("format", "kind", "name", KEY)
"""Keys that say how a table is read, or what it is called on the screen."""
_SOLVE = "solve"
_LONGEST_NAME = 40


def listed(table: object) -> tuple[str, ...]:
    """Return the keys in the list of a table, none where it has no sound list."""
    raw = table.get(KEY) if isinstance(table, Mapping) else None
    return tuple(key for key in raw if isinstance(key, str)) if isinstance(raw, tuple) else ()


def is_unconfirmed(tree: Table, path: Path) -> bool:
    """Return whether the value at `path`, or a table or column around it, is on a list."""
    known = _known(tree)
    return any(path[:depth] in known for depth in range(1, len(path) + 1)) and look_up(tree, path) is not None


@lru_cache(maxsize=64)
def _known(tree: Table) -> frozenset[Path]:
    """Return where the values are that are on a list; every row of the bench asks with every key pressed."""
    return frozenset(paths_of(tree))


def paths_of(tree: Raw, here: Path = ()) -> Iterator[Path]:
    """Yield where the values are that are on a list, in the order of the file."""
    if isinstance(tree, Table):
        keys = listed(tree)
        yield from ((*here, key) for key in tree if key in keys)
    steps: Iterable[tuple[str | int, Raw]] = tree.items() if isinstance(tree, Table) else enumerate(tree)
    for step, inner in steps:
        if isinstance(inner, Table) or _has_tables(inner):
            yield from paths_of(inner, (*here, step))


def with_list(table: Mapping[str, Raw], keys: Iterable[str]) -> Table:
    """Return a table with these of its keys on its list, in alphabetical order; no list for none."""
    kept = tuple(sorted(set(keys) & (set(table) - {KEY})))
    rest = {key: raw for key, raw in table.items() if key != KEY}
    return Table({**rest, KEY: kept} if kept else rest)


def tidy(table: Mapping[str, Raw]) -> Table:
    """Return a table put together from others, its list without the keys that it does not have."""
    frozen = Table(table)
    return with_list(frozen, listed(frozen)) if KEY in frozen else frozen


def without_lists(raw: Raw) -> Raw:
    """Return a value with no list in any table of it: its values alone."""
    if isinstance(raw, Table):
        return Table({key: without_lists(inner) for key, inner in raw.items() if key != KEY})
    return tuple(map(without_lists, raw)) if _has_tables(raw) else raw


def confirmed(tree: Raw, path: Path) -> Raw:
    """Return the tree with the value at `path`, and what holds it, on no list."""
    for depth, step in enumerate(path):
        table = look_up(tree, path[:depth])
        keys = listed(table)
        if step in keys and isinstance(table, Table):
            tree = put(tree, path[:depth], with_list(table, (key for key in keys if key != step)))
    return tree


def unconfirmed(tree: Raw, path: Path) -> Raw:
    """Return the tree with the value at `path` on the list of its table; itself where there is no value."""
    table = look_up(tree, path[:-1])
    if not isinstance(table, Table) or path[-1] not in table:
        return tree
    return put(tree, path[:-1], with_list(table, (*listed(table), str(path[-1]))))


def unconfirmed_setups(job: Job) -> frozenset[int]:
    """Return which setups of a single wheel stand on a value that nobody has typed or confirmed."""
    paths = job.unconfirmed
    if any(path[0] not in ("title", "setup", "front") for path in paths):
        return frozenset(range(len(job.setups)))
    return frozenset(int(path[1]) for path in paths if path[0] == "setup")


def invented(table: Mapping[str, Raw]) -> Table:
    """Return a table with all its values on its list; what is solved for is no value."""
    return with_list(Table(table), (key for key, raw in table.items() if is_value(key, raw)))


def all_invented(tree: Raw) -> Raw:
    """Return a job with every value in every table of it on a list; at its top only the title."""
    top = with_list(tree, ("title",))
    return Table({key: _inner_invented(raw) for key, raw in top.items()})


def _inner_invented(raw: Raw) -> Raw:
    if isinstance(raw, tuple):
        return tuple(_inner_invented(item) for item in raw)
    if not isinstance(raw, Table):
        return raw
    return invented({key: _inner_invented(inner) for key, inner in raw.items()})


def is_value(key: str, raw: Raw) -> bool:
    """Return whether what stands under a key is a value that can be invented."""
    return key not in _NO_VALUES and raw != _SOLVE and not isinstance(raw, Table) and not _has_tables(raw)


def _has_tables(raw: Raw) -> bool:
    return isinstance(raw, tuple) and bool(raw) and isinstance(raw[0], Table)


def check_list(table: Mapping[str, Raw], path: Path, found: Findings, only: tuple[str, ...] = ()) -> None:
    """Note a list that is none, and what it names that is no value of its table, with the nearest that is."""
    if KEY not in table:
        return
    from difflib import get_close_matches  # a job is seldom at fault, and the first frame need not wait

    raw = table[KEY]
    if not isinstance(raw, tuple) or not all(isinstance(key, str) for key in raw):
        found.fault((*path, KEY), "no list of keys", f'use keys of this table, as in {KEY} = ["..."]')
        return
    there = [
        key for key in table if key != KEY and (key in only if only else _can_be_listed(key, table[key]))
    ]
    for index, key in enumerate(raw):
        if key not in there:
            near = get_close_matches(key[:_LONGEST_NAME].casefold(), there, n=1, cutoff=0.0)
            use = f"the nearest that does is {near[0]}" if near else "leave it out"
            found.fault((*path, KEY, index), f'"{key[:_LONGEST_NAME]}" names no value of this table', use)


def _can_be_listed(key: str, raw: Raw) -> bool:
    return key not in ("kind", "leverage", KEY) and raw != _SOLVE
