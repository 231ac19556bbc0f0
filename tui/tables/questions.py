"""Questions about what a table leaves open, and the answers."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import field, replace
from typing import TYPE_CHECKING, Generic, TypeVar

from physics.frozen import dataclass
from physics.units import Dimension, quoted
from tui.job.tree import brief
from tui.saying import first_of
from tui.tables.heads import Role, Subject, factor_of, unit_examples
from tui.tables.source import UnusableReadings

if TYPE_CHECKING:
    from physics.fit import AskedFriction

Found = TypeVar("Found")
_PLACE = re.compile(r"([^\W\d_]+)\W*(\d{1,9})(?!\d)")
_SHOWN = 12


@dataclass(frozen=True, slots=True)
class Told:
    """Answers given: columns, from 0, and units by the words of their roles, and seal friction."""

    columns: Mapping[str, int] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)
    friction: AskedFriction | None = None


class Unclear(UnusableReadings):
    """A table that needs one more answer.

    `asks` is the question, `title` its heading, `option` the command-line option that answers it.
    """

    title = ""
    asks = ""
    option = ""

    def told(self, before: Told, text: str) -> Told:
        """Return the answers with that in `text` added; raises `UnusableReadings` if it is not an answer."""
        raise NotImplementedError


class UnitsMissing(Unclear):
    """A table without units."""

    title = "Units"

    def __init__(self, roles: Sequence[Role], subject: Subject) -> None:
        self._roles = roles
        names = " and ".join(role.name for role in roles)
        which, is_not = f"units of {names}", "are not"
        if len(roles) == 1:
            which, is_not = f"unit of the {names}", "is not"
        self.asks = f"{which[:1].upper()}{which[1:]}, such as {_example(roles)}"
        self.option = f"--units {_example(_measured(subject)).replace(' ', '')}"
        super().__init__(f"the {which} {is_not} given; add a header such as {subject.example}")

    def told(self, before: Told, text: str) -> Told:
        """Return the answers with a unit for each of the columns, or one for all."""
        return replace(before, units={**before.units, **_spread(text, self._roles)})


class ColumnsUnclear(Unclear):
    """A table whose `heads` do not identify the columns."""

    title = "Columns"

    def __init__(self, what: str, heads: Sequence[str], subject: Subject) -> None:
        self._subject = subject
        shown = [f'{place} "{brief(head)}"' if head else f"{place}" for place, head in enumerate(heads, 1)]
        there = ", ".join(first_of(shown, _SHOWN, str, lambda more: f"and {more} more"))
        shortest = min(subject.sets, key=len)
        example = ", ".join(f"{role.word} {place}" for place, role in enumerate(shortest, 1))
        self.asks = f"{what[:1].upper()}{what[1:]}. Columns are {there}. Answer like {example}"
        self.option = f'--columns "{example}"'
        super().__init__(f"{what}: columns are {there}; add a header such as {subject.example}")

    def told(self, before: Told, text: str) -> Told:
        """Return the answers with the columns in text such as "travel 1, ratio 3"."""
        return replace(before, columns=columns_told(text, self._subject))


def lines_of(unusable: UnusableReadings, prefix: str = "") -> tuple[str, ...]:
    """Return the faults, a line each, and the option that answers an open question.

    `prefix` is the beginning of that command's option names.
    """
    if isinstance(unusable, Unclear):
        return (f"{unusable.lines[0]}, or --{prefix}{unusable.option.removeprefix('--')}",)
    return unusable.lines


def told_in(columns: str, units: str, subject: Subject) -> Told:
    """Return the answers given by command-line options, empty if there are none."""
    return Told(
        columns_told(columns, subject) if columns else {},
        _spread(units, _measured(subject)) if units else {},
    )


def columns_told(text: str, subject: Subject) -> Mapping[str, int]:
    """Return columns, from 0, by the words of their roles; raises `UnusableReadings`."""
    found = {word.lower(): int(number) - 1 for word, number in _PLACE.findall(text)}
    if not any({role.word for role in roles} == set(found) for roles in subject.sets):
        shortest = min(subject.sets, key=len)
        numbered = (f"{role.word} {place}" for place, role in enumerate(shortest, 1))
        words = ", ".join(dict.fromkeys(role.word for roles in subject.sets for role in roles))
        raise UnusableReadings(
            f"{quoted(text)} cannot be read; give the numbers of the columns as in "
            f'"{", ".join(numbered)}" (there are {words})'
        )
    if len(set(found.values())) < len(found):
        raise UnusableReadings(f"{quoted(text)} names a column twice; give each quantity a column of its own")
    return found


def checked_factor(unit: str, role: Role) -> float:
    """Return SI per unit of a role; raises `UnusableReadings` for any other unit."""
    factor = factor_of(unit, role)
    if factor is None:
        raise UnusableReadings(
            f"{quoted(unit)} is not a unit of {role.name}; use one of {unit_examples(role)}"
        )
    return factor


def _spread(text: str, roles: Sequence[Role]) -> Mapping[str, str]:
    """Return a unit for each role; a single one applies to all of its dimension."""
    units = [unit for unit in re.split(r"[,;\s]+", text.strip()) if unit]
    if len(units) == 1 and len({role.dimension for role in roles}) == 1:
        units *= len(roles)
    if len(units) != len(roles):
        names = " and ".join(role.name for role in roles)
        raise UnusableReadings(f"{quoted(text.strip())} is not units of {names}; use {_example(roles)}")
    for unit, role in zip(units, roles, strict=True):
        checked_factor(unit, role)
    return {role.word: unit for unit, role in zip(units, roles, strict=True)}


def _measured(subject: Subject) -> tuple[Role, ...]:
    return tuple(role for role in subject.roles if role.dimension is not Dimension.FRACTION)


def _example(roles: Sequence[Role]) -> str:
    return ", ".join(unit_examples(role).split(",")[0] for role in roles)


@dataclass(frozen=True, slots=True)
class Open(Generic[Found]):
    """A table whose reading awaits an answer."""

    read: Callable[[Told], Found]
    told: Told
    question: Unclear

    def answered(self, text: str) -> Found | Open[Found]:
        """Return the table read with the answer, or the next question; raises `UnusableReadings`."""
        return attempt(self.read, self.question.told(self.told, text))


def attempt(read: Callable[[Told], Found], told: Told) -> Found | Open[Found]:
    """Return the table read, or the question to be answered first; raises `UnusableReadings`."""
    try:
        return read(told)
    except Unclear as question:
        return Open(read, told, question)
