"""Fields of a step as rows of cells, and the widget that shows them."""

from __future__ import annotations

from dataclasses import dataclass

from textual import events
from textual.message import Message

from physics.frozen import NamedTuple
from tui.bench.cells import Cell, Look, caution_at, cell_of, faults_by_row, left_out_at
from tui.bench.state import BenchState
from tui.bench.steps import MORE, NOTHING, Step, is_field, setup_of_row
from tui.job.faults import JobFault
from tui.job.fields import Field, field_at
from tui.job.typed import unit_taken
from tui.kit.cells import CellRow as Cells
from tui.kit.cells import cells, fitted, scrolled, text_of
from tui.kit.edit import Edit
from tui.kit.look import ChartLook, Glyphs, folded, literal
from tui.kit.roles import Role
from tui.kit.screen import edit_cells
from tui.kit.widget import LookWidget, RollingWidget
from tui.shop_units import ABSENT

LABEL = 18
"""Width of the name of a field [cells]."""

_BAR = 24
"""Maximum width of the cursor [cells], unless the value is longer."""

_FAULT_LINES = 7


class Drawn(NamedTuple):
    """The lines of a panel and the row that each belongs to; None for its headings."""

    lines: tuple[Cells, ...]
    rows: tuple[int | None, ...]

    def span(self, row: int, height: int) -> tuple[int, int]:
        """Return the first and last line of a row, including its heading if all fit in `height` lines."""
        places = [place for place, owner in enumerate(self.rows) if owner == row]
        first, last = places[0], places[-1]
        headed = first and self.rows[first - 1] is None and last - first + 2 <= height
        return (first - 1 if headed else first), last


def drawn(state: BenchState, width: int, look: ChartLook) -> Drawn:
    """Return the fields of the step, `width` cells wide."""
    faults, index = faults_by_row(state), state.panel
    lines: list[Cells] = []
    owners: list[int | None] = []
    for place, row in enumerate(state.panels[index].rows):
        if row.head:
            lines.append(_heading(state, row, width, look))
            owners.append(None)
        told = [
            line
            for fault in faults.get((index, place), ())
            for line in _fault(fault, width, look, is_folded=row.path == MORE)
            if row.path != NOTHING  # which says itself what is missing
        ]
        here = place == state.rows[index]
        lines += [_line(state, row, here, bool(told), width, look), *told]
        owners += [place] * (1 + len(told))
    return Drawn(tuple(lines), tuple(owners))


def _heading(state: BenchState, row: Field, width: int, look: ChartLook) -> Cells:
    """Return a heading; where setups are compared it is a setup's marker and name, as on its tab."""
    setup = setup_of_row(row) if state.step is Step.COMPARE else None
    if setup is None:
        return fitted(cells(literal(row.head, look.glyphs), Role.HEAD), width, look.glyphs.ellipsis)
    name = f"{look.marker(setup)} {literal(row.head, look.glyphs)}"
    text = f" [{name}]" if setup == state.setup else f"  {name}"
    return fitted(cells(text, Role.SETUP + setup % len(look.lines)), width, look.glyphs.ellipsis)


def _line(state: BenchState, row: Field, here: bool, wrong: bool, width: int, look: ChartLook) -> Cells:
    glyphs = look.glyphs
    if not is_field(row):
        role = Role.CURSOR if here else Role.QUIET
        mark = f"{glyphs.selected if here else ' '} "
        return fitted(cells(f"{mark}{row.label} {glyphs.ellipsis}", role), width, glyphs.ellipsis)
    label = _mark(state, row, here, wrong, glyphs)
    label += fitted(
        cells(literal(row.label, glyphs), Role.STRONG if here else Role.LABEL),
        LABEL,
        glyphs.ellipsis,
        Role.LABEL,
    )
    room = max(width - len(label), 0)
    if here and state.edit is not None:
        unit = unit_taken(state.job, row, state.edit.text, state.units)
        return fitted(label + _edit(state.edit, unit, room), width, glyphs.ellipsis)
    cell = cell_of(state, row)
    value = _value(cell, state.is_outdated, here, wrong, room, look)
    gap = 0 if value[0][0] == " " else 1
    behind = "" if cell.look is Look.SOLVED else _behind(cell, state.is_outdated)
    if behind and not text_of([value]).endswith(behind):
        free = LABEL - len(row.label) - gap
        wide = _value(cell, state.is_outdated, here, wrong, room + max(free, 0), look)
        value = wide[: max(room, len(text_of([wide])))]
    short = len(label) + len(value) - width
    if 0 < short <= LABEL - len(row.label) - gap:
        # A long value may use cells that a short name leaves free.
        label, room = label[:-short], len(value)
    return fitted(label + fitted(value, room, glyphs.ellipsis, value[-1][1]), width, glyphs.ellipsis)


def _mark(state: BenchState, row: Field, here: bool, wrong: bool, glyphs: Glyphs) -> Cells:
    """Return the mark in front of a field: selected, invalid, or with a caution."""
    if here:
        return cells(f"{glyphs.selected} ", Role.STRONG)
    if wrong:
        return cells(f"{glyphs.fault} ", Role.WRONG)
    care = caution_at(state, row) or left_out_at(state, row)
    return cells(f"{glyphs.caution} ", Role.WARNING) if care else cells("  ", Role.LABEL)


