"""The list of actions that all screens share: what a key finds, what is typed, what the key line shows."""

from dataclasses import dataclass, replace

import pytest

from tui.kit.keymap import Action, Group, Keymap, by, group, quiet


@dataclass(frozen=True)
class State:
    number: int = 0
    text: str | None = None
    page: str = "one"
    note: str = "said"


def stepped(state: State, amount: int) -> State:
    return replace(state, number=state.number + amount)


MOVING: Group[State] = group(
    "Moving",
    Action("up", "up +", "step", by(stepped, 1), 2).means("One up."),
    Action("down", "down", "step", by(stepped, -1), 1).means("One down."),
    Action("out", "q", "out", line=3).means("Leave."),
    Action("always", "z", "always", by(stepped, 100), when=lambda state: True).means("Whatever is open."),
    Action("other", "f2", "other", by(stepped, 50), 4, pages=("two",)).means("On the second page."),
)
TYPING: Group[State] = group(
    "Typing",
    Action("take", "enter", "take", lambda state: replace(state, text=None), 5).means("Take it."),
    typing=True,
    at_cursor=True,
)


class Keys(Keymap[State]):
    def page(self, state: State) -> str:
        return state.page

    def is_open(self, state: State) -> bool:
        return state.text is not None

    def starts_typing(self, state: State, character: str) -> bool:
        return character.isdecimal()

    def typed(self, state: State, text: str) -> State:
        return replace(state, text=(state.text or "") + text)

    def asked(self, state: State) -> State | None:
        return replace(state, note="sure?") if state.text == "99" else None


KEYS = Keys((MOVING, TYPING), ("one", "two"))
OPEN = State(text="1")


@pytest.mark.parametrize(
    ("state", "key", "character", "after"),
    [
        (State(), "up", None, State(1, note="")),
        (State(), "plus", "+", State(1, note="")),
        (State(), "q", "q", State(note="")),  # the screen acts
        (State(), "x", "x", State(note="x does nothing here. / finds.")),
        (State(), "4", "4", State(text="4", note="")),
        (State(), "f2", None, State(note="F2 does nothing here. / finds.")),
        (State(), "space", " ", State(note="Space does nothing here. / finds.")),
        (OPEN, "f2", None, State(text="1", note="F2 does nothing here. / finds.")),
        (State(page="two"), "f2", None, State(50, page="two", note="")),
        (OPEN, "plus", "+", State(text="1+", note="")),
        (OPEN, "q", "q", State(text="1q", note="")),
        (OPEN, "z", "z", State(100, text="1", note="")),
        (OPEN, "up", None, State(1, text="1", note="")),
        (OPEN, "enter", "\r", State(note="")),
        (State(text="99"), "up", None, State(text="99", note="sure?")),
        (State(text="99"), "enter", "\r", State(note="")),
    ],
)
def test_a_key_steps_or_is_typed(state: State, key: str, character: str | None, after: State) -> None:
    assert KEYS.pressed(state, key, character) == after


def test_the_key_line_has_what_can_be_done_in_its_order() -> None:
    assert [action.id for action in KEYS.key_line(State())] == ["down", "up", "out", "other"]
    assert [action.id for action in KEYS.key_line(OPEN)] == ["take"]


def test_what_is_said_of_a_group_holds_for_its_actions() -> None:
    marks = {id: (KEYS.named[id].typing, KEYS.named[id].at_cursor) for id in ("take", "up")}
    assert marks == {"take": (True, True), "up": (False, False)}
    assert [action.meaning for action in KEYS.actions][:2] == ["One up.", "One down."]
    assert KEYS.named["up"].keys == ("up", "+")


def test_quiet_keeps_a_state_without_a_note() -> None:
    state = State(note="")
    assert quiet(state) is state
    assert quiet(State()) == state
