"""The colours of every theme: told apart by all eyes, read on their ground, and of the chambers' own."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from pathlib import Path

import pytest

from physics.answer import Answer
from physics.bench import answer
from tests.colour_science import EYES, apart, contrast, hue, least_apart
from tests.physics.test_bench import CASE
from tui.charts.drawing import HIGHLIGHT, picture
from tui.charts.series import Scene, chart_data
from tui.charts.views import ChartView
from tui.kit.look import ASCII, NEGATIVE, POSITIVE, TOTAL, UTF8, ChartLook
from tui.kit.roles import Role
from tui.shop_units import USUAL
from tui.themes import ThemeData, find_themes, paper_look

THEMES = find_themes(Path("/nowhere")).themes
DEEP = ("dark", "light", "high-contrast")
COLOURED = (*DEEP, "sixteen")
CHAMBERS = {"total": TOTAL, "positive": POSITIVE, "negative": NEGATIVE}
TOLD_APART = 20.0
"""CIEDE2000 between two colours of one chart, to whichever eyes find them closest."""
OWN = 11.0
"""The same between a chamber and a setup, which stand in charts of their own."""
FAR = 20.0
"""CIEDE2000 from a chamber to the nearest blue, orange or red."""

# W3C, CSS Color Module Level 4, "named colors".
NEAR = {
    "blue": "#0000ff", "mediumblue": "#0000cd", "royalblue": "#4169e1", "dodgerblue": "#1e90ff",
    "cornflowerblue": "#6495ed", "steelblue": "#4682b4", "navy": "#000080", "deepskyblue": "#00bfff",
    "lightskyblue": "#87cefa", "orange": "#ffa500", "darkorange": "#ff8c00", "coral": "#ff7f50",
    "sandybrown": "#f4a460", "chocolate": "#d2691e", "red": "#ff0000", "crimson": "#dc143c",
    "firebrick": "#b22222", "darkred": "#8b0000", "tomato": "#ff6347", "indianred": "#cd5c5c",
    "lightcoral": "#f08080",
}  # fmt: skip
# The sixteen colours of xterm (its XTerm-col.ad); a terminal may have others. Default: white on black.
_SHADES = {
    "black": ("#000000", "#7f7f7f"), "red": ("#cd0000", "#ff0000"), "green": ("#00cd00", "#00ff00"),
    "yellow": ("#cdcd00", "#ffff00"), "blue": ("#0000ee", "#5c5cff"), "magenta": ("#cd00cd", "#ff00ff"),
    "cyan": ("#00cdcd", "#00ffff"), "white": ("#e5e5e5", "#ffffff"),
}  # fmt: skip
XTERM = {f"ansi_{name}": plain for name, (plain, _) in _SHADES.items()}
XTERM |= {f"ansi_bright_{name}": bright for name, (_, bright) in _SHADES.items()}
XTERM["ansi_default"] = XTERM["ansi_white"]


# A Linux console's (its drivers/tty/vt/vt.c: default_red, default_grn, default_blu). Default: grey on black.
CONSOLE = {f"ansi_{name}": colour for name, colour in zip(
    _SHADES,
    ("#000000", "#aa0000", "#00aa00", "#aa5500", "#0000aa", "#aa00aa", "#00aaaa", "#aaaaaa"), strict=True,
)}  # fmt: skip
CONSOLE |= {f"ansi_bright_{name}": colour for name, colour in zip(
    _SHADES,
    ("#555555", "#ff5555", "#55ff55", "#ffff55", "#5555ff", "#ff55ff", "#55ffff", "#ffffff"), strict=True,
)}  # fmt: skip
CONSOLE["ansi_default"] = CONSOLE["ansi_white"]


def painted(colour: str) -> str:
    """Return a colour of a theme as it shows, one of a terminal's sixteen as xterm has it."""
    return XTERM.get(colour, colour)


def ground(theme: ThemeData, part: str = "background") -> str:
    """Return what stands behind the text of a theme."""
    return XTERM["ansi_black"] if theme.ansi else theme.ui[part]


