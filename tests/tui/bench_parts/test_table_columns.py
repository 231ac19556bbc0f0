"""Which columns of the table fit."""

from hypothesis import given
from hypothesis import strategies as st

from tui.bench.table_columns import MARK, columns
from tui.bench.table_lines import spans
from tui.charts.cells import cells


@given(st.integers(30, 200), st.integers(1, 12), st.data())
def test_the_columns_fit_and_show_the_selected_setup(width: int, count: int, data: st.DataObject) -> None:
    selected = data.draw(st.integers(0, count - 1))
    plan = columns(width, count, selected, 18, 8)
    used = MARK + plan.label + (1 + plan.unit if plan.unit else 0)
    used += sum(plan.value + (plan.change if setup else 0) for setup in plan.setups)
    assert used <= width
    assert plan.label >= 12
    assert selected in plan.setups
    assert list(plan.setups) == sorted(set(plan.setups))


def test_the_first_setup_stays_beside_the_selected_one() -> None:
    assert columns(80, 6, 4, 18, 6).setups == (0, 4)
    assert columns(120, 6, 4, 18, 6).setups == (0, 3, 4, 5)


def test_six_setups_stand_side_by_side_on_a_wide_screen() -> None:
    assert columns(200, 6, 2, 18, 8).setups == (0, 1, 2, 3, 4, 5)


def test_units_move_to_the_numbers_on_a_narrow_screen() -> None:
    narrow = columns(30, 6, 5, 18, 8)
    assert (narrow.unit, narrow.change, narrow.setups) == (0, 0, (5,))
    assert columns(40, 6, 5, 18, 8).change > 0


def test_runs_of_changed_cells_are_joined_where_a_jump_costs_more() -> None:
    old, new = cells("abcdefghijklmnopqrst", 0), cells("aBcDefghijklmnopqrsT", 0)
    assert spans(old, new) == [(1, 4), (19, 20)]
    assert spans(old, old) == []


def test_a_wide_letter_is_repainted_whole() -> None:
    old, new = cells("ab右cd", 0), cells("ab左cd", 0)
    assert spans(old, new) == [(2, 4)]
    assert spans(cells("abxycd", 0), new) == [(2, 4)]
