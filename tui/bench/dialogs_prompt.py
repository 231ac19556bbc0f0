"""One line of text asked for: no blinking, no control characters, Enter to take it, Escape to go back."""

from __future__ import annotations

from collections.abc import Sequence

from textual import events, on
from textual.containers import Horizontal
from textual.widget import Widget
from textual.widgets import Input, Static

from tui.bench.dialogs import Dialog, Result
from tui.glyphs import Glyphs
from tui.jobs.clean import clean


class LineInput(Input):
    """The framework's input, kept still and clean."""

    DEFAULT_CSS = """
    LineInput { background: $surface; }
    """

    def __init__(self, text: str) -> None:
        """Start with a text, the cursor behind it."""
        super().__init__(clean(text), compact=True, select_on_focus=False)
        self.cursor_blink = False

    async def on_key(self, event: events.Key) -> None:
        """Do what a key means here and now, so that keys which come in one burst keep their order.

        The framework puts letters in at once and leaves bindings to the next round: what is typed right
        after Ctrl+U over a slow line would be rubbed out by it.
        """
        bound = None if event.is_printable else self.screen.active_bindings.get(event.key)
        if bound is not None and bound.enabled:
            event.stop()
            event.prevent_default()
            await self.app.run_action(bound.binding.action, default_namespace=bound.node)

    def replace(self, text: str, start: int, end: int) -> None:
        """Put text in place of a stretch, without what a terminal must not be sent."""
        super().replace(clean(text), start, end)


class Prompt(Dialog[Result]):
    """A dialog around one line of text. `taken` turns the text into the result."""

    DEFAULT_CSS = """
    Prompt {
        & > .box { width: 76; }
        & .hint, & .keys { width: 1fr; }
        & .line { height: 1; width: 1fr; }
        & .line LineInput { width: 1fr; }
        & .line Static { width: 2; }
        & .note { color: $text-muted; width: 1fr; }
        & .note.-wrong { color: $text-error; text-style: bold; }
    }
    """

    def __init__(self, title: str, hint: str, text: str, glyphs: Glyphs, keys: str = "") -> None:
        """Ask under a title; `hint` says what is wanted, `text` is what stands there at first."""
        super().__init__(title, glyphs, f"Enter  take it   {keys}Escape  back")
        self._hint = hint
        self._text = text
        self._noted = text
        self._doubted: str | None = None

    def body(self) -> Sequence[Widget]:
        """Return the hint, the line and room for what is wrong with it."""
        line = Horizontal(Static(self.words("> ")), LineInput(self._text), classes="line")
        return (Static(self.words(self._hint), classes="hint"), line, Static(classes="note"))

    @property
    def line(self) -> LineInput:
        """The line being typed."""
        return self.query_one(LineInput)

    def note(self, text: str, *, wrong: bool = False) -> None:
        """Say something below the line."""
        note = self.query_one(".note", Static)
        note.set_class(wrong, "-wrong")
        note.update(self.words(text))
        self._noted = self.line.value

    @on(Input.Changed)
    def _clear_note(self, event: Input.Changed) -> None:
        if event.value != self._noted:
            self.note("")

    @on(Input.Submitted)
    def _take(self, event: Input.Submitted) -> None:
        wrong = self.problem(event.value)
        doubt = "" if wrong or event.value == self._doubted else self.doubt(event.value)
        if wrong:
            self.note(wrong, wrong=True)
        elif doubt:
            self._doubted = event.value
            self.note(f"{doubt} Enter again takes it.")
        else:
            self.close_with(self.taken(event.value))

    def problem(self, text: str) -> str:
        """Return what is wrong with the text, empty where it can be taken."""
        raise NotImplementedError

    def doubt(self, text: str) -> str:
        """Return the question about a text without problems that is unlikely, empty for any other."""
        return ""

    def taken(self, text: str) -> Result:
        """Return the result for a text without problems."""
        raise NotImplementedError
