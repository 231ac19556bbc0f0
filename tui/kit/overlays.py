"""Overlays of a screen: the menu, the finder with its matches, and the blocks of the help."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import replace
from typing import Any, Generic, TypeVar

from physics.frozen import NamedTuple
from tui.job.tree import brief
from tui.kit.cells import CellRow, cells, fitted, name_at
from tui.kit.document import Block, Heading, Paragraph
from tui.kit.finder import Finder, Item, found, told_of
from tui.kit.keymap import HINT, Action, Group, Keymap, Overlaid, key_name, key_text, quiet
from tui.kit.look import Glyphs, literal
from tui.kit.roles import Role

State = TypeVar("State", bound=Overlaid)
Target = TypeVar("Target")
ACT = "act"
"""Kind of finder items for actions; the target is the id of the action."""
ROWS = 4
"""Lines of the finder, including its input line."""
MENU_ROWS = 3
"""Number of lines from which the menu uses short names."""


class Shelf(NamedTuple):
    """A group of actions in the menu: its `name` when open, its `id`, and the label that leads to it."""

    name: str
    id: Hashable
    words: str


class Overlays(Generic[State, Target]):
    """Menu and finder of a screen: their keys and their lines.

    A key returns the new state, and what the screen has to do in it: an action, or a target of its own.
    """

    def __init__(
        self,
        keymap: Keymap[State],
        shelves: Callable[[State], Sequence[Shelf]],
        items: Callable[[State], Sequence[Item]],
        go_to: Callable[[State, Item], tuple[State, Action[State] | Target | None]],
    ) -> None:
        """Make menu and finder for a keymap.

        `shelves` are those of the menu in the order of the Space key, `items` those of the finder, and
        `go_to` does what Enter does on an item that is not an action.
        """
        self.keymap = keymap
        self._shelves = shelves
        self._items = items
        self._go_to = go_to

    def open_menu(self, state: State) -> State:
        """Open the menu on its first shelf."""
        return replace(quiet(state), menu=self._shelves(state)[0].name)

    def open_finder(self, state: State) -> State:
        """Open the finder with nothing typed."""
        return replace(quiet(state), finder=Finder(), menu="")

    def pressed(
        self, state: State, key: str, character: str | None
    ) -> tuple[State, Action[State] | Target | None]:
        """Return what a key does in the finder, or in the menu."""
        pressed = self.finder_pressed if state.finder is not None else self.menu_pressed
        return pressed(state, key, character)

    def _turned(self, state: State) -> tuple[Shelf, Shelf]:
        """Return the open shelf, and the one that Space leads to."""
        shelves = self._shelves(state)
        place = next((place for place, shelf in enumerate(shelves) if shelf.name == state.menu), 0)
        return shelves[place], shelves[(place + 1) % len(shelves)]

    def menu_pressed(
        self, state: State, key: str, character: str | None
    ) -> tuple[State, Action[State] | Target | None]:
        """Return the state after a key in the menu: a letter does its action, anything else closes it."""
        closed = replace(quiet(state), menu="")
        here, other = self._turned(state)
        if key == "space":
            return replace(state, menu=other.name), None
        if character in ("/", "?"):
            return closed, self.keymap.named["find" if character == "/" else "help"]
        action = next((one for one in self.keymap.shelf(here.id) if one.letter == character), None)
        if action is None:
            said = "" if key == "escape" else f"The menu has no {key_name(character or key)} here. {HINT}"
            return replace(closed, note=said), None
        return self.chosen(closed, action)

    def chosen(self, state: State, action: Action[State]) -> tuple[State, Action[State] | Target | None]:
        """Return an action to do, or the state with the reason why it is not available."""
        reason = self.keymap.reason(action, state)
        if reason:
            return replace(state, note=f"{action.name.capitalize()}: not now, {reason}."), None
        return state, action

    def finder_pressed(
        self, state: State, key: str, character: str | None
    ) -> tuple[State, Action[State] | Target | None]:
        """Return the state after a key in the finder."""
        finder = state.finder or Finder()
        match key:
            case "escape":
                return replace(state, finder=None), None
            case "enter" | "tab":
                there, closed = found(self._items(state), finder.text), replace(quiet(state), finder=None)
                if not there:
                    return replace(closed, note=f'Nothing found for "{brief(finder.text)}".'), None
                return self.go_to(closed, there[min(finder.place, len(there) - 1)])
            case "up" | "down" | "pageup" | "pagedown":
                lines = 1 if key in ("up", "down") else ROWS
                count = len(found(self._items(state), finder.text))
                finder = finder.moved(-lines if key.endswith("up") else lines, count)
            case "backspace" | "ctrl+h":
                if not finder.text:
                    return replace(state, finder=None), None
                finder = finder.rubbed_out()
            case "ctrl+u":
                finder = Finder()
            case _ if character and character.isprintable():
                finder = finder.typed(character)
            case _:
                return state, None
        return replace(state, finder=finder), None

    def go_to(self, state: State, item: Item) -> tuple[State, Action[State] | Target | None]:
        """Return the state at a match, or what the screen has to do."""
        kind, target = item.id
        if kind == ACT:
            return self.chosen(state, self.keymap.named[str(target)])
        return self._go_to(state, item)

    def clicked(
        self, state: State, row: int, text: str, x: int, height: int
    ) -> tuple[State, Action[State] | Target | None]:
        """Return the result of a click in the `height` lines of menu or finder: that of its key."""
        if state.finder is not None:
            there = found(self._items(state), state.finder.text)
            place = _first_shown(state.finder, len(there), height) + row - 1
            if row < 1 or place >= len(there):
                return state, None
            return self.go_to(replace(quiet(state), finder=None), there[place])
        here, other = self._turned(state)
        actions = self.keymap.shelf(here.id)
        ends = [f"Space {other.words}", "Esc back"]
        names = [*(action.name for action in actions), *ends, *(action.brief for action in actions), *ends]
        place_of = name_at(text, x, names)
        if place_of is None:
            return state, None
        place_of %= len(actions) + len(ends)
        keys = [*((action.letter, action.letter) for action in actions), ("space", " "), ("escape", None)]
        return self.menu_pressed(state, *keys[place_of])

    def finder_lines(self, state: State, width: int, height: int, glyphs: Glyphs) -> list[CellRow]:
        """Return the input line, and below it as many matches as fit."""
        finder = state.finder or Finder()
        there = found(self._items(state), finder.text)
        room = max(height - 1, 1)
        first = _first_shown(finder, len(there), height)
        typed = cells(literal(finder.text, glyphs), Role.EDIT)
        head = cells(" / ", Role.KEY) + typed + cells(" ", Role.CARET)
        where = f"{min(finder.place + 1, len(there))} of {len(there)}"
        told = where if there else "nothing found; Backspace"
        head += cells(f"   {told}   Up Down choose  Enter goes there  Esc back", Role.QUIET)
        rows = [head]
        for place, item in enumerate(there[first : first + room], first):
            rows.append(_found_line(item, finder.text, place == finder.place, width, glyphs))
        rows += [[] for _ in range(height - len(rows))]
        return [fitted(row, width, glyphs.ellipsis) for row in rows[:height]]

    def menu_lines(self, state: State, width: int, glyphs: Glyphs) -> list[CellRow]:
        """Return the actions available here with their letters; unavailable ones are dim.

        It takes as many lines as needed, with short names if there are too many.
        """
        here, other = self._turned(state)
        actions = self.keymap.shelf(here.id)
        nows = [not self.keymap.reason(action, state) for action in actions]
        for names in ([action.name for action in actions], [action.brief for action in actions]):
            rows: list[CellRow] = [[]]
            for piece in self._menu_pieces(actions, names, nows, other):
                if rows[-1] and len(rows[-1]) + len(piece) > width:
                    rows.append([])
                rows[-1] = rows[-1] + piece
            if len(rows) <= MENU_ROWS:
                break
        return [fitted(row, width, glyphs.ellipsis) for row in rows]

    def _menu_pieces(
        self, actions: Sequence[Action[State]], names: Sequence[str], nows: Sequence[bool], other: Shelf
    ) -> Iterator[CellRow]:
        for action, name, now in zip(actions, names, nows, strict=True):
            letter = cells(f" {action.letter} ", Role.KEY if now else Role.QUIET)
            yield letter + cells(f"{name} ", Role.BASE if now else Role.QUIET)
        yield cells(" Space ", Role.KEY) + cells(f"{other.words} ", Role.BASE)
        yield cells(" Esc ", Role.KEY) + cells("back", Role.BASE)

    def lines(self, state: State, width: int, height: int, glyphs: Glyphs) -> list[CellRow]:
        """Return the lines of the finder, or of the menu with blank ones below it."""
        if state.finder is not None:
            return self.finder_lines(state, width, height, glyphs)
        menu = self.menu_lines(state, width, glyphs)
        return (menu + [fitted([], width, glyphs.ellipsis)] * height)[:height]

    def rows_wanted(self, state: State, width: int, glyphs: Glyphs) -> int:
        """Return the number of lines for menu or finder, 0 if neither is open."""
        if state.finder is not None:
            return ROWS
        return len(self.menu_lines(state, width, glyphs)) if state.menu else 0


def act_items(keymap: Keymap[State], state: State, where: Callable[[Action[State]], str]) -> Iterator[Item]:
    """Yield every action that has a name, with its location, its key, and why it is not available now."""
    for action in keymap.actions:
        if action.name:
            reason = keymap.reason(action, state)
            yield Item((ACT, action.id), action.name, where(action), key_text(action), action.meaning, reason)


def _first_shown(finder: Finder, count: int, height: int) -> int:
    """Return the index of the first of `count` items shown in `height` lines."""
    room = max(height - 1, 1)
    return max(min(finder.place - room + 1, count - room), 0) if finder.place >= room else 0


_NAME = 26
_WHERE = 18
_ROOM_FOR_ALL = 110
"""Minimum width for showing a reason at the end of the line [columns]."""


def _found_line(item: Item, text: str, here: bool, width: int, glyphs: Glyphs) -> CellRow:
    role = Role.QUIET if item.reason else Role.STRONG if here else Role.BASE
    mark = cells(f" {glyphs.selected if here else ' '} ", Role.HERE)
    name = fitted(cells(literal(item.name, glyphs), role), min(_NAME, width // 2), glyphs.ellipsis, role)
    if item.reason and width < _ROOM_FOR_ALL:
        return mark + name + cells(literal(f" not now: {item.reason}", glyphs), Role.QUIET)
    where = fitted(cells(literal(item.where, glyphs), Role.QUIET), _WHERE, glyphs.ellipsis, Role.QUIET)
    key = fitted(cells(item.key, Role.KEY), 14, glyphs.ellipsis, Role.KEY)
    room = width - len(mark) - len(name) - len(where) - len(key)
    said = f"not now: {item.reason}" if item.reason else told_of(item, text, room, glyphs.ellipsis)
    return mark + name + where + key + cells(literal(said, glyphs), Role.QUIET)


_KEYS = 14
"""Width of the keys of an action [columns]."""


def help_blocks(about: Sequence[tuple[str, str]], groups: Sequence[Group[Any]]) -> Iterator[Block]:
    """Yield descriptions under their names, and all actions of a screen under the titles of their groups.

    Keys of an open value are left out: the footer shows them while one is open.
    """
    for name, text in about:
        yield Heading(name)
        yield Paragraph(text)
    for group in groups:
        acts = [action for action in group.actions if action.name and not action.typing]
        if acts:
            yield Heading(group.title)
        for action in acts:
            keys = " ".join(map(key_name, action.keys[:2])) or key_text(action)
            yield Paragraph(action.meaning, lead=f"{keys:{_KEYS}} ")
