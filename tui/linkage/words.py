"""What the lines of the linkage screen say: whose it is, what a cell means, what is read, the keys."""

from __future__ import annotations

from textwrap import wrap

from tui.bench.dialogs_literal import literal
from tui.bench.keys_action import key_name
from tui.bench.screen_lines import Role
from tui.charts.cells import Row, cells, fitted
from tui.glyphs import Glyphs
from tui.linkage.keys import key_line
from tui.linkage.roles import AXLE, EYE, FIXED, PIVOT, WHAT_WORDS, mark
from tui.linkage.state import LENGTH, NAME, STEPS, WHAT, LinkageState, Part
from tui.shop_units import Measure

_POINTS = {
    NAME: "What the point is called; in the drawing its letter stands for it. Enter opens it.",
    WHAT: "Enter fixes the point to the frame or lets it go; w makes it the axle, s an eye of the shock.",
}
_MM = (
    "Off a drawing, or measured on the bike at full extension: x along the bike, either way, y up, "
    "from any one place."
)
_PX = "Off a side photo taken square from far away, the bike at full extension: x to the right, y down."
_BAR = (
    "Two points whose distance stays: three points of one body are three bars, four are five. Enter goes to "
    "the next point."
)
_KNOWN = "The two points whose distance is known on the bike, such as the eyes of the shock."
_LEVEL = (
    "Two points that lie level on the bike, such as both axles: a tilted photo is turned until they do. v "
    "takes them out."
)
_LENGTH_MEANING = "Their distance on the bike, with its unit: it gives the photo its scale."
_DRAWING = "The linkage where it is read: c goes a tenth of the stroke on, h and l a hundredth."


def title_line(state: LinkageState, trouble: str, width: int, glyphs: Glyphs) -> list[Row]:
    """Return the line at the top: whose linkage it is, and whether it is in the job or in no draft either."""
    invented = state.sketch == state.invented
    adopted = not invented and not state.changed
    told = "in the job" if adopted else "invented example, not adopted" if invented else "not adopted"
    right = cells(f" {told} ", Role.QUIET if adopted else Role.WARNING)
    if trouble:
        right = cells(f" {literal(trouble, glyphs)}, no draft: on the bench W saves elsewhere ", Role.FAULT)
    left = cells(f" Linkage of {literal(state.job.title or 'job without a title', glyphs)}", Role.STRONG)
    return [fitted(fitted(left, max(width - len(right), 0), glyphs.ellipsis) + right, width, glyphs.ellipsis)]


def meaning_lines(state: LinkageState, width: int, height: int, glyphs: Glyphs) -> list[Row]:
    """Return what the selected cell is and how to get its value."""
    lines = wrap(literal(_meaning(state), glyphs), max(width - 2, 10))[:height]
    shown = [cells(f" {line}", Role.BASE) for line in lines]
    return [fitted(row, width, glyphs.ellipsis) for row in shown + [[]] * (height - len(shown))]


def _meaning(state: LinkageState) -> str:
    match state.part:
        case Part.POINTS:
            pixels = state.sketch.known is not None
            return _POINTS.get(state.column, _PX if pixels else _MM)
        case Part.BARS:
            return _BAR
        case Part.KNOWN:
            return _LENGTH_MEANING if state.column == LENGTH else _KNOWN
        case Part.LEVEL:
            return _LEVEL
        case _:
            return _DRAWING


def legend(state: LinkageState, width: int, glyphs: Glyphs) -> list[Row]:
    """Return the line above the drawing: what its marks mean, or that it is not what is typed."""
    if state.stale:
        row = cells(f"{glyphs.stale} STALE: last good drawing dotted", Role.WARNING)
    elif state.good is None:
        row = cells("As typed: it does not move.", Role.WARNING)
    else:
        words = (f"{mark(kind, glyphs)} {WHAT_WORDS[kind]}  " for kind in (FIXED, PIVOT, AXLE, EYE))
        row = cells("".join(words), Role.QUIET)
    return [fitted(row, width, glyphs.ellipsis)]


def why_lines(state: LinkageState, width: int, glyphs: Glyphs) -> list[Row]:
    """Return why the linkage does not move, every reason in words; nothing where it does."""
    rows: list[Row] = []
    for fault in state.faults:
        text = literal(f"{glyphs.fault} {fault.what}; {fault.accepted}.", glyphs)
        rows += [cells(line, Role.FAULT) for line in wrap(text, max(width, 10), subsequent_indent="  ")]
    return [fitted(row, width, glyphs.ellipsis) for row in rows]


def reading_line(state: LinkageState, width: int, glyphs: Glyphs) -> list[Row]:
    """Return what is read at the cursor, each with its unit."""
    if state.good is None:
        return [fitted(cells(" No stroke to read yet.", Role.QUIET), width, glyphs.ellipsis)]
    motion, units = state.good.motion, state.units
    step = round(state.cursor / STEPS * (len(motion.stroke) - 1))
    row = cells(f" {glyphs.stale} of before" if state.stale else "", Role.WARNING)
    for word, text in (
        ("stroke", units.show(motion.stroke[step], Measure.TRAVEL)),
        ("wheel travel", units.show(motion.wheel[step], Measure.TRAVEL)),
        ("leverage", f"{units.plain(motion.ratio[step], Measure.RATIO)} : 1"),
        ("in all", units.show(motion.wheel[-1], Measure.TRAVEL)),
    ):
        piece = cells(f" {word} ", Role.QUIET) + cells(f"{text} ", Role.STRONG)
        if len(row) + len(piece) > width:  # half a number is another number
            break
        row += piece
    return [fitted(row, width, glyphs.ellipsis)]


def keys_line(state: LinkageState, width: int, glyphs: Glyphs) -> list[Row]:
    """Return what was last said, else the keys that fit, those of one label together."""
    if state.note:
        return [fitted(cells(f" {literal(state.note, glyphs)}", Role.STRONG), width, glyphs.ellipsis)]
    labels: dict[str, list[str]] = {}
    for action in key_line(state):
        labels.setdefault(action.label, []).append(key_name(action.keys[0]))
    row: Row = []
    for label, names in labels.items():
        piece = cells(f" {' '.join(names)}", Role.KEY) + cells(f" {label} ", Role.BASE)
        if len(row) + len(piece) > width:
            break
        row += piece
    return [fitted(row, width, glyphs.ellipsis)]
