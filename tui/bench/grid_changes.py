"""Which cells of a widget have to be sent again."""

from __future__ import annotations

from collections.abc import Sequence

from textual.geometry import Region
from textual.widget import Widget

from tui.bench.table_lines import spans
from tui.charts.cells import Row


def refresh_changes(widget: Widget, before: Sequence[Row], after: Sequence[Row]) -> None:
    """Have those cells repainted that differ; all of them where the widget has another size now."""
    if [len(row) for row in before] != [len(row) for row in after]:
        widget.refresh()
        return
    changes = [
        Region(first, y, end - first, 1)
        for y, (old, new) in enumerate(zip(before, after, strict=True))
        for first, end in spans(old, new)
    ]
    if changes:
        widget.refresh(*changes)
