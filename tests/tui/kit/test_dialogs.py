"""The dialogs by keyboard, from 40 to 200 columns, in both sets of characters."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from textual import events
from textual.events import Paste
from textual.widgets import Input

from tests.tui.screens import NOTHING, SIZES, Waiting, painted
from tui.kit.dialogs import (
    DISCARD,
    OPEN,
    REPLACE,
    SAVE,
    Dialog,
    Question,
    Reply,
    ReplyLine,
    ask_overwrite,
    ask_unsaved,
    tell_damaged,
    tell_recovered,
)
from tui.kit.look import ASCII, UTF8, Glyphs
from tui.kit.prompts import OpenPrompt, Prompt, Refused, SavePrompt

HOSTILE = "[red]a[/] \x1b[2J\u202eb"

Make = Callable[[Glyphs], Dialog[Any]]

EVERY: dict[str, Make] = {
    "unsaved": lambda glyphs: ask_unsaved(HOSTILE, glyphs),
    "overwrite": lambda glyphs: ask_overwrite(Path("/jobs") / HOSTILE, glyphs),
    "recovered": lambda glyphs: tell_recovered([HOSTILE, "Never saved."], glyphs),
    "damaged": lambda glyphs: tell_damaged([Path("/state") / HOSTILE], glyphs),
    "open": lambda glyphs: OpenPrompt(HOSTILE, glyphs),
    "save": lambda glyphs: SavePrompt(HOSTILE, glyphs),
}


@pytest.mark.fast_cases(4)
@pytest.mark.parametrize("name", EVERY)
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("glyphs", [UTF8, ASCII], ids=["utf8", "ascii"])
async def test_every_dialog_is_in_sight_literal_and_closed_by_escape(
    name: str, size: tuple[int, int], glyphs: Glyphs
) -> None:
    async with Waiting(EVERY[name](glyphs)).run_test(size=size) as pilot:
        await pilot.pause()
        shown = painted(pilot)
        assert "Escape" in shown
        assert "[red]a[/] [2Jb" in shown
        assert "\x1b" not in shown
        assert "\u202e" not in shown
        if glyphs.ascii:
            assert shown.isascii()
        await pilot.press("escape")
        assert pilot.app.result is None  # type: ignore[attr-defined]


@pytest.mark.fast_cases(2)
@pytest.mark.parametrize(
    ("ask", "letter", "result"),
    [
        (ask_unsaved, "s", SAVE),
        (ask_unsaved, "D", DISCARD),
        (lambda _title, glyphs: ask_overwrite(Path("x.toml"), glyphs), "r", REPLACE),
        (lambda title, glyphs: tell_recovered([title], glyphs), "o", OPEN),
        (lambda title, glyphs: tell_recovered([title], glyphs), "d", DISCARD),
    ],
)
async def test_a_letter_answers(ask: Callable[[str, Glyphs], Question], letter: str, result: str) -> None:
    app = Waiting(ask("bike", UTF8))
    async with app.run_test() as pilot:
        await pilot.press("x", "enter", "space", "tab")
        assert app.result == NOTHING
        await pilot.press(letter)
        assert app.result == result


async def test_enter_answers_where_the_question_says_so() -> None:
    replies = (Reply("1", "one", "first"), Reply("2", "two", "second"))
    app = Waiting(Question("Which", (), replies, "none", UTF8, enter=True))
    async with app.run_test() as pilot:
        await pilot.pause()
        assert "1 or Enter" in painted(pilot)
        assert "2 or Enter" not in painted(pilot)
        await pilot.press("x", "enter")
        assert app.result == "first"


REPLIES = (Reply("e", "erase", "erased"), Reply("k", "keep", "kept"))


@pytest.mark.slow
async def test_a_reply_is_selected_by_arrows_and_taken_by_enter_and_nothing_is_at_first() -> None:
    app = Waiting(Question("Erase?", (), REPLIES, "go back", UTF8))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "or Enter" not in painted(pilot)
        await pilot.press("enter")
        assert app.result == NOTHING
        assert "Enter does nothing here.   Escape  go back" in painted(pilot)
        await pilot.press("down", "down", "down")
        await pilot.pause()
        shown = " ".join(painted(pilot).split())
        assert "› K or Enter keep" in shown
        assert "does nothing" not in shown
        await pilot.press("up")
        await pilot.pause()
        assert "› E or Enter erase" in " ".join(painted(pilot).split())
        await pilot.press("enter")
        assert app.result == "erased"


async def test_a_click_on_a_reply_gives_it() -> None:
    app = Waiting(Question("Erase?", (), REPLIES, "go back", UTF8))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        lines = list(pilot.app.screen.query(ReplyLine))
        await pilot.click(lines[1], offset=(3, 0))
        await pilot.pause()
        assert app.result == "kept"


@pytest.mark.slow
async def test_what_has_no_reply_is_left_by_enter_too_and_a_key_that_does_nothing_says_so() -> None:
    app = Waiting(tell_damaged([Path("x")], UTF8))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("k")
        await pilot.pause()
        assert "k does nothing here." in painted(pilot)
        assert app.result == NOTHING
        await pilot.press("enter")
        assert app.result is None
    asking = Waiting(Sized("", UTF8, "Size", "Of a shock"))
    async with asking.run_test(size=(80, 24)) as pilot:
        await pilot.press("f4")
        await pilot.pause()
        assert "F4 does nothing here." in painted(pilot)
        assert " mm" in painted(pilot)
        await pilot.press(*"230x60", "enter")
        assert asking.result == "230x60"


class Asking(Prompt[str]):
    """A prompt that takes any text but "air"."""

    def read(self, text: str) -> str:
        if text == "air":
            raise Refused("Taken already.")
        return text


class Sized(Asking):
    def unit_of(self, text: str) -> str:
        return "mm"


async def test_text_is_edited_and_taken() -> None:
    app = Waiting(Asking("coil", UTF8, "Name", "Name of a bike"))
    async with app.run_test() as pilot:
        await pilot.press("space", "4", "5", "0", "enter")
        assert app.result == "coil 450"


async def test_a_text_that_is_refused_stays_open_with_the_reason() -> None:
    app = Waiting(Asking("air", UTF8, "Name", "Name of a bike"))
    async with app.run_test() as pilot:
        await pilot.press("enter")
        assert "Taken already." in painted(pilot)
        await pilot.press("ctrl+u")
        assert "Taken already." not in painted(pilot)
        assert app.result == NOTHING
        await pilot.press("b", "enter")
        assert app.result == "b"


async def test_keys_in_one_burst_keep_their_order(tmp_path: Path) -> None:
    (tmp_path / "trail.toml").touch()
    app = Waiting(OpenPrompt("/somewhere/else", UTF8))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        keys = ["ctrl+u", *f"{tmp_path}/trx", "backspace", "tab", "home", "delete", "/", "end", "enter"]
        for key in keys:
            app.post_message(events.Key(key, key if len(key) == 1 else None))
        await pilot.pause()
        assert app.result == tmp_path / "trail.toml"


async def test_what_is_pasted_is_cleaned() -> None:
    app = Waiting(Asking("", UTF8, "Name", "Name of a bike"))
    async with app.run_test() as pilot:
        pilot.app.screen.query_one(Input).post_message(Paste("a\x1b]0;x\x07\u202eb\nsecond line"))
        await pilot.pause()
        await pilot.press("enter")
        assert app.result == "a]0;xb"


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize(
    ("make", "key"),
    [
        (lambda: ask_unsaved("bike", UTF8), "escape"),
        (lambda: ask_unsaved("bike", UTF8), "s"),
        (lambda: Asking("coil", UTF8, "Name", "Name of a bike"), "enter"),
        (lambda: Asking("coil", UTF8, "Name", "Name of a bike"), "escape"),
    ],
)
async def test_a_key_that_bounces_answers_once_and_leaves_what_lies_below(
    make: Callable[[], Dialog[Any]], key: str
) -> None:
    app = Waiting(make())
    answers: list[object] = []
    async with app.run_test() as pilot:
        await pilot.press("escape")
        app.push_screen(make(), answers.append)
        await pilot.pause()
        for _ in range(3):
            app.post_message(events.Key(key, key if len(key) == 1 else None))
        await pilot.pause()
        assert len(answers) == 1
        assert len(app.screen_stack) == 1


async def test_the_cursor_never_blinks() -> None:
    async with Waiting(OpenPrompt("", UTF8)).run_test() as pilot:
        line = pilot.app.screen.query_one(Input)
        assert line.has_focus
        assert not line.cursor_blink


@pytest.mark.slow
async def test_a_path_is_completed_checked_and_opened(tmp_path: Path) -> None:
    (tmp_path / "trail.toml").touch()
    (tmp_path / "trials").mkdir()
    app = Waiting(OpenPrompt(f"{tmp_path}/", UTF8))
    async with app.run_test(size=(200, 24)) as pilot:
        await pilot.press("enter")
        assert "This is a folder" in painted(pilot)
        await pilot.press("tab")
        assert pilot.app.screen.query_one(Input).value == f"{tmp_path}/tr"
        await pilot.pause()
        assert "trail.toml   trials/" in painted(pilot)
        await pilot.press("x", "tab")
        await pilot.pause()
        assert "No folder or job file starts like this." in painted(pilot)
        await pilot.press("enter")
        assert "No such file" in painted(pilot)
        assert app.result == NOTHING
        await pilot.press("backspace", "a", "tab", "enter")
        assert app.result == tmp_path / "trail.toml"


@pytest.mark.slow
async def test_a_path_to_save_to_gets_its_ending_and_needs_its_folder(tmp_path: Path) -> None:
    app = Waiting(SavePrompt(f"{tmp_path}/", UTF8))
    async with app.run_test(size=(200, 24)) as pilot:
        await pilot.press("enter")
        assert "The file name is missing." in painted(pilot)
        await pilot.press(*"new/bike", "enter")
        assert "That folder does not exist" in painted(pilot)
        await pilot.press(*["backspace"] * 8, *"bike", "enter")
        assert app.result == tmp_path / "bike.toml"
    kept = Waiting(SavePrompt(f"{tmp_path}/bike.job", UTF8))
    async with kept.run_test() as pilot:
        await pilot.press("enter")
        assert kept.result == tmp_path / "bike.job"


async def test_a_path_that_the_system_refuses_says_why(tmp_path: Path) -> None:
    app = Waiting(SavePrompt(f"{tmp_path}/{'x' * 300}", UTF8))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter")
        assert app.result == NOTHING
        assert "cannot be used: File name too long" in painted(pilot)
