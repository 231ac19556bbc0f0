"""A job as read, and what is said of a file that cannot be used."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

Value = float | str | tuple[float, ...]
"""An SI number, a word such as "solve", or a column of SI numbers."""

Section = Mapping[str, Value]
"""The values of one table of the file by key; columns and tables below it are flattened with a dot."""


@dataclass(frozen=True, slots=True)
class JobFault:
    """One fault of a job file: the `path` of the key, `what` is wrong there and what is `accepted`."""

    path: str
    what: str
    accepted: str

    def __str__(self) -> str:
        """Write the fault as one line."""
        line = f"{self.path}: {self.what}; {self.accepted}"
        # A quoted key or a value of the file may hold line ends or terminal controls.
        return "".join(c if c.isprintable() else repr(c)[1:-1] for c in line)


class UnusableJob(ValueError):
    """A job file that cannot be used, with every fault found in it."""

    def __init__(self, faults: tuple[JobFault, ...]) -> None:
        """Collect the faults."""
        self.faults = faults
        super().__init__("\n".join(map(str, faults)))


@dataclass(frozen=True, slots=True)
class Job:
    """A job file whose every value is sound: SI floats, pressures still gauge [Pa].

    `units` holds the unit each quantity was typed in, by path, e.g. `units["setup.0.rate"]`.
    """

    title: str
    load: Section
    frame: Section
    leverage: Section
    target: Section
    ambient: Section
    setups: tuple[Section, ...]
    units: Mapping[str, str]
