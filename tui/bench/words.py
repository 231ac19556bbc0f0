"""The lines of the bench: title, results of every setup, meaning of the field, faults and keys."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap
from typing import TYPE_CHECKING

from tui.bench.cells import caution_at, left_out_at, meaning_at
from tui.bench.keymap import KEYMAP, on_choice
from tui.bench.state import BenchState
from tui.job.panels import unconfirmed_at
from tui.job.wheels import has_front
from tui.kit.cells import CellRow, cells, fitted
from tui.kit.look import ChartLook, Glyphs, literal
from tui.kit.roles import Role
from tui.kit.screen import key_piece, keys_fitting, note_line
from tui.shop_units import ABSENT, OVER, Measure, ShopUnits, gauge

if TYPE_CHECKING:
    from physics.answer import SetupAnswer
    from tui.bench.session import Session

_STATES = {"topped_out": "tops out", "bottomed_out": "on the stop", "unsolved": "not found"}
_GAP = "  "


def result_line(state: BenchState, width: int, look: ChartLook) -> CellRow:
    """Return name, rate or pressure and sag of every setup; what does not fit goes, sags before names."""
    if state.answer is None:
        return []
    answer, units = state.answer.answer, state.units
    ambient = float(answer.shop.pressure)
    row: CellRow = []
    for with_name, with_sag in ((True, True), (True, False), (False, False)):
        row = []
        for index, setup in enumerate(answer.setups):
            name = f"{literal(setup.name, look.glyphs)} " if with_name else ""
            worth = _worth(setup, units, ambient)
            row += cells(f"{_GAP if index else ''} {look.marker(index)} {name}", Role.BASE)
            row += cells(worth, Role.WARNING if worth.startswith(OVER) else Role.STRONG)
            if with_sag:
                row += cells(f"{_at_rest(setup, units, ambient)}, {_sag(setup, units)}", Role.BASE)
        if len(row) <= width:
            break
    return row


def _worth(setup: SetupAnswer, units: ShopUnits, ambient: float) -> str:
    if setup.coil is not None:
        rate = units.show(float(setup.coil.rate), Measure.SPRING_RATE)
        return "in stages" if rate == ABSENT and setup.state != "unsolved" else rate
    if setup.air is not None:
        over = any(caution.code == "over_label" for caution in setup.cautions)
        pressure = units.show(gauge(float(setup.air.set_pressure), ambient), Measure.PRESSURE)
        return f"{OVER}{pressure}" if over else pressure
    return ABSENT


def _at_rest(setup: SetupAnswer, units: ShopUnits, ambient: float) -> str:
    """Return what the gauge reads where an air spring rests drawn in, if that is another number."""
    if setup.air is None or setup.state == "unsolved":
        return ""
    full, rest = (
        units.show(gauge(float(pressure), ambient), Measure.PRESSURE)
        for pressure in (setup.air.set_pressure, setup.air.rest_pressure)
    )
    return "" if rest in (full, ABSENT) else f", reads {rest} at rest"


def _sag(setup: SetupAnswer, units: ShopUnits) -> str:
    if setup.state in _STATES:
        return _STATES[setup.state]
    return f"sag {units.show(float(setup.sag.wheel_fraction), Measure.FRACTION)}"


UNVERIFIED = "unverified: type over it, or Space confirms it as it stands."
"""What the mark of a value that nobody has typed or confirmed means."""
_OF_TITLE = 20
"""Cells that a title is left at least."""
_WIDE = 100
"""Columns from which the title line has room for whole words."""
_OF_FIELD = 16
"""Cells for the key of the selected field."""
_OF_BEFORE = "curves and figures are those of before"


def title_line(state: BenchState, session: Session, width: int, glyphs: Glyphs) -> list[CellRow]:
    """Return the line at the top: title, file, whether all is saved or at least kept, the units."""
    title = cells(f" {literal(state.job.title or 'job without a title', glyphs)}", Role.STRONG)
    behind = cells(f"  {state.wheel}" if has_front(state.bike) else "", Role.STRONG)
    behind += cells(f"  {literal(_where(session), glyphs)}  ", Role.QUIET)
    right = _saved(state, session, width, glyphs)
    # Of a long title less is shown, so that one sees where the job lives.
    room = max(width - len(right) - len(behind), _OF_TITLE)
    left = (title if len(title) <= room else fitted(title, room, glyphs.ellipsis)) + behind
    if len(right) >= width:
        return [fitted(right if session.trouble else left, width, glyphs.ellipsis)]
    return [fitted(left, width - len(right), glyphs.ellipsis) + right]


def _where(session: Session) -> str:
    """Return where the job lives."""
    places = [session.path.name] if session.path else []
    if session.entry is not None:
        places.append(f"records, revision {session.entry.get('base')}")
    return ", ".join(places) or "not kept yet"


def _saved(state: BenchState, session: Session, width: int, glyphs: Glyphs) -> CellRow:
    """Return the right end of the title; what is in no draft either comes before all else."""
    if session.trouble:
        return cells(f" {literal(session.trouble, glyphs)}, no draft: W saves elsewhere ", Role.FAULT)
    row = cells("not saved  " if state.history.has_unsaved_changes else "", Role.WARNING)
    count = len(state.bike.unconfirmed)
    values = f"{glyphs.unconfirmed}{count}" if width < _WIDE else f"{count} value{'' if count == 1 else 's'}"
    row += cells(f"{values} unverified  " if count else "", Role.WARNING)
    return row + cells(f"{state.units.name} units ", Role.QUIET)


def results_line(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return what every setup came to, or why there is no answer to the job as it stands."""
    if not state.bike_faults:
        row = result_line(state, width, look)
    elif needed := _needed(state):
        row = cells(f" {needed}.", Role.WARNING)
    else:
        row = cells(f" {look.glyphs.fault} {_wrong(state)}.", Role.FAULT)
    return [fitted(row, width, look.glyphs.ellipsis)]


