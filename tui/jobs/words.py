"""Cautions and states in a mechanic's words, with the advice that belongs where the hand is about to act."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from physics.faults import Caution
from tui.shop_units import Measure, ShopUnits, gauge

STATES = {
    "ok": "settles at its sag",
    "topped_out": "tops out under the rider: too stiff, the wheel stays at full extension",
    "bottomed_out": "on the stop under the rider: too soft, the travel is used up",
    "unsolved": "no rate or pressure reaches the target sag",
}
"""What each state of a setup means."""

_Values = Mapping[str, float]


def caution_text(caution: Caution, units: ShopUnits, ambient: float) -> str:
    """Return one sentence or two for a caution; `ambient` [Pa] turns its pressures into gauge readings."""
    words = _WORDS.get(caution.code)
    return (
        words(caution.values, units, ambient) if words else f"{caution.code.replace('_', ' ').capitalize()}."
    )


def _closure(v: _Values, units: ShopUnits, _ambient: float) -> str:
    off = units.show(v["closure_error"], Measure.FRACTION)
    return (
        f"Wheel travel, stroke and leverage disagree by {off}; the ratios were scaled to fit the stroke. "
        "Check the three against the frame."
    )


def _topped_out(_v: _Values, _units: ShopUnits, _ambient: float) -> str:
    return (
        "The rider does not move this shock off its top-out: too stiff to ride, so there is no sag to read."
    )


def _bottomed_out(_v: _Values, _units: ShopUnits, _ambient: float) -> str:
    return "The rider's weight alone uses up the travel: too soft to ride, so there is no sag to read."


def _unsolved(_v: _Values, _units: ShopUnits, _ambient: float) -> str:
    return "No setting of this spring reaches the target sag: change the target, the spring or its chambers."


def _preloaded_coil(v: _Values, units: ShopUnits, _ambient: float) -> str:
    if v["preload"] > 0:
        held = f"The coil is held squeezed by {units.show(v['preload'], Measure.TRAVEL)}"
    else:
        held = "A coil stores energy once its collar is turned"
    return (
        f"{held}: wind the collar off before taking the spring off, wear eye protection, follow the maker's "
        "manual, and leave what is in doubt to a qualified technician."
    )


def _pressurised(_v: _Values, _units: ShopUnits, _ambient: float) -> str:
    return (
        "Never pump above the limit on the shock's label. Wear eye protection, let all air out before "
        "opening. A shock that stays short after that may hold trapped pressure: leave it to a qualified "
        "technician."
    )


def _over_label(v: _Values, units: ShopUnits, ambient: float) -> str:
    pressure, limit = (units.show(gauge(v[key], ambient), Measure.PRESSURE) for key in ("pressure", "limit"))
    return f"{pressure} is above the label's limit of {limit}: do not pump it that high."


def _coil_bind(v: _Values, units: ShopUnits, _ambient: float) -> str:
    room, stroke = (units.show(v[key], Measure.TRAVEL) for key in ("room", "stroke"))
    return (
        f"Coil bind: the spring is solid after {room}, before the stroke of {stroke} is used: do not fit it."
    )


def _rated_stroke(v: _Values, units: ShopUnits, _ambient: float) -> str:
    rated, needed = (units.show(v[key], Measure.TRAVEL) for key in ("rated", "needed"))
    return (
        f"The spring is rated for {rated} of stroke; this shock with its preload asks for {needed}. "
        "Choose a longer spring."
    )


def _preload_turns(v: _Values, units: ShopUnits, _ambient: float) -> str:
    turns, most = (units.show(v[key], Measure.TURNS) for key in ("turns", "most"))
    return f"{turns} of preload is more than the maker's {most}: choose a stiffer spring and less preload."


_WORDS: dict[str, Callable[[_Values, ShopUnits, float], str]] = {
    "closure": _closure,
    "topped_out": _topped_out,
    "bottomed_out": _bottomed_out,
    "unsolved": _unsolved,
    "preloaded_coil": _preloaded_coil,
    "pressurised": _pressurised,
    "over_label": _over_label,
    "coil_bind": _coil_bind,
    "rated_stroke": _rated_stroke,
    "preload_turns": _preload_turns,
}
