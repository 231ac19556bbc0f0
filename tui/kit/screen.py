"""Repainting that sends the changed cells of a line and nothing in front of them.

The framework repaints a changed span from the left edge of its widget on. Over ssh these bytes are what
a person waits for, so a span is cut on both sides here.
"""

from __future__ import annotations

from typing import TypeVar

from rich.console import Console
from rich.control import Control
from textual import events
from textual._compositor import ChopsUpdate, Compositor
from textual.screen import Screen

_Result = TypeVar("_Result")


class SparingUpdate(ChopsUpdate):
    """Spans of lines, each sent alone."""

    def render_segments(self, console: Console) -> str:
        """Return what the terminal must be sent."""
        sent: list[str] = []
        for y, first, end in self.spans:
            for chop_end, (x, strip) in zip(self.chop_ends[y], self.chops[y].items(), strict=False):
                start, stop = max(first, x), min(end, chop_end)
                if strip is not None and start < stop:
                    sent.append(Control.move_to(start, y).segment.text)
                    sent.append(strip.crop(start - x, stop - x).simplify().render(console))
        return "".join(sent)


class SparingCompositor(Compositor):
    """A compositor whose partial updates are sparing."""

    def render_partial_update(self) -> ChopsUpdate | None:
        """Return the update of all dirty spans, None where there are none."""
        update = super().render_partial_update()
        return update and SparingUpdate(update.chops, update.spans, update.chop_ends)


class SparingScreen(Screen[_Result]):
    """A screen that repaints sparingly, and closes once however often a key bounces."""

    def __init__(self, name: str | None = None, id: str | None = None, classes: str | None = None) -> None:
        """Put the sparing compositor in the framework's place."""
        super().__init__(name, id, classes)
        self._compositor = SparingCompositor()
        self._left = False

    def hang_up(self) -> None:
        """Take what is being typed, for the draft: the session ends, and the terminal may be gone already."""

    def passed_on(self, event: events.Key) -> bool:
        """Pass a key on to the screen that is in front by now, if another is; return whether it is.

        What is typed in one go over a slow line is on its way here before its first key opens that screen.
        """
        front = self.app.screen
        if front is self:
            return False
        event.stop()
        event.prevent_default()
        # Once it has painted itself it knows which of its parts takes keys.
        front.call_after_refresh(self.app.post_message, events.Key(event.key, event.character))
        return True

    def close_with(self, result: _Result | None) -> None:
        """Close, once: a key that bounces must not close what lies below as well."""
        if not self._left:
            self._left = True
            self.dismiss(result)
