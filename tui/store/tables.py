"""The tables of the records, the same on SQLite and PostgreSQL, as `steps` makes them."""

from __future__ import annotations

from sqlalchemy import Column, ForeignKey, Integer, MetaData, Table, Text, UniqueConstraint

metadata = MetaData()


def _text(name: str, *more: ForeignKey, key: bool = False, empty: bool = False) -> Column[str]:
    return Column(name, Text, *more, primary_key=key, nullable=empty)


customer = Table(
    "customer",
    metadata,
    _text("uid", key=True),
    _text("name"),
    _text("ticket"),
    UniqueConstraint("name", "ticket"),
)
"""Who a job is for: a name or a ticket number, whichever is known; the other is empty."""

bike = Table(
    "bike",
    metadata,
    _text("uid", key=True),
    _text("customer", ForeignKey("customer.uid")),
    _text("name"),
    UniqueConstraint("customer", "name"),
)

part = Table(
    "part",
    metadata,
    _text("digest", key=True),
    _text("kind"),
    _text("name"),
    _text("text"),
    _text("words"),
    _text("first_at"),
    _text("hidden_at", empty=True),
)
"""A frame with its curve or the hardware of a shock, by its content: it never changes, another value is
another part of the same name. `kind` is "frame", "coil" or "air", `text` its table in a job file."""

job = Table(
    "job",
    metadata,
    _text("uid", key=True),
    _text("bike", ForeignKey("bike.uid")),
    _text("title"),
    _text("hardware"),
    _text("words"),
    Column("latest", Integer, nullable=False),
    Column("versions", Integer, nullable=False),
    _text("saved_at"),
    _text("saved_by"),
    _text("deleted_at", empty=True),
)
"""A job as its latest revision has it. `words` is all that finds it, `versions` how many revisions stand side
by side that nobody went on from."""

revision = Table(
    "revision",
    metadata,
    _text("uid", key=True),
    _text("job", ForeignKey("job.uid")),
    Column("number", Integer, nullable=False),
    Column("parent", Integer, nullable=True),
    Column("settles", Integer, nullable=True),
    _text("saved_at"),
    _text("saved_by"),
    _text("note"),
    _text("text"),
    UniqueConstraint("job", "number"),
)
"""One saved state of a job, as the text of a job file; it never changes. `parent` is the revision it was made
from, `settles` another one that it was chosen over."""

fitting = Table(
    "fitting",
    metadata,
    _text("revision", ForeignKey("revision.uid"), key=True),
    _text("place", key=True),
    _text("part", ForeignKey("part.digest")),
)
"""Which part a revision has at a place: a path in the job such as "frame" or "front.setup.0"."""

TABLES: tuple[Table, ...] = (customer, bike, part, job, revision, fitting)
"""Every table, each behind those that it points to."""
