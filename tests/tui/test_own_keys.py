"""A person's own keys: any act may have others, and what cannot be is said by name."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.tui.bench.conftest import bench_app, own_home, started
from tui.bench.keymap import KEYMAP
from tui.kit.keymap import key_text
from tui.linkage.screen import LinkageScreen
from tui.own_keys import KEYMAPS, acts, key_faults, keys_text, take_keys

__all__ = ["own_home"]


@pytest.fixture(autouse=True)
def keys_as_they_were() -> Iterator[None]:
    groups = {name: keymap.groups for name, keymap in KEYMAPS.items()}
    yield
    for name, keymap in KEYMAPS.items():
        keymap._index(groups[name])


@pytest.mark.parametrize(
    ("wanted", "told"),
    [
        ({"undoo": "f4"}, ("undoo", "no act of this name", "the nearest is undo")),
        ({"xyzzyx": "f4"}, ("xyzzyx", "no act of this name", "springwright keys lists them")),
        ({"copy": 4}, ("copy", "no text", 'use a key such as "f4" or "ctrl+t", or "" for none')),
        ({"copy": "5"}, ("copy", "5 types or moves in every field", "")),
        ({"copy": "enter"}, ("copy", "enter types or moves in every field", "")),
        ({"copy": "alt+k"}, ("copy", "alt+k is not a key that the program can see", "")),
        ({"copy": "f13"}, ("copy", "f13 is not a key that the program can see", "")),
        ({"copy": "u"}, ("copy", "u is the key of undo too", "")),
        ({"copy": "f4", "rename": "f4"}, ("copy", "f4 is the key of rename too", "")),
        ({"adopt": "q"}, ("adopt", "q is the key of leave too", "")),
        ({"zoom": "f4", "examples": "f4"}, ("zoom", "f4 is the key of examples too", "")),
    ],
)
def test_a_key_that_cannot_be_had_is_named_and_what_to_use_is_said(
    wanted: dict[str, object], told: tuple[str, str, str]
) -> None:
    id, what, use = key_faults(wanted)[0]
    assert (id, what) == told[:2]
    assert use.startswith(told[2])
    assert use


@pytest.mark.parametrize(
    "wanted",
    [
        {"copy": "f4"},
        {"copy": "k", "rename": "ctrl+t"},
        {"undo": "z", "zoom": "u"},
        {"undo": "", "copy": "u"},
        {"slow": "insert"},
        # Another screen is another matter.
        {"copy": "f4", "examples": "f4", "reload": "f4"},
        # In a view and in the fields a key may do different things.
        {"leave_view": "x", "blank": "x"},
    ],
)
def test_any_free_key_may_be_had_and_two_acts_may_change_theirs(wanted: dict[str, object]) -> None:
    assert key_faults(wanted) == []
    assert take_keys(wanted) == []
    for id, keys in wanted.items():
        there = [keymap.named[id] for keymap in KEYMAPS.values() if id in keymap.named]
        assert there
        assert {action.keys for action in there} == {tuple(str(keys).split())}


def test_what_is_wrong_is_told_in_a_line_and_leaves_its_act_as_it_was() -> None:
    before = KEYMAP.named["copy"].keys
    [line] = take_keys({"copy": "9", "rename": "f4"})
    assert line.startswith("settings.toml: keys.copy: 9 types or moves in every field; use a letter")
    assert KEYMAP.named["copy"].keys == before
    assert key_text(KEYMAP.named["rename"]) == "F4"
    [hostile] = take_keys({"a\x1b[2J": "f4"})
    assert "\x1b" not in hostile


def test_the_list_has_every_act_with_the_key_that_a_person_gave_it() -> None:
    take_keys({"copy": "f4"})
    lines = keys_text().splitlines()
    assert len(lines) == len(acts())
    for (act, where), line in zip(acts().values(), lines, strict=True):
        assert f"  {where}" in line
        assert line.split()[: len(key_text(act).split()) + 1] == [*key_text(act).split(), act.id]
        assert line.endswith(act.meaning)
    assert next(line for line in lines if " copy " in line).startswith("F4 ")


async def test_a_key_of_ones_own_does_its_act_on_the_screen_and_the_old_one_says_it_does_nothing() -> None:
    take_keys({"copy": "k", "undo": "f4"})
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.press("k")
        assert [setup["name"] for setup in bench.state.job.setups] == ["coil", "air", "coil 2"]
        await bench.press("u")
        assert bench.state.note == "u does nothing here. / finds."
        await bench.press("f4")
        assert [setup["name"] for setup in bench.state.job.setups] == ["coil", "air"]


def test_what_several_screens_have_is_one_act_with_one_key_and_one_letter() -> None:
    shared = 0
    for id, (act, _where) in acts().items():
        for keymap in KEYMAPS.values():
            other = keymap.named.get(id)
            if other is not None and other.name:
                shared += other is not act
                assert (other.keys, other.letter) == (act.keys, act.letter), id
    assert shared > 40


def test_the_footers_of_all_screens_have_one_order() -> None:
    order = ("step_back", "find", "menu", "view_on", "next", "help", "more", "undo", "zoom")
    for name, keymap in KEYMAPS.items():
        lines = [keymap.named[id].line for id in order if id in keymap.named and keymap.named[id].line]
        assert len(lines) >= 5, name
        assert lines == sorted(lines), name
    assert KEYMAPS[""].named["leave_view"].line < KEYMAPS[""].named["find"].line


@pytest.mark.parametrize("screen", KEYMAPS)
def test_every_act_of_every_screen_has_a_name_that_fits_a_sentence_and_a_way_to_it(screen: str) -> None:
    keymap = KEYMAPS[screen]
    named = [action for action in keymap.actions if not action.typing]
    assert len({action.id for action in named}) == len(named)
    for action in named:
        assert 0 < len(action.name) <= 24, action.id
        assert action.meaning.endswith("."), action.id
        assert action.keys or (action.letter and action.shelves), action.id
        assert not any(key.isupper() for key in action.keys), action.id
    for page in keymap.pages:
        here = [action for action in named if page in (action.pages or keymap.pages)]
        assert len({action.name for action in here}) == len(here), page


@pytest.mark.slow
async def test_a_key_of_ones_own_does_its_act_on_the_linkage_screen_too() -> None:
    take_keys({"undo": "f4", "examples": "f7"})
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.do("linkage")
        front = pilot.app.screen
        assert isinstance(front, LinkageScreen)
        await bench.press("plus", "u")
        assert front.state.history.past
        assert front.state.note == "u does nothing here. / finds."
        await bench.press("f4")
        assert not front.state.history.past
        await bench.press("f7")
        assert pilot.app.screen is not front
