"""What a job for the next rider keeps, what a line of the timeline says, and when it was."""

from __future__ import annotations

from datetime import timedelta, timezone

import pytest

from tests.confirmed import confirmed_demo
from tests.tui.store.jobs import job_for, weighing
from tui.bench.files import names_of
from tui.bench.state import open_bench
from tui.job.demo import demo_job
from tui.job.files import toml_text
from tui.job.job import History, Job
from tui.records.exchange import for_next_rider, take_shock
from tui.records.lines import details
from tui.records.looking import open_ends, timeline_lines, version_lines
from tui.shop_units import USUAL
from tui.store.kept import Part, Revision, day, moment


def revision(
    job: Job, number: int, parent: int | None, uid: str = "j", settles: int | None = None
) -> Revision:
    at = f"2026-03-{number:02}T10:00:00.000000Z"
    return Revision(f"{uid}{number}", uid, number, parent, settles, at, "Mo", "", toml_text(job, None))


@pytest.mark.parametrize(
    ("title", "left"),
    [
        ("Ann Moss, stand 3", "stand 3"),
        ("Trail bike of ann moss", "Trail bike of"),
        ("Moss's trail bike", "trail bike"),
        ("T-17: trail bike", "trail bike"),
        ("Annealed coil", "Annealed coil"),
        ("Ann Moss", None),
        ("Trail bike", "Trail bike"),
    ],
)
def test_the_title_is_cleared_of_the_last_rider(title: str, left: str | None) -> None:
    job = demo_job().with_value(("title",), title).with_value(("record", "customer"), "Ann Moss")
    assert for_next_rider(job.with_value(("record", "ticket"), "T-17")).get(("title",)) == left


def test_only_the_rider_goes() -> None:
    job = job_for("Ann", "Trail M", ticket="17").with_value(("measured", "sag"), "43 mm")
    job = job.with_value(("front", "measured", "sag"), "30 mm").with_value(("ridden", "symptom"), "wallows")
    after = for_next_rider(job)
    assert after.get(("record",)) == {"bike": "Trail M"}
    assert [after.get(path) for path in (("measured",), ("front", "measured"), ("ridden",))] == [None] * 3
    for key in ("load", "frame", "setup", "target"):
        assert after.tree[key] == job.tree[key]
    confirmed = for_next_rider(confirmed_demo())
    assert confirmed.unconfirmed == (("load", "rider_mass"),)
    weighed = confirmed_demo().with_value(("load",), {"scale_mass": "60 kg", "unsprung_mass": "4 kg"})
    assert for_next_rider(weighed).unconfirmed == (("load", "scale_mass"),)
    assert for_next_rider(demo_job()) == demo_job()


def test_the_clock_is_that_of_the_shop() -> None:
    east = timezone(timedelta(hours=2))
    assert moment("2026-03-01T23:30:00.000000Z", east) == "2026-03-02 01:30"
    assert day("2026-03-01T23:30:00.000000Z", east) == "2026-03-02"
    assert moment("some day\x1b[2J") == "some day[2J"


def test_each_revision_is_held_against_the_one_it_was_made_from() -> None:
    job = job_for("Ann")
    lines = timeline_lines(
        [
            revision(job, 1, None),
            revision(weighing(job, "85 kg"), 2, 1),
            revision(weighing(job, "90 kg"), 3, 1),
            revision(job.with_value(("title",), "Later"), 1, None, "k"),
        ],
        USUAL,
    )
    later, third, second, first = lines
    assert first.changes == ("first saved",)
    assert "rider mass 82 → 85 kg" in second.changes
    assert (second.since, third.since) == ("", "since rev 1")
    assert "rider mass 82 → 90 kg" in third.changes
    assert (second.beside, third.beside) == ("conflicts with rev 3", "conflicts with rev 2")
    assert "rider mass 90 → 82 kg" in later.changes
    assert any(change.startswith("job title ") for change in later.changes)


def test_versions_are_held_against_each_other() -> None:
    job = job_for("Ann")
    newest, older = version_lines([revision(job, 2, 1), revision(weighing(job, "90 kg"), 3, 1)], USUAL)
    assert (newest.since, older.since) == ("against rev 2", "against rev 3")
    assert "rider mass 82 → 90 kg" in newest.changes
    assert "rider mass 90 → 82 kg" in older.changes


def test_what_is_compared_is_named_by_what_tells_it_apart() -> None:
    ann, ben = job_for("Ann"), job_for("", ticket="17")
    first, second = revision(ann, 1, None), revision(ann, 2, 1)
    assert names_of(first, second) == ("rev 1", "rev 2")
    assert names_of(first, revision(ann, 2, 1, uid="k")) == ("2026-03-01", "2026-03-02")
    assert names_of(first, revision(ann, 1, None, uid="k")) == ("rev 1", "rev 1 later")
    assert names_of(first, revision(ben, 2, 1, uid="k")) == ("Ann 2026-03-01", "17 2026-03-02")


def test_a_settled_version_is_no_open_end() -> None:
    job = job_for("Ann")
    side_by_side = [revision(job, 1, None), revision(job, 2, 1), revision(job, 3, 1)]
    assert open_ends(side_by_side) == (2, 3)
    settled = [*side_by_side[:2], revision(job, 3, 1, settles=2)]
    assert open_ends(settled) == (3,)


def test_a_damaged_revision_is_told_and_the_others_are_shown() -> None:
    job = job_for("Ann")
    broken = Revision("x", "j", 2, 1, None, "2026-03-02T10:00:00Z", "Mo", "", "this is = no = job")
    newest, damaged, first = timeline_lines(
        [revision(job, 1, None), broken, revision(weighing(job, "85 kg"), 3, 2)], USUAL
    )
    assert damaged.changes == ("this revision is damaged and cannot be read",)
    assert newest.changes == ("the previous one cannot be read",)
    assert first.changes == ("first saved",)


def test_a_revision_that_changed_nothing_says_so_in_a_sentence() -> None:
    job = job_for("Ann")
    revisions = [revision(job, 1, None), revision(job, 2, 1), revision(weighing(job, "85 kg"), 3, 2)]
    third, second, first = (
        [text for text, _role in details(line)] for line in timeline_lines(revisions, USUAL)
    )
    assert "First saved." in first
    assert "Nothing changed." in second
    assert any(text.startswith("Changed: rider mass 82 → 85 kg") for text in third)


def test_a_pressure_that_nobody_has_set_is_told_when_a_shock_is_taken() -> None:
    hardware = {"kind": "air", "shock": "Valve can", "negative": "separate", "bore": "41 mm"}
    part = Part("d", "air", "Valve can", hardware, "2026-03-01T09:00:00.000000Z", 1)
    state = open_bench(History.starting_at(demo_job()))
    taken = take_shock(state, part)
    assert taken.job.setups[taken.setup].get("negative_pressure") == "150 psi"
    assert taken.note.startswith("Set the negative pressure: 150 psi is only a start.")
    again = take_shock(taken, part)
    assert again.job.setups[again.setup].get("negative_pressure") == "150 psi"
    assert "only a start" not in again.note
