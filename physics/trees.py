"""An answer as a tree of arrays: every array in it, whatever dataclass or tuple holds it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass, replace
from typing import TYPE_CHECKING, TypeVar, cast

import numpy as np

from physics.arrays import Values
from physics.case import Ambient, Setup, Target

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

Data = TypeVar("Data")


def arrays_in(data: object) -> Iterator[Values]:
    """Yield every array of an answer; the inputs it carries (setups, target, ambient air) are left out.

    >>> from physics.answer import LoadAnswer
    >>> [float(array) for array in arrays_in(LoadAnswer(np.asarray(600.0), np.asarray(560.0)))]
    [600.0, 560.0]
    """
    if isinstance(data, np.ndarray | np.floating):
        yield np.asarray(data)
    elif isinstance(data, tuple):
        for part in data:
            yield from arrays_in(part)
    else:
        for name in _parts(type(data)):
            yield from arrays_in(getattr(data, name))


def mapped(data: Data, change: Callable[[Values], Values]) -> Data:
    """Return an answer with `change` applied to every array; inputs it carries stay as they are.

    >>> from physics.answer import LoadAnswer
    >>> load = LoadAnswer(np.asarray(600.0), np.asarray(560.0))
    >>> float(mapped(load, lambda array: array / 2).ground_reaction)
    300.0
    """
    new: object = data
    if isinstance(data, np.ndarray | np.floating):
        new = change(np.asarray(data))
    elif isinstance(data, tuple):
        new = tuple(mapped(part, change) for part in data)
    elif names := _parts(type(data)):
        changed = {name: mapped(getattr(data, name), change) for name in names}
        new = replace(cast("DataclassInstance", data), **changed)
    return cast(Data, new)


def freeze(data: object) -> None:
    """Make every array of an answer read-only, because setups share some of them."""
    if isinstance(data, np.ndarray):
        data.setflags(write=False)
    elif isinstance(data, tuple):
        for part in data:
            freeze(part)
    else:
        for name in _parts(type(data)):
            freeze(getattr(data, name))


_FIELDS: dict[type, tuple[str, ...]] = {}
"""Fields per class, cached: looking them up takes longer than the work done on them."""


def _parts(kind: type) -> tuple[str, ...]:
    """Return the field names of a dataclass of the answer; anything else has no parts."""
    if kind not in _FIELDS:
        is_part = is_dataclass(kind) and not issubclass(kind, Setup | Ambient | Target)
        _FIELDS[kind] = tuple(field.name for field in fields(kind)) if is_part else ()
    return _FIELDS[kind]
