"""Contents of menu, finder and help of the linkage screen."""

from __future__ import annotations

from collections.abc import Sequence

from tui.bench.overlays import BenchTarget
from tui.kit.cells import CellRow
from tui.kit.document import Document
from tui.kit.dressing import dressed
from tui.kit.finder import Item
from tui.kit.keymap import PROGRAM
from tui.kit.look import ChartLook
from tui.kit.overlays import Overlays, Shelf, act_items, help_blocks
from tui.linkage.drawing import letter
from tui.linkage.keymap import KEYMAP, LINKAGE, LinkageAction
from tui.linkage.state import LinkageState, Part, X, point_kind, show_drawing, with_cursor
from tui.linkage.words import ABOUT, cell_title, meaning_of

POINT, PART = "point", "part"
"""Kinds of finder items besides actions."""
_PARTS = {
    Part.BARS: "Rigid members: two points at a fixed distance.",
    Part.KNOWN: "The real distance between two points of the photo: its scale.",
    Part.LEVEL: "Two points that are level on the bike.",
    Part.DRAWING: "The linkage as it moves, and its leverage curve.",
}


def _shelves(state: LinkageState) -> tuple[Shelf, Shelf]:
    return Shelf(LINKAGE, LINKAGE, "linkage"), Shelf(PROGRAM, PROGRAM, "job and program")


def items(state: LinkageState) -> Sequence[Item]:
    """Return all finder items: actions, points by name, tables and drawing."""
    points = (
        Item((POINT, row), point.name, "points", letter(row), point_kind(state.sketch, row))
        for row, point in enumerate(state.sketch.points)
    )
    parts = (Item((PART, part), part.value, "pane", "Tab", _PARTS[part]) for part in state.parts[1:])
    return (*act_items(KEYMAP, state, lambda action: ""), *points, *parts, *state.elsewhere)


def _go_to(state: LinkageState, item: Item) -> tuple[LinkageState, LinkageAction | BenchTarget | None]:
    match item.id:
        case ("point", int(row)):
            return with_cursor(state, Part.POINTS, row, X), None
        case (_, BenchTarget() as target):
            return state, target
        case (_, Part() as part) if part is not Part.DRAWING:
            return with_cursor(state, part, 0, 0), None
        case _:
            return show_drawing(state), None


OVERLAYS: Overlays[LinkageState, BenchTarget] = Overlays(KEYMAP, _shelves, items, _go_to)
"""Menu and finder of the linkage screen."""


def help_lines(state: LinkageState, width: int, look: ChartLook) -> list[CellRow]:
    """Return what the selected cell and the drawing are, and every act with the way to it."""
    about = ((cell_title(state), meaning_of(state)), ABOUT)
    return dressed(Document(tuple(help_blocks(about, KEYMAP.groups))), width, look)
