"""Base of all screens: a state changed by keys, shown once per burst, repainted minimally."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any, ClassVar, Generic, TypeVar

from textual import events, on
from textual.binding import BindingType
from textual.screen import Screen

from tui.kit.cells import CellRow, cells, fitted, name_at
from tui.kit.clipboard import copy_text
from tui.kit.edit import Edit
from tui.kit.keymap import Action, Keymap, Overlaid, key_name, quiet
from tui.kit.look import ChartLook, Glyphs, literal
from tui.kit.repaint import SparingCompositor
from tui.kit.roles import Role
from tui.kit.widget import ClickedLines, Lines, LookWidget, RollingWidget

if TYPE_CHECKING:
    from tui.kit.overlays import Overlays

State = TypeVar("State", bound=Overlaid)
_Result = TypeVar("_Result")
_Reply = TypeVar("_Reply")

FRAMED_FROM = (100, 30)
"""Columns and rows from which panes have frames."""
_ABOVE = 4
"""Rows that menu and finder leave for the content above."""

Command = Callable[[Any], None]
"""An action of a screen that is more than a change of its state."""


class SparingScreen(Screen[_Result]):
    """A screen with minimal repainting, which closes only once even if a key bounces."""

    def __init__(self, name: str | None = None, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(name, id, classes)
        self._compositor = SparingCompositor()
        self._left = False
        self.takes_keys = False
        """Whether all widgets are composed and laid out."""

    def on_mount(self) -> None:
        """Accept keys once everything is laid out."""
        self.call_after_refresh(self._is_there)

    def _is_there(self) -> None:
        self.takes_keys = True
        self._tell_there()

    def on_screen_resume(self) -> None:
        """Accept keys again, once consequences of the screen in front are done."""
        if self.takes_keys:
            self._tell_there()

    def _tell_there(self) -> None:
        told = getattr(self.app, "screen_is_there", None)
        if told is not None:
            told(self)

    def hang_up(self) -> None:
        """Commit text being typed, for the draft: the session ends, and the terminal may be gone."""

    def passed_on(self, event: events.Key) -> bool:
        """Forward a key to the front screen if that is another one; return whether it was forwarded.

        Over a slow connection, keys of a burst may be queued here before the first one opens that screen.
        """
        front = self.app.screen
        if front is self:
            return False
        event.stop()
        event.prevent_default()
        # After its first paint it knows which widget has the focus.
        front.call_after_refresh(self.app.post_message, events.Key(event.key, event.character))
        return True

    def close_with(self, result: _Result | None) -> None:
        """Close only once: a bouncing key must not also close the screen below."""
        if not self._left:
            self._left = True
            self.dismiss(result)


class StateScreen(SparingScreen[_Result], Generic[State, _Result], inherit_bindings=False):
    """A screen that shows a state and computes nothing: keys map states to states."""

    BINDINGS: ClassVar[list[BindingType]] = []
    KEYMAP: ClassVar[Keymap[Any]]

    def __init__(self, state: State, look: ChartLook, commands: Mapping[str, Command]) -> None:
        """Show a state; `commands` are those of actions without a step, by id."""
        super().__init__()
        self.state = state
        self.look = look
        self._commands = commands
        self._waiting = False
        self._foot_rows = 0
        self._held: list[Callable[[], object]] = []

    @property
    def glyphs(self) -> Glyphs:
        """The characters this terminal can show."""
        return self.look.glyphs

    def lines(self, name: str) -> Lines:
        """Return a part of the screen by its id."""
        return self.query_one(f"#{name}", Lines)

    def show(self) -> None:
        """Update every widget."""
        raise NotImplementedError

    def take(self, state: State) -> None:
        """Set another state; a burst of keys is shown once."""
        self.state = state
        if not self._waiting:
            self._waiting = True
            self.call_later(self._show_newest)

    def _show_newest(self) -> None:
        """Show the state, unless queued keys will change it again."""
        puts_off = getattr(self.app, "puts_off", None)
        if puts_off is None or not puts_off(self):
            self.show_state()

    def show_state(self) -> None:
        """Show the present state."""
        self._waiting = False
        self.show()

    def copy_selection(self) -> bool:
        """Copy the text selected with the mouse and say so; return whether there is any."""
        selected = self.get_selected_text()
        if selected:
            self.say(copy_text(self.app, selected))
        return bool(selected)

    def restyle(self, look: ChartLook) -> None:
        """Take other colours and markers."""
        self.look = look
        for part in self.query(LookWidget):
            part.look = look
        self.take(self.state)

    def say(self, note: str) -> None:
        """Show a message."""
        self.take(replace(self.state, note=note))

    def on_key(self, event: events.Key) -> None:
        """Handle a key."""
        if self.passed_on(event) or self.is_for_part(event.key):
            return
        event.stop()
        event.prevent_default()
        self.press(event.key, event.character)

    def is_for_part(self, key: str) -> bool:
        """Return whether a key scrolls the help, which has the focus while shown."""
        return self.state.helps and not self.is_overlaid and key in self.active_bindings

    @property
    def types_here(self) -> bool:
        """Whether characters are typed into a value."""
        return True

    @property
    def overlays(self) -> Overlays[State, Any]:
        """Menu and finder of the screen, loaded on first use."""
        raise NotImplementedError

    @property
    def is_overlaid(self) -> bool:
        """Whether the menu or the finder is open."""
        return self.state.finder is not None or bool(self.state.menu)

    def press(self, key: str, character: str | None) -> None:
        """Handle a key, in the menu or finder if one is open."""
        if self.is_overlaid:
            self._follow(*self.overlays.pressed(self.state, key, character))
            return
        action = self.KEYMAP.action_for(self.state, key, character)
        if action is not None and action.step is None:
            self.act(action.id)
        else:
            self.take(self.KEYMAP.pressed(self.state, key, character))

    def _follow(self, after: State, chosen: object) -> None:
        """Set a state, and do what was chosen in menu or finder."""
        self.take(after)
        if isinstance(chosen, Action):
            self.do(chosen)
        elif chosen is not None:
            self.go_to(chosen)

    def do(self, action: Action[State]) -> None:
        """Do an action that was chosen by name."""
        if action.step is None:
            self.act(action.id)
        else:
            self.take(action.step(self.ready(quiet(self.state))))

    def go_to(self, target: Any) -> None:  # noqa: ANN401 - of the kind that its own finder has
        """Go to a match that needs more than a change of state."""
        raise NotImplementedError

    def make_room(self, width: int, height: int) -> None:
        """Give the lines below the height that menu or finder needs while open."""
        rows = 0
        if self.is_overlaid:
            rows = min(self.overlays.rows_wanted(self.state, width, self.glyphs), height - _ABOVE)
        if rows != self._foot_rows:
            self._foot_rows = rows
            self.query_one("#foot").styles.min_height = rows

    def do_clicked(self, event: ClickedLines.Clicked) -> None:
        """Do the action of a clicked word of the footer, or of a clicked item of menu or finder."""
        if self.is_overlaid:
            height = self.query_one("#foot").size.height
            self._follow(*self.overlays.clicked(self.state, event.row, event.text, event.x, height))
            return
        actions = self.KEYMAP.key_line(self.state)
        place = name_at(event.text, event.x, [action.label for action in actions])
        if place is not None:
            self.do(actions[place])

    def act(self, id: str) -> None:
        """Run a command by its id."""
        self.take(self.ready(quiet(self.state)))
        self._commands[id](self)

    def ready(self, state: State) -> State:
        """Return the state for a command, with text being typed committed."""
        return state

    def rolled(self, state: State, steps: int) -> State:
        """Return the state after the mouse wheel was turned."""
        raise NotImplementedError

    @on(RollingWidget.Rolled)
    def _rolled(self, event: RollingWidget.Rolled) -> None:
        self.take(self.rolled(quiet(self.state), event.steps))

    def on_paste(self, event: events.Paste) -> None:
        """Type the first line of pasted text, into the finder if it is open."""
        text = event.text.strip().splitlines()
        if not text:
            return
        event.stop()
        event.prevent_default()  # else the framework would paste it once more
        if self.state.finder is not None:
            self.take(replace(self.state, finder=self.state.finder.typed(text[0])))
        elif self.types_here:
            self.take(self.KEYMAP.typed(self.state, text[0]))

    def ask(self, dialog: Screen[_Reply | None], then: Callable[[_Reply], None]) -> None:
        """Show a dialog and continue with its result; going back changes nothing."""
        self.app.push_screen(dialog, lambda reply: None if reply is None else then(reply))

    def put_in_front(self, page: Screen[_Reply], then: Callable[[_Reply | None], None] | None = None) -> None:
        """Show a dialog unless one is open already, because of a bouncing key or a late answer."""
        if self.app.screen is self:
            self.app.push_screen(page, then)

    def when_in_front(self, then: Callable[[], object]) -> None:
        """Do something at once, or when no other screen is in front: keys typed there would answer it."""
        if self.app.screen is self:
            then()
        else:
            self._held.append(then)

    def on_screen_resume(self) -> None:
        """Do what waited for the screen in front to close."""
        held, self._held = self._held, []
        for then in held:
            self.when_in_front(then)


def suspend(screen: StateScreen[Any, Any]) -> None:
    """Suspend the program, as Ctrl+Z does in a shell."""
    screen.app.action_suspend_process()


def edit_cells(edit: Edit, role: Role, room: int, glyphs: Glyphs | None = None) -> CellRow:
    """Return a text being typed with its caret, scrolled to keep the caret within `room` cells.

    With `glyphs` the text is shown literally, which may take more cells.
    """
    text, ahead = (literal(part, glyphs) if glyphs else part for part in (edit.text, edit.text[: edit.caret]))
    typed = [*cells(text, role), (" ", int(role))]
    caret = len(cells(ahead, role))
    typed[caret] = (typed[caret][0] or " ", int(Role.CARET))
    return typed[max(caret - room, 0) :]


def note_line(note: str, width: int, glyphs: Glyphs) -> list[CellRow]:
    """Return the last message as a line, none without a message."""
    return [fitted(cells(f" {literal(note, glyphs)}", Role.STRONG), width, glyphs.ellipsis)] if note else []


def key_piece(keys: Sequence[str], label: str) -> CellRow:
    """Return keys with their label."""
    return cells(f" {' '.join(map(key_name, keys))}", Role.KEY) + cells(f" {label} ", Role.BASE)


def keys_fitting(row: CellRow, actions: Sequence[Action[Any]], width: int, glyphs: Glyphs) -> list[CellRow]:
    """Return `row` with as many keys appended as fit; keys with the same label are grouped."""
    return labels_fitting(row, [(action.keys[0], action.label) for action in actions], width, glyphs)


def labels_fitting(
    row: CellRow, named: Sequence[tuple[str, str]], width: int, glyphs: Glyphs
) -> list[CellRow]:
    """Return `row` with as many keys and labels appended as fit."""
    labels: dict[str, list[str]] = {}
    for key, label in named:
        labels.setdefault(label, []).append(key)
    for label, keys in labels.items():
        piece = key_piece(keys, label)
        if len(row) + len(piece) > width:
            break
        row = row + piece
    return [fitted(row, width, glyphs.ellipsis)]
