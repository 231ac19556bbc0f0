"""The schema, one step after another. A step that was ever released stays as it is: a new one changes more.

The statements are those that SQLite and PostgreSQL share.
"""

from __future__ import annotations

Step = tuple[str, ...]

STEPS: tuple[Step, ...] = (
    (
        "CREATE TABLE customer (uid TEXT PRIMARY KEY, name TEXT NOT NULL, ticket TEXT NOT NULL,"
        " UNIQUE (name, ticket))",
        "CREATE TABLE bike (uid TEXT PRIMARY KEY, customer TEXT NOT NULL REFERENCES customer (uid),"
        " name TEXT NOT NULL, UNIQUE (customer, name))",
        "CREATE TABLE part (digest TEXT PRIMARY KEY, kind TEXT NOT NULL, name TEXT NOT NULL,"
        " text TEXT NOT NULL, words TEXT NOT NULL, first_at TEXT NOT NULL, hidden_at TEXT)",
        "CREATE TABLE job (uid TEXT PRIMARY KEY, bike TEXT NOT NULL REFERENCES bike (uid),"
        " title TEXT NOT NULL, hardware TEXT NOT NULL, words TEXT NOT NULL,"
        " latest INTEGER NOT NULL, versions INTEGER NOT NULL, saved_at TEXT NOT NULL,"
        " saved_by TEXT NOT NULL, deleted_at TEXT)",
        "CREATE TABLE revision (uid TEXT PRIMARY KEY, job TEXT NOT NULL REFERENCES job (uid),"
        " number INTEGER NOT NULL, parent INTEGER, settles INTEGER, saved_at TEXT NOT NULL,"
        " saved_by TEXT NOT NULL, note TEXT NOT NULL, text TEXT NOT NULL, UNIQUE (job, number))",
        "CREATE TABLE fitting (revision TEXT NOT NULL REFERENCES revision (uid), place TEXT NOT NULL,"
        " part TEXT NOT NULL REFERENCES part (digest), PRIMARY KEY (revision, place))",
    ),
    (
        "CREATE INDEX job_newest ON job (saved_at)",
        "CREATE INDEX job_of_bike ON job (bike)",
        "CREATE INDEX fitting_of_part ON fitting (part)",
    ),
)
"""The steps from an empty database on; their count is the version of the schema."""

VERSION = len(STEPS)
