"""The lines around tables and drawing: title, results, meaning of the cell, keys."""

from __future__ import annotations

import math

from physics.linkage import SILENT_EYES
from tui.job.job import UNTITLED
from tui.job.quantities import unlikely
from tui.kit.cells import CellRow, cells, fitted
from tui.kit.look import Glyphs, folded, literal
from tui.kit.roles import Role
from tui.kit.screen import keys_fitting, note_line
from tui.linkage.drawing import WHAT_WORDS, letter, mark
from tui.linkage.keymap import KEYMAP
from tui.linkage.state import (
    LENGTH,
    NAME,
    STEPS,
    WHAT,
    LinkageState,
    Part,
    X,
    Y,
    eye_distances,
    invented_rows,
    placed_by_length,
    unit_of,
)
from tui.shop_units import Measure

_MEANINGS = {
    Part.BARS: "two points at a fixed distance. A part with three points needs three bars, with four five. "
    "A letter picks the point.",
    Part.KNOWN: "two points whose distance on the bike is known, such as the shock eyes. A letter picks one.",
    Part.LEVEL: "two points that are level on the bike, such as both axles: a tilted photo is turned level.",
}
_CELL_MEANINGS = {
    (Part.POINTS, NAME): "the drawing shows its letter. Letters type a name over.",
    (Part.POINTS, WHAT): "f fixed to the frame, p pivot, a axle, e shock eye. Enter fixes it or frees it.",
    (Part.KNOWN, LENGTH): "their real distance in mm, or with its unit: sets the scale of the photo.",
}
_MM = (
    "from a drawing or measured on the bike at full extension: x along the bike, either direction, y up, any "
    "origin. cm and in are converted. For x and y at once: 110 170."
)
_PX = "from a side photo taken square-on from far away, bike at full extension: x right, y down."
_EYES = "Eye to eye {} drawn, {} in the job: check the points of the shock."
_CHECK_EYES = "Check the points of the shock."
_FOUND = "{} follows from the shock's eye to eye until it is typed."
_DRAWING = "Left and Right compress or extend by 1/100 of the stroke, PgUp and PgDn by 1/10. Enter uses it."
ABOUT = (
    "linkage drawing",
    "Points and the bars between them, moved through the stroke of the shock. The second line has the wheel "
    "travel and the leverage that they give. Ctrl+S uses it in the job, Escape goes back.",
)
"""Purpose of the screen."""


def title_line(state: LinkageState, trouble: str, width: int, glyphs: Glyphs) -> list[CellRow]:
    """Return the top line: whose linkage it is, and whether it is in the job, or not even in a draft."""
    invented = state.sketch == state.invented
    adopted = not invented and not state.changed
    rest = "" if adopted or invented else " ".join(map(letter, invented_rows(state)))
    lead = "invented example, " if invented else f"{rest} still invented, " if rest else ""
    told = "in the job" if adopted else f"{lead}not in the job"
    right = cells(f" {told} ", Role.QUIET if adopted else Role.WARNING)
    if trouble:
        right = cells(f" {literal(trouble, glyphs)}, no draft: save it from the bench ", Role.FAULT)
    left = cells(f" Linkage of {literal(state.job.title or UNTITLED, glyphs)}", Role.STRONG)
    return [fitted(fitted(left, max(width - len(right), 0), glyphs.ellipsis) + right, width, glyphs.ellipsis)]


def reading_line(state: LinkageState, width: int, glyphs: Glyphs) -> list[CellRow]:
    """Return the results of the linkage, then the readout at the position drawn, with units."""
    if state.answer is None:
        return [fitted(cells(" No stroke to read yet.", Role.QUIET), width, glyphs.ellipsis)]
    motion, units = state.answer.motion, state.units
    step = round(state.cursor / STEPS * (len(motion.stroke) - 1))
    row = cells(f" {glyphs.stale} OLD" if state.is_outdated else "", Role.WARNING)
    first, last = (units.plain(motion.ratio[place], Measure.RATIO) for place in (0, -1))
    for word, text in (
        ("travel", f"{units.show(motion.wheel[-1], Measure.TRAVEL)}, {first} to {last}"),
        ("stroke", units.show(motion.stroke[step], Measure.TRAVEL)),
        ("leverage", f"{units.plain(motion.ratio[step], Measure.RATIO)} : 1"),
        ("wheel", units.show(motion.wheel[step], Measure.TRAVEL)),
    ):
        piece = cells(f" {word} ", Role.QUIET) + cells(f"{text} ", Role.STRONG)
        if len(row) + len(piece) > width:  # half a number is another number
            break
        row += piece
    return [fitted(row, width, glyphs.ellipsis)]