def many(count: int) -> Answer:
    """Return an answer with so many setups, an air spring first."""
    found = answer(CASE)
    return replace(found, setups=(found.setups[1], found.setups[0]) * (count // 2))


def colours_of(view: ChartView, look: ChartLook, setups: int) -> set[str]:
    """Return every colour that stands in a chart as the program draws it."""
    chart = chart_data(many(setups), view, slow=True)
    around = {look.axis, look.cursor, look.stale}
    around |= {look.level} if chart.level else set()
    around |= {look.sag} if chart.points else set()
    return {painted(name) for name in around | {look.line(line.look).colour for line in chart.lines}}


@pytest.mark.fast_cases(35)
@pytest.mark.parametrize("setups", [2, 4, 12])
@pytest.mark.parametrize("view", ChartView)
@pytest.mark.parametrize("name", sorted(THEMES))
def test_colours_of_one_chart_are_told_apart_by_all_eyes(name: str, view: ChartView, setups: int) -> None:
    for one, other in combinations(sorted(colours_of(view, THEMES[name].look, setups)), 2):
        for eyes in EYES:
            assert apart(one, other, eyes) >= TOLD_APART, (one, other, eyes)


@pytest.mark.parametrize("name", DEEP)
def test_four_setups_have_four_colours(name: str) -> None:
    look = THEMES[name].look
    assert len({look.line(number).colour for number in range(4)}) == 4


@pytest.mark.parametrize("name", COLOURED)
def test_chambers_have_colours_that_no_setup_has(name: str) -> None:
    look = THEMES[name].look
    chambers = {painted(look.line(chamber).colour) for chamber in CHAMBERS.values()}
    setups = {painted(line.colour) for line in look.lines}
    assert len(chambers) == 3
    assert not chambers & setups
    if name != "sixteen":  # which has too few colours for both
        assert min(least_apart(one, other) for one in chambers for other in setups) >= OWN


@pytest.mark.parametrize("chamber", CHAMBERS)
@pytest.mark.parametrize("name", COLOURED)
def test_no_chamber_is_near_blue_orange_or_red(name: str, chamber: str) -> None:
    colour = painted(THEMES[name].look.line(CHAMBERS[chamber]).colour)
    nearest = {named: apart(colour, other) for named, other in NEAR.items()}
    assert min(nearest.values()) >= FAR, min(nearest, key=lambda named: nearest[named])


def test_no_setup_on_paper_or_screen_is_blue_orange_or_red() -> None:
    for name in DEEP:
        for line in THEMES[name].look.lines:
            assert min(apart(line.colour, other) for other in NEAR.values()) >= 13
            assert not 15 < hue(line.colour) < 78, "between red and orange"
            assert not 235 < hue(line.colour) < 300, "blue"


@pytest.mark.parametrize("name", COLOURED)
def test_lines_stand_out_and_the_names_in_their_colour_are_read(name: str) -> None:
    theme = THEMES[name]
    look, behind = theme.look, ground(theme)
    least = 7.0 if name == "high-contrast" else 4.5
    around = (look.axis, look.level, look.sag, look.cursor, look.stale)
    for colour in (*around, *(line.colour for line in look.lines)):  # all of these write words too
        assert contrast(painted(colour), behind) >= least, colour
    # Of the sixteen none but the darker magenta is as far from all others; xterm's has 4.48 on black. No
    # words are written in it.
    for line in look.chambers:
        assert contrast(painted(line.colour), behind) >= (4.47 if name == "sixteen" else least), line


@pytest.mark.parametrize("name", DEEP)
def test_what_is_shaded_is_seen_and_hides_no_line_and_no_word(name: str) -> None:
    theme = THEMES[name]
    look = theme.look
    for tint in (look.shade, look.band):
        assert apart(tint, ground(theme)) >= 5.0
        # Letters that mark the curves on a plain terminal stand on the tints as well.
        least = {"dark": 3.0, "light": 3.8, "high-contrast": 4.5}[name]
        for line in (*look.lines, *look.chambers):
            assert contrast(line.colour, tint) >= least, (line, tint)
        for colour in (look.axis, look.level, look.sag, look.cursor):
            assert contrast(colour, tint) >= 4.5
    assert apart(look.shade, look.band) >= 5.0


@pytest.mark.parametrize("palette", [XTERM, CONSOLE])
def test_words_in_a_terminals_own_colours_are_read(palette: dict[str, str]) -> None:
    theme = THEMES["sixteen"]
    for key in ("foreground", "primary", "secondary", "accent", "success", "warning", "error"):
        assert contrast(palette[theme.ui[key]], palette["ansi_black"]) >= 4.5, key
    for line in theme.look.lines:
        assert contrast(palette[line.colour], palette["ansi_black"]) >= 4.5, line
    for line in theme.look.chambers:  # a line only: its name has the colour of text
        assert contrast(palette[line.colour], palette["ansi_black"]) >= 3.0, line


@pytest.mark.parametrize("name", sorted(THEMES))
def test_names_of_curves_stand_on_no_tint_and_in_a_colour_that_is_read(name: str) -> None:
    look = THEMES[name].chart(UTF8)
    for view in (ChartView.WHEEL, ChartView.CHAMBERS):
        chart = chart_data(many(2), view, selected=0)
        shown = picture(Scene(chart, USUAL, look), 80, 24)
        assert shown.canvas is not None
        names = [
            cell for row in shown.rows for cell in row[shown.left + shown.canvas.columns :] if cell[0] != " "
        ]
        assert len(names) > 8
        roles = {role for _, role in names}
        assert not {role for role in roles if role >= HIGHLIGHT}
        for line in chart.lines:
            is_own = look.line(line.look).colour.startswith("#")
            letters = {role for text, role in names if text in line.name}
            assert (Role.SETUP + line.look in letters) == is_own
            assert (Role.BASE in letters) != is_own


@pytest.mark.parametrize("name", ["sixteen", "plain"])
def test_a_theme_of_the_terminal_has_no_colour_behind_a_chart(name: str) -> None:
    assert (THEMES[name].look.shade, THEMES[name].look.band) == ("", "")


@pytest.mark.parametrize("part", ["background", "surface", "panel"])
@pytest.mark.parametrize("name", DEEP)
def test_words_are_read_on_every_ground(name: str, part: str) -> None:
    theme = THEMES[name]
    behind = ground(theme, part)
    for key in ("foreground", "primary", "secondary", "accent", "success", "warning", "error"):
        assert contrast(theme.ui[key], behind) >= (7.0 if name == "high-contrast" else 4.5), key


@pytest.mark.parametrize("name", sorted(THEMES))
def test_markers_tell_lines_apart_where_colours_do_not(name: str) -> None:
    for look in (THEMES[name].chart(UTF8), THEMES[name].chart(ASCII)):
        for lines in (look.lines, look.chambers):
            markers = [marker for line in lines for marker in (line.marker, line.slow_marker)]
            assert len(set(markers)) == len(markers)


def test_paper_has_the_colours_of_the_light_screen() -> None:
    assert paper_look() == THEMES["light"].look
    for line in paper_look().lines:
        assert contrast(line.colour, "#ffffff") >= 4.5
