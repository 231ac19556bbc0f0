"""Colour themes: the format of a theme file, its faults, and the choice of theme for a terminal."""

from __future__ import annotations

import errno
import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping, MutableMapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from physics.frozen import NamedTuple
from tui.job.files import NO_FILE, is_file_or_new
from tui.kit.look import LEAST_LOOKS, LINE_STYLES, ChartLook, Glyphs, LineLook, LineStyle
from tui.saying import nearest
from tui.settings import config_folder

if TYPE_CHECKING:
    from textual.theme import Theme

_COLOUR = re.compile(r"#[0-9a-fA-F]{6}")
_HUES = ("black", "red", "green", "yellow", "blue", "magenta", "cyan", "white")
_ANSI = {"ansi_default", *(f"ansi_{hue}" for hue in _HUES), *(f"ansi_bright_{hue}" for hue in _HUES)}
_TEXT_STYLES = {"none", "bold", "dim", "italic", "underline", "reverse", "strike"}
_COLOURS = 'a colour such as "#7fd1ae" or "ansi_green"'
_TOP = ("format", "dark", "ansi", "line_style", "ui", "variables", "chart", "line", "chamber")
_UI = (
    "primary", "secondary", "accent", "foreground", "background", "surface", "panel", "success", "warning",
    "error",
)  # fmt: skip
_CHART = ("axis", "level", "sag", "cursor", "stale")
_TINTS = ("shade", "band")
"""Background colours of parts of a chart, optional in a theme."""
_SLOW_MARKER, _OLD_SLOW_MARKER = "slow_marker", "fast_marker"
"""The key of the marker of an overlaid curve, and its key in earlier themes, which is still read."""
_LINE = ("colour", "marker", _SLOW_MARKER)
_CHAMBERS = ("total", "positive", "negative")


class ThemeFaults(ValueError):
    """All faults of a theme file, a sentence each."""

    def __init__(self, faults: list[str]) -> None:
        self.faults = tuple(faults)
        super().__init__("; ".join(faults))


class _Reader:
    """Reads a theme file, collecting faults."""

    def __init__(self) -> None:
        self.faults: list[str] = []

    def fault(self, where: str, given: object, accepted: str) -> None:
        """Note a fault: missing or wrong, and what to use."""
        wrong = "is missing" if given is None else f"cannot be {given!r}"
        self.faults.append(f"{where} {wrong}; use {accepted}")

    def known(self, table: Mapping[str, Any], names: tuple[str, ...], where: str) -> None:
        """Note every unknown key as a fault, with the nearest known one."""
        for key in table:
            if key not in names:
                near = nearest(key, names)
                meant = f'did you mean "{near}"?' if near else f"use {', '.join(names)}"
                self.faults.append(f"{where}{key} is not known; {meant}")

    def switch(self, table: Mapping[str, Any], key: str, *, default: bool | None = None) -> bool:
        """Return true or false."""
        given = table.get(key, default)
        if not isinstance(given, bool):
            self.fault(key, given, "true or false")
        return bool(given)

    def table(self, content: Mapping[str, Any], key: str) -> Mapping[str, Any]:
        """Return a table, empty if missing."""
        given = content.get(key, {})
        if isinstance(given, dict):
            return given
        self.fault(key, given, f"a table [{key}]")
        return {}

    def colours(
        self, content: Mapping[str, Any], key: str, names: tuple[str, ...], optional: tuple[str, ...] = ()
    ) -> dict[str, str]:
        """Return a table of colours with exactly these names and any of the optional ones."""
        table = self.table(content, key)
        self.known(table, names + optional, f"{key}.")
        names += tuple(name for name in optional if name in table)
        return {name: self.colour(table.get(name), f"{key}.{name}") for name in names}

    def colour(self, given: object, where: str) -> str:
        """Return one colour."""
        if _is_colour(given):
            return str(given)
        self.fault(where, given, _COLOURS)
        return "ansi_default"

    def variables(self, content: Mapping[str, Any]) -> dict[str, str]:
        """Return the table of the framework's variables: colours and text styles."""
        table = self.table(content, "variables")
        for name, given in table.items():
            if not (_is_colour(given) or (isinstance(given, str) and set(given.split()) <= _TEXT_STYLES)):
                self.fault(f"variables.{name}", given, f'{_COLOURS} or a text style such as "bold reverse"')
        return {name: str(given) for name, given in table.items()}

    def look(self, content: Mapping[str, Any]) -> ChartLook:
        """Return the look of the chart; chambers default to the look of the first lines."""
        style = content.get("line_style")
        if style not in LINE_STYLES:
            self.fault("line_style", style, " or ".join(f'"{name}"' for name in LINE_STYLES))
        given = content.get("line", [])
        if not isinstance(given, list) or not all(isinstance(line, dict) for line in given):
            self.fault("line", given, "a list of [[line]] tables")
            given = []
        elif len(given) < LEAST_LOOKS:
            self.faults.append(f"only {len(given)} [[line]] tables; use {LEAST_LOOKS} or more")
        lines = self.lines((f"line {number}", line) for number, line in enumerate(given, 1))
        table = self.table(content, "chamber")
        self.known(table, _CHAMBERS, "chamber.")
        named = ((f"chamber.{name}", self.table(table, name)) for name in _CHAMBERS) if table else ()
        spare = [LineLook("ansi_default", "", "")] * len(_CHAMBERS)
        looks: list[LineLook] = [*self.lines(named), *lines, *spare]
        total, positive, negative = looks[: len(_CHAMBERS)]
        chambers = (total, positive, negative)
        around = self.colours(content, "chart", _CHART, _TINTS)
        axis, level, sag, cursor, stale = (around[name] for name in _CHART)
        shade, band = (around.get(name, "") for name in _TINTS)
        style = cast("LineStyle", style)
        return ChartLook(style, lines, chambers, axis, level, sag, cursor, stale, shade=shade, band=band)

    def lines(self, named: Iterable[tuple[str, Mapping[str, Any]]]) -> tuple[LineLook, ...]:
        """Return the line looks of a chart, with distinct markers, from their names and tables."""
        found: dict[str, LineLook] = {}
        for name, table in named:
            line = {_SLOW_MARKER if key == _OLD_SLOW_MARKER else key: given for key, given in table.items()}
            self.known(line, _LINE, f"{name}: ")
            colour = self.colour(line.get("colour"), f"{name}: colour")
            markers = (self.marker(line.get(key), f"{name}: {key}") for key in _LINE[1:])
            found[name] = LineLook(colour, *markers)
        seen: dict[str, str] = {}
        for name, look in found.items():
            for marker in filter(None, (look.marker, look.slow_marker)):
                if marker in seen:
                    taken = f"{marker} is a marker of {seen[marker]} already"
                    self.faults.append(f"{name}: {taken}; use another")
                else:
                    seen[marker] = name
        return tuple(found.values())

    def marker(self, given: object, where: str) -> str:
        """Return one marker."""
        from rich.cells import cell_len  # for the width of a character

        if isinstance(given, str) and len(given) == 1 and given.isprintable() and cell_len(given) == 1:
            return given
        self.fault(where, given, "one character of one cell")
        return ""


