"""The words a job is found by: all text in it, however it is spelled."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator, Mapping

from tui.jobs.tree import Raw
from tui.jobs.unconfirmed import KEY as UNCONFIRMED


def folded(text: str) -> str:
    """Return text as it is compared: small letters, no accents, single spaces."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    return " ".join("".join(c for c in plain if not unicodedata.combining(c)).split())


def asked_words(text: str) -> tuple[str, ...]:
    """Return the words of a search; each of them has to be found."""
    return tuple(folded(text).split())


def words_of(tree: Raw, also: Iterable[str] = ()) -> str:
    """Return all the text in a tree and besides: each piece once, folded, in the order of the alphabet."""
    pieces = {folded(text) for text in (*_texts(tree), *also)}
    return "\n".join(sorted(pieces - {""}))


def _texts(tree: Raw) -> Iterator[str]:
    if isinstance(tree, str):
        yield tree
    elif isinstance(tree, Mapping):
        for key, value in tree.items():
            # The keys on a list are no words of anybody's.
            yield from () if key == UNCONFIRMED else _texts(value)
    elif isinstance(tree, tuple):
        for value in tree:
            yield from _texts(value)
