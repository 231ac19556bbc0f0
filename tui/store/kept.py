"""What the records hand out: entries to find, revisions to open, parts to use again."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, tzinfo
from functools import cached_property

from tui.job.clean import clean
from tui.job.job import UNCONFIRMED, Job, parse
from tui.job.tree import Raw


@dataclass(frozen=True, slots=True)
class RecordLink:
    """Where the job on a bench lives in the records.

    `base` is the revision it was made from, `seen` the newest one its owner knows of; `store` names the
    records it belongs to.
    """

    store: str
    job: str
    base: int
    seen: int

    def as_note(self) -> dict[str, str | int]:
        """Return it as plain values, as a draft writes it down."""
        return {"store": self.store, "job": self.job, "base": self.base, "seen": self.seen}

    @classmethod
    def of_note(cls, note: object) -> RecordLink | None:
        """Return the entry of plain values, None where they are none."""
        if not isinstance(note, Mapping):
            return None
        store, job, base, seen = (note.get(key) for key in ("store", "job", "base", "seen"))
        told = isinstance(store, str) and isinstance(job, str)
        if not (told and isinstance(base, int) and isinstance(seen, int)):
            return None
        return cls(str(store), str(job), base, seen)


@dataclass(frozen=True)
class Revision:
    """One saved state of a job: its number from 1, what it was made from, and who saved it when.

    `saved_at` is UTC, as ISO 8601 text; `text` is the job file.
    """

    uid: str
    job_uid: str
    number: int
    parent: int | None
    settles: int | None
    saved_at: str
    saved_by: str
    note: str
    text: str

    @cached_property
    def job(self) -> Job:
        """The job; raises `UnusableJob` where the text was damaged."""
        return parse(self.text)


@dataclass(frozen=True, slots=True)
class Found:
    """A job in a list: its latest revision in short. `versions` above 1 stand side by side, unsettled."""

    uid: str
    title: str
    customer: str
    ticket: str
    bike: str
    hardware: str
    latest: int
    versions: int
    saved_at: str
    saved_by: str
    deleted_at: str | None


@dataclass(frozen=True, slots=True)
class Finding:
    """What a search has found, the newest first, and whether there is more than is listed."""

    entries: tuple[Found, ...]
    more: bool


@dataclass(frozen=True, slots=True)
class Saved:
    """A job that is in the records for good. `meanwhile` is what somebody else saved in between."""

    entry: RecordLink
    revision: Revision
    meanwhile: Revision | None
    undeleted: bool = False


@dataclass(frozen=True, slots=True)
class Part:
    """A frame or the hardware of a shock: `tree` is what goes into a job. `uses` counts jobs that have it."""

    digest: str
    kind: str
    name: str
    tree: Mapping[str, Raw]
    first_at: str
    uses: int


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


WIDTH = 16
"""Cells of a moment."""


def moment(at: str, zone: tzinfo | None = None) -> str:
    """Return the date and time of a UTC text of the records in local time, or in `zone`."""
    try:
        return f"{datetime.fromisoformat(at).astimezone(zone):%Y-%m-%d %H:%M}"
    except (ValueError, OverflowError):  # what others wrote is shown as far as it goes
        return clean(at)[:WIDTH]


def day(at: str, zone: tzinfo | None = None) -> str:
    """Return the date alone."""
    return moment(at, zone)[:10]
