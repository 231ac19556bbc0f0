"""The one table of roles against the widgets that are painted by it."""

import pytest

from tui.bench.grid import FieldGrid
from tui.bench.table import FigureTable
from tui.bench.views.pane import ViewPane
from tui.kit.roles import STYLES, Role, class_of, classes_of, style_sheet
from tui.kit.widget import CellWidget, Lines
from tui.linkage.panes import Pane, TablePane
from tui.records.screen import ListPane, RecordsPane


@pytest.mark.parametrize(
    "widget", [Lines, FieldGrid, FigureTable, ViewPane, Pane, TablePane, RecordsPane, ListPane]
)
def test_every_class_of_a_widget_is_a_role_with_a_style(widget: type[CellWidget]) -> None:
    classes: set[str] = set().union(*(vars(base).get("COMPONENT_CLASSES", set()) for base in widget.__mro__))
    assert classes
    assert classes <= classes_of(STYLES)


def test_roles_stay_below_the_looks_of_setups() -> None:
    assert max(role for role in Role if role is not Role.SETUP) < Role.SETUP
    assert len({class_of(role) for role in Role}) == len(Role)


def test_the_style_sheet_names_every_styled_role_once() -> None:
    sheet = style_sheet("CellWidget")
    assert sheet.startswith("CellWidget {")
    assert all(sheet.count(f"& > .{class_of(role)} {{") == 1 for role in STYLES)
