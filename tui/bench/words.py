"""The lines of the bench: title, results of every setup, meaning of the field, faults and keys."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

from physics.frozen import NamedTuple
from tui.bench.cells import (
    caution_at,
    faults_by_row,
    left_out_at,
    meaning_at,
    pairs_missing,
    step_of,
)
from tui.bench.keymap import KEYMAP, VIEW, BenchAction, on_choice
from tui.bench.state import (
    CONDITIONS,
    EVENTS,
    FIGURES,
    LOGGED,
    MAP,
    MATCHES,
    READINGS,
    SPACERS,
    SWEEP,
    BenchState,
    shown_chart,
)
from tui.bench.steps import LINES, MORE, NAMES, VIEW_ROWS, Step, is_field
from tui.job.choices import STATES
from tui.job.fields import Amount, Bare, Choice, Field, Pair, Share, field_at
from tui.job.job import UNTITLED, unconfirmed_setups
from tui.job.panels import unconfirmed_at
from tui.job.wheels import has_front, is_fork
from tui.kit.cells import CellRow, cells, fitted, text_of
from tui.kit.look import ChartLook, Glyphs, folded, literal
from tui.kit.roles import Role
from tui.kit.screen import key_piece, keys_fitting, labels_fitting
from tui.shop_units import ABSENT, OVER, Measure, ShopUnits, gauge

if TYPE_CHECKING:
    from physics.answer import SetupAnswer
    from tui.bench.session import Session
    from tui.job.answer import JobAnswer

_GAP = "  "


class _Parts(NamedTuple):
    """Parts of the results line: names of setups, gauge readings at rest, sags, and riding conditions.

    Of sags the word stands at each, at the first only, or there are none.
    """

    name: bool = False
    rest: bool = False
    sag: Literal["each", "first", "none"] = "none"
    ride: bool = False


_WHOLE = _Parts(name=True, rest=True, sag="each", ride=True)
_LESS = (
    _WHOLE._replace(ride=False),
    _Parts(name=True, sag="each"),
    _Parts(sag="each"),
    _Parts(sag="first"),
    _Parts(name=True),
    _Parts(),
)
"""Reduced step by step until the line fits: the marks tell setups apart, so that sags outlast names."""
_RIDING = (_Parts(name=True, ride=True), _Parts(ride=True))
"""Before these if riding conditions are typed: they have priority over sags."""


def result_line(state: BenchState, width: int, look: ChartLook) -> CellRow:
    """Return name, rate or pressure, and sag of every setup, marked if it depends on unverified values.

    If needed, names are dropped before sags.
    """
    return [] if state.answer is None else [*_results(state.answer, state.units, width, look)]


@lru_cache(maxsize=4)
def _results(answered: JobAnswer, units: ShopUnits, width: int, look: ChartLook) -> CellRow:
    """Return the same of an answer: a key that only moves works nothing out."""
    answer = answered.answer
    ambient = float(answer.shop.pressure)
    row: CellRow = []
    rides = any(setup.ride is not None for setup in answer.setups)
    doubted = unconfirmed_setups(answered.job)
    for parts in (_WHOLE, *(_RIDING if rides else ()), *_LESS):
        row = []
        for index, setup in enumerate(answer.setups):
            name = f"{literal(setup.name, look.glyphs)} " if parts.name else ""
            worth = _worth(setup, units, ambient)
            doubt = look.glyphs.unconfirmed if index in doubted else " "
            row += cells(f"{_GAP if index else ''}{doubt}{look.marker(index)} {name}", Role.BASE)
            row += cells(worth, Role.WARNING if worth.startswith(OVER) else Role.STRONG)
            if parts.rest:
                row += cells(_at_rest(setup, units, ambient), Role.BASE)
            if parts.sag != "none":
                sag = _sag(setup, units)
                named = parts.sag == "each" or index == 0
                row += cells(f", {sag if named else sag.removeprefix(_SAG)}", Role.BASE)
            if parts.ride and setup.ride is not None:
                row += cells(f", {_riding(setup, units)}", Role.BASE)
        if len(row) <= width:
            break
    return row


def _riding(setup: SetupAnswer, units: ShopUnits) -> str:
    """Return gauge reading and sag in the riding conditions."""
    ride = setup.ride
    assert ride is not None
    read = units.show(gauge(float(ride.set_pressure), float(ride.ambient.pressure)), Measure.PRESSURE)
    sag = units.show(float(ride.sag_wheel_fraction), Measure.FRACTION)
    stands = sag if ride.state == "ok" else STATES[ride.state].short
    stands = f"sag {stands}" if ride.state == "ok" else stands
    return f"riding {' '.join(part for part in (read, stands) if part != ABSENT)}"


def _worth(setup: SetupAnswer, units: ShopUnits, ambient: float) -> str:
    if setup.coil is not None:
        rate = units.show(float(setup.coil.rate), Measure.SPRING_RATE)
        told = "progressive" if rate == ABSENT and setup.state != "unsolved" else rate
        return f"{OVER}{told}" if setup.not_to_be_fitted else told
    if setup.air is not None:
        over = any(caution.code == "over_label" for caution in setup.cautions)
        pressure = units.show(gauge(float(setup.air.set_pressure), ambient), Measure.PRESSURE)
        return f"{OVER}{pressure}" if over else pressure
    return ABSENT


def _at_rest(setup: SetupAnswer, units: ShopUnits, ambient: float) -> str:
    """Return the gauge reading of an air spring at its rest position inside the stroke, if it differs."""
    if setup.air is None or setup.state == "unsolved":
        return ""
    full, rest = (
        units.show(gauge(float(pressure), ambient), Measure.PRESSURE)
        for pressure in (setup.air.set_pressure, setup.air.rest_pressure)
    )
    return "" if rest in (full, ABSENT) else f", reads {rest} at rest"


_SAG = "sag "


def _sag(setup: SetupAnswer, units: ShopUnits) -> str:
    if setup.state != "ok":
        return STATES[setup.state].short
    return f"{_SAG}{units.show(float(setup.sag.wheel_fraction), Measure.FRACTION)}"


UNVERIFIED = "unverified: Enter twice confirms it."
"""Meaning of the mark on a value that nobody has typed or confirmed."""
CHOICE_UNVERIFIED = "unverified: a letter picks another; Enter twice confirms it."
_OF_TITLE = 14
"""Minimum width of the title [cells]."""
_WIDE = 110
"""Minimum width of the title line for unabbreviated words [columns]."""
_OF_FIELD = 15
"""Width of the key of the selected field in the footer [cells]."""
_SHOW, _HIDE = "show", "hide"
"""Labels of Enter on the row that unfolds further fields."""
_CHOOSE = "choose"
"""Label of Enter on a choice."""
_IN_LIST = (("Enter", "accept"), ("Escape", "cancel"), ("Left Right", "option"))
"""Keys of the open list of options for the footer; letters follow."""
_OF_BEFORE = "curves and figures are OLD"


def title_line(state: BenchState, session: Session, width: int, glyphs: Glyphs) -> list[CellRow]:
    """Return the top line: title, steps, wheel, and whether the job is saved or at least in a draft."""
    steps: CellRow = []
    for step, name in NAMES.items():
        here = step is state.step
        steps += cells(f"[{name}]" if here else f" {name} ", Role.HERE if here else Role.QUIET)
    right = _saved(state, session, width, glyphs)
    if len(steps) + len(right) > width:
        steps = cells(f"[{NAMES[state.step]}]", Role.HERE)
        steps += cells(f" {state.step + 1}/{len(NAMES)} ", Role.QUIET)
    if session.trouble:
        return [fitted(right, width, glyphs.ellipsis)]
    room = width - len(steps) - len(right)
    title = cells(f" {literal(state.job.title or UNTITLED, glyphs)} ", Role.STRONG)
    if room < _OF_TITLE:
        title, room = [], max(room, 0)
    # The bracket of a name that comes first would touch a title that is cut.
    gap = cells(" ", Role.STRONG) if room and steps[0][0] == "[" else []
    left = fitted(title[: -1 if gap else None], room - len(gap), glyphs.ellipsis) + gap
    return [fitted(left + steps + right, width, glyphs.ellipsis)]


def _saved(state: BenchState, session: Session, width: int, glyphs: Glyphs) -> CellRow:
    """Return the right end of the title; a missing draft has priority."""
    if session.trouble:
        return cells(f" {literal(session.trouble, glyphs)}, no draft: save to a file ", Role.FAULT)
    row = cells(f" {state.wheel}" if has_front(state.bike) else "", Role.STRONG)
    row += cells(_unverified(len(state.bike.unconfirmed), width, glyphs), Role.WARNING)
    if state.history.has_unsaved_changes:
        return row + cells(" not saved " if width >= _WIDE else " * ", Role.WARNING)
    where = literal(_where(session), glyphs)
    return row + cells(f" {where} " if width >= _WIDE else " ", Role.QUIET)


def _where(session: Session) -> str:
    """Return where the job is stored."""
    places = [session.path.name] if session.path else []
    if session.entry is not None:
        places.append(f"records, revision {session.entry.get('base')}")
    return ", ".join(places) or "not saved yet"


def _unverified(count: int, width: int, glyphs: Glyphs) -> str:
    """Return the number of unverified values of the bike in words, empty for none."""
    if not count:
        return ""
    return f" {glyphs.unconfirmed}{count}" if width < _WIDE else f" {glyphs.unconfirmed}{count} unverified"


def fields_strip(state: BenchState, width: int, look: ChartLook, *, framed: bool) -> list[CellRow]:
    """Return the title strip of the fields: setups as tabs or the name of the step, and how many to type."""
    glyphs, has_focus = look.glyphs, not state.view_has_focus
    names: CellRow = []
    if state.step is Step.SPRINGS:
        for place, setup in enumerate(state.job.setups):
            here = place == state.setup
            text = f"{look.marker(place)} {literal(str(setup.get('name', 'no name')), glyphs)}"
            names += cells(f"[{text}]" if here else f" {text} ", Role.SETUP + place if here else Role.QUIET)
    else:
        names = cells(f" {literal(state.panels[state.panel].title, glyphs)} ", Role.TITLE)
    panel = state.panels[state.panel]
    doubted = sum(bool(unconfirmed_at(state.job, row)) for row in (*panel.rows, *panel.hidden))
    faults = (
        fault for place, those in faults_by_row(state).items() if place[0] == state.panel for fault in those
    )
    missing = sum(fault.what.startswith("missing") for fault in faults)
    counts = [(glyphs.fault, missing), (glyphs.unconfirmed, doubted)]
    counted = " ".join(f"{mark}{count}" for mark, count in counts if count)
    told = _zoom_mark(state) + cells(f" {counted} to type " if counted else "", Role.WARNING)
    return [_strip(names, told, width, glyphs, has_focus=has_focus, framed=framed)]


def view_strip(state: BenchState, width: int, look: ChartLook, *, framed: bool) -> list[CellRow]:
    """Return the title strip of the view: the names of the step's views, the one shown marked."""
    glyphs, has_focus = look.glyphs, state.view_has_focus
    told = _zoom_mark(state)
    if state.helps:
        return [_strip(cells(" help ", Role.TITLE), told, width, glyphs, has_focus=has_focus, framed=framed)]
    ids, room = state.view_ids, width - 4 - len(told)
    here = ids.index(state.view)
    first, last = (
        (0, len(ids) - 1) if len(_views_from(state, 0, len(ids) - 1, look)) <= room else (here, here)
    )
    # Of many the neighbours of the one shown come first: where [ and ] lead.
    steps = [(0, 1), (-1, 0)]
    while steps:
        steps = [
            (down, up)
            for down, up in steps
            if first + down >= 0
            and last + up < len(ids)
            and len(_views_from(state, first + down, last + up, look)) <= room
        ]
        if steps:
            first, last = first + steps[0][0], last + steps[0][1]
            steps = [*steps[1:], steps[0]]
    shown = _views_from(state, first, last, look)
    if len(shown) > room:
        shown = _views_from(state, first, last, look, place=False)
    return [_strip(shown, told, width, glyphs, has_focus=has_focus, framed=framed)]