def _needed(state: BenchState) -> str:
    """Say what a list that is being entered lacks, empty where more than that is wrong."""
    from tui.bench.views.pairs import pairs_missing  # the first frame finds nothing wrong

    pairs = pairs_missing(state)
    if not pairs:
        return ""
    more = f"{pairs} more pair{'s' if pairs > 1 else ''} of travel and stroke needed"
    return f"{more}: {_OF_BEFORE if state.answer else 'no answer until then'}"


def _wrong(state: BenchState) -> str:
    """Say how many values cannot be used, at which end, and what that means for what is shown."""
    count = len(state.faults or state.bike_faults)
    values, they_are = ("1 value", "it is") if count == 1 else (f"{count} values", "they are")
    other = "front" if state.wheel == "rear" else "rear"
    where = "" if state.faults else f" at the {other}, where e leads"
    wait = f"no answer until {they_are} put right"
    return f"{values} cannot be used{where}: {_OF_BEFORE if state.answer else wait}"


def meaning_lines(state: BenchState, width: int, height: int, glyphs: Glyphs) -> list[CellRow]:
    """Return what the selected field means, and the cautions that belong to it."""
    row = state.row
    told = (caution_at(state, row), row.caution, left_out_at(state, row))
    doubt = f"{glyphs.unconfirmed} {UNVERIFIED} " if unconfirmed_at(state.job, row) else ""
    return _wrapped(f"{row.label}: {doubt}{meaning_at(state, row)}", told, width, height, glyphs)


def figure_lines(key: str, fork: bool, width: int, height: int, glyphs: Glyphs) -> list[CellRow]:
    """Return what a figure of the table means, on a `fork` in its words."""
    from tui.job.figures import meaning_of  # it comes with the table

    label, meaning = meaning_of(key, fork)
    return _wrapped(f"{label}: {meaning}", (), width, height, glyphs)


def _wrapped(text: str, cautions: Sequence[str], width: int, height: int, glyphs: Glyphs) -> list[CellRow]:
    """Return the text and below it the cautions.

    Where not all fits, the cautions stay; of those after the first each is shown whole or not at all.
    """
    wide = max(width - 2, 10)
    told: list[CellRow] = []
    for caution in cautions:
        more = [cells(f" {line}", Role.WARNING) for line in wrap(caution, wide)]
        told += more if not told or len(told) + len(more) <= height else []
    lines = [cells(f" {line}", Role.BASE) for line in wrap(literal(text, glyphs), wide)]
    shown = (lines[: max(height - len(told), 0)] + told)[:height]
    shown += [[] for _ in range(height - len(shown))]
    return [fitted(line, width, glyphs.ellipsis) for line in shown]


def keys_line(state: BenchState, width: int, glyphs: Glyphs, *, in_table: bool = False) -> list[CellRow]:
    """Return what was last said to the person, else the keys that matter where the hand is now.

    Those of the selected field come first and take the same room at every field: the rest then stays
    where it is, and moving the cursor sends little.
    """
    if state.note:
        return note_line(state.note, width, glyphs)
    actions = KEYMAP.key_line(state)
    field = [action for action in actions if action.id in ("edit", "solve")]
    if in_table:
        row = key_piece(["t"], "panels")
        actions = [action for action in actions if not action.at_cursor and action.id != "table"]
    else:
        label = "next way" if field and field[0].id == "edit" and on_choice(state) else ""
        row = key_piece(field[0].keys[:1], label or field[0].label) if field else []
        row = fitted(row, _OF_FIELD, " ") if field else row
        if state.view:
            row += key_piece(["t"], "scroll")
            actions = [action for action in actions if action.id != "table"]
    return keys_fitting(row, [action for action in actions if action not in field], width, glyphs)
