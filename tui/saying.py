"""Messages on standard error, and safe text for messages: text, paths, addresses."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import islice
from typing import TextIO, TypeVar

_SECRETS = re.compile(
    r"(?<=:/)(?!/USER).*(?=@)|(?<![^\s:'\"])[^\s/:'\"]*:[^\s/]*(?=@)|(?<=password=)\S+", re.IGNORECASE
)
"""Possible user and password in an address."""


def say(line: str) -> None:
    """Write a line to standard error, with control characters escaped; nothing if nobody can read it."""
    if sys.stderr is None:
        return
    try:
        sys.stderr.write(f"{without_passwords(printable(line))}\n")
    except OSError:
        silence(sys.stderr)


def silence(stream: TextIO) -> None:
    """Let a stream that cannot be written lead nowhere: the interpreter flushes the rest of it at exit."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def printable(text: str) -> str:
    """Return text with unprintable characters escaped."""
    return text if text.isprintable() else "".join(c if c.isprintable() else repr(c)[1:-1] for c in text)


def without_passwords(text: str) -> str:
    """Return text with user and password of addresses replaced by three dots.

    Apply this to paths and commands too: an address may have been typed there by mistake.
    """
    return _SECRETS.sub("...", text)


def path_text(path: os.PathLike[str] | str) -> str:
    """Return a path for display on one line, whatever bytes it contains."""
    return without_passwords(printable(os.fspath(path)))


_ALIKE = 0.6
"""Similarity, 0 to 1, from which one word may stand for another."""
_LONGEST_WORD = 40


def nearest(word: str, known: Iterable[str]) -> str:
    """Return the known word most similar to another one, empty without a similar one."""
    from difflib import get_close_matches  # words are seldom at fault

    words = {name.casefold(): name for name in known}
    near = get_close_matches(word[:_LONGEST_WORD].casefold(), words, n=1, cutoff=_ALIKE)
    return words[near[0]] if near else ""


Item = TypeVar("Item")
Line = TypeVar("Line")


def first_of(
    items: Sequence[Item], most: int, told: Callable[[Item], Line], rest: Callable[[int], Line]
) -> Iterator[Line]:
    """Yield `told` of the first `most` items, and then `rest` of the number of further ones."""
    yield from map(told, islice(items, most))
    if len(items) > most:
        yield rest(len(items) - most)