def _zoom_mark(state: BenchState) -> CellRow:
    """Return the key that shows both panes again, for the strip of a zoomed one: zoom outlasts its job."""
    keys = KEYMAP.named["zoom"].keys if state.zoom else ()
    return key_piece(keys[:1], KEYMAP.named["leave_zoom"].name) if keys else []


def _views_from(state: BenchState, first: int, last: int, look: ChartLook, *, place: bool = True) -> CellRow:
    """Return the names of some views of the step, the place of the one shown among all unless these are all.

    The keys that lead to further ones stand at the ends.
    """
    ids, between = state.view_ids, cells(f" {look.glyphs.between} ", Role.RULE)
    marked = Role.HERE if state.view_has_focus else Role.TITLE
    row = cells(" ", Role.RULE)
    if place and last - first < len(ids) - 1:
        row += cells(f"{ids.index(state.view) + 1}/{len(ids)} ", Role.QUIET)
        row += cells("[ " if first else "", Role.KEY)
    for at in range(first, last + 1):
        row += between if at > first else []
        row += cells(VIEW_ROWS[ids[at]].name, marked if ids[at] == state.view else Role.QUIET)
    if place and last < len(ids) - 1:
        row += cells(" ]", Role.KEY)
    return row + cells(" ", Role.RULE)


