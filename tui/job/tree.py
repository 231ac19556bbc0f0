"""An immutable tree of tables and arrays as in TOML; its texts are single lines without controls."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

_LONGEST = 60
_LINE_ENDS = dict.fromkeys(map(ord, "\t\n\v\f\r\x85\u2028\u2029"), " ")
# Control characters, surrogates, and invisible formatting marks such as those of direction.
_UNSEEN = ("Cc", "Cs", "Cf")
# Some scripts need these two.
_JOINERS = "\u200c\u200d"
_BLANK = f"{_JOINERS}\u115f\u1160\u2800\u3164\uffa0"


def clean(text: str) -> str:
    """Return `text` with line ends as spaces and without control, direction and other invisible marks."""
    kept = text.translate(_LINE_ENDS)
    if kept.isprintable():
        return kept
    return "".join(c for c in kept if c in _JOINERS or unicodedata.category(c) not in _UNSEEN)


def _with_ink(text: str) -> str:
    """Return a text, empty if nothing of it is visible."""
    if text.isascii():
        return text
    is_blank = all(c in _BLANK or c.isspace() or unicodedata.category(c)[0] == "M" for c in text)
    return "" if is_blank else text


def brief(text: str) -> str:
    """Return text shortened to fit in a line."""
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]}..."


TreePath = tuple[str | int, ...]
"""Path of a value in a job file: keys of tables and indices of arrays, e.g. `("setup", 0, "rate")`."""

Raw = Any
"""A value as typed: text, a bare number, a bool, a `Tree`, or a tuple of these."""


class Tree(Mapping[str, Raw]):
    """An immutable table, compared and hashed by content."""

    __slots__ = ("_hash", "_values")

    def __init__(self, values: Mapping[str, Raw]) -> None:
        """Freeze a mapping recursively."""
        self._values = {str(key): freeze(value) for key, value in values.items()}
        self._hash: int | None = None

    def __getitem__(self, key: str) -> Raw:
        return self._values[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._values)

    def __len__(self) -> int:
        return len(self._values)

    def __eq__(self, other: object) -> bool:
        """Compare by content, `true` never equal to 1; shared subtrees are skipped."""
        if isinstance(other, Tree):
            alike = self is other or (hash(self) == hash(other) and self._values == other._values)
            return alike and (self is other or self._bools() == other._bools())
        return super().__eq__(other)

    def __hash__(self) -> int:
        """Hash by content, independent of the order of keys; cached, as jobs are looked up for every key."""
        if self._hash is None:
            self._hash = hash((frozenset(self._values.items()), self._bools()))
        return self._hash

    def _bools(self) -> frozenset[tuple[str, Raw]]:
        """Return the places of `true` and `false`, alone or in arrays: Python compares them as 1 and 0."""
        found = ((key, _bool_places(value)) for key, value in self._values.items())
        return frozenset((key, places) for key, places in found if places)

    def __repr__(self) -> str:
        return f"Tree({self._values!r})"


def _bool_places(raw: Raw) -> tuple[Any, ...] | bool:
    """Return whether a value is a bool, for an array which items are; false if none is."""
    if not isinstance(raw, tuple):
        return isinstance(raw, bool)
    places = tuple(map(_bool_places, raw))
    return any(places) and places


def freeze(raw: Raw) -> Raw:
    """Return a value with tables and arrays frozen, and texts cleaned of control characters."""
    if isinstance(raw, Tree):
        return raw
    if isinstance(raw, Mapping):
        return Tree(raw)
    if isinstance(raw, list | tuple):
        return tuple(freeze(item) for item in raw)
    return _with_ink(clean(raw)) if isinstance(raw, str) else raw


def thaw(raw: Raw) -> Raw:
    """Return a frozen value as plain dicts and lists."""
    if isinstance(raw, Mapping):
        return {key: thaw(value) for key, value in raw.items()}
    return [thaw(item) for item in raw] if isinstance(raw, tuple) else raw


def holds_tables(raw: Raw) -> bool:
    """Return whether a value is an array of tables."""
    return isinstance(raw, tuple) and any(isinstance(item, Tree) for item in raw)


def leaves(tree: Raw, here: TreePath = ()) -> Iterator[tuple[TreePath, Raw]]:
    """Yield path and value of every leaf in a table or an array of tables."""
    steps: Iterable[tuple[str | int, Raw]] = tree.items() if isinstance(tree, Tree) else enumerate(tree)
    for step, raw in steps:
        if isinstance(raw, Tree) or holds_tables(raw):
            yield from leaves(raw, (*here, step))
        elif isinstance(tree, Tree):
            yield (*here, step), raw


def look_up(tree: Raw, path: TreePath) -> Raw | None:
    """Return the value at `path`, None without one."""
    for step in path:
        if isinstance(tree, Mapping) and isinstance(step, str):
            tree = tree.get(step)
        elif isinstance(tree, tuple) and isinstance(step, int) and 0 <= step < len(tree):
            tree = tree[step]
        else:
            return None
    return tree


def put(tree: Raw | None, path: TreePath, raw: Raw) -> Raw:
    """Return the tree with `raw` at `path`; missing tables on the way are created.

    An index one past the end of an array appends; larger ones raise `IndexError`.
    """
    if not path:
        return freeze(raw)
    step, rest = path[0], path[1:]
    if isinstance(step, str):
        table = dict(tree) if isinstance(tree, Mapping) else {}
        table[step] = put(table.get(step), rest, raw)
        return Tree(table)
    row = list(tree) if isinstance(tree, tuple) else []
    if not 0 <= step <= len(row):
        raise IndexError(f"no place {step} in an array of {len(row)}")
    row[step : step + 1] = [put(row[step] if step < len(row) else None, rest, raw)]
    return tuple(row)


def cut(tree: Raw, path: TreePath) -> Raw:
    """Return the tree without the value at `path`; the same tree if there is none."""
    if look_up(tree, path) is None or not path:
        return tree
    step, rest = path[0], path[1:]
    if isinstance(step, str):
        table = dict(tree)
        if rest:
            table[step] = cut(table[step], rest)
        else:
            del table[step]
        return Tree(table)
    inner = (cut(tree[step], rest),) if rest else ()
    return (*tree[:step], *inner, *tree[step + 1 :])
