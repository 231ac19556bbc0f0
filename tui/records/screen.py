"""The records screen: it keeps the state, gives it to the widgets and does what a key means."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, ClassVar, TypeVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import BindingType

from tui.records.errands import Errands
from tui.records.keys import action_for, is_typed, pressed
from tui.records.lines import head
from tui.records.listing import OF_ONE, Listing, Question
from tui.records.panes import ListPane, RecordsPane
from tui.records.state import RecordsState, answered, asking, by_lines, failed, quiet, typed
from tui.records.words import count_line, detail_lines, keys_line, search_line
from tui.sparing import SparingScreen

if TYPE_CHECKING:
    from tui.bench.dialogs import Dialog
    from tui.bench.screen import BenchScreen
    from tui.bench.shelf import Shelf
    from tui.charts.look import ChartLook
    from tui.records.actions import Action
    from tui.shop_units import ShopUnits
    from tui.store.store import Store

Result = TypeVar("Result")

TALL_FROM, LOW_BELOW = 34, 14
"""Rows from which more is told of the selected line, and below which nothing is."""

OnBench = Callable[["BenchScreen"], None]
"""What is done on the bench once this screen is closed."""
Acts = Mapping[str, Callable[["RecordsScreen"], None]]


class RecordsScreen(SparingScreen[OnBench | None], inherit_bindings=False):
    """Find, open, compare and put away what was saved. It closes with what is done on the bench then."""

    BINDINGS: ClassVar[list[BindingType]] = []
    CSS_PATH = "screen.tcss"

    def __init__(self, shelf: Shelf, look: ChartLook, units: ShopUnits, acts: Acts) -> None:
        """Show what is on a shelf, which need not be open yet: keys are for this screen from the start."""
        super().__init__()
        self._acts = acts
        self.look = look
        self.units = units
        self.state = RecordsState()
        self.errands = Errands(self)
        self._shelf = shelf
        self._opens = shelf.store is None
        self._asked: tuple[Question, int] | None = None
        self._waiting = False
        self._closing_with: OnBench | None = None
        self._keys: list[tuple[str, str | None]] = []
        """Keys pressed after one that is about a line which the newest answer has yet to bring."""

    @property
    def store(self) -> Store:
        """The open records. Errands ask for it, as it may have to be waited for; raises `StoreTrouble`."""
        return self._shelf.open()

    def compose(self) -> ComposeResult:
        """Stack what is typed, what is found, and the lines below."""
        yield RecordsPane(id="search")
        yield RecordsPane(id="count")
        yield RecordsPane(id="head")
        yield ListPane(id="list")
        yield RecordsPane(id="detail")
        yield RecordsPane(id="keys")

    def on_mount(self) -> None:
        """Ask for the newest jobs."""
        self.lay_out(self.app.size.height)
        self.query_one(ListPane).focus()
        self.take(self.state)

    def on_resize(self, event: events.Resize) -> None:
        """Choose the layout for the size."""
        self.lay_out(event.size.height)
        self.show()

    def lay_out(self, height: int) -> None:
        """Give the screen the layout for so many rows."""
        self.set_class(height >= TALL_FROM, "-tall")
        self.set_class(height < LOW_BELOW, "-low")

    def take(self, state: RecordsState) -> None:
        """Go on with another state; what it asks is sent for, and a burst of keys is shown once."""
        self.state = state
        asked = (state.question, state.again)
        if asked != self._asked:
            self._asked = asked
            self._ask(state.question)
        if not self._waiting:
            self._waiting = True
            self.call_later(self._show_newest)

    def _ask(self, question: Question) -> None:
        number = self.state.asked + 1
        self.state = asking(self.state, number)
        self.errands.send(
            partial(self._look, question),
            lambda listing: self._answered(number, listing),
            lambda why: self._failed(number, why),
            is_question=True,
        )

    def _look(self, question: Question) -> Listing:
        from tui.records.looking import look  # the database comes with it, which no key waits for

        return look(self.store, question, self.units)

    def _answered(self, number: int, listing: Listing) -> None:
        self.take(answered(self.state, number, listing))
        if self._opens:
            self._opens = False
            self._tell_how_opened()
        self._press_again()

    def _tell_how_opened(self) -> None:
        """Tell what was found when the records were opened, which is longer than a line."""
        from tui.records.asking import tell

        if self.store.told:
            self.put_in_front(tell("The records", (self.store.told,), self.look.glyphs))

    def _failed(self, number: int, why: str) -> None:
        self._keys.clear()  # what they were meant for is not known
        self.take(failed(self.state, number, why))

    def _press_again(self) -> None:
        """Do what was pressed before the answer was there, up to the next key that waits for another one."""
        while self._keys and not self.state.waiting:
            self._press(*self._keys.pop(0))

    def put_in_front(
        self, dialog: Dialog[Result], then: Callable[[Result | None], None] | None = None
    ) -> None:
        """Show a dialog, unless another one is there already: keys bounce, and answers come late."""
        if self.app.screen is self:
            self.app.push_screen(dialog, then)

    def close_with(self, result: OnBench | None) -> None:
        """Close, at once or as soon as no dialog stands in front any more."""
        if self.app.screen is self:
            super().close_with(result)
        else:
            self._closing_with = result

    def on_screen_resume(self) -> None:
        """Do what had to wait for a dialog to go."""
        if self._closing_with is not None:
            self.close_with(self._closing_with)

    def say(self, note: str) -> None:
        """Tell the person something."""
        self.take(replace(self.state, note=note))

    def _show_newest(self) -> None:
        self._waiting = False
        self.show()

    def show(self) -> None:
        """Give every widget what it shows."""
        state, glyphs = self.state, self.look.glyphs
        self.set_class(state.page in OF_ONE, "-of-one")
        self._pane("search").show(lambda w, h: search_line(state, w, glyphs))
        self._pane("count").show(lambda w, h: count_line(state, w, glyphs))
        self._pane("head").show(lambda w, h: head(state, w, glyphs))
        self.query_one(ListPane).show_state(state, glyphs)
        self._pane("detail").show(lambda w, h: detail_lines(state, w, h, glyphs))
        self._pane("keys").show(lambda w, h: keys_line(state, w, glyphs))

    def _pane(self, name: str) -> RecordsPane:
        return self.query_one(f"#{name}", RecordsPane)

    def on_key(self, event: events.Key) -> None:
        """Do what the key means; what is about a line waits for the line."""
        if self.passed_on(event):
            return
        event.stop()
        event.prevent_default()
        action = action_for(self.state, event.key, event.character)
        if action is not None and action.id in ("back", "leave"):
            self._keys.clear()  # the way out never waits
            self._press(event.key, event.character)
        elif self._keys or (self.state.waiting and _needs_answer(action)):
            self._keys.append((event.key, event.character))
        else:
            self._press(event.key, event.character)

    def _press(self, key: str, character: str | None) -> None:
        action = action_for(self.state, key, character)
        if action is not None and action.step is None and not is_typed(self.state, key, character):
            self.act(action.id)
        else:
            self.take(pressed(self.state, key, character))

    def act(self, id: str) -> None:
        """Do what no change of state alone can do."""
        self.take(quiet(self.state))
        self._acts[id](self)

    def on_paste(self, event: events.Paste) -> None:
        """Search for what is pasted, its first line."""
        text = event.text.strip().splitlines()
        if text:
            event.stop()
            self.take(typed(quiet(self.state), text[0]))

    @on(ListPane.Clicked)
    def _clicked(self, event: ListPane.Clicked) -> None:
        if event.place == self.state.cursor:
            self._press("enter", None)
        else:
            self.take(replace(quiet(self.state), cursor=event.place))

    @on(ListPane.Rolled)
    def _rolled(self, event: ListPane.Rolled) -> None:
        self.take(by_lines(quiet(self.state), event.lines))


def _needs_answer(action: Action | None) -> bool:
    return action is not None and (action.on_line or action.waits)
