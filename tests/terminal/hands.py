"""Hands that know nothing by heart: they press only keys that the screen names, and count them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from tests.terminal.program import Program
from tui.bench.keymap import KEYMAP
from tui.bench.steps import VIEW_ROWS
from tui.kit.keymap import PROGRAM

SENT: Mapping[str, str] = {
    "Enter": "\r",
    "Tab": "\t",
    "Escape": "\x1b",
    "Space": " ",
    "Backspace": "\x7f",
    "Up": "\x1b[A",
    "Down": "\x1b[B",
    "Right": "\x1b[C",
    "Left": "\x1b[D",
    "Ctrl+S": "\x13",
}
"""What a terminal sends for a key by the name that the screen gives it; any other key sends itself."""
CURSOR = "›"
"""Stands before the field, or the line, with the cursor."""
_STILL = 0.15
"""Seconds without a byte after which what a key did counts as painted. No assertion hangs on it: what is
looked for is waited for, so a slow machine only looks more often."""


class Hands(Program):
    """A person at a terminal. Each key is looked for on the screen before it is pressed, and counted."""

    def __init__(self, environment: Mapping[str, str], words: Sequence[str], columns: int, rows: int) -> None:
        super().__init__(environment, words, columns, rows)
        self.keys: list[str] = []

    @property
    def count(self) -> int:
        """How many keys were pressed, each character typed among them."""
        return len(self.keys)

    @property
    def lines(self) -> str:
        """The screen with one space where there are several, and no frames."""
        return "\n".join(re.sub(r"[ │╭╮╰╯─]+", " ", line).strip() for line in self.text.splitlines())

    def see(self, *texts: str) -> None:
        """Wait until each text stands on the screen, whatever the gaps in it."""
        for text in texts:
            while text not in self.lines:
                assert self.read(), f"it ended before {text!r} came:\n{self.text}"

    def press(self, key: str, named: str) -> None:
        """Press a key that the screen names at this moment, by the words in which it does."""
        assert key in named.split(), f"{named!r} does not name {key}"
        self._settle()
        self.see(named)
        self._send(SENT.get(key, key))

    def type(self, text: str, at: str) -> None:
        """Type text where the screen shows that it goes: over the field with the cursor, or into a prompt."""
        self._settle()
        self.see(at)
        self._send(text)

    def fill(self, field: str, text: str) -> None:
        """Type a value over the field with the cursor, and take it."""
        self.type(text, f"{CURSOR} {field}")
        self.press("Enter", f"Enter {KEYMAP.named['commit'].label}")

    def answer(self, question: str, text: str) -> None:
        """Type a line into a prompt, and take it."""
        self.type(text, question)
        self.press("Enter", "Enter accept")

    def choose(self, *ids: str) -> None:
        """Do acts by the menu, each by the letter that stands before its name."""
        for id in ids:
            action = KEYMAP.named[id]
            self.press("Space", "Space menu")
            long, short = (f"{action.letter} {name}" for name in (action.name, action.brief))
            shown = self._settled()
            if PROGRAM in action.shelves and long not in shown and short not in shown:
                self.press("Space", "Space job and program")
                shown = self._settled()
            self.press(action.letter, long if long in shown else short)

    def find(self, typed: str, name: str) -> None:
        """Go by the finder, a few letters typed, to the first thing that it finds."""
        self.press("/", "/ find")
        self.type(typed, "Enter goes there")
        found = re.compile(rf"{CURSOR} {re.escape(name)}( {{2,}}|$)", re.MULTILINE)
        while not found.search(self.text):
            assert self.read(), f"it ended before {name!r} was found:\n{self.text}"
        self.press("Enter", "Enter goes there")

    def view(self, typed: str, id: str) -> None:
        """Go to a view by the finder."""
        self.find(typed, VIEW_ROWS[id].name)

    def wait_for_end(self) -> None:
        """Wait until the line is closed."""
        while self.read():
            pass

    def _send(self, text: str) -> None:
        self.keys += [text] if text.startswith("\x1b") else list(text)
        self.write(text)
        self.read()

    def _settle(self) -> None:
        while not self.is_quiet(_STILL) and self.read():
            pass

    def _settled(self) -> str:
        self._settle()
        return self.lines