def _is_colour(given: object) -> bool:
    return isinstance(given, str) and (bool(_COLOUR.fullmatch(given)) or given in _ANSI)


PLAIN, SIXTEEN, DARK = "plain", "sixteen", "dark"
"""Shipped themes chosen by the capabilities of the terminal."""
LIGHT = "light"

ASKED = "SPRINGWRIGHT_THEME"
"""Variable of the environment that names a theme."""

_ANSI_VARIABLES = {"ansi-background": "ansi_default", "ansi-foreground": "ansi_default"}
"""The framework's own style sheets ask every theme of the terminal's colours for these."""


class ThemeData(NamedTuple):
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
        return self.look.in_ascii(glyphs) if glyphs.ascii else self.look._replace(glyphs=glyphs)


class Found(NamedTuple):
    """Every theme that can be used, by name, and a line for every fault in a user's own."""

    themes: Mapping[str, ThemeData]
    faults: tuple[str, ...]

    def choose(self, environ: Mapping[str, str], remembered: str = "") -> tuple[ThemeData, str]:
        """Return the theme asked for, or the `remembered` one, or the terminal's own; and what is wrong.

        Only what was asked for can be wrong. A remembered theme is left out where it is gone, or where this
        terminal has too few colours for it: it may have been another terminal that it was chosen on.
        """
        asked, ordinary = environ.get(ASKED, ""), self.themes[default_theme(environ)]
        if no_colour(environ):
            return ordinary, ""
        if not asked:
            known = self.themes.get(remembered, ordinary)
            return (ordinary if ordinary.ansi and not known.ansi else known), ""
        if asked in self.themes:
            return self.themes[asked], ""
        *names, last = sorted(self.themes)
        return ordinary, f"{ASKED}: there is no theme {asked!r}; use {', '.join(names)} or {last}"


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


def shipped_themes() -> Found:
    """Return the shipped themes alone."""
    return Found(Themes(_shipped(), {}), ())


def themes_folder() -> Path:
    """Return the folder for a user's own themes."""
    return config_folder() / "themes"


_LARGEST = 100_000
"""Largest theme file taken [bytes]."""


def read_theme(source: Path) -> ThemeData:
    """Read one theme file; raises `ThemeFaults` with everything that is wrong in it."""
    try:
        if not is_file_or_new(source):
            raise OSError(errno.EINVAL, NO_FILE)
        with source.open("rb") as file:
            text = file.read(_LARGEST + 1).decode("utf-8-sig")
        content: dict[str, Any] = {} if len(text) > _LARGEST else tomllib.loads(text)
    except (OSError, UnicodeDecodeError) as error:
        raise ThemeFaults([f"cannot be read: {error}"]) from error
    except (ValueError, RecursionError) as error:
        raise ThemeFaults([f"is not TOML: {error}"]) from error
    if len(text) > _LARGEST:
        raise ThemeFaults([f"is larger than {_LARGEST // 1000} kB"])
    reader = _Reader()
    reader.known(content, _TOP, "")
    if content.get("format") != 1:
        reader.fault("format", content.get("format"), "1")
    dark, ansi = reader.switch(content, "dark"), reader.switch(content, "ansi", default=False)
    ui, variables = reader.colours(content, "ui", _UI), reader.variables(content)
    theme = ThemeData(source.stem, dark, ansi, ui, variables, reader.look(content))
    if reader.faults:
        raise ThemeFaults(reader.faults)
    return theme


@cache
def paper_theme() -> ThemeData:
    """Return the colours on white paper: those of the shipped theme for daylight."""
    return next(read_theme(source) for source in _shipped() if source.stem == LIGHT)


def paper_look() -> ChartLook:
    """Return the colours of a chart on white paper."""
    return paper_theme().look


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
