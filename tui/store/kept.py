"""What the records return: jobs in lists, revisions, parts, the link of a job to its revision; and times."""

from __future__ import annotations

import hashlib
import re
import unicodedata
import zlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict
from datetime import UTC, datetime, timedelta, tzinfo
from functools import cached_property

from physics.frozen import dataclass
from tui.job.job import UNCONFIRMED, Job, parse
from tui.job.tree import Raw, clean
from tui.store.trouble import damaged


@dataclass(frozen=True, slots=True)
class RecordLink:
    """Where the job on the bench is in the records.

    `base` is the revision it was made from, `seen` the newest one its owner knows of; `store` names the
    records it belongs to.
    """

    store: str
    job: str
    base: int
    seen: int

    def as_note(self) -> dict[str, str | int]:
        """Return it as plain values, for a draft."""
        return asdict(self)

    @classmethod
    def of_note(cls, note: object) -> RecordLink | None:
        """Return the link in plain values, None if there is none."""
        values = [note.get(key) for key in cls.__slots__] if isinstance(note, Mapping) else []
        match values:
            case [str(store), str(job), int(base), int(seen)]:
                return cls(store, job, base, seen)
        return None


@dataclass(frozen=True)
class Revision:
    """One saved state of a job: its number from 1, the revision it was made from, and who saved it when.

    `settles` is a conflicting revision it was chosen over, `saved_at` UTC in ISO 8601, `text` the job file.
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
        """The job; raises `UnusableJob` if the text is damaged."""
        return parse(self.text)


@dataclass(frozen=True, slots=True)
class Found:
    """A job in a list: its latest revision in short. More than one of its `versions` are in conflict."""

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
    """The jobs that a search found, the newest first, and whether there are more than listed."""

    entries: tuple[Found, ...]
    more: bool


@dataclass(frozen=True, slots=True)
class Saved:
    """A committed job. `meanwhile` is the conflicting revision that somebody else saved.

    `ahead` is how far it is dated ahead of the clock, if the clock is minutes behind the previous save.
    """

    entry: RecordLink
    revision: Revision
    meanwhile: Revision | None
    undeleted: bool = False
    ahead: bool = False


@dataclass(frozen=True, slots=True)
class Part:
    """A frame or the hardware of a shock: `tree` is its table in a job, `uses` the number of jobs with it."""

    digest: str
    kind: str
    name: str
    tree: Mapping[str, Raw]
    first_at: str
    uses: int


@dataclass(frozen=True, slots=True)
class Attached:
    """A log that a revision has: its checksum, the name of its file, its size [bytes].

    `told` holds what a person told of its columns and units, in JSON.
    """

    digest: str
    name: str
    size: int
    told: str


@dataclass(frozen=True)
class KeptLog:
    """A logger's file to be kept with a revision: its name and bytes, and what was told of it, in JSON."""

    name: str
    data: bytes
    told: str

    @cached_property
    def digest(self) -> str:
        """The checksum of its bytes."""
        return hashlib.sha256(self.data).hexdigest()


def packed(data: bytes) -> bytes:
    """Return the bytes of a log as the records keep them."""
    return zlib.compress(data)


def unpacked(data: bytes, digest: str) -> bytes:
    """Return the bytes of a log from the stored ones; raises `Damaged` if the checksum differs."""
    try:
        found = zlib.decompress(data)
    except zlib.error as error:
        raise damaged(f"the log {digest[:8]}: {error}") from error
    if hashlib.sha256(found).hexdigest() != digest:
        raise damaged(f"the log {digest[:8]} does not match its checksum")
    return found


def folded(text: str) -> str:
    """Return text as it is compared: case folded, no accents, single spaces."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    return " ".join("".join(c for c in plain if not unicodedata.combining(c)).split())


def asked_words(text: str) -> tuple[str, ...]:
    """Return the folded words of a search; all of them have to be found."""
    return tuple(folded(text).split())


def words_of(tree: Raw, also: Iterable[str] = ()) -> str:
    """Return all text in a tree and `also` other text: folded, sorted, without duplicates, one on a line."""
    pieces = {folded(text) for text in (*_texts(tree), *also)}
    return "\n".join(sorted(pieces - {""}))


def _texts(tree: Raw) -> Iterator[str]:
    if isinstance(tree, str):
        yield tree
    elif isinstance(tree, Mapping):
        # The list of unconfirmed values contains keys, not words.
        tree = tuple(value for key, value in tree.items() if key != UNCONFIRMED)
    if isinstance(tree, tuple):
        for value in tree:
            yield from _texts(value)


WIDTH = 16
"""Cells of a `moment`."""


def moment(at: str, zone: tzinfo | None = None) -> str:
    """Return the date and time of a UTC text of the records in local time, or in `zone`."""
    try:
        return f"{datetime.fromisoformat(at).astimezone(zone):%Y-%m-%d %H:%M}"
    except (ValueError, OverflowError):  # written by another program: shown as it is
        return clean(at)[:WIDTH]


_DATE = re.compile(r"\d{4}-[\d-]*")


def within_date(word: str, zone: tzinfo | None = None) -> tuple[str, str] | None:
    """Return the first time of a date in local time, or in `zone`, and the first after it, as UTC texts.

    The date is one as lists show it, or its beginning from the year on: `2026-1` is October to December. None
    for another word; a year alone may be a ticket's number.

    >>> from datetime import UTC
    >>> within_date("2026-10", UTC)
    ('2026-10-01T00:00:00', '2026-11-01T00:00:00')
    """
    if _DATE.fullmatch(word) is None or not "1000" < word < "9999":
        return None
    first = datetime(int(word[:4]), 1, 1)
    whole = (first + timedelta(count) for count in range(366))
    days = [one for one in whole if f"{one:%Y-%m-%d}".startswith(word)]
    if not days:
        return None
    low, high = (at.replace(tzinfo=zone).astimezone(UTC) for at in (days[0], days[-1] + timedelta(1)))
    return f"{low:%Y-%m-%dT%H:%M:%S}", f"{high:%Y-%m-%dT%H:%M:%S}"


def day(at: str, zone: tzinfo | None = None) -> str:
    """Return the date alone."""
    return moment(at, zone)[:10]
