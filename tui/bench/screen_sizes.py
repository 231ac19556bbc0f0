"""Which of the layouts a terminal gets: from one panel alone to all panels, chart and table."""

from __future__ import annotations

_CHART_FROM = 64
_TWO_COLUMNS_FROM = 150
_THREE_COLUMNS_FROM = 230
_BOTH_FROM = 34
_LOW_BELOW = 14

ALL = ("-panels-only", "-two-columns", "-three-columns", "-both", "-low", "-table-only")
"""Every class that a layout may give the screen."""


def layout_classes(width: int, height: int, *, table: bool) -> set[str]:
    """Return the classes for a size in cells; `table` asks for the table where there is no room for both."""
    found = set()
    if width < _CHART_FROM:
        found.add("-panels-only")
    elif width >= _THREE_COLUMNS_FROM:
        found.add("-three-columns")
    elif width >= _TWO_COLUMNS_FROM:
        found.add("-two-columns")
    if height < _LOW_BELOW:
        found.add("-low")
    if width >= _CHART_FROM and height >= _BOTH_FROM:
        found.add("-both")
    elif table:
        found.add("-table-only")
    return found
