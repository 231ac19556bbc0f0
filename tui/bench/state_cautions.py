"""Which cautions of the answer belong to which field: said where the hand is about to act."""

from __future__ import annotations

from collections.abc import Mapping

from tui.bench.fields_row import Row
from tui.bench.state import BenchState
from tui.bench.state_measured import look_first_at
from tui.bench.state_solved import answered_setup

_PRELOAD = ("coil_bind", "preload_turns", "rated_stroke", "no_preload")
_WIRE = ("wire_stress", "wire_rate", "wire_not_set")
_BY_KEY: Mapping[str, tuple[str, ...]] = {
    "pressure": ("over_label", "no_pressure", "beyond_pumps", "sag_gas_range"),
    "max_pressure": ("over_label", "negative_over_label"),
    "negative_pressure": ("negative_over_label",),
    "negative_volume": ("never_holds", "drawn_in"),
    "port": ("never_holds", "drawn_in", "port_past_sag"),
    "rate": ("coil_bind", "unsolved", "wire_rate"),
    "preload": _PRELOAD,
    "preload_turns": _PRELOAD,
    "free_length": ("coil_bind", "buckling"),
    "wire_diameter": _WIRE,
    "inner_diameter": _WIRE,
    "outer_diameter": _WIRE,
    "active_coils": (*_WIRE, "surge"),
    "total_coils": (*_WIRE, "surge"),
    "material": _WIRE,
    "solid_length": ("coil_bind",),
    "rated_stroke": ("rated_stroke",),
    "max_preload_turns": ("preload_turns",),
    "bumper_length": ("bumper_at_sag",),
}
"""By the last key of a field the codes of its cautions, the most pressing first."""
_LEFT_OUT: Mapping[str, tuple[str, ...]] = {
    "pressure": ("drawn_in",),
    "rate": ("gas_not_typed", "legs_not_typed"),
    "rod": ("gas_not_typed",),
    "gas_pressure": ("gas_not_typed",),
    "gas_volume": ("gas_not_typed",),
    "bumper_length": ("bumper_not_typed",),
    "bumper_force": ("bumper_not_typed",),
    "lower_leg_volume": ("legs_not_typed",),
    "stanchion_diameter": ("legs_not_typed",),
}
"""The same for what comes after all that concerns the hand: what was left out, and a gauge read drawn in."""


def caution_at(state: BenchState, row: Row) -> str:
    """Return the most pressing caution that there is for a field, empty without one."""
    told = look_first_at(state, row) if row.path[0] == "measured" else _of_answer(state, row, _BY_KEY)
    return told or _unlikely(state, row)


def left_out_at(state: BenchState, row: Row) -> str:
    """Return what was left out at a field, or how its gauge reads; empty without any."""
    return _of_answer(state, row, _LEFT_OUT)


def _of_answer(state: BenchState, row: Row, by_key: Mapping[str, tuple[str, ...]]) -> str:
    codes = by_key.get(str(row.path[-1]), ()) if row.path[0] == "setup" else ()
    if not codes or state.good is None or state.stale:
        return ""
    from tui.jobs.words import caution_text  # the first frame has no answer to be cautious about

    found = answered_setup(state, row.path[1])
    told = {caution.code: caution for caution in found.cautions} if found is not None else {}
    code = next((code for code in codes if code in told), None)
    ambient = float(state.good.answer.shop.pressure)
    if code is None:
        return ""
    fork, typed = state.good.answer.frame.fork, state.job.get(row.path[:2])
    return caution_text(told[code], state.units, ambient, fork, typed or {})


def _unlikely(state: BenchState, row: Row) -> str:
    """Return that a value is unlikely; before the first answer nobody waits for it."""
    if state.good is None:
        return ""
    from tui.jobs.likely import doubts

    return next((doubt.text(state.units) for doubt in doubts(state.job) if doubt.path == row.path), "")
