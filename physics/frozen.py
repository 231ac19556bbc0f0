"""Frozen dataclasses and named tuples, made in a third of the time that the standard library takes.

For each frozen class, `dataclasses.dataclass` compiles the text of six methods. With Python 3.11 that takes a
third of a millisecond, and more than a hundred classes stand behind one answer. Here only `__init__` is
compiled: the other methods find the fields by their names. For each field of a class, `typing.NamedTuple`
compiles the text of its annotation, which nothing here reads.
"""

from __future__ import annotations

import dataclasses
from collections import namedtuple
from dataclasses import MISSING, FrozenInstanceError, fields
from functools import partial
from operator import attrgetter
from types import FunctionType
from typing import TYPE_CHECKING, Any, NoReturn, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from dataclasses import dataclass
    from typing import NamedTuple

    from _typeshed import DataclassInstance
else:

    def dataclass(*, frozen: bool, slots: bool = False, eq: bool = True) -> Callable[[type], type]:
        """Return the decorator `dataclasses.dataclass(frozen=True, slots=slots, eq=eq)`.

        It takes no other options, no base class that is a dataclass, and no field by keyword only or outside
        `__init__`. `fields`, `field` and `replace` of `dataclasses`, matching, copying and pickling work.

        >>> @dataclass(frozen=True, slots=True)
        ... class Spring:
        ...     rate: float
        ...     preload: float = 0.0
        >>> spring = dataclasses.replace(Spring(80e3), preload=0.001)
        >>> spring
        Spring(rate=80000.0, preload=0.001)
        >>> spring == Spring(80e3, 0.001), spring == Spring(80e3)
        (True, False)
        >>> spring.rate = 90e3
        Traceback (most recent call last):
            ...
        dataclasses.FrozenInstanceError: cannot assign to field 'rate'
        """
        if not frozen:
            raise TypeError("dataclasses.dataclass makes classes that can be changed")
        return partial(_equal_by_value if eq else _equal_by_identity, slots=slots)

    class _Named(type):
        def __new__(cls, name: str, bases: tuple[type, ...], held: dict[str, Any]) -> type:
            types = held.pop("__annotations__", {})
            if read := held.pop("__annotate_func__", None):  # where Python 3.14 keeps those that it evaluates
                types = read(1)
            defaults = [held.pop(one) for one in types if one in held]
            made = namedtuple(name, types, defaults=defaults, module=held["__module__"])
            made.__annotations__ = made.__new__.__annotations__ = types
            for own in held.keys() - {"__module__", "__qualname__"}:
                setattr(made, own, held[own])
            return made

    NamedTuple = type.__new__(_Named, "NamedTuple", (), {"__doc__": "`typing.NamedTuple`, not generic."})


__all__ = ["NamedTuple", "dataclass"]
Class = TypeVar("Class", bound=type)


def _equal_by_value(cls: type, slots: bool) -> type:
    made = _equal_by_identity(cls, slots)
    compared = _reader([one.name for one in fields(made) if one.compare])

    def equal(self: object, other: object) -> bool:
        return compared(self) == compared(other) if other.__class__ is self.__class__ else NotImplemented

    def hashed(self: object) -> int:
        return hash(compared(self))

    return _with(made, __eq__=equal, __hash__=hashed)


def _equal_by_identity(cls: type, slots: bool) -> type[DataclassInstance]:
    _with(cls, __setattr__=_no_setting, __delattr__=_no_deleting, __repr__=_shown)
    if slots:  # copies would set the attributes
        _with(cls, __getstate__=_state, __setstate__=_take_state)
    made: type[DataclassInstance] = dataclasses.dataclass(init=False, repr=False, eq=False, slots=slots)(cls)
    return _with(made, __init__=_initialiser(made, slots))


def _with(cls: Class, **methods: Callable[..., Any]) -> Class:
    """Return a class with methods, except those that it defines itself."""
    for name in methods.keys() - vars(cls).keys():
        setattr(cls, name, methods[name])
    return cls


def _initialiser(made: type[DataclassInstance], slots: bool) -> Callable[..., None]:
    """Return `__init__`, which sets the fields past `__setattr__`, through their slots if they have some."""
    takes, does, known = ["self"], list[str](), dict[str, Any](_absent=MISSING, _set=object.__setattr__)
    for one in fields(made):
        name, value = one.name, one.name
        if one.kw_only or not one.init:
            raise TypeError(f"{made.__qualname__}.{name}: a field by keyword only or outside __init__")
        if one.default is not MISSING:
            known[f"_default_{name}"] = one.default
            takes.append(f"{name}=_default_{name}")
        elif one.default_factory is not MISSING:
            known[f"_make_{name}"] = one.default_factory
            takes.append(f"{name}=_absent")
            value = f"_make_{name}() if {name} is _absent else {name}"
        else:
            takes.append(name)
        if slots:
            known[f"_set_{name}"] = getattr(made, name).__set__
            does.append(f" _set_{name}(self, {value})")
        else:
            does.append(f" _set(self, {name!r}, {value})")
    if hasattr(made, "__post_init__"):
        does.append(" self.__post_init__()")
    exec(f"def __init__({', '.join(takes)}):\n" + ("\n".join(does) or " pass"), known)
    init: FunctionType = known["__init__"]
    init.__module__, init.__qualname__ = made.__module__, f"{made.__qualname__}.__init__"
    init.__annotations__ = {one.name: one.type for one in fields(made)} | {"return": None}
    return init


def _reader(names: Sequence[str]) -> Callable[[Any], tuple[Any, ...]]:
    """Return what reads some fields of an object."""
    if len(names) > 1:
        return attrgetter(*names)  # without one call for each field
    return lambda held: tuple(getattr(held, name) for name in names)


def _no_setting(self: object, name: str, value: object) -> NoReturn:
    raise FrozenInstanceError(f"cannot assign to field {name!r}")


def _no_deleting(self: object, name: str) -> NoReturn:
    raise FrozenInstanceError(f"cannot delete field {name!r}")


def _shown(self: DataclassInstance) -> str:
    shown = ", ".join(f"{one.name}={getattr(self, one.name)!r}" for one in fields(self) if one.repr)
    return f"{type(self).__qualname__}({shown})"


def _state(self: DataclassInstance) -> list[Any]:
    return [getattr(self, one.name) for one in fields(self)]


def _take_state(self: DataclassInstance, state: Sequence[Any]) -> None:
    for one, value in zip(fields(self), state, strict=True):
        object.__setattr__(self, one.name, value)
