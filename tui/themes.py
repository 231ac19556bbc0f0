"""Colour themes as data: the shipped ones and a user's own, checked with all faults at once."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator, Mapping, MutableMapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tui.charts.look import ChartLook
from tui.glyphs import Glyphs
from tui.settings import config_folder
from tui.theme_file import ThemeFaults, theme_parts

if TYPE_CHECKING:
    from textual.theme import Theme

PLAIN, SIXTEEN, DARK = "plain", "sixteen", "dark"
"""Shipped themes that a terminal is given by itself."""
LIGHT = "light"

ASKED = "SPRINGWRIGHT_THEME"
"""Variable of the environment that names a theme."""

_ANSI_VARIABLES = {"ansi-background": "ansi_default", "ansi-foreground": "ansi_default"}
"""The framework's own style sheets ask every theme of the terminal's colours for these."""


@dataclass(frozen=True, slots=True)
class ThemeData:
    """One theme: the colours of the screen and the look of the chart."""

    name: str
    dark: bool
    ansi: bool
    ui: Mapping[str, str]
    variables: Mapping[str, str]
    look: ChartLook

    def textual(self) -> Theme:
        """Return the theme as the screen registers it."""
        from textual.theme import Theme  # the command without a screen never pays for it

        colours: dict[str, Any] = dict(self.ui)
        variables = (_ANSI_VARIABLES if self.ansi else {}) | dict(self.variables)
        return Theme(name=self.name, dark=self.dark, ansi=self.ansi, variables=variables, **colours)

    def chart(self, glyphs: Glyphs) -> ChartLook:
        """Return the look of the chart in the characters of this terminal."""
        return self.look.in_ascii() if glyphs.ascii else replace(self.look, glyphs=glyphs)


@dataclass(frozen=True, slots=True)
class Found:
    """Every theme that can be used, by name, and a line for every fault in a user's own."""

    themes: Mapping[str, ThemeData]
    faults: tuple[str, ...]

    def choose(self, environ: Mapping[str, str]) -> tuple[ThemeData, str]:
        """Return the theme asked for or the terminal's own, and what is wrong with what was asked."""
        asked, ordinary = environ.get(ASKED, ""), self.themes[default_theme(environ)]
        if not asked or no_colour(environ):
            return ordinary, ""
        if asked in self.themes:
            return self.themes[asked], ""
        *names, last = sorted(self.themes)
        return ordinary, f"{ASKED}: there is no theme {asked!r}; {', '.join(names)} or {last} is accepted"


class Themes(Mapping[str, ThemeData]):
    """Themes by name; a shipped one is read when it is first looked at, one's own are read already."""

    def __init__(self, shipped: Iterable[Path], own: Mapping[str, ThemeData]) -> None:
        """Know the files of the shipped themes; one's own go before those of their name."""
        self._files = {source.stem: source for source in shipped}
        self._read = dict(own)

    def __getitem__(self, name: str) -> ThemeData:
        """Return a theme."""
        if name not in self._read:
            self._read[name] = read_theme(self._files[name])
        return self._read[name]

    def __iter__(self) -> Iterator[str]:
        """Go through the names."""
        return iter({**self._files, **self._read})

    def __len__(self) -> int:
        """Return how many there are."""
        return len({**self._files, **self._read})


def find_themes(user_folder: Path | None = None) -> Found:
    """Find the shipped themes and a user's own; a user's theme goes before a shipped one of its name."""
    own: dict[str, ThemeData] = {}
    faults: list[str] = []
    for source in _toml_files(user_folder or themes_folder()):
        try:
            own[source.stem] = read_theme(source)
        except ThemeFaults as found:
            faults += [f"{source}: {fault}" for fault in found.faults]
    return Found(Themes(_shipped(), own), tuple(faults))


def themes_folder() -> Path:
    """Return the folder for a user's own themes."""
    return config_folder() / "themes"


def read_theme(source: Path) -> ThemeData:
    """Read one theme file; raises `ThemeFaults` with everything that is wrong in it."""
    try:
        content: dict[str, Any] = tomllib.loads(source.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError) as error:
        raise ThemeFaults([f"cannot be read: {error}"]) from error
    except tomllib.TOMLDecodeError as error:
        raise ThemeFaults([f"is not TOML: {error}"]) from error
    parts = theme_parts(content)
    return ThemeData(name=source.stem, **parts)


@cache
def paper_look() -> ChartLook:
    """Return the colours of a chart on white paper: those of the shipped theme for daylight."""
    return next(read_theme(source) for source in _shipped() if source.stem == LIGHT).look


def _shipped() -> list[Path]:
    here = Path(__file__).parent
    installed = here / "shipped_themes"
    return _toml_files(installed if installed.is_dir() else here.parent / "themes")


def _toml_files(folder: Path) -> list[Path]:
    return sorted(folder.glob("*.toml"))


def no_colour(environ: Mapping[str, str]) -> bool:
    """Whether this person wants no colour; an empty variable counts as unset."""
    return environ.get("NO_COLOR", "") != ""


def forget_empty_no_color(environ: MutableMapping[str, str]) -> None:
    """Take an empty NO_COLOR out of the environment, which the screen's framework takes for a set one."""
    if environ.get("NO_COLOR") == "":
        del environ["NO_COLOR"]


def default_theme(environ: Mapping[str, str]) -> str:
    """Return the name of the theme for this terminal.

    Under NO_COLOR the framework by itself sends greys: it must be told from the start to use the
    terminal's own colours, `App(ansi_color=True)`.
    """
    if no_colour(environ):
        return PLAIN
    deep = environ.get("COLORTERM", "").lower() in ("truecolor", "24bit")
    return DARK if deep or "256color" in environ.get("TERM", "") else SIXTEEN
