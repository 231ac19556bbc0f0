"""Lines to the person at the terminal that are no answer, and what stands in them: text, paths, addresses."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import islice
from typing import TypeVar

_SECRETS = re.compile(
    r"(?<=:/)(?!/USER).*(?=@)|(?<![^\s:'\"])[^\s/:'\"]*:[^\s/]*(?=@)|(?<=password=)\S+", re.IGNORECASE
)
"""What may be a password in an address, with the user before it."""


def say(line: str) -> None:
    """Write a line to standard error; terminal controls in it are written as their escapes."""
    if sys.stderr is not None:
        sys.stderr.write(f"{without_passwords(printable(line))}\n")


def printable(text: str) -> str:
    """Return text with everything that is not printable written as its escape."""
    return text if text.isprintable() else "".join(c if c.isprintable() else repr(c)[1:-1] for c in text)


def without_passwords(text: str) -> str:
    """Return text in which addresses have three dots for user and password.

    What is no address but was typed in the place of a path or a command may be one.
    """
    return _SECRETS.sub("...", text)


def path_text(path: os.PathLike[str] | str) -> str:
    """Return a path as it is shown to a person, on one line, whatever bytes are in it."""
    return without_passwords(printable(os.fspath(path)))


_ALIKE = 0.6
"""How alike two words are at least where one may be meant by the other, of 1."""
_LONGEST_WORD = 40


def nearest(word: str, known: Iterable[str]) -> str:
    """Return the known word that may be meant by another one, empty where none is near."""
    from difflib import get_close_matches  # words are seldom at fault

    words = {name.casefold(): name for name in known}
    near = get_close_matches(word[:_LONGEST_WORD].casefold(), words, n=1, cutoff=_ALIKE)
    return words[near[0]] if near else ""


Item = TypeVar("Item")
Line = TypeVar("Line")


def first_of(
    items: Sequence[Item], most: int, told: Callable[[Item], Line], rest: Callable[[int], Line]
) -> Iterator[Line]:
    """Yield what is said of each of the first `most` items, and then of how many more there are."""
    yield from map(told, islice(items, most))
    if len(items) > most:
        yield rest(len(items) - most)
