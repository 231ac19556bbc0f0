"""Sparing repaints: the same screen for fewer bytes."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterable
from pathlib import Path

import pyte
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.color import ColorSystem
from rich.console import Console
from rich.segment import Segment
from rich.style import Style
from textual._compositor import ChopsUpdate, CompositorUpdate, LayoutUpdate
from textual.app import App
from textual.geometry import Region
from textual.screen import Screen
from textual.strip import Strip

from tests.random_cases import cases
from tui.kit.repaint import (
    PLAIN,
    Painted,
    Pen,
    SparingCompositor,
    SparingLayout,
    SparingUpdate,
    moved,
    painted,
    pen_of,
    turned,
)
from tui.kit.screen import SparingScreen

ROOT = Path(__file__).parents[3]
WIDTH, HEIGHT = 40, 2


def console() -> Console:
    return Console(color_system="256", force_terminal=True, width=WIDTH, height=HEIGHT)


def line(*parts: tuple[str, str]) -> Strip:
    return Strip([Segment(text, Style.parse(style)) for text, style in parts])


class Terminal:
    """A terminal full of dots, and what it looks like."""

    def __init__(self) -> None:
        self.screen = pyte.Screen(WIDTH, HEIGHT)
        self.stream = pyte.Stream(self.screen)
        self.feed("\x1b[1;1H" + "." * WIDTH + "\x1b[2;1H" + "." * WIDTH)

    def feed(self, sent: str) -> Terminal:
        self.stream.feed(sent)
        return self

    def looks(self, y: int, x: int) -> tuple[object, ...]:
        """Return what is seen of a cell: a blank looks the same in any colour of letters."""
        cell = self.screen.buffer[y][x]
        marks = cell.reverse, cell.underscore, cell.strikethrough
        letters = (cell.fg, cell.bold, cell.italics) if cell.data != " " or any(marks) else ()
        return cell.data, cell.bg, marks, letters

    @property
    def all(self) -> list[tuple[object, ...]]:
        return [self.looks(y, x) for y in range(HEIGHT) for x in range(WIDTH)]


Chop = dict[int, Strip | None]


def updates(spans: list[tuple[int, int, int]], *chops: Chop) -> tuple[ChopsUpdate, SparingUpdate]:
    ends = [[20, 40] for _ in chops]
    return ChopsUpdate(chops, spans, ends), SparingUpdate(chops, spans, ends)


WIDE: Chop = {
    0: line(("label", "bold"), (" " * 10 + "123.4", "red")),
    20: line(("右" * 5, "green"), ("0123456789", "none")),
}


@pytest.mark.parametrize("spans", [[(0, 16, 20)], [(0, 0, 5), (0, 18, 22)], [(1, 22, 24), (1, 36, 40)]])
def test_the_changed_cells_are_the_same_and_the_rest_is_not_sent(spans: list[tuple[int, int, int]]) -> None:
    usual, sparing = (update.render_segments(console()) for update in updates(spans, WIDE, WIDE))
    assert len(sparing) < len(usual)
    full, cut, dots = Terminal().feed(usual), Terminal().feed(sparing), Terminal()
    for y in range(HEIGHT):
        for x in range(WIDTH):
            inside = any(row == y and first <= x < end for row, first, end in spans)
            assert cut.looks(y, x) == (full if inside else dots).looks(y, x), (y, x)


def test_a_part_that_was_not_rendered_is_left_alone() -> None:
    _usual, sparing = updates([(0, 0, 40)], {0: None, 20: line(("0123456789" * 2, "none"))})
    shown = Terminal().feed(sparing.render_segments(console()))
    assert shown.screen.display[0] == "." * 20 + "0123456789" * 2


def test_what_stands_there_already_is_not_sent_again() -> None:
    there = console()
    first, again = (updates([(0, 0, 40)], WIDE)[1].render_segments(there) for _ in range(2))
    assert len(first) > WIDTH
    assert again == ""
    painted(there).forget()
    assert updates([(0, 0, 40)], WIDE)[1].render_segments(there) == first
    assert updates([(0, 0, 40)], WIDE)[1].render_segments(console()) == first, "another knows nothing"


def test_one_letter_in_another_place_costs_little() -> None:
    there = console()
    updates([(0, 0, 40)], WIDE)[1].render_segments(there)
    moved: Chop = {0: line(("label", "bold"), (" " * 10 + "124.4", "red")), 20: WIDE[20]}
    assert updates([(0, 0, 40)], moved)[1].render_segments(there) == "\x1b[1;18H\x1b[31m4\x1b[0m"


def test_half_a_wide_character_is_never_left_over() -> None:
    there, terminal = console(), Terminal()
    terminal.feed(updates([(0, 20, 40)], WIDE)[1].render_segments(there))
    for text in ("a右右右右b", "右a右b右c", "abcdefghij", "右右右右右"):
        update: Chop = {0: None, 20: line((text, "green"))}
        usual, sparing = updates([(0, 20, 40)], update)
        terminal.feed(sparing.render_segments(there))
        wanted = Terminal().feed(usual.render_segments(console()))
        assert [terminal.looks(0, x) for x in range(20, 29)] == [wanted.looks(0, x) for x in range(20, 29)]
        assert terminal.screen.display[0].endswith("456789")


def test_a_mark_above_a_letter_stays_with_it() -> None:
    there = console()
    update: Chop = {0: line(("äa\u0308x", "none")), 20: None}
    sent = updates([(0, 0, 20)], update)[1].render_segments(there)
    assert sent.endswith("äa\u0308x")
    moved: Chop = {0: line(("äa\u0308y", "none")), 20: None}
    assert updates([(0, 0, 20)], moved)[1].render_segments(there) == "\x1b[1;3Hy"


Pieces = list[tuple[str, str]]
STYLES = ("none", "bold", "red", "bold red on blue", "reverse", "dim", "bold dim", "underline", "on blue")
PIECES = st.lists(
    st.tuples(st.sampled_from(("ab", "  ", "右", "x", " ")), st.sampled_from(STYLES)), max_size=14
)


def whole(pieces: Pieces) -> Strip:
    return line(*pieces).adjust_cell_length(WIDTH, Style.parse("on blue"))


@settings(max_examples=cases(60))
@given(st.lists(st.tuples(PIECES, PIECES), min_size=1, max_size=4), st.booleans())
def test_a_terminal_shows_what_it_would_if_all_were_sent(
    pages: list[tuple[Pieces, Pieces]], erases: bool
) -> None:
    known, sparing, usual = Painted(), Terminal(), Terminal()
    for page in pages:
        strips: list[Iterable[Strip]] = [[whole(pieces)] for pieces in page]
        region = Region(0, 0, WIDTH, HEIGHT)
        parts = ((y, 0, whole(pieces)) for y, pieces in enumerate(page))
        sparing.feed(known.sent(parts, ColorSystem.EIGHT_BIT, erases=erases))
        usual.feed(LayoutUpdate(strips, region).render_segments(console()).replace("\n", ""))
        assert sparing.all == usual.all


def test_blanks_are_erased_where_that_is_shorter_and_the_terminal_can() -> None:
    for erases, sent in (
        (True, "\x1b[1;1H\x1b[44m\x1b[12X\x1b[13Gx\x1b[0m"),
        (False, f"\x1b[1;1H\x1b[44m{' ' * 12}x\x1b[0m"),
    ):
        blanks = line((" " * 12, "on blue"), ("x", "on blue"))
        assert Painted().sent(iter([(0, 0, blanks)]), ColorSystem.EIGHT_BIT, erases=erases) == sent
    few = line((" " * 10, "on blue"), ("x", "on blue"))
    assert "X" not in Painted().sent(iter([(0, 0, few)]), ColorSystem.EIGHT_BIT, erases=True)


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize(
    ("terminal", "erases"), [("xterm-256color", True), ("screen-256color", False), ("none at all", False)]
)
def test_a_terminal_says_itself_whether_it_erases(terminal: str, erases: bool) -> None:
    script = "from tui.kit.repaint import can_erase; print(can_erase())"
    told = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True,
        text=True,
        check=True,
        env={"TERM": terminal},
        cwd=ROOT,
    )
    assert told.stdout.strip() == str(erases)


def test_what_has_one_look_comes_together() -> None:
    rows = [(y, 0, line(("a", "on blue"), ("  ", "red on blue"), ("b", "on red"))) for y in range(2)]
    sent = Painted().sent(iter(rows), ColorSystem.EIGHT_BIT)
    assert sent == "\x1b[1;4H\x1b[41mb\x1b[2;4Hb\x1b[1;1H\x1b[44ma  \x1b[2;1Ha  \x1b[0m"


@pytest.mark.parametrize(
    ("at", "there", "sent"),
    [
        (None, (4, 9), "\x1b[5;10H"),
        ((4, 8), (4, 9), "\x1b[C"),
        ((4, 2), (4, 9), "\x1b[7C"),
        ((4, 9), (4, 7), "\b\b"),
        ((4, 99), (4, 0), "\x1b[1G"),
        ((4, 99), (4, 80), "\x1b[81G"),
        ((3, 9), (4, 9), "\x1b[B"),
        ((1, 11), (4, 9), "\x1b[3B\b\b"),
        ((5, 9), (4, 9), "\x1b[5;10H"),
    ],
)
def test_the_cursor_goes_the_shortest_way(
    at: tuple[int, int] | None, there: tuple[int, int], sent: str
) -> None:
    assert moved(at, *there) == sent


MARKS = st.frozensets(st.sampled_from((1, 2, 3, 4, 7, 9)))
PENS = st.builds(Pen, st.sampled_from(("39", "31", "38;5;200")), st.sampled_from(("49", "44")), MARKS)


@settings(max_examples=cases(60))
@given(st.lists(PENS, min_size=1, max_size=6))
def test_a_pen_is_turned_into_the_next_one(pens: list[Pen]) -> None:
    one, other, pen = Terminal(), Terminal(), PLAIN
    for wanted in pens:
        codes, pen = turned(pen, wanted)
        assert pen == wanted
        one.feed(f"\x1b[1;1H{codes}x")
        other.feed("\x1b[0m\x1b[1;1H" + turned(PLAIN, wanted)[0] + "x")
        assert one.looks(0, 0) == other.looks(0, 0)
        assert turned(pen, pen) == ("", pen)


def test_a_blank_needs_no_colour_of_letters() -> None:
    red = pen_of(Style.parse("bold red on blue"), ColorSystem.EIGHT_BIT)
    blank = Pen(None, red.back)
    assert turned(red, blank) == ("", red)
    underlined = Pen("39", red.back, frozenset((4,)))
    assert turned(underlined, blank) == ("\x1b[24m", Pen("39", red.back))


async def test_a_sparing_screen_paints_with_it() -> None:
    class Bench(App[None]):
        def get_default_screen(self) -> Screen[None]:
            return SparingScreen()

    async with Bench().run_test() as pilot:
        compositor = pilot.app.screen._compositor
        assert isinstance(compositor, SparingCompositor)
        full: CompositorUpdate = compositor.render_full_update()
        assert isinstance(full, SparingLayout)
