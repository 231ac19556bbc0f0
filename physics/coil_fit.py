"""Whether a coil fits its shock: coil bind, rated stroke, preload turns."""

from __future__ import annotations

from physics.case import Coil
from physics.faults import Caution

_HAIR = 1e-9
"""Lengths [m] and turns closer than this are equal: rounding of typed numbers is no caution."""


def fit_cautions(coil: Coil, stroke: float) -> list[Caution]:
    """Return the cautions of fit of one coil, its preload put in place, on a shock of this stroke [m].

    Free length − solid length − preload must exceed the stroke, the rated stroke must cover stroke
    and preload, and preload turns must stay inside the maker's limit; what is not known is not judged.
    """
    found = []
    preload = float(coil.preload)
    if coil.free_length is not None and coil.solid_length is not None:
        room = coil.free_length - coil.solid_length - preload
        if room <= stroke + _HAIR:
            found.append(Caution("coil_bind", {"room": room, "stroke": stroke}))
    if coil.rated_stroke is not None and coil.rated_stroke < stroke + preload - _HAIR:
        found.append(Caution("rated_stroke", {"rated": coil.rated_stroke, "needed": stroke + preload}))
    if coil.thread_pitch and coil.max_preload_turns is not None:
        turns = preload / coil.thread_pitch
        if turns > coil.max_preload_turns + _HAIR:
            found.append(Caution("preload_turns", {"turns": turns, "most": coil.max_preload_turns}))
    return found
