"""Having a widget repaint no more than the cells that changed."""

from __future__ import annotations

from collections.abc import Sequence

from textual.widget import Widget

from tui.charts.cells import Row, changes


def refresh_changes(widget: Widget, before: Sequence[Row], after: Sequence[Row]) -> None:
    """Have those cells repainted that differ; all of them where the widget has another size now."""
    regions = changes(before, after)
    if regions is None:
        widget.refresh()
    elif regions:
        widget.refresh(*regions)
