"""What is said of a job that cannot be used."""

from __future__ import annotations

from dataclasses import dataclass

from tui.jobs.clean import brief
from tui.jobs.tree import Path


@dataclass(frozen=True, slots=True)
class JobFault:
    """One fault of a job: the `path` of the value, `what` is wrong there and what is `accepted`.

    An empty path is the file as a whole. Both texts are one printable line each, whatever the file holds.
    """

    path: Path
    what: str
    accepted: str

    def __post_init__(self) -> None:
        """Escape line ends and terminal controls that a quoted value may bring along."""
        object.__setattr__(self, "what", printable(self.what))
        object.__setattr__(self, "accepted", printable(self.accepted))

    def __str__(self) -> str:
        """Write the fault as one line."""
        return f"{dotted(self.path)}: {self.what}; {self.accepted}"


class UnusableJob(ValueError):
    """A job that cannot be used, with every fault found in it."""

    def __init__(self, faults: tuple[JobFault, ...]) -> None:
        """Collect the faults."""
        self.faults = faults
        super().__init__("\n".join(map(str, faults)))


def dotted(path: Path) -> str:
    """Write a path as in the messages: `setup.0.rate`, or `file` for the file as a whole."""
    return printable(".".join(brief(str(step)) or '""' for step in path)) if path else "file"


def printable(text: str) -> str:
    """Return text with everything that is not printable written as its escape."""
    return text if text.isprintable() else "".join(c if c.isprintable() else repr(c)[1:-1] for c in text)


def reason_of(trouble: OSError | ValueError) -> str:
    """Return why a file cannot be read or written, in the words of the system where it has some."""
    return trouble.strerror if isinstance(trouble, OSError) and trouble.strerror else str(trouble)
