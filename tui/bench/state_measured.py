"""What a measured value comes to, told at its row: where it should lie, and what to do if it does not."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tui.bench.fields_row import Row
from tui.bench.state import BenchState

if TYPE_CHECKING:
    from tui.jobs.measured import MeasuredRow

_WELL = ("within", "unknown")
_SAG = ("measured", "sag")


def meaning_at(state: BenchState, row: Row) -> str:
    """Return what a row means; of a measured value first how it lies, and outside of its band that alone."""
    found = _measured_at(state, row)
    if found is None:
        return f"{_expected_sag(state)} {row.meaning}".lstrip() if row.path == _SAG else row.meaning
    from tui.jobs.measured_words import compared_text

    compared = f"{compared_text(found, state.units)}."
    return f"{compared} {row.meaning}" if found.verdict in _WELL else compared


def _expected_sag(state: BenchState) -> str:
    """Return what the sag will read on the bike, while none is typed."""
    good = state.good
    if good is None or state.stale or state.job.get(_SAG) is not None or not good.answer.setups:
        return ""
    from tui.jobs.on_bike import setup_on_bike
    from tui.jobs.settling_words import expect_text

    of = str(state.job.get(("measured", "of")) or good.case.target.of)
    return expect_text(good.answer.setups[setup_on_bike(good.job)], of, state.units)


def look_first_at(state: BenchState, row: Row) -> str:
    """Return what to look at first for a measured value outside of its band, empty where all is well."""
    found = _measured_at(state, row)
    if found is None or state.good is None or (found.verdict in _WELL and not found.over_label):
        return ""
    from tui.jobs.measured import measured_rows
    from tui.jobs.measured_words import gauge_is_off, look_first

    rows = measured_rows(state.good)
    said = look_first(found, rows)
    # A sag typed among the readings is taken as the target counts it.
    if found.key != "sag" or found.of != state.good.case.target.of or gauge_is_off(rows):
        return said
    return f"{said} R twice, then sag {state.units.show(found.measured, found.measure)}, finds the load."


def _measured_at(state: BenchState, row: Row) -> MeasuredRow | None:
    if row.path[:1] != ("measured",) or state.good is None or state.stale:
        return None
    # The physics loads after the first frame, and only for what was measured.
    if state.job.get(row.path) is None:
        return None
    from tui.jobs.measured import measured_rows

    return next((found for found in measured_rows(state.good) if found.key == row.path[1]), None)
