"""The invented shop: every job of it is sound and answered, and everything says that it is invented."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from tui.job.answer import answer_job
from tui.store.content import disagreements, flaws
from tui.store.demo_shop import put_in_demo_shop
from tui.store.reading import all_rows
from tui.store.store import Store
from tui.subjects.measurements import measured_rows

NOW = datetime(2026, 5, 4, 10, 30, tzinfo=UTC)


@pytest.mark.slow
def test_every_revision_is_answered_without_faults_and_solved(file_store: Store) -> None:
    put_in_demo_shop(file_store, NOW)
    measured = 0
    for found in file_store.find().entries:
        for revision in file_store.revisions(found.uid):
            answered = answer_job(revision.job)
            assert {setup.state for setup in answered.answer.setups} == {"ok"}, found.title
            measured += len(measured_rows(answered))
    assert measured > 10


def test_everything_in_it_says_that_it_is_invented(file_store: Store) -> None:
    put_in_demo_shop(file_store, NOW)
    for found in file_store.find().entries:
        assert "(invented)" in found.title
        assert "(invented)" in found.customer or "(invented)" in found.ticket
        assert all("(invented)" in name for name in found.hardware.split(", ")[:1])
        assert "(invented)" in found.saved_by
    for part in file_store.parts("", "frame", "coil", "air"):
        assert part.name.endswith("(invented)") or part.name.endswith("hire (invented)")


@pytest.mark.slow
def test_it_is_weeks_of_work_before_now_with_two_versions_of_one_job(store: Store) -> None:
    assert put_in_demo_shop(store, NOW) == 12
    entries = store.find().entries
    assert len(entries) == 12
    times = [revision.saved_at for found in entries for revision in store.revisions(found.uid)]
    assert max(times) < "2026-05-04"
    assert min(times) < "2026-03-01"
    assert sorted(found.versions for found in entries) == [1] * 11 + [2]
    assert len({found.customer for found in entries}) == 6
    assert len(store.timeline(entries[0].uid)) > len(store.revisions(entries[0].uid))
    assert {part.uses for part in store.parts("Long frame", "frame")} == {4}


@pytest.mark.slow
def test_its_rows_are_sound(store: Store) -> None:
    put_in_demo_shop(store, NOW)
    content = all_rows(store.engine)
    assert flaws(content) == ()
    assert list(disagreements(content)) == []
