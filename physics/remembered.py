"""Answers that are kept: most keystrokes leave most of a bike as it is."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache, wraps
from typing import ParamSpec, TypeVar, cast

Asked = ParamSpec("Asked")
Found = TypeVar("Found")


def remembered(most: int) -> Callable[[Callable[Asked, Found]], Callable[Asked, Found]]:
    """Return a decorator that keeps the last answers of a function, this many at `most`.

    What cannot be a key, such as rows of a table or an axis of cases, is worked out each time.

    >>> asked = []
    >>> double = remembered(2)(lambda number: asked.append(1) or 2 * number)
    >>> double(3), double(3), len(asked), double([3])
    (6, 6, 1, [3, 3])
    """

    def decorate(work: Callable[Asked, Found]) -> Callable[Asked, Found]:
        kept = cast(Callable[Asked, Found], lru_cache(most)(work))

        @wraps(work)
        def ask(*parts: Asked.args, **named: Asked.kwargs) -> Found:
            try:
                hash(parts)
            except TypeError:
                return work(*parts, **named)
            return kept(*parts, **named)

        return ask

    return decorate