def legend(state: LinkageState, width: int, glyphs: Glyphs) -> list[CellRow]:
    """Return the line above the drawing: focus, meaning of its marks, or that it is outdated."""
    here = state.part is Part.DRAWING
    lead = cells(f"{glyphs.selected if here else ' '} ", Role.HERE)
    name = cells("DRAWING ", Role.TITLE if here else Role.HEAD)
    if state.is_outdated:
        told = cells(f"{glyphs.stale} OLD: last valid drawing dotted", Role.WARNING)
    elif state.answer is None:
        told = cells("As typed, the linkage does not move.", Role.WARNING)
    else:
        words = (f"{mark(kind, glyphs)} {word}" for kind, word in enumerate(WHAT_WORDS))
        told = cells(" ".join(words), Role.HERE if here else Role.QUIET)
    named = len(lead) + len(name) + len(told) <= width
    return [fitted([*lead, *(name if named else ()), *told], width, glyphs.ellipsis)]


def why_lines(state: LinkageState, width: int, glyphs: Glyphs) -> list[CellRow]:
    """Return all reasons why the linkage does not move, else what is doubtful about the shock as drawn."""
    told = [(f"{glyphs.fault} {fault.what}; {fault.accepted}.", Role.FAULT) for fault in state.faults]
    if not told and (doubt := eyes_doubt(state)):
        told = [(f"{glyphs.caution} {doubt}", Role.CAUTION)]
    texts = ((literal(text, glyphs), role) for text, role in told)
    lines = ((line, role) for text, role in texts for line in folded(text, max(width, 10), "  "))
    return [fitted(cells(line, role), width, glyphs.ellipsis) for line, role in lines]


def cell_title(state: LinkageState) -> str:
    """Return the name of the selected cell, with the unit of a number typed there."""
    part, row, column = state.part, state.row, state.column
    if part is not Part.POINTS or row >= state.rows(part):
        return part.value
    point = f"{letter(row)} {state.sketch.points[row].name}"
    if column in (NAME, WHAT):
        return f"{point}, {'name' if column == NAME else 'what it is'}"
    return f"{point}, {'x' if column == X else 'y'} in {unit_of(state.sketch)}"


def meaning_of(state: LinkageState) -> str:
    """Return the meaning of the selected cell and how to get its value."""
    coordinate = _MM if state.sketch.known is None else _PX
    found = placed_by_length(state)
    if state.part is Part.POINTS and found is not None and found[0] == state.row and state.column in (X, Y):
        coordinate = f"{_FOUND.format('xy'[found[1] - X])} {coordinate[:1].upper()}{coordinate[1:]}"
    return _CELL_MEANINGS.get((state.part, state.column)) or _MEANINGS.get(state.part, coordinate)


def eyes_doubt(state: LinkageState, within: float = SILENT_EYES) -> str:
    """Return what speaks against the length of the shock as drawn, empty for a usual one.

    It is compared with the eye to eye of the job, `within` a fraction of it, else with the usual range.
    """
    drawn, typed = eye_distances(state)
    if not math.isfinite(drawn):
        return ""
    shown = state.units.show(drawn, Measure.TRAVEL)
    if typed is not None:
        is_off = abs(drawn / typed - 1) > within
        return _EYES.format(shown, state.units.show(typed, Measure.TRAVEL)) if is_off else ""
    doubt = unlikely("frame.eye_to_eye", drawn, shown)
    return "" if doubt is None else doubt.text(state.units).replace("Check it.", _CHECK_EYES)


def foot_lines(state: LinkageState, width: int, height: int, glyphs: Glyphs) -> list[CellRow]:
    """Return the lines below the panes: meaning of the cell, last message, keys."""
    said = note_line(state.note, width, glyphs)
    keys = keys_fitting([], KEYMAP.key_line(state), width, glyphs)
    if said and height < 2:  # there is no other line for it
        return said[:height]
    text = _DRAWING if state.part is Part.DRAWING else f"{cell_title(state)}: {meaning_of(state)}"
    room = max(height - len(said) - 1, 0)
    told = [cells(f" {line}", Role.BASE) for line in folded(literal(text, glyphs), max(width - 2, 10))][:room]
    told += [[] for _ in range(room - len(told))]
    return [fitted(row, width, glyphs.ellipsis) for row in (*told, *said, *keys)][:height]