def _value(cell: Cell, stale: bool, here: bool, wrong: bool, room: int, look: ChartLook) -> Cells:
    mark = look.glyphs.solved if cell.look is Look.SOLVED else " "
    mark = look.glyphs.unconfirmed if cell.unconfirmed else mark
    text = ABSENT if cell.look is Look.ABSENT else literal(cell.text, look.glyphs)
    role, quiet = _roles(cell.look, here, wrong)
    behind = _behind(cell, stale)
    shown = cells(f"{mark} {text}", role)
    extra = cells(f"  {behind}" if behind else "", quiet)
    # What does not fit whole is left out: half a number is another number.
    whole = shown + extra if len(shown) + len(extra) <= room else shown
    bar = min(room, max(len(whole), _BAR))
    whole += [(" ", int(role if here else Role.BASE))] * (bar - len(whole))
    return whole + [(" ", int(Role.BASE))] * (room - bar)


def _behind(cell: Cell, stale: bool) -> str:
    """Return the text after a value: its origin, or the value in the shop's unit."""
    if cell.look is Look.SOLVED:
        return "old" if stale else "solved"
    if cell.look is Look.USUAL:
        return "assumed" if cell.text[:1].isdigit() else ""
    return cell.in_shop_units


def _roles(came: Look, here: bool, wrong: bool) -> tuple[Role, Role]:
    """Return the roles of a value and of the text after it."""
    solved = came is Look.SOLVED
    if here:
        selected = Role.CURSOR_SOLVED if solved else Role.CURSOR
        return selected, selected
    if came in (Look.USUAL, Look.ABSENT):
        return Role.QUIET, Role.QUIET
    return Role.WRONG if wrong else Role.SOLVED if solved else Role.VALUE, Role.QUIET


def _edit(edit: Edit, unit: str, room: int) -> Cells:
    """Return the text being typed with caret and unit, clipped if too long."""
    shown = cells("  ", Role.EDIT) + edit_cells(edit, Role.EDIT, max(room - 3, 0))
    shown += cells(unit, Role.QUIET)
    return (shown + [(" ", int(Role.EDIT))] * room)[:room]


def _fault(fault: JobFault, width: int, look: ChartLook, *, is_folded: bool) -> list[Cells]:
    """Return the lines of a fault below its field; a hidden field is named."""
    field = field_at(fault.path) if is_folded else None
    name = f"{field.full_label}: " if field else ""
    text = literal(f"{name}{fault.what}; {fault.accepted}", look.glyphs)
    lines = folded(text, max(width - 4, 8), most=_FAULT_LINES, more=f" {look.glyphs.ellipsis}")
    return [fitted(cells(f"    {line}", Role.WRONG), width, look.glyphs.ellipsis) for line in lines]


class Page(NamedTuple):
    """Lines of cells, the row that each belongs to, and how far they are scrolled."""

    lines: list[Cells]
    rows: tuple[int | None, ...] = ()
    top: int = 0

    def at(self, y: int) -> int | None:
        """Return the row on a line, None if there is none."""
        return self.rows[y] if 0 <= y < len(self.rows) else None


_RESTING: dict[int, int] = {Role.CURSOR: Role.RESTING, Role.CURSOR_SOLVED: Role.RESTING_SOLVED}
"""How the cursor looks while another pane has the focus."""


def page(state: BenchState, width: int, height: int, top: int, look: ChartLook) -> Page:
    """Return the fields of the step, scrolled from `top` just enough to show the selected row."""
    if width < 1 or height < 1:
        return Page([])
    panel = drawn(state, width, look)
    count = len(panel.lines)
    top = scrolled(top, *panel.span(state.rows[state.panel], height), height, count)
    lines = list(panel.lines[top : top + height])
    if len(lines) > 1 and panel.rows[top + len(lines) - 1] is None:  # a heading, its fields come below
        lines.pop()
    lines += [[(" ", int(Role.BASE))] * width for _ in range(height - len(lines))]
    if state.view_has_focus:
        lines = [[(text, _RESTING.get(role, role)) for text, role in line] for line in lines]
    if top and len(lines) > 1:
        lines[0] = _with_arrow(lines[0], look.glyphs.up)
    if top + height < count:
        lines[-1] = _with_arrow(lines[-1], look.glyphs.down)
    return Page(lines, panel.rows[top : top + height], top)


def _with_arrow(line: Cells, arrow: str) -> Cells:
    """Return a line with an arrow at its end that points to hidden rows."""
    return [*line[:-1], (arrow, int(Role.KEY))]


class FieldGrid(LookWidget, RollingWidget, can_focus=True):
    """Widget of all fields of a step: renders the state it is given and reports clicks."""

    @dataclass
    class Clicked(Message):
        """A row was clicked."""

        row: int

    def __init__(self, look: ChartLook, *, id: str | None = None) -> None:
        super().__init__(look, id=id)
        self._state: BenchState | None = None
        self._page = Page([])

    def show(self, state: BenchState) -> None:
        """Show a state of the bench; the fields of another step start at their top."""
        before, self._state = self._state, state
        same = before is not None and (before.panel, before.wheel) == (state.panel, state.wheel)
        self._draw(self._page.top if same else 0)

    def redraw(self) -> None:
        """Lay out the fields again."""
        self._draw(0)

    def on_click(self, event: events.Click) -> None:
        """Report which field was clicked."""
        row = self._page.at(event.get_content_offset_capture(self).y)
        if row is not None:
            self.post_message(self.Clicked(row))

    def _draw(self, top: int) -> None:
        """Compute the lines, scrolled from `top` as little as possible; blank lines before there is a job."""
        if self._state is None:
            self.put([[(" ", int(Role.BASE))] * self.size.width for _ in range(self.size.height)])
        else:
            self._page = page(self._state, self.size.width, self.size.height, top, self.look)
            self.put(self._page.lines)
