"""What stands in the place of the lines below for a moment: the menu, and the finder with what it finds."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from tui.bench.keymap import KEYMAP, PROGRAM, BenchAction, key_text, where_of
from tui.bench.state import FIGURES, BenchState, select_field, show_setup, show_step, show_view
from tui.bench.steps import NAMES, VIEWS, Step, StepPanel, is_field
from tui.bench.view_names import VIEW_NAMES, VIEW_SENTENCES
from tui.job.wheels import is_fork
from tui.kit.cells import CellRow, cells, fitted
from tui.kit.finder import Finder, Item, found
from tui.kit.keymap import key_name, quiet
from tui.kit.look import Glyphs, literal
from tui.kit.roles import Role
from tui.store.remembered import JobPlace

ACT, FIELD, FIGURE, SETUP, VIEW, STEP, JOB = "act", "field", "figure", "setup", "view", "step", "job"
"""What an item of the finder is."""

Chosen = tuple[BenchState, BenchAction | JobPlace | None]
"""The state after a key, and the action that the screen has to do in it or the job it has to open, if any."""


def open_menu(state: BenchState) -> BenchState:
    """Open the menu."""
    return replace(quiet(state), menu=NAMES[state.step])


def show_help(state: BenchState) -> BenchState:
    """Show the help in the place of the view, or put it away."""
    return replace(quiet(state), helps=not state.helps)


def open_finder(state: BenchState) -> BenchState:
    """Open the finder with nothing typed."""
    return replace(quiet(state), finder=Finder(), menu="")


def shelf_of(state: BenchState) -> object:
    """Return which shelf of the menu is open: that of the step, or of job and program."""
    return PROGRAM if state.menu == PROGRAM else state.step


def menu_pressed(state: BenchState, key: str, character: str | None) -> Chosen:
    """Return the state after a key in the menu: a letter does its action, anything else closes it."""
    closed = replace(quiet(state), menu="")
    if key == "space":
        return replace(state, menu=PROGRAM if state.menu != PROGRAM else NAMES[state.step]), None
    if character in ("/", "?"):
        return closed, KEYMAP.named["find" if character == "/" else "help"]
    action = next((one for one in KEYMAP.shelf(shelf_of(state)) if one.letter == character), None)
    if action is None:
        said = "" if key == "escape" else f"The menu has no {key_name(character or key)} here. / finds."
        return replace(closed, note=said), None
    return _chosen(closed, action)


def _chosen(state: BenchState, action: BenchAction) -> Chosen:
    reason = action.why(state) if action.why else ""
    if reason:
        return replace(state, note=f"{action.name.capitalize()}: not now, {reason}."), None
    return state, action


def finder_pressed(state: BenchState, key: str, character: str | None) -> Chosen:
    """Return the state after a key in the finder."""
    finder = state.finder or Finder()
    match key:
        case "escape":
            return replace(state, finder=None), None
        case "enter" | "tab":
            there, closed = found(items(state), finder.text), replace(quiet(state), finder=None)
            return (closed, None) if not there else go_to(closed, there[min(finder.place, len(there) - 1)])
        case "up" | "down" | "pageup" | "pagedown":
            lines = 1 if key in ("up", "down") else ROWS
            count = len(found(items(state), finder.text))
            finder = finder.moved(-lines if key.endswith("up") else lines, count)
        case "backspace" | "ctrl+h":
            if not finder.text:
                return replace(state, finder=None), None
            finder = finder.rubbed_out()
        case "ctrl+u":
            finder = Finder()
        case _ if character and character.isprintable():
            finder = finder.typed(character)
        case _:
            return state, None
    return replace(state, finder=finder), None


def go_to(state: BenchState, item: Item) -> Chosen:
    """Return the state at what was found, or the action to do."""
    kind, target = item.id
    match kind, target:
        case ("act", str(id)):
            return _chosen(state, KEYMAP.named[id])
        case ("view", str(id)):
            return show_view(state, id), None
        case ("step", int(step)):
            return show_step(state, step), None
        case ("setup", int(place)):
            return replace(show_setup(state, place), in_view=False), None
        case ("job", JobPlace() as place):
            return state, place
        case ("figure", str(name)):
            return replace(show_view(state, FIGURES), figure=name), None
        case _:
            assert isinstance(target, tuple)
            return replace(select_field(state, target), in_view=False, helps=False), None


def items(state: BenchState) -> Sequence[Item]:
    """Return everything that can be found from a state, of the fields those of its step first."""
    why = {act.id: act.why(state) for act in KEYMAP.actions if act.why}
    setups = (str(setup.get("name", "")) for setup in state.job.setups)
    made = [
        *_views(),
        *(
            Item((ACT, act.id), act.name, where_of(act), key_text(act), act.meaning, why.get(act.id, ""))
            for act in KEYMAP.actions
            if act.name
        ),
        *(Item((STEP, int(step)), name, "step", "Tab") for step, name in NAMES.items()),
        *(Item((SETUP, place), name, NAMES[Step.SPRINGS]) for place, name in enumerate(setups)),
        *(
            Item((JOB, place), place.title, "recent job", "", place.file or "in the records")
            for place in state.recent
        ),
        *_fields(sorted(state.panels, key=lambda panel: panel.step is not state.step)),
        *_figures(is_fork(state.job)),
    ]
    return tuple(made)


def _views() -> Iterator[Item]:
    for step, views in VIEWS.items():
        for view in views:
            if next(other for other, those in VIEWS.items() if view in those) is step:
                yield Item((VIEW, view), VIEW_NAMES[view], NAMES[step], "[ ]", VIEW_SENTENCES[view])


def _fields(panels: Sequence[StepPanel]) -> Iterator[Item]:
    for panel in panels:
        if panel.step is Step.COMPARE:
            continue
        where = panel.title if panel.step is Step.SPRINGS else NAMES[panel.step]
        for row in (*panel.rows, *panel.hidden):
            if is_field(row):
                yield Item((FIELD, row.path), row.full_label, where, "", row.meaning)


def _figures(fork: bool) -> Iterator[Item]:
    from tui.job.figures import every_figure, meaning_of

    for figure in every_figure(fork):
        label, meaning = meaning_of(figure.name, fork)
        yield Item((FIGURE, figure.name), label, "figures", "", meaning)


ROWS = 4
"""Lines of what the finder finds that are shown at once."""


def finder_lines(state: BenchState, width: int, height: int, glyphs: Glyphs) -> list[CellRow]:
    """Return the line that is typed into and below it what is found, as much as there is room for."""
    finder = state.finder or Finder()
    there = found(items(state), finder.text)
    room = max(height - 1, 1)
    first = max(min(finder.place - room + 1, len(there) - room), 0) if finder.place >= room else 0
    head = cells(" / ", Role.KEY) + cells(literal(finder.text, glyphs), Role.EDIT) + cells(" ", Role.CARET)
    told = "nothing found; Backspace" if not there else f"{min(finder.place + 1, len(there))} of {len(there)}"
    head += cells(f"   {told}   Up Down choose  Enter goes there  Esc back", Role.QUIET)
    rows = [head]
    for place, item in enumerate(there[first : first + room], first):
        rows.append(_found_line(item, place == finder.place, width, glyphs))
    rows += [[] for _ in range(height - len(rows))]
    return [fitted(row, width, glyphs.ellipsis) for row in rows[:height]]


_NAME = 26
_WHERE = 18
_ROOM_FOR_ALL = 110
"""Columns from which a reason has room behind all the rest."""


def _found_line(item: Item, here: bool, width: int, glyphs: Glyphs) -> CellRow:
    role = Role.QUIET if item.reason else Role.STRONG if here else Role.BASE
    mark = cells(f" {glyphs.selected if here else ' '} ", Role.HERE)
    name = fitted(cells(literal(item.name, glyphs), role), min(_NAME, width // 2), glyphs.ellipsis, role)
    if item.reason and width < _ROOM_FOR_ALL:
        return mark + name + cells(literal(f" not now: {item.reason}", glyphs), Role.QUIET)
    where = fitted(cells(literal(item.where, glyphs), Role.QUIET), _WHERE, glyphs.ellipsis, Role.QUIET)
    key = fitted(cells(item.key, Role.KEY), 14, glyphs.ellipsis, Role.KEY)
    said = f"not now: {item.reason}" if item.reason else item.words
    return mark + name + where + key + cells(literal(said, glyphs), Role.QUIET)


def menu_lines(state: BenchState, width: int, glyphs: Glyphs) -> list[CellRow]:
    """Return what can be done here, a letter each, in as many lines as it takes; what cannot now is dim."""
    shelf = shelf_of(state)
    pieces = []
    for act in KEYMAP.shelf(shelf):
        now = not (act.why and act.why(state))
        pieces.append(
            cells(f" {act.letter} ", Role.KEY if now else Role.QUIET)
            + cells(f"{act.name} ", Role.BASE if now else Role.QUIET)
        )
    other = "job and program" if shelf != PROGRAM else NAMES[state.step].casefold()
    pieces.append(cells(" Space ", Role.KEY) + cells(f"{other} ", Role.BASE))
    pieces.append(cells(" Esc ", Role.KEY) + cells("back", Role.BASE))
    rows: list[CellRow] = [[]]
    for piece in pieces:
        if rows[-1] and len(rows[-1]) + len(piece) > width:
            rows.append([])
        rows[-1] = rows[-1] + piece
    return [fitted(row, width, glyphs.ellipsis) for row in rows]


def rows_wanted(state: BenchState, width: int, glyphs: Glyphs) -> int:
    """Return how many lines the menu or the finder wants, 0 where neither is open."""
    if state.finder is not None:
        return ROWS
    return len(menu_lines(state, width, glyphs)) if state.menu else 0
