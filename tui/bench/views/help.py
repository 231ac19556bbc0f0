"""The help on field and view, and the keys available here."""

from __future__ import annotations

from collections.abc import Iterator

from tui.bench.cells import caution_at, left_out_at, meaning_at
from tui.bench.keymap import KEYMAP
from tui.bench.state import EVENTS, FIGURES, BenchState
from tui.bench.steps import VIEW_ROWS
from tui.bench.views.here import View
from tui.job.fields import Amount, Bare, Choice
from tui.job.wheels import is_fork, spoken
from tui.kit.cells import CellRow
from tui.kit.document import Block, Document, Heading, Paragraph
from tui.kit.dressing import dressed
from tui.kit.keymap import key_name
from tui.kit.look import ChartLook
from tui.kit.roles import Role

_KEYS = 12
"""Width of a key [columns]."""


def lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the help on this field, this view and the keys."""
    return dressed(Document(tuple(_blocks(state))), width, look)


def _blocks(state: BenchState) -> Iterator[Block]:
    row = state.row
    if state.view == FIGURES and state.figure and state.in_view:
        from tui.job.figures import meaning_of

        label, meaning = meaning_of(state.figure, is_fork(state.job))
        yield Heading(label)
        yield Paragraph(meaning)
    else:
        yield Heading(row.full_label)
        yield Paragraph(" ".join(filter(None, meaning_at(state, row))))
        for caution in (caution_at(state, row), row.caution, left_out_at(state, row)):
            yield Paragraph(caution, Role.CAUTION)
        if isinstance(row.kind, Choice):
            yield Paragraph(f"One of: {', '.join(option.word for option in row.kind.options)}.", Role.QUIET)
        elif isinstance(row.kind, Amount | Bare):
            yield Paragraph(f"Left empty: {row.usual}." if row.usual else "", Role.QUIET)
    yield Heading(VIEW_ROWS[state.view].name)
    yield Paragraph(VIEW_ROWS[state.view].sentence)
    yield Paragraph(spoken(VIEW_ROWS[state.view].help, is_fork(state.job)), Role.QUIET)
    if state.view == EVENTS:
        from tui.bench.views.events import help_blocks

        yield from help_blocks(state)
    yield Heading("Keys")
    for action in KEYMAP.actions:
        if action.keys and not action.typing:
            keys = " ".join(map(key_name, action.keys[:2]))
            yield Paragraph(action.meaning, lead=f"{keys:{_KEYS}}")


VIEW = View(lines, as_typed=True)
