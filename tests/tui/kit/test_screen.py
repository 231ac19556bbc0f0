"""Sparing repaints: the same screen for fewer bytes."""

import pyte
import pytest
from rich.console import Console
from rich.segment import Segment
from rich.style import Style
from textual._compositor import ChopsUpdate
from textual.app import App
from textual.screen import Screen
from textual.strip import Strip

from tui.kit.screen import SparingCompositor, SparingScreen, SparingUpdate

CONSOLE = Console(color_system="256", force_terminal=True, width=40, height=2)


def line(*parts: tuple[str, str]) -> Strip:
    return Strip([Segment(text, Style.parse(style)) for text, style in parts])


def both(spans: list[tuple[int, int, int]], *chops: dict[int, Strip | None]) -> tuple[str, str]:
    ends = [[20, 40] for _ in chops]
    made = (kind(chops, spans, ends).render_segments(CONSOLE) for kind in (ChopsUpdate, SparingUpdate))
    return next(made), next(made)


def terminal(sent: str) -> pyte.Screen:
    screen = pyte.Screen(40, 2)
    pyte.Stream(screen).feed("\x1b[1;1H" + "." * 40 + "\x1b[2;1H" + "." * 40 + sent)
    return screen


WIDE: dict[int, Strip | None] = {
    0: line(("label", "bold"), (" " * 10 + "123.4", "red")),
    20: line(("右" * 5, "green"), ("0123456789", "none")),
}


@pytest.mark.parametrize("spans", [[(0, 16, 20)], [(0, 0, 5), (0, 18, 22)], [(1, 22, 24), (1, 36, 40)]])
def test_the_changed_cells_are_the_same_and_the_rest_is_not_sent(spans: list[tuple[int, int, int]]) -> None:
    usual, sparing = both(spans, WIDE, WIDE)
    assert len(sparing) < len(usual)
    full, cut = terminal(usual), terminal(sparing)
    for y in range(2):
        for x in range(40):
            inside = any(row == y and first <= x < end for row, first, end in spans)
            assert cut.buffer[y][x] == (full.buffer[y][x] if inside else terminal("").buffer[y][x]), (y, x)


def test_a_part_that_was_not_rendered_is_left_alone() -> None:
    _usual, sparing = both([(0, 0, 40)], {0: None, 20: line(("0123456789" * 2, "none"))})
    assert terminal(sparing).display[0] == "." * 20 + "0123456789" * 2


async def test_a_sparing_screen_paints_with_it() -> None:
    class Bench(App[None]):
        def get_default_screen(self) -> Screen[None]:
            return SparingScreen()

    async with Bench().run_test() as pilot:
        assert isinstance(pilot.app.screen._compositor, SparingCompositor)
