"""Which columns of the table fit."""

from hypothesis import given
from hypothesis import strategies as st

from tui.bench.table import CHANGE, MARK, VALUE, columns


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


def test_a_label_has_the_room_of_the_change_that_the_first_setup_has_not() -> None:
    first, second = (columns(41, 2, selected, 18, 8) for selected in (0, 1))
    assert (first.label, first.change) == (18, 0)
    assert second.label < 18
    assert second.change > 0


def test_two_blanks_stand_between_label_and_unit_where_they_fit() -> None:
    tight = columns(MARK + 18 + 1 + 8 + 2 * VALUE + CHANGE, 2, 0, 18, 8)
    roomy = columns(MARK + 18 + 2 + 8 + 2 * VALUE + CHANGE, 2, 0, 18, 8)
    assert (tight.label, roomy.label) == (18, 19)
    assert tight.setups == roomy.setups == (0, 1)
