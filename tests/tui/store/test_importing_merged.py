"""Records brought into records: what is here stays, what comes is kept, and whoever asks is told."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.tui.store.jobs import job_for, weighing
from tui.store.address import StoreAddress
from tui.store.content import disagreements, flaws
from tui.store.demo_shop import put_in_demo_shop
from tui.store.importing import Merged, merge
from tui.store.opening import open_store
from tui.store.reading import Content, all_rows
from tui.store.store import Store

NOW = datetime(2026, 5, 4, 10, 30, tzinfo=UTC)


@pytest.fixture
def other(tmp_path: Path, store: Store) -> Iterator[Store]:
    """Records of another shop, in a file."""
    with closing(open_store(StoreAddress(tmp_path / "other" / "records.sqlite"))) as opened:
        yield opened


def brought(source: Store, into: Store) -> Merged:
    """Bring everything of one store into another, which stays sound."""
    with into.writing() as connection:
        merged = merge(connection, all_rows(source.engine))
    content = all_rows(into.engine)
    assert flaws(content) == ()
    assert list(disagreements(content)) == []
    return merged


def texts(content: Content) -> list[str]:
    return sorted(row["text"] for row in content["revision"])


def changed(store: Store, *statements: str) -> None:
    assert store.place.file is not None
    with closing(sqlite3.connect(store.place.file, isolation_level=None)) as connection:
        for statement in statements:
            connection.execute(statement)


@pytest.mark.slow
def test_what_is_here_already_is_left_as_it_is(store: Store, other: Store) -> None:
    put_in_demo_shop(store, NOW)
    brought(store, other)
    before = all_rows(other.engine)
    merged = brought(store, other)
    assert all_rows(other.engine) == before
    assert sum(merged.new.values()) == 0
    assert merged.known["revision"] == len(before["revision"])
    assert (merged.known["job"], merged.known["customer"], merged.told) == (12, 6, [])


@pytest.mark.slow
def test_two_shops_become_one(store: Store, other: Store) -> None:
    put_in_demo_shop(store, NOW)
    other.save(job_for("Eva Pine"), "Ana")
    merged = brought(other, store)
    assert (merged.new["job"], merged.known["job"], merged.told) == (1, 0, [])
    assert len(store.find().entries) == 13


def test_the_same_customer_and_bike_are_one_whichever_record_began_them(store: Store, other: Store) -> None:
    mine = store.save(job_for("Ida Fern", "green"), "Mo").entry
    other.save(weighing(job_for("Ida Fern", "green"), "70 kg"), "Ana")
    merged = brought(other, store)
    assert (merged.known["customer"], merged.known["bike"], merged.new["job"]) == (1, 1, 1)
    assert len(store.timeline(mine.job)) == 2


def test_what_went_on_elsewhere_goes_on_here(store: Store, other: Store) -> None:
    entry = store.save(job_for("Ida", "green"), "Mo").entry
    brought(store, other)
    other.save(weighing(job_for("Ida", "red"), "70 kg"), "Ana", entry=entry, note="at home")
    merged = brought(other, store)
    assert (merged.new["revision"], merged.known["revision"], merged.told) == (1, 1, [])
    [found] = store.find("at home").entries
    assert (found.latest, found.versions, found.bike) == (2, 1, "red")


def test_revisions_of_one_number_are_kept_beside_each_other_and_told(store: Store, other: Store) -> None:
    entry = store.save(job_for("Ida"), "Mo").entry
    brought(store, other)
    mine = store.save(weighing(job_for("Ida"), "70 kg"), "Mo", entry=entry)
    theirs = other.save(weighing(job_for("Ida"), "80 kg"), "Ana", entry=entry)
    other.save(weighing(job_for("Ida"), "81 kg"), "Ana", entry=theirs.entry)
    merged = brought(other, store)
    kept = store.revisions(entry.job)
    assert [(r.number, r.parent, r.saved_by) for r in kept] == [
        (1, None, "Mo"), (2, 1, "Mo"), (3, 1, "Ana"), (4, 3, "Ana"),
    ]  # fmt: skip
    assert kept[1] == mine.revision
    assert kept[2].uid == theirs.revision.uid
    assert store.open_ends(entry.job) == (2, 4)
    assert [line.split(": ")[1] for line in merged.told] == [
        "its revision 2 is kept as revision 3 next to those here",
        "its revision 3 is kept as revision 4 next to those here",
    ]
    again = brought(other, store)
    assert sum(again.new.values()) == 0
    assert store.revisions(entry.job) == kept
    back = brought(store, other)
    assert back.new["revision"] == 1
    assert texts(all_rows(other.engine)) == texts(all_rows(store.engine))


def test_an_id_that_stands_for_something_else_here_is_kept_beside(store: Store, other: Store) -> None:
    framed = job_for("Ida").with_value(("frame", "name"), "steel (invented)")
    entry = store.save(framed, "Mo").entry
    brought(store, other)
    changed(other, "UPDATE revision SET note = 'not what was saved'")
    merged = brought(other, store)
    one, two = store.revisions(entry.job)
    assert (one.note, two.note, two.parent) == ("", "not what was saved", None)
    assert one.uid != two.uid
    assert merged.told[0].endswith(
        "its revision 1 is kept as revision 2 next to those here, which has the same id"
    )
    assert len(all_rows(store.engine)["fitting"]) == 2
    assert sum(brought(other, store).new.values()) == 0, "the same again is known"


def test_an_id_of_a_customer_that_is_somebody_else_here_is_given_anew(store: Store, other: Store) -> None:
    store.save(job_for("Ida", "green"), "Mo")
    brought(store, other)
    other.purge()
    changed(
        other,
        "UPDATE customer SET name = 'Otto'",
        "UPDATE revision SET uid = substr(uid, 2) || substr(uid, 1, 1)",
        "UPDATE revision SET job = substr(job, 2) || substr(job, 1, 1)",
        "UPDATE job SET uid = substr(uid, 2) || substr(uid, 1, 1)",
    )
    with store.writing() as connection:
        merge(connection, all_rows(other.engine))
    assert sorted(found.customer for found in store.find().entries) == ["Ida", "Otto"]
    with store.writing() as connection:
        again = merge(connection, all_rows(other.engine))
    assert sum(again.new.values()) == 0


def test_which_of_two_was_chosen_stays_as_it_is_here(store: Store, other: Store) -> None:
    entry = store.save(job_for("Ida"), "Mo").entry
    for rider in ("70 kg", "80 kg"):
        store.save(weighing(job_for("Ida"), rider), "Mo", entry=entry)
    brought(store, other)
    other.settle(entry.job, chosen=2, over=3)
    merged = brought(other, store)
    assert store.open_ends(entry.job) == (2, 3)
    assert "revision 2 is the chosen version there and not here" in merged.told[0]
    assert brought(store, other).told == [], "nothing was chosen here"


@pytest.mark.slow
def test_deleted_stays_deleted_unless_more_of_it_comes(store: Store, other: Store) -> None:
    entry = store.save(job_for("Ida"), "Mo").entry
    brought(store, other)
    store.delete(entry.job)
    brought(other, store)
    assert store.find().entries == ()
    other.save(weighing(job_for("Ida"), "70 kg"), "Ana", entry=entry)
    merged = brought(other, store)
    assert len(store.find().entries) == 1
    assert "was deleted here and is restored" in merged.told[0]
    other.delete(entry.job)
    brought(other, store)
    assert len(store.find().entries) == 1, "what was deleted there is still here"


@pytest.mark.slow
def test_a_part_hidden_here_stays_hidden(store: Store, other: Store) -> None:
    put_in_demo_shop(store, NOW)
    brought(store, other)
    store.hide_part(store.parts("Hire", "frame")[0].digest)
    brought(other, store)
    assert store.parts("Hire", "frame") == ()


@pytest.mark.slow
def test_many_jobs_come_in_at_once(store: Store, other: Store) -> None:
    for number in range(3):
        put_in_demo_shop(other, NOW)
        assert len(other.find().entries) == 12 * (number + 1)
    assert brought(other, store).new["job"] == 36
