"""The records on both databases: saved, found, brought back, erased only when asked for."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import timedelta, timezone
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import update

from tests.tui.store.jobs import job_for, weighing
from tui.job.demo import demo_job
from tui.job.job import parse
from tui.store import schema as tables
from tui.store.address import StoreAddress
from tui.store.kept import RecordLink, moment, within_date
from tui.store.opening import open_store
from tui.store.saving import settle
from tui.store.store import Store

if TYPE_CHECKING:
    from _typeshed import TraceFunction


@contextmanager
def no_more_lines_than(most: int, function: Callable[..., object]) -> Iterator[None]:
    """Fail where a function that should end goes through more lines, as a loop without an end does."""
    lines = 0

    def count(frame: FrameType, event: str, _: object) -> TraceFunction | None:
        nonlocal lines
        if frame.f_code is not function.__code__:
            return None
        lines += event == "line"
        assert lines <= most, f"{function.__name__} does not end"
        return count

    before = sys.gettrace()
    sys.settrace(count)
    try:
        yield
    finally:
        sys.settrace(before)


def test_a_saved_job_comes_back_as_it_was(store: Store) -> None:
    job = job_for("Ida Fern", "green hardtail")
    saved = store.save(job, "Mo", note="first visit")
    assert (saved.revision.number, saved.revision.parent, saved.meanwhile) == (1, None, None)
    again = store.revision(saved.entry.job, 1)
    assert again is not None
    assert again.job == job
    assert again.job.unconfirmed == job.unconfirmed != ()
    assert not store.find("rated_stroke").entries, "a key on a list is no word of the job"
    assert (again.saved_by, again.note, again.saved_at) == ("Mo", "first visit", saved.revision.saved_at)


def test_every_save_is_a_revision_and_none_changes(store: Store) -> None:
    first = job_for("Ida Fern")
    entry = store.save(first, "Mo").entry
    second = store.save(weighing(first, "84 kg"), "Mo", entry=entry)
    assert (second.revision.number, second.revision.parent) == (2, 1)
    kept = store.revisions(entry.job)
    assert [revision.job for revision in kept] == [first, weighing(first, "84 kg")]
    assert store.open_ends(entry.job) == (2,)


def test_what_was_saved_outlives_the_session(place: StoreAddress) -> None:
    one = open_store(place)
    entry = one.save(job_for("Ida Fern"), "Mo").entry
    one.close()
    two = open_store(place)
    assert [found.customer for found in two.find().entries] == ["Ida Fern"]
    assert two.revisions(entry.job)[0].job == job_for("Ida Fern")
    two.close()


def test_two_on_one_job_keep_both_and_the_second_is_told(store: Store) -> None:
    start = store.save(job_for("Ida Fern"), "Mo").entry
    hers = store.save(weighing(job_for("Ida Fern"), "80 kg"), "Ana", entry=start)
    his = store.save(weighing(job_for("Ida Fern"), "90 kg"), "Ben", entry=start)
    assert hers.meanwhile is None
    assert his.meanwhile == hers.revision
    assert (his.revision.number, his.revision.parent) == (3, 1)
    assert store.open_ends(start.job) == (2, 3)
    [found] = store.find().entries
    assert found.versions == 2
    again = store.save(weighing(job_for("Ida Fern"), "91 kg"), "Ben", entry=his.entry)
    assert again.meanwhile is None, "he was told of hers already"
    store.settle(start.job, chosen=4, over=2)
    assert store.open_ends(start.job) == (4,)
    assert store.find().entries[0].versions == 1
    assert len(store.revisions(start.job)) == 4


def test_of_three_side_by_side_one_goes_on_and_a_later_choice_counts(store: Store) -> None:
    start = store.save(job_for("Ida Fern"), "Mo").entry
    for mass in ("70 kg", "71 kg", "72 kg"):
        store.save(weighing(job_for("Ida Fern"), mass), "Ana", entry=start)
    for over in (2, 3):
        store.settle(start.job, chosen=4, over=over)
    assert store.open_ends(start.job) == (4,)
    store.settle(start.job, chosen=3, over=4)
    assert store.open_ends(start.job) == (3,)
    found = store.job(start.job)
    assert found is not None
    assert found.versions == 1


def test_choices_that_run_in_a_ring_take_another_one(file_store: Store) -> None:
    """No save makes such a ring, but a file that was written by hand may hold one."""
    start = file_store.save(job_for("Ida Fern"), "Mo").entry
    for mass in ("70 kg", "71 kg", "72 kg", "73 kg"):
        file_store.save(weighing(job_for("Ida Fern"), mass), "Ana", entry=start)
    with file_store.writing() as connection:
        for number, other in ((4, 2), (2, 3), (3, 2)):
            chosen = update(tables.revision).where(tables.revision.c.number == number)
            connection.execute(chosen.values(settles=other))
    with no_more_lines_than(1_000, settle):
        file_store.settle(start.job, chosen=4, over=5)
    assert [revision.settles for revision in file_store.revisions(start.job)] == [None, 3, 5, 2, None]
    assert file_store.open_ends(start.job) == (4,)


def test_what_was_decided_against_is_not_told_again(store: Store) -> None:
    start = store.save(job_for("Ida Fern"), "Mo").entry
    store.save(weighing(job_for("Ida Fern"), "80 kg"), "Ana", entry=start)
    store.save(weighing(job_for("Ida Fern"), "90 kg"), "Ben", entry=start)
    store.settle(start.job, chosen=2, over=3)
    late = store.save(weighing(job_for("Ida Fern"), "95 kg"), "Cleo", entry=start)
    assert late.meanwhile is not None
    assert late.meanwhile.number == 2
    assert store.open_ends(start.job) == (2, 4)


@pytest.mark.fast_cases(3)
@pytest.mark.parametrize(
    "asked",
    [
        "ida",
        "FERN ida",
        "t-77",
        "hardtail",
        "muller",
        "creaks",
        "mo",
        "82 kg",
        "demo trail",
        "  ",
    ],
)
def test_a_job_is_found_by_any_word_in_it(store: Store, asked: str) -> None:
    job = job_for("Ida Fern-Müller", "green hardtail", ticket="T-77")
    job = job.with_value(("title",), "Demo trail bike")
    store.save(job, "Mo", note="creaks when cold")
    store.save(weighing(job_for("Otto Birch"), "101.5 kg"), "Ana")
    assert "Ida Fern-Müller" in [found.customer for found in store.find(asked).entries]


def saved_at(store: Store, at: str, customer: str) -> str:
    """Save a job and put its time at another one; return its id."""
    uid = store.save(job_for(customer), "Mo").entry.job
    with store.engine.begin() as connection:
        for table, key in ((tables.job, tables.job.c.uid), (tables.revision, tables.revision.c.job)):
            connection.execute(update(table).where(key == uid).values(saved_at=at))
    return uid


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ("2026-10", "Ann"), ("2026-10-03", "Ann"), ("2026-1", "Ann Ben"), ("2026-11-", "Ben"),
        ("2026-10 ann", "Ann"), ("2026-10 ben", ""), ("2026-09", ""), ("2026-13", ""), ("2026-10-03-", ""),
        ("2025-10", ""), ("9999-1", ""),
    ],
)  # fmt: skip
def test_a_job_is_found_by_its_date_as_the_list_shows_it(store: Store, asked: str, found: str) -> None:
    saved_at(store, "2026-10-03T12:00:00.000000Z", "Ann")
    saved_at(store, "2026-11-15T12:00:00.000000Z", "Ben")
    assert sorted(one.customer for one in store.find(asked).entries) == found.split()


def test_a_date_is_that_of_the_place_where_the_list_is_read() -> None:
    east = timezone(timedelta(hours=2))
    assert moment("2026-10-02T22:30:00.000000Z", east) == "2026-10-03 00:30"
    assert within_date("2026-10-03", east) == ("2026-10-02T22:00:00", "2026-10-03T22:00:00")
    assert within_date("2026-12-3", east) == ("2026-12-29T22:00:00", "2026-12-31T22:00:00")
    assert within_date("2026", east) is None, "may be a ticket"


def test_a_deleted_job_and_a_frame_are_found_by_the_dates_that_their_lists_show(store: Store) -> None:
    uid = saved_at(store, "2026-10-03T12:00:00.000000Z", "Ann")
    store.delete(uid)
    assert not store.find("2026-10", deleted=True).entries, "that list shows when it was deleted"
    today = moment(str(store.find(deleted=True).entries[0].deleted_at))[:10]
    assert store.find(today, deleted=True).entries
    store.save(job_for("Ben").with_value(("frame", "name"), "Trail M frame"), "Mo")
    assert [part.name for part in store.parts(today, "frame")] == ["Trail M frame"]
    assert not store.parts("2020-10", "frame")


@pytest.mark.parametrize(
    "asked", ["nobody at all", "100%", "8_ kg", "8% kg", "\\", "'; drop table job; --", "x" * 5000]
)
def test_what_is_not_there_is_not_found(store: Store, asked: str) -> None:
    store.save(job_for("Ida Fern"), "Mo")
    assert store.find(asked).entries == ()


def test_the_newest_come_first_and_more_is_told(store: Store) -> None:
    for name in ("A", "B", "C"):
        store.save(job_for(f"Rider {name}"), "Mo")
    found = store.find("rider", most=2)
    assert [entry.customer for entry in found.entries] == ["Rider C", "Rider B"]
    assert found.more
    assert not store.find("rider", most=3).more


def test_a_ticket_is_enough_and_so_is_nothing(store: Store) -> None:
    store.save(demo_job().with_value(("record", "ticket"), "A-12"), "Mo")
    store.save(demo_job(), "Mo")
    assert [found.ticket for found in store.find("a-12").entries] == ["A-12"]
    assert len(store.find().entries) == 2


def test_deleted_is_out_of_sight_and_comes_back(store: Store) -> None:
    entry = store.save(job_for("Ida Fern"), "Mo").entry
    store.delete(entry.job)
    assert store.find().entries == ()
    assert [found.uid for found in store.find("ida", deleted=True).entries] == [entry.job]
    assert len(store.revisions(entry.job)) == 1
    store.restore(entry.job)
    assert [found.uid for found in store.find().entries] == [entry.job]


def test_saving_to_a_deleted_job_brings_it_back_and_says_so(store: Store) -> None:
    entry = store.save(job_for("Ida Fern"), "Mo").entry
    store.delete(entry.job)
    saved = store.save(weighing(job_for("Ida Fern"), "85 kg"), "Mo", entry=entry)
    assert saved.undeleted
    assert [found.latest for found in store.find().entries] == [2]


def test_purging_erases_the_deleted_and_nothing_else(store: Store) -> None:
    framed = job_for("Ida Fern").with_value(("frame", "name"), "steel one")
    gone = store.save(framed, "Mo").entry
    stays = store.save(job_for("Otto Birch"), "Mo").entry
    store.delete(gone.job)
    assert store.purge() == 1
    assert store.purge() == 0
    assert store.job(gone.job) is None
    assert store.parts("", "frame") == ()
    assert [found.uid for found in store.find().entries] == [stays.job]
    again = store.save(framed, "Mo", entry=gone)
    assert again.entry.job != gone.job, "what was erased is begun anew"


def test_a_bike_has_one_timeline_over_all_its_jobs(store: Store) -> None:
    first = store.save(job_for("Ida Fern", "green"), "Mo").entry
    store.save(job_for("Ida Fern", "red"), "Mo")
    store.save(weighing(job_for("Ida Fern", "green"), "79 kg"), "Mo")
    store.save(weighing(job_for("Ida Fern", "green"), "80 kg"), "Ana", entry=first)
    told = [(revision.number, revision.saved_by) for revision in store.timeline(first.job)]
    assert told == [(1, "Mo"), (1, "Mo"), (2, "Ana")]


def test_jobs_of_nobody_have_nothing_in_common(store: Store) -> None:
    one = store.save(demo_job(), "Mo").entry
    store.save(weighing(demo_job(), "70 kg"), "Mo")
    assert len(store.timeline(one.job)) == 1


def test_frames_and_shocks_are_kept_once_and_used_again(store: Store) -> None:
    job = job_for("Ida Fern").with_value(("frame", "name"), "Trail frame (invented)")
    job = job.with_value(("setup", 1, "shock"), "Long can (invented)")
    entry = store.save(job, "Mo").entry
    store.save(job.with_value(("setup", 1, "pressure"), "200 psi"), "Mo", entry=entry)
    store.save(weighing(job, "60 kg").with_value(("record", "customer"), "Otto Birch"), "Mo")
    [frame] = store.parts("trail", "frame")
    [shock] = store.parts("CAN", "air", "coil")
    assert (frame.uses, shock.uses) == (2, 2)
    assert frame.tree == job.get(("frame",))
    assert "pressure" not in shock.tree
    assert shock.tree["bore"] == "41 mm"
    changed = job.with_value(("frame", "leverage", "end"), 2.1)
    store.save(changed, "Mo")
    assert len(store.parts("trail", "frame")) == 2, "another curve is another frame of that name"
    store.hide_part(frame.digest)
    assert [part.tree for part in store.parts("", "frame")] == [changed.get(("frame",))]
    store.show_part(frame.digest)
    assert len(store.parts("", "frame")) == 2


def test_both_wheels_have_their_shocks(store: Store) -> None:
    job = job_for("Ida Fern").with_value(("front", "setup", 0, "shock"), "Fork one (invented)")
    store.save(job, "Mo")
    [fork] = store.parts("fork", "air")
    assert fork.tree["bore"] == "34 mm"
    assert store.find("fork one").entries[0].hardware == "Fork one (invented)"


def test_comments_of_a_job_stay_from_revision_to_revision(store: Store) -> None:
    text = 'format = 1  # ours\ntitle = "x"\n'
    saved = store.save(parse(text), "Mo", before=text)
    assert saved.revision.text == text
    changed = parse(text).with_value(("title",), "y")
    again = store.save(changed, "Mo", entry=saved.entry, before=saved.revision.text)
    assert again.revision.text == 'format = 1  # ours\ntitle = "y"\n'


def test_a_job_that_cannot_be_answered_is_kept_all_the_same(store: Store) -> None:
    job = parse('title = "half typed"\n[load]\nrider_mass = "eighty"\nwhen = 2026-01-02\n')
    saved = store.save(job, "Mo")
    kept = store.revision(saved.entry.job, 1)
    assert kept is not None
    assert kept.job == job


def test_hostile_text_is_kept_clean_and_whole(store: Store) -> None:
    name = "Robert'); DROP TABLE job;-- [b]\u202e\x1b[31m 名前"
    saved = store.save(job_for(name), "\x1b]0;x\x07Mo", note="=cmd()\n\x00 end")
    kept = store.revision(saved.entry.job, 1)
    assert kept is not None
    assert kept.job == job_for(name)
    assert kept.saved_by == "]0;xMo"
    assert kept.note == "=cmd()  end"
    assert store.find("名前").entries[0].uid == saved.entry.job


def test_a_backup_holds_everything_and_is_never_written_over(store: Store, tmp_path: Path) -> None:
    store.save(job_for("Ida Fern"), "Mo", note="kept")
    copy = store.back_up(tmp_path / "out" / "copy.sqlite")
    other = open_store(StoreAddress(copy))
    assert [found.customer for found in other.find().entries] == ["Ida Fern"]
    assert [r.note for r in other.revisions(other.find().entries[0].uid)] == ["kept"]
    other.close()
    with pytest.raises(Exception, match="exists already"):
        store.back_up(copy)


def test_an_entry_goes_through_a_note() -> None:
    entry = RecordLink("/data/records.sqlite", "abc", 3, 4)
    assert RecordLink.of_note(entry.as_note()) == entry
    for wrong in (None, "x", {}, {"store": 1, "job": "a", "base": 1, "seen": 1}, {"store": "s"}):
        assert RecordLink.of_note(wrong) is None
