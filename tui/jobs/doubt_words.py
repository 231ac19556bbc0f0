"""Limits and sizes that a caution stands on, told as unverified where nobody has typed or confirmed them."""

from __future__ import annotations

from collections.abc import Mapping

from tui.jobs.clean import brief
from tui.jobs.tree import Raw
from tui.jobs.unconfirmed import listed

_NAMES = {
    "rated_stroke": "rated stroke",
    "free_length": "free length",
    "solid_length": "solid length",
    "max_preload_turns": "most turns",
    "max_pressure": "label's limit",
    "bumper_length": "bumper length",
    "wire_diameter": "wire thickness",
    "total_coils": "total coils",
    "active_coils": "active coils",
    "port": "port",
    "positive_volume": "positive volume",
    "negative_volume": "negative volume",
}
_WIRE = ("wire_diameter", "total_coils", "active_coils")
_STANDS_ON: Mapping[str, tuple[str, ...]] = {
    "rated_stroke": ("rated_stroke",),
    "coil_bind": ("free_length", "solid_length", *_WIRE),
    "preload_turns": ("max_preload_turns",),
    "buckling": ("free_length",),
    "wire_stress": _WIRE,
    "wire_not_set": _WIRE,
    "wire_rate": _WIRE,
    "surge": _WIRE,
    "over_label": ("max_pressure",),
    "negative_over_label": ("max_pressure",),
    "single_fill_over_label": ("max_pressure",),
    "bumper_at_sag": ("bumper_length",),
    "never_holds": ("port", "positive_volume", "negative_volume"),
}
"""By the code of a caution the keys of a setup whose values it stands on."""


def doubt_text(code: str, typed: Mapping[str, Raw]) -> str:
    """Say which values of a setup, as typed, a caution stands on that nobody has confirmed."""
    doubted = listed(typed)
    keys = [key for key in _STANDS_ON.get(code, ()) if key in doubted and key in typed]
    if not keys:
        return ""
    told = ", ".join(f"{_NAMES[key]} {brief(str(typed[key]))}" for key in keys)
    return f"Unverified: {told}."


def only_where_text(limit: float | None, typed: Mapping[str, Raw], once: str) -> str:
    """Say where alone one may pump to `once`, with no `limit` or one that nobody has read off the label.

    Empty where the limit was typed.
    """
    if limit is not None and "max_pressure" not in listed(typed):
        return ""
    return f"only where the label allows {once}"


def limit_text(typed: Mapping[str, Raw], limit: str) -> str:
    """Say what a limit for pumping is worth that nobody has read off the label; empty where it was typed."""
    if "max_pressure" not in listed(typed):
        return ""
    return f"The limit of {limit} is unverified: read the shock's label before pumping, and stay below it."
