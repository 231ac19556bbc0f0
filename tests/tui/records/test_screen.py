"""The records as a person meets them: found, opened, compared, in every size, and no key that breaks them."""

from __future__ import annotations

import random
import re
from pathlib import Path

import pytest
from textual import events

from tests.tui.bench.conftest import Bench
from tests.tui.records.conftest import SIZES, RecordsBench, records, save
from tests.tui.store.jobs import job_for, weighing
from tui.job.demo import demo_job
from tui.kit.keymap import PROGRAM, key_text
from tui.kit.scrolling import ScrolledText
from tui.linkage.screen import LinkageScreen
from tui.records.commands import show_records
from tui.records.keymap import KEYMAP
from tui.records.screen import RecordsScreen
from tui.records.state import PAGES, Page, RevisionLine
from tui.store.records import Records
from tui.store.store import Store

ALL_SIZES = [(1, 1), (20, 5), (40, 12), (60, 20), *SIZES, (200, 60)]
STEERING = re.compile(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")


@pytest.mark.parametrize("size", SIZES)
async def test_it_lists_the_newest_jobs_with_what_tells_them_apart(
    shop: Store, place: Path, size: tuple[int, int]
) -> None:
    async with records(place, size) as bench:
        lines = bench.lines()
        assert [name in line for name, line in zip(("Cleo", "Ben", "Ann"), lines, strict=True)] == [True] * 3
        assert "3 jobs" in bench.part("count")
        assert "2 versions" in lines[0]
        assert "rev 1" in lines[1]
        assert "rev 3" in lines[2]
        assert re.search(r"\d{4}-\d\d-\d\d \d\d:\d\d", lines[0])
        assert "Mo" in lines[1]
        assert "Hardtail" in lines[1]
        assert ("Trail M frame" in lines[2]) == (size[0] >= 110)
        await bench.do("end")
        assert "Hardware: Trail M frame, Air can." in bench.part("detail")


@pytest.mark.parametrize("size", SIZES)
async def test_letters_and_digits_narrow_the_list_and_escape_clears_then_closes(
    shop: Store, place: Path, size: tuple[int, int]
) -> None:
    async with records(place, size) as bench:
        await bench.find("hardt")
        assert len(bench.lines()) == 1
        assert "Find: hardt" in bench.part("search")
        assert "1 job" in bench.part("count")
        await bench.find("xyz9")
        assert "no jobs" in bench.part("count")
        assert "Nothing has all these words" in bench.part("list")
        await bench.do("backspace", "backspace", "backspace", "backspace")
        assert len(bench.lines()) == 1
        await bench.do("escape")
        assert len(bench.lines()) == 3
        await bench.do("escape")
        assert bench.on_bench


@pytest.mark.slow
async def test_what_is_typed_can_be_edited_and_pasted(shop: Store, place: Path) -> None:
    async with records(place) as bench:
        await bench.find("en")
        await bench.do("left", "left", "B")
        assert bench.front.state.search.text == "Ben"
        assert "Ben" in bench.lines()[0]
        await bench.do("ctrl+u")
        bench.front.post_message(events.Paste("cleo\nmore"))
        await bench.settle()
        assert bench.front.state.search.text == "cleo"
        assert len(bench.lines()) == 1


@pytest.mark.slow
async def test_keys_pressed_while_the_records_are_being_opened_are_meant_for_them(
    shop: Store, place: Path
) -> None:
    async with records(place) as bench:
        await bench.do("escape")
        bench.screen.session.records.close()
        bench.screen.session.records = Records(str(place))  # as at the start of a session
        before = bench.state.bike
        await Bench.do(bench, "records")
        for key in ("b", "e", "n", "up", "space", "h", "down", "enter"):
            character = " " if key == "space" else key if len(key) == 1 else None
            bench.pilot.app.post_message(events.Key(key, character))
        await bench.settle()
        assert bench.on_bench
        assert bench.state.bike != before
        assert bench.state.bike.get(("record", "customer")) == "Ben"


@pytest.mark.slow
async def test_letters_and_enter_in_one_burst_open_what_was_meant(shop: Store, place: Path) -> None:
    async with records(place) as bench:
        app = bench.pilot.app
        for key in ("b", "e", "n", "enter"):
            app.post_message(events.Key(key, key if len(key) == 1 else None))
        await bench.settle()
        assert bench.on_bench
        assert bench.state.bike.get(("record", "customer")) == "Ben"


@pytest.mark.parametrize("size", SIZES)
async def test_enter_opens_the_newest_revision_with_its_place(
    shop: Store, place: Path, size: tuple[int, int]
) -> None:
    async with records(place, size) as bench:
        await bench.find("ann")
        await bench.do("enter")
        assert bench.on_bench
        assert bench.state.bike.get(("measured", "sag")) == "43 mm"
        assert not bench.state.history.has_unsaved_changes
        entry = bench.screen.session.entry
        assert entry is not None
        assert (entry["base"], entry["seen"]) == (3, 3)
        assert "evision 3" in bench.text("note")


@pytest.mark.slow
async def test_unsaved_changes_on_the_bench_are_asked_for_first(shop: Store, place: Path) -> None:
    async with records(place) as bench:
        await bench.do("escape", "plus")
        changed = bench.state.bike
        assert changed != demo_job()
        show_records(bench.screen)
        await bench.settle()
        await bench.find("ben")
        await bench.do("enter")
        assert "not saved" in bench.seen
        await bench.do("escape")
        assert bench.state.bike == changed
        show_records(bench.screen)
        await bench.settle()
        await bench.find("ben")
        await bench.do("enter", "d")
        assert bench.state.bike.get(("record", "customer")) == "Ben"


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_versions_side_by_side_are_a_choice_with_what_differs(
    shop: Store, place: Path, size: tuple[int, int]
) -> None:
    async with records(place, size) as bench:
        await bench.do("enter")
        assert bench.front.state.page is Page.VERSIONS
        assert "2 conflicting versions" in bench.part("count")
        assert "rider mass 60 → 64 kg" in " ".join(bench.part("detail").split())
        await bench.do("down")
        assert "Against rev 3: rider mass 64 → 60 kg" in " ".join(bench.part("detail").split())
        await bench.do("enter")
        assert bench.on_bench
        assert bench.state.bike.get(("load", "rider_mass")) == "60 kg"


@pytest.mark.slow
async def test_one_of_the_versions_goes_on_once_that_is_said(shop: Store, place: Path) -> None:
    async with records(place) as bench:
        await bench.do("enter", ":settle")
        assert "Which version is current?" in bench.seen
        await bench.do("escape", ":settle", "g")
        assert bench.front.state.page is Page.JOBS
        assert "rev 3" in bench.lines()[0]
        assert shop.find("cleo").entries[0].versions == 1


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_the_timeline_tells_what_changed_what_was_measured_and_how_it_rode(
    shop: Store, place: Path, size: tuple[int, int]
) -> None:
    async with records(place, size) as bench:
        await bench.find("ann")
        await bench.do(":history")
        assert "History of Ann Trail M" in bench.part("search")
        lines = bench.lines()
        assert len(lines) == 3
        assert "nothing changed" in lines[0]
        assert "rider mass 82 → 88" in lines[1]
        assert "first saved" in lines[2]
        assert "Measured: sag 43 mm" in bench.part("detail")
        await bench.do("down")
        detail = " ".join(bench.part("detail").split())
        assert "Note: with a pack" in detail
        assert re.search(r"air pressure \d+ → \d+ psi", detail)
        await bench.find("as it came")
        assert len(bench.lines()) == 1
        await bench.do("escape")
        assert len(bench.lines()) == 3
        await bench.do("escape")
        assert bench.front.state.page is Page.JOBS
        assert bench.front.state.search.text == "ann"


@pytest.mark.slow
async def test_an_old_revision_is_opened_to_go_on_from(shop: Store, place: Path) -> None:
    async with records(place) as bench:
        await bench.find("ann")
        await bench.do(":history", "end", "enter")
        assert bench.state.bike.get(("load", "rider_mass")) == "82 kg"
        assert "the newest is 3: saving here makes a conflicting version." in bench.text("note")
        await bench.do("plus", "ctrl+s")
        found = shop.find("ann").entries[0]
        assert (found.latest, found.versions) == (4, 2)


@pytest.mark.slow
async def test_the_timeline_goes_over_all_jobs_of_a_bike(shop: Store, place: Path) -> None:
    save(shop, weighing(job_for("Ben", "Hardtail"), "75 kg"))
    async with records(place) as bench:
        await bench.find("ben")
        await bench.do(":history")
        assert "2 revisions" in bench.part("count")
        assert "rider mass 70 → 75 kg" in " ".join(bench.part("detail").split())
        lines = [line for line in bench.front.state.lines if isinstance(line, RevisionLine)]
        assert [line.revision.number for line in lines] == [1, 1]


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_a_job_for_the_next_rider_keeps_the_bike_and_not_the_customer(
    shop: Store, place: Path, size: tuple[int, int]
) -> None:
    async with records(place, size) as bench:
        await bench.find("ann")
        await bench.do(":duplicate")
        bike = bench.state.bike
        assert [bike.get(("record", key)) for key in ("customer", "ticket")] == [None, None]
        assert bike.get(("measured",)) is None
        assert bike.get(("frame", "name")) == "Trail M frame"
        assert "Ann" not in bike.title
        assert bench.state.row.path == ("load", "rider_mass")
        assert bench.screen.session.entry is None
        assert shop.find("ann").entries[0].latest == 3


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_two_revisions_are_compared_as_setups_on_the_bench(
    shop: Store, place: Path, size: tuple[int, int]
) -> None:
    async with records(place, size) as bench:
        await bench.find("ann")
        await bench.do(":history", ":compare")
        assert "marked: rev 3 of Ann" in bench.part("count")
        await bench.do(":compare")
        assert bench.front.state.mark is None
        await bench.do(":compare", "end", ":compare")
        assert "rider mass 82 → 88 kg" in bench.seen
        await bench.do("escape")
        assert bench.on_bench
        names = [setup["name"] for setup in bench.state.bike.setups]
        assert names == ["rev 1 coil", "rev 1 air", "rev 3 coil", "rev 3 air"]
        assert bench.screen.session.entry is None
        assert bench.state.answer is not None
        assert not bench.state.bike_faults
        assert len(shop.find().entries) == 3


@pytest.mark.slow
async def test_jobs_of_two_customers_are_compared_by_name(shop: Store, place: Path) -> None:
    async with records(place) as bench:
        await bench.find("ben")
        await bench.do(":compare", "escape")
        await bench.find("ann")
        assert "marked: rev 1 of Ben" in bench.part("count")
        await bench.do(":compare", "escape")
        names = [str(setup["name"]) for setup in bench.state.bike.setups]
        assert {name.split()[0] for name in names} == {"Ann", "Ben"}


@pytest.mark.slow
@pytest.mark.parametrize("size", ALL_SIZES)
async def test_every_size_shows_it_and_resizing_keeps_the_state(
    shop: Store, place: Path, size: tuple[int, int]
) -> None:
    async with records(place) as bench:
        for page in (*PAGES, None):
            await bench.resize(*size)
            assert bench.seen is not None
            await bench.resize(80, 24)
            if page is not None:
                assert bench.front.state.page is page
                assert f"[{page.value}]" in bench.seen
            await bench.do("tab")
        await bench.do("shift+tab", ":history")
        await bench.resize(*size)
        await bench.resize(80, 24)
        assert "History of Cleo" in bench.seen


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_the_key_line_fits_and_always_names_the_way_out(
    shop: Store, place: Path, size: tuple[int, int]
) -> None:
    async with records(place, size) as bench:
        for _page in PAGES:
            line = bench.part("keys")
            assert len(line) <= size[0]
            assert all(
                word in line for word in ("Escape back", "? help", "Space menu", "/ find", "[ ] lists")
            )
            await bench.do("tab")
        assert bench.part("keys").startswith(" Enter open  ")
        assert "Delete delete" in bench.part("keys")
        await bench.find("ann")
        # A character goes into the search now: the keys that are named are none.
        assert bench.part("keys") == " Enter open  Escape clear  Ctrl+P find  F1 help"
        await bench.do("up")
        assert ("Space h history" in bench.part("keys")) == (size[0] > 100)
        assert all(word in bench.part("keys") for word in ("Enter open", "Space menu", "Escape clear"))


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_plain_characters_are_enough(
    shop: Store, place: Path, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SPRINGWRIGHT_ASCII", "1")
    save(shop, job_for("Zoë 東京", "Ünique → bike"))
    async with records(place, size) as bench:
        listed = (":history", ":compare", "escape", "tab", "tab", "tab", "f1", "escape", "space", "space")
        for key in (*listed, "escape", "slash", "escape"):
            assert bench.seen.isascii()
            await bench.do(key)
        assert bench.seen.isascii()
        assert bench.front.state.page is Page.DELETED


@pytest.mark.slow
@pytest.mark.parametrize("size", [*SIZES, (200, 60)])
async def test_text_from_people_steers_nothing_and_is_cut_by_cells(
    store: Store, place: Path, size: tuple[int, int]
) -> None:
    name = "Ann\x1b[2J\u202e\x9b5m [red]x[/] 東京の自転車屋さん東京の自転車屋さん"
    job = job_for(name, "東京" * 40).with_value(("title",), "a\u0301" * 100 + "\x1b]0;owned\x07")
    job = job.with_value(("frame", "name"), name).with_value(("setup", 0, "shock"), name)
    first = save(store, job, note=name, by=name)
    save(store, weighing(job, "90 kg"), first, note=name, by=name)
    async with records(place, size) as bench:
        text = bench.part("detail")
        assert "[red]x[/]" in text
        keys = ("down", "up", "tab", "tab", "tab", "tab", "delete", "slash", "escape", "f1")
        for key in (":compare", ":history", "down", ":compare", "escape", "O", *keys):
            assert not STEERING.search(bench.seen), key
            await bench.do(key)
        assert not STEERING.search(bench.seen)
        assert "Ann" in text


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_help_stands_in_the_place_of_the_list_and_names_every_act(
    shop: Store, place: Path, size: tuple[int, int]
) -> None:
    async with records(place, size) as bench:
        await bench.do("question_mark")
        page = bench.front.query_one(ScrolledText)
        assert page.has_focus
        assert page.text.startswith("JOBS\nSaved jobs, newest first.")
        seen = set()
        for _ in range(10):
            seen |= {line.strip() for line in page.text.splitlines()}
            await bench.do("pagedown")
        text = " ".join(seen)
        for action in KEYMAP.actions:
            if action.name:
                assert f"{key_text(action)} " in text, action.id
                assert " ".join(action.meaning.split()[:4]) in text, action.id
        await bench.do("x", "tab")
        assert "Tab does nothing here. / finds." in bench.part("detail")
        assert bench.front.state.search.text == ""
        await bench.do("escape")
        assert len(bench.lines()) == 3
        assert not bench.on_bench


@pytest.mark.slow
async def test_space_opens_the_menu_at_rest_and_is_a_blank_while_one_types(shop: Store, place: Path) -> None:
    async with records(place) as bench:
        await bench.do("space")
        shown = " ".join(f"{bench.part('detail')} {bench.part('keys')}".split())
        for action in KEYMAP.shelf(Page.JOBS):
            assert f"{action.letter} {action.name}" in shown
        await bench.do("space")
        shown = " ".join(f"{bench.part('detail')} {bench.part('keys')}".split())
        for action in KEYMAP.shelf(PROGRAM):
            assert f"{action.letter} {action.name}" in shown
        await bench.do("escape")
        await bench.find("ann trail")
        assert bench.front.state.search.text == "ann trail"
        assert len(bench.lines()) == 1
        await bench.do("up", "space", "h")
        assert bench.front.state.page is Page.TIMELINE
        await bench.do("tab")
        assert "Tab does nothing here. / finds." in bench.part("detail")
        await bench.do("escape", "space", "u")
        assert "Restore the last deleted: not now, nothing was removed here" in bench.part("detail")
        await bench.do("space", "k")
        assert "The menu has no k here. / finds." in bench.part("detail")


@pytest.mark.slow
async def test_the_finder_has_acts_lists_what_the_list_shows_and_the_search(shop: Store, place: Path) -> None:
    async with records(place) as bench:
        await bench.do("slash")
        await bench.find("hardtail")
        assert "1 of " in bench.part("detail")
        await bench.do("enter")
        assert bench.front.state.line is not None
        assert "Ben" in bench.lines()[bench.front.state.cursor]
        await bench.do("slash")
        await bench.find("frames")
        await bench.do("enter")
        assert bench.front.state.page is Page.FRAMES
        await bench.do("ctrl+p")
        await bench.find("erase all")
        assert "not now: only in the list of deleted" in " ".join(bench.part("detail").split())
        await bench.do("enter")
        assert "Erase all deleted jobs: not now, only in the list of deleted." in bench.part("detail")
        await bench.do("shift+tab", "slash")
        await bench.find("ann t")
        await bench.do("pagedown", "pagedown", "enter")
        assert bench.front.state.search.text == "ann t"
        assert len(bench.lines()) == 1


@pytest.mark.slow
async def test_the_details_alone_take_the_screen_and_escape_goes_one_step_back_each_time(
    shop: Store, place: Path
) -> None:
    async with records(place) as bench:
        await bench.find("ann")
        await bench.do(":history", ":details")
        assert bench.front.query_one("#list").size.height == 0
        assert "Measured: sag 43 mm" in bench.part("detail")
        await bench.do("down")
        assert "Note: with a pack" in bench.part("detail")
        await bench.do("escape")
        assert bench.front.query_one("#list").size.height > 0
        assert bench.front.state.page is Page.TIMELINE
        await bench.do("escape")
        assert (bench.front.state.page, bench.front.state.search.text) == (Page.JOBS, "ann")
        await bench.do("escape")
        assert bench.front.state.search.text == ""
        await bench.do("escape")
        assert bench.on_bench


@pytest.mark.slow
async def test_a_line_and_a_list_are_copied_and_exported(shop: Store, place: Path, tmp_path: Path) -> None:
    heads = {
        "jobs": "customer,ticket,bike,title,hardware,saved,by,revision,conflicting versions",
        "history": "saved,by,revision,title,note,changed,conflict,measured,ride",
        "shocks": "name,kind,data,first saved,jobs",
    }
    async with records(place) as bench:
        await bench.find("ann")
        for name, keys in (
            ("jobs", ()),
            ("history", (":history",)),
            ("shocks", ("escape", "escape", "]", "]")),
        ):
            await bench.do("up", *keys)
            rows = len(bench.front.state.lines)
            await bench.do(":copy_line")
            assert "Sent to the terminal's clipboard" in bench.part("detail")
            assert {"jobs": "customer Ann", "history": "measured sag 43 mm", "shocks": "name Air can"}[
                name
            ] in bench.pilot.app.clipboard
            await bench.do(":copy_view")
            assert bench.pilot.app.clipboard.splitlines()[0].split("\t") == heads[name].split(",")
            assert len(bench.pilot.app.clipboard.splitlines()) == rows + 1
            file = tmp_path / f"{name}.csv"
            await bench.do(
                ":export", "ctrl+u", *("slash" if one == "/" else one for one in str(file)), "enter"
            )
            lines = file.read_text("utf-8-sig").splitlines()
            assert lines[0] == heads[name]
            assert len(lines) == rows + 1
            assert "is saved to" in bench.part("detail")


@pytest.mark.slow
async def test_a_click_on_a_list_or_a_word_of_the_footer_does_what_its_key_does(
    shop: Store, place: Path
) -> None:
    async with records(place) as bench:
        await bench.pilot.click("#search", offset=(bench.part("search").index("frames") + 1, 0))
        await bench.settle()
        assert bench.front.state.page is Page.FRAMES
        await bench.pilot.click("#foot", offset=(bench.part("keys").index("menu"), 5))
        await bench.settle()
        assert bench.front.state.menu
        await bench.pilot.click("#list", offset=(10, 0))
        await bench.settle()
        assert bench.front.state.menu == ""
        await bench.pilot.click("#foot", offset=(bench.part("keys").index("back"), 5))
        await bench.settle()
        assert bench.on_bench


@pytest.mark.slow
async def test_the_mouse_selects_and_opens(shop: Store, place: Path) -> None:
    async with records(place) as bench:
        await bench.pilot.click("#list", offset=(10, 1))
        await bench.settle()
        assert bench.front.state.cursor == 1
        await bench.pilot.click("#list", offset=(10, 15))
        await bench.settle()
        assert bench.front.state.cursor == 1
        await bench.pilot.click("#list", offset=(10, 1))
        await bench.settle()
        assert bench.on_bench
        assert bench.state.bike.get(("record", "customer")) == "Ben"


@pytest.mark.slow
async def test_a_key_that_bounces_leaves_once(shop: Store, place: Path) -> None:
    async with records(place) as bench:
        for _ in range(3):
            bench.pilot.app.post_message(events.Key("escape", None))
        await bench.settle()
        assert bench.on_bench
        await bench.press("plus")
        assert bench.state.history.past


KEYS = sorted({key for action in KEYMAP.actions if action.id != "suspend" for key in action.keys})
TYPED = list("abn e43x.%'/[]9")


@pytest.mark.slow
@pytest.mark.parametrize(("seed", "bursts"), [(5, 4), (3, 25), (11, 25)])
async def test_any_keys_at_any_size_end_in_no_traceback(
    shop: Store, place: Path, seed: int, bursts: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    chance = random.Random(seed)
    async with records(place) as bench:
        app = bench.pilot.app
        # The key that leaves the records leaves the program where it is pressed again.
        monkeypatch.setattr(app, "exit", lambda *_asked, **_more: None)
        for _ in range(bursts):
            for _ in range(6):
                key = chance.choice(KEYS if chance.random() < 0.7 else TYPED)
                app.post_message(events.Key(key, key if len(key) == 1 else None))
            await bench.settle()
            await bench.resize(*chance.choice(ALL_SIZES))
            if bench.on_bench:
                show_records(bench.screen)
                await bench.settle()
        await leave(bench)
        await bench.resize(120, 40)
        assert bench.text("grid").strip()


async def leave(bench: RecordsBench) -> None:
    for _ in range(20):
        if bench.on_bench:
            return
        await bench.do("escape")
    raise AssertionError(f"{bench.pilot.app.screen_stack} cannot be left")


async def test_the_finder_leads_to_what_the_bench_has(shop: Store, place: Path) -> None:
    async with records(place) as bench:
        await bench.do("slash")
        await bench.find("linkage d")
        assert "on the bench" in bench.part("detail")
        await bench.do("enter")
        assert isinstance(bench.pilot.app.screen, LinkageScreen)
        await bench.press("/", *"records", "enter")
        assert isinstance(bench.pilot.app.screen, RecordsScreen)
        await bench.do("slash")
        await bench.find("convert")
        await bench.do("enter")
        assert bench.pilot.app.screen is bench.screen
        assert bench.state.view == "match"


@pytest.mark.slow
async def test_what_the_records_have_is_found_from_the_bench_by_its_name(shop: Store, place: Path) -> None:
    async with records(place) as bench:
        await bench.press("escape")
        for words in ("deleted jobs", "demo shop", "conflicting"):
            await bench.press("/", "ctrl+u")
            await bench.write(words)
            first = bench.text("foot").splitlines()[1]
            assert "records" in first, words
            await bench.press("escape")
        await bench.press("/")
        await bench.write("known length")
        assert "linkage drawing" in bench.text("foot").splitlines()[1]