def _strip(
    names: CellRow, told: CellRow, width: int, glyphs: Glyphs, *, has_focus: bool, framed: bool
) -> CellRow:
    """Return the rule above a pane, with names on the left and text on the right."""
    role = Role.HERE if has_focus else Role.RULE
    first, last = glyphs.corners if framed else (glyphs.thin, glyphs.thin)
    mark = glyphs.selected if has_focus else glyphs.thin
    names = fitted(names, min(len(names), max(width - len(told) - 4, 0)), glyphs.ellipsis, Role.QUIET)
    gap = max(width - len(names) - len(told) - 3, 0)
    row = cells(f"{first}{mark}", role) + names + cells(glyphs.thin * gap, role) + told + cells(last, role)
    return fitted(row, width, glyphs.thin, role)


def results_line(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the results of every setup, or why the present job has no answer."""
    glyphs = look.glyphs
    row = result_line(state, width, look)
    if state.bike_faults:
        needed = _needed(state)
        wrong = cells(f" {glyphs.fault} {_wrong(state)}.", Role.FAULT)
        row = cells(f" {needed}.", Role.WARNING) if needed else wrong
    return [fitted(row, width, glyphs.ellipsis)]


def _needed(state: BenchState) -> str:
    """Return what is missing from a list being entered, empty if other values are wrong too."""
    pairs = pairs_missing(state)
    if not pairs:
        return _pairs_end(state)
    more = f"{pairs} more pair{'s' if pairs > 1 else ''} of travel and stroke needed"
    return f"{more}: {_OF_BEFORE if state.answer else 'no result yet'}"


def _pairs_end(state: BenchState) -> str:
    """Say what is still to measure of a list of pairs, empty if more than that is wrong."""
    if len(state.faults) != 1 or not state.faults[0].is_unfinished:
        return ""
    what = state.faults[0].what
    return f"{what[:1].upper()}{what[1:]}{f'; {_OF_BEFORE}' if state.answer else ''}"


def _wrong(state: BenchState) -> str:
    """Return which values are missing or how many are invalid, and what that means for the results shown.

    If all are on other steps, where their marks are hidden, the first is named with its step.
    """
    here = state.faults
    where = "" if here else f" at the {'front' if state.wheel == 'rear' else 'rear'} wheel"
    after = f"; {_OF_BEFORE}" if state.answer else ""
    faults = here or state.bike_faults
    if all(fault.what.startswith("missing") for fault in faults):
        fields = (field_at(fault.path) for fault in faults)
        names = dict.fromkeys("a spring" if field is None else field.full_label for field in fields)
        return f"To type{where}: {', '.join(names)}{after}"
    count = len(faults)
    what = "1 invalid value" if count == 1 else f"{count} invalid values"
    if elsewhere := _elsewhere(state) if here else "":
        return f"{what}{elsewhere}{after or '; no result until fixed'}"
    return f"{what}{where}{after or ': no result until fixed'}"


def _elsewhere(state: BenchState) -> str:
    """Return step and field of the first fault of this wheel, empty where one is on the step shown."""
    found = [(step_of(state, fault.path), fault) for fault in state.faults]
    step, fault = min(found, key=lambda one: one[0])
    if state.step in (one for one, _ in found):
        return ""
    field = field_at(fault.path)
    named = f"{NAMES[step]}{f': {field.full_label}' if field else ''}"
    return f" in {named}" if len(found) == 1 else f", first in {named}"


def meaning_lines(state: BenchState, width: int, height: int, glyphs: Glyphs) -> list[CellRow]:
    """Return the meaning of the selected field and its cautions."""
    row = state.row
    if not is_field(row):
        return _wrapped(row.meaning, (), width, height, glyphs)
    told = (caution_at(state, row), row.caution, left_out_at(state, row))
    said = CHOICE_UNVERIFIED if isinstance(row.kind, Choice) else UNVERIFIED
    doubt = f"{glyphs.unconfirmed} {said}" if unconfirmed_at(state.job, row) else ""
    answer, meaning = meaning_at(state, row)
    first = f"{row.full_label}: {answer}".rstrip()
    rest = " ".join(filter(None, (doubt, meaning)))
    return _wrapped(rest, told, width, height, glyphs, first=first, is_answer=bool(answer))


def figure_lines(key: str, fork: bool, width: int, height: int, glyphs: Glyphs) -> list[CellRow]:
    """Return the meaning of a figure of the table, in terms of a `fork` if it is one."""
    from tui.job.figures import meaning_of  # it comes with the table

    label, meaning = meaning_of(key, fork)
    return _wrapped(f"{label}: {meaning}", (), width, height, glyphs)


def _wrapped(
    text: str,
    cautions: Sequence[str],
    width: int,
    height: int,
    glyphs: Glyphs,
    *,
    first: str = "",
    is_answer: bool = False,
) -> list[CellRow]:
    """Return the text with `first` in front, and the cautions below.

    If not everything fits, cautions have priority; those after the first are shown whole or not at all. If
    `first` is an answer, its first line is kept too. Dots and the key of the help mark anything cut or left
    out; the help shows everything.
    """
    wide = max(width - 2, 10)
    text = f"{first} {text}".strip()
    kept = 1 if is_answer and height > 1 else 0
    told: list[CellRow] = []
    left_out = False
    for caution in cautions:
        marked = literal(f"{glyphs.caution} {caution}", glyphs) if caution else ""
        more = [cells(f" {line}", Role.CAUTION) for line in folded(marked, wide)]
        fits = not told or len(told) + len(more) <= height - kept
        told += more if fits else []
        left_out |= not fits
    lines = [cells(f" {line}", Role.BASE) for line in folded(literal(text, glyphs), wide)]
    said = lines[: max(height - len(told), kept)]
    if said and len(said) < len(lines):  # a sentence cut short says so
        said[-1] = said[-1] + cells(glyphs.ellipsis, Role.QUIET)
    shown = (said + told)[:height]
    if shown and (left_out or len(told) > height - len(said)):
        mark = cells(f" {glyphs.ellipsis} ", Role.WARNING) + cells("?", Role.KEY)
        shown[-1] = shown[-1][: width - len(mark)] + mark
    shown += [[] for _ in range(height - len(shown))]
    return [fitted(line, width, glyphs.ellipsis) for line in shown]


def keys_line(state: BenchState, width: int, glyphs: Glyphs) -> list[CellRow]:
    """Return the most important keys for the present focus.

    Those of the selected field come first and take the same width at every field. So the rest does not move,
    and little is repainted when the cursor moves.
    """
    page = KEYMAP.page(state)
    if state.option is not None:
        row = cells("", Role.BASE)
        for keys, label in _IN_LIST:
            row += key_piece([keys], label)
        return keys_fitting(row + _letters(state.row), (), width, glyphs)
    actions = [act for act in KEYMAP.key_line(state) if not act.pages or page in act.pages]
    if not state.history.has_unsaved_changes:
        actions = [act for act in actions if act.id != "save"]
    if page == VIEW:
        from tui.bench.views.pane import has_take, is_stopped, is_worked_on  # after the first frame

        row = cells("", Role.BASE)
        shown = list(_view_keys(state))
        if len(state.view_ids) == 1:
            actions = [act for act in actions if act.id not in ("view_back", "view_on")]
        if is_worked_on(state):
            shown.append(("Escape", "stop"))
            actions = [act for act in actions if act.id != "leave_view"]
        if is_stopped(state):
            shown = [("Enter", "continue"), *(one for one in shown if one[0] != "Enter")]
        for keys, label in shown:
            if keys != "Enter" or has_take(state) or is_stopped(state):
                row += key_piece([keys], label)
        return keys_fitting(row, actions, width, glyphs)
    field = [action for action in actions if action.id in ("edit", "solve", "commit")]
    row = key_piece(field[0].keys[:1], _field_label(state, field[0])) if field else []
    row = fitted(row, _OF_FIELD, glyphs.ellipsis) if field else row
    rest = [action for action in actions if action not in field]
    if not isinstance(state.row.kind, Amount | Share | Bare | Pair | Choice) or not is_field(state.row):
        rest = [action for action in rest if action.label not in ("nudge", "ten steps")]
    if state.step is Step.COMPARE:  # values are nudged in place there
        rest.sort(key=lambda action: action.label != "nudge")
    if on_choice(state):
        return _keys_of_choice(state, row, rest, width, glyphs)
    return keys_fitting(row, rest, width, glyphs)


def _keys_of_choice(
    state: BenchState, row: CellRow, rest: Sequence[BenchAction], width: int, glyphs: Glyphs
) -> list[CellRow]:
    """Return the keys on a choice: that a letter picks is said at the end, so that nothing else moves.

    If it does not fit there, it replaces the keys for nudging.
    """
    named, letters = (
        [(action.keys[0], action.label) for action in rest if action.label != "ten steps"],
        _letters(state.row),
    )
    at = next((place for place, (_, label) in enumerate(named) if label == "nudge"), len(named))
    (line,) = labels_fitting(row, named, max(width - len(letters), 1), glyphs)
    if not text_of([line]).rstrip().endswith(f" {named[-1][1]}"):
        (line,) = labels_fitting(row, named[:at], width, glyphs)
    shown = line[: len(text_of([line]).rstrip()) + 1]
    shown += letters if len(shown) + len(letters) <= width else []
    return [fitted(shown, width, glyphs.ellipsis)]


def _letters(row: Field) -> CellRow:
    """Return that the first letter of an option picks it on a choice."""
    options = row.kind.options if isinstance(row.kind, Choice) else ()
    *others, last = dict.fromkeys(option.word[:1].casefold() for option in options)
    first = cells(f" {' '.join(others)}", Role.KEY) + cells(" or", Role.QUIET) if others else []
    return cells(" type", Role.QUIET) + first + cells(f" {last}", Role.KEY)


def _field_label(state: BenchState, action: BenchAction) -> str:
    """Return the label of the footer's first key for the selected row."""
    if state.row.path == MORE:
        return _HIDE if state.step in state.unfolded else _SHOW
    return _CHOOSE if action.id == "edit" and on_choice(state) else action.label


def option_lines(state: BenchState, width: int, height: int, glyphs: Glyphs) -> list[CellRow]:
    """Return the open list of options, the selected one marked, as far as there is room."""
    kind = state.row.kind
    assert isinstance(kind, Choice)
    lines, here = [cells(f" {state.row.full_label}: ", Role.STRONG)], 0
    for place, option in enumerate(kind.options):
        is_here = place == state.option
        mark = glyphs.selected if is_here else " "
        piece = cells(f"{mark} {literal(option.word, glyphs)} ", Role.CURSOR if is_here else Role.BASE)
        if len(lines[-1]) + len(piece) > width:
            lines.append(cells(" ", Role.BASE))
        lines[-1] = lines[-1] + piece
        here = len(lines) - 1 if is_here else here
    first = max(min(here - height + 1, len(lines) - height), 0) if here >= height else 0
    shown = lines[first : first + height]
    shown += [[] for _ in range(height - len(shown))]
    return [fitted(line, width, glyphs.ellipsis) for line in shown]


def _view_keys(state: BenchState) -> Sequence[tuple[str, str]]:
    """Return the keys of the view with the focus, or of its lines to take if there are any."""
    if state.helps:
        return ()
    keys = VIEW_ROWS[state.view].keys
    if shown_chart(state) is not None or state.view == FIGURES:
        return keys
    from tui.bench.views.takes import OFFERS, takes_here  # a view in lines has loaded it

    if state.view == LOGGED:
        from tui.bench.views.pane import has_take

        if not state.log.files:
            return (("Enter", "read a log"),)
        return keys if has_take(state) else keys[:1]
    if state.view == EVENTS:
        from tui.bench.views.events import on_place

        return (*keys[:-1], ("Enter", "use it")) if on_place(state) else keys
    if state.view == READINGS:
        from tui.bench.views.readings import may_be_alone

        return keys if may_be_alone(state) else keys[1:]
    if state.view in MATCHES:
        from tui.bench.views.match import now_keys

        return tuple(one for one in keys if one[0] == "Enter" or one[0].split()[0].lower() in now_keys(state))
    if state.view not in OFFERS or state.view in (SWEEP, MAP):
        return keys
    takes = takes_here(state)
    if state.view == SPACERS:
        return keys if takes else ()
    lines = LINES if len(takes) > 1 else LINES[-1:]
    return (*(keys[:1] if len(state.job.setups) > 1 else ()), *lines) if state.view == CONDITIONS else lines


def foot_lines(state: BenchState, width: int, height: int, look: ChartLook) -> list[CellRow]:
    """Return the lines below the panes: meaning of the field, results of every setup, keys.

    The last message is above the results; if there is no such line, it replaces the keys.

    Menu and finder replace these lines while open; a short menu keeps the results.
    """
    glyphs = look.glyphs
    if state.finder is not None or state.menu:
        from tui.bench.overlays import OVERLAYS  # it comes after the first frame

        if state.finder is None and OVERLAYS.rows_wanted(state, width, glyphs) <= height - 2:
            rows = OVERLAYS.lines(state, width, height - 2, glyphs)
            return [*rows, *results_line(state, width, look), fitted([], width, glyphs.ellipsis)]
        return OVERLAYS.lines(state, width, height, glyphs)
    room = height - 2
    keys = keys_line(state, width, glyphs)
    results = results_line(state, width, look)
    if room < 1 and state.option is not None:  # the list has the place of the results
        results = []
    note = folded(literal(state.note, glyphs), max(width - 2, 10))
    said = [cells(f" {line}", Role.STRONG) for line in note[: max(room, 1)]]
    if said and room < 1:  # there is no other line for it
        said, keys = [], said
    room -= len(said)
    told: list[CellRow] = []
    if state.option is not None:
        told = option_lines(state, width, max(room, 1), glyphs)
    elif room > 0 and state.view == FIGURES and state.in_view:
        from tui.job.figures import STATE_KEY  # it comes with the table

        told = figure_lines(state.figure or STATE_KEY, is_fork(state.job), width, room, glyphs)
    elif room > 0 and not state.in_view:
        told = meaning_lines(state, width, room, glyphs)
    elif room > 0:
        text = f"{VIEW_ROWS[state.view].name}: {VIEW_ROWS[state.view].sentence}"
        if state.view == EVENTS and not state.helps:
            from tui.bench.views.events import knob_text  # rides load when they are looked at

            text = knob_text(state)
        told = _wrapped(text, (), width, room, glyphs)
    lines = [*told, *said, *results, *keys]
    lines = [fitted(line, width, glyphs.ellipsis) for line in lines]
    lines += [[(" ", int(Role.BASE))] * width for _ in range(height - len(lines))]
    return lines[:height]
