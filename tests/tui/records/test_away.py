"""Parts taken into the job; what is deleted, taken back, erased for good; records that fail meanwhile."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.tui.records.conftest import SIZES, records, save
from tests.tui.store.jobs import job_for
from tui.job.demo import demo_job
from tui.job.wheels import wheel_job
from tui.kit.dialogs import Question
from tui.records.state import Page
from tui.store.store import Store
from tui.store.trouble import StoreTrouble

REAR = wheel_job(demo_job(), "rear")


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_deleting_and_taking_it_back_in_turn(shop: Store, place: Path, size: tuple[int, int]) -> None:
    async with records(place, size) as bench:
        await bench.do("delete")
        assert isinstance(bench.pilot.app.screen, Question)
        assert "Delete this job?" in bench.seen
        assert "Cleo" in bench.seen
        assert "D           delete it" in bench.seen
        # Neither Enter nor Escape deletes; Escape closes the question.
        await bench.do("enter", "escape")
        assert len(bench.lines()) == 3
        await bench.do("delete", "d")
        assert "Deleted; Space, then u restores it: Cleo." in bench.part("detail")
        await bench.do("delete", "d")
        assert len(bench.lines()) == 1
        assert "u restores it: Ben" in bench.part("detail")
        await bench.do(":put_back")
        assert "Ben" in bench.part("list")
        assert len(bench.lines()) == 2
        await bench.do(":put_back")
        assert len(bench.lines()) == 3
        await bench.do(":put_back")
        assert "not now, nothing was removed here" in bench.part("detail")
        assert len(shop.find().entries) == 3


async def test_delete_after_a_restore_is_about_the_job_restored(shop: Store, place: Path) -> None:
    async with records(place) as bench:
        await bench.do("down", "delete", "d")
        assert "Deleted; Space, then u restores it: Ben." in bench.part("detail")
        await bench.do("home")
        await bench.do(":put_back")
        assert "Ben" in next(line for line in bench.lines() if "›" in line)
        await bench.do("delete")
        assert "Ben" in bench.seen.partition("Delete this job?")[2]


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_what_was_deleted_stands_on_its_page_and_goes_back(
    shop: Store, place: Path, size: tuple[int, int]
) -> None:
    shop.delete(shop.find("ben").entries[0].uid)
    async with records(place, size) as bench:
        await bench.do("shift+tab")
        assert "1 deleted job" in bench.part("count")
        assert "Ben" in bench.lines()[0]
        await bench.do("enter")
        assert "Restored: Ben." in bench.part("detail")
        assert "Nothing is deleted." in bench.part("list")
        assert len(shop.find().entries) == 3


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_erasing_asks_twice_and_makes_a_backup_first(
    shop: Store, place: Path, size: tuple[int, int]
) -> None:
    for name in ("ben", "ann"):
        shop.delete(shop.find(name).entries[0].uid)
    async with records(place, size) as bench:
        await bench.do("shift+tab", ":purge")
        assert "erase 2 jobs for good" in bench.seen
        await bench.do("escape")
        await bench.do(":purge", "e")
        assert "Really erase 2 jobs for good?" in bench.seen
        assert "There is no undo." in bench.seen
        await bench.do("e", "escape")
        assert len(shop.find(deleted=True).entries) == 2
        await bench.do(":purge", "e", "y")
        assert "2 jobs are erased for good" in bench.seen
        (backup,) = (place.parent / "backups").iterdir()
        assert backup.name in "".join(bench.seen.replace("│", " ").split())
        await bench.do("escape")
        assert "Nothing is deleted." in bench.part("list")
        assert [len(shop.find(deleted=deleted).entries) for deleted in (False, True)] == [1, 0]


@pytest.mark.slow
async def test_where_no_backup_can_be_made_nothing_is_erased(
    shop: Store, place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop.delete(shop.find("ben").entries[0].uid)

    def full(_self: Store) -> Path:
        raise StoreTrouble("the disk is full", "make room")

    monkeypatch.setattr(Store, "back_up", full)
    async with records(place) as bench:
        await bench.do("shift+tab", ":purge", "e", "y")
        assert "Nothing is erased: the disk is full" in bench.part("detail")
        assert len(shop.find(deleted=True).entries) == 1


@pytest.mark.parametrize("size", SIZES)
async def test_a_frame_goes_into_the_job_as_one_edit(shop: Store, place: Path, size: tuple[int, int]) -> None:
    other = REAR.with_value(("frame", "stroke"), "55 mm").with_value(("frame", "wheel_travel"), "140 mm")
    async with records(place, size, other) as bench:
        await bench.do("tab")
        assert "1 frame" in bench.part("count")
        assert "Trail M frame" in bench.lines()[0]
        assert "in 1 job" in bench.part("detail")
        await bench.do("enter")
        assert bench.state.job.get(("frame", "stroke")) == "60 mm"
        assert bench.state.job.get(("frame", "name")) == "Trail M frame"
        assert not bench.state.bike_faults
        assert "u undoes it" in bench.text("note")
        await bench.do("u")
        assert bench.state.job == other


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_a_shock_goes_into_the_setup_of_its_kind_and_keeps_what_is_set(
    shop: Store, place: Path, size: tuple[int, int]
) -> None:
    bike = REAR.with_value(("setup", 1, "bore"), "38 mm").with_value(("setup", 1, "pressure"), "210 psi")
    async with records(place, size, bike) as bench:
        await bench.do("escape", "tab", "tab", "right")
        await bench.act("records")
        await bench.do("tab", "tab")
        assert bench.state.setup == 1
        assert "1 shock" in bench.part("count")
        await bench.do("enter")
        setup = bench.state.job.setups[1]
        assert [setup.get(key) for key in ("name", "shock", "bore", "pressure")] == [
            "air",
            "Air can",
            "41 mm",
            "210 psi",
        ]
        await bench.do("u")
        assert bench.state.job == bike


@pytest.mark.slow
async def test_a_shock_of_another_kind_is_a_new_setup(shop: Store, place: Path) -> None:
    async with records(place, job=REAR) as bench:
        await bench.do("tab", "tab", "enter")
        assert len(bench.state.job.setups) == 3
        assert bench.state.job.setups[2].get("pressure") == "solve"
        assert bench.state.job.setups[2].get("name") == "Air can"
        assert not bench.state.bike_faults


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_parts_of_one_name_are_told_apart_and_taken_off_the_list(
    shop: Store, place: Path, size: tuple[int, int]
) -> None:
    job = job_for("Dee").with_value(("frame", "name"), "Trail M frame")
    save(shop, job.with_value(("frame", "stroke"), "57.5 mm"))
    async with records(place, size) as bench:
        await bench.do("tab")
        assert "newest of 2" in bench.lines()[0]
        assert "older, of 2" in bench.lines()[1]
        await bench.do("down")
        assert "shock stroke 57.5 → 60 mm" in " ".join(bench.part("detail").split())
        await bench.do("delete")
        assert "Remove this part?" in bench.seen
        await bench.do("r")
        assert len(bench.lines()) == 1
        assert len(shop.parts("", "frame")) == 1
        await bench.do(":put_back")
        assert len(bench.lines()) == 2


@pytest.mark.slow
async def test_records_that_fail_leave_the_last_list_and_say_why(
    shop: Store, place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with records(place) as bench:

        def broken(*_asked: object, **_more: object) -> None:
            raise StoreTrouble("the server of the records does not answer", "try again")

        with monkeypatch.context() as patch:
            for name in ("find", "delete", "revision", "parts"):
                patch.setattr(Store, name, broken)
            await bench.do("b")
            assert "does not answer" in bench.part("count")
            assert "Old list: " in bench.part("count")
            assert len(bench.lines()) == 3
            await bench.do("up", "delete", "d")
            assert "Nothing is changed: the server" in bench.part("detail")
            await bench.do("down", "enter")
            assert "does not answer" in bench.part("detail")
            await bench.do("tab")
            assert bench.front.state.page is Page.FRAMES
            await bench.do("shift+tab")
        await bench.do(":reload")
        assert "does not answer" not in bench.part("count")
        assert "Ben" in bench.part("list")


async def test_what_was_erased_meanwhile_is_told(shop: Store, place: Path) -> None:
    async with records(place) as bench:
        await bench.find("ben")
        shop.delete(shop.find("ben").entries[0].uid)
        shop.purge()
        await bench.do("enter")
        assert "No longer in the records" in bench.part("detail")


@pytest.mark.slow
async def test_what_happened_to_the_file_is_told_in_full(place: Path) -> None:
    place.write_bytes(b"SQLite format 3\0" + b"no database at all, by any means" * 40)
    async with records(place) as bench:
        assert isinstance(bench.pilot.app.screen, Question)
        assert "kept as" in " ".join(bench.seen.split())
        await bench.do("escape")
        assert bench.front.state.is_empty
        await bench.do("escape")
        await bench.act("records")
        assert not isinstance(bench.pilot.app.screen, Question)
