"""What is listed on a page of the records: the pages, what is asked of the store, and what it answers."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple

from tui.store.kept import Found, Part, Revision


class Page(Enum):
    """One list of the records; the value is its word on the screen."""

    JOBS = "jobs"
    FRAMES = "frames"
    SHOCKS = "shocks"
    DELETED = "deleted"
    TIMELINE = "timeline"
    VERSIONS = "versions"


PAGES = (Page.JOBS, Page.FRAMES, Page.SHOCKS, Page.DELETED)
"""The pages that Tab turns; the others are about one bike or job."""
OF_ONE = (Page.TIMELINE, Page.VERSIONS)
PARTS = (Page.FRAMES, Page.SHOCKS)


class Question(NamedTuple):
    """What is looked for: on which page, by which words, and on a page about one job of which."""

    page: Page
    text: str
    of: str = ""


@dataclass(frozen=True, slots=True)
class JobLine:
    """A job."""

    found: Found

    @property
    def uid(self) -> str:
        """What tells it from others."""
        return self.found.uid


@dataclass(frozen=True, slots=True)
class PartLine:
    """A frame or shock: `twins` counts those of its name, `against` is what sets it off from the newest."""

    part: Part
    twins: int = 1
    newest: bool = True
    against: tuple[str, ...] = ()

    @property
    def uid(self) -> str:
        """What tells it from others."""
        return self.part.digest


SAME: tuple[str, ...] = ("nothing changed",)
FIRST: tuple[str, ...] = ("first saved",)
DAMAGED: tuple[str, ...] = ("this revision is damaged and cannot be read",)
UNREADABLE_BEFORE: tuple[str, ...] = ("the one before cannot be read",)
"""What stands in place of the changes of a revision where there are none to tell."""


@dataclass(frozen=True, slots=True)
class RevisionLine:
    """A saved revision with what it changed, what was measured and how it rode, all in words.

    `since` says against what the `changes` are, `beside` whether others stand beside it.
    """

    revision: Revision
    title: str
    since: str = ""
    changes: tuple[str, ...] = ()
    beside: str = ""
    measured: str = ""
    ridden: str = ""

    @property
    def uid(self) -> str:
        """What tells it from others."""
        return self.revision.uid

    @property
    def words(self) -> str:
        """All that it can be found by."""
        told = (self.title, self.revision.saved_by, self.revision.note, *self.changes)
        return " ".join((*told, self.measured, self.ridden, self.beside, f"rev {self.revision.number}"))


Line = JobLine | PartLine | RevisionLine


@dataclass(frozen=True, slots=True)
class Listing:
    """The answer to a question, the newest first; `empty` says that there is no job at all yet."""

    question: Question
    lines: tuple[Line, ...] = ()
    more: bool = False
    empty: bool = False
