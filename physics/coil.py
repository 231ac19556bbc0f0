"""A coil as a force law: rate, preload, stages."""

from __future__ import annotations

import numpy as np

from physics.arrays import Values, per_point, values
from physics.case import Coil
from physics.faults import Caution


def coil_force(coil: Coil, stroke: Values) -> tuple[Values, Values]:
    """Return force [N] and rate [N/m] at strokes (cases..., points) [m]; the rate must be known.

    F = k (x + c); with stages every one adds the step of its rate beyond its start, so F is continuous.
    """
    compression = values(stroke) + per_point(coil.preload)
    if coil.stage_rate is None or coil.stage_start is None:
        if coil.rate is None:
            raise ValueError("the rate of this coil is still to be solved")
        rate = per_point(coil.rate)
        return rate * compression, rate * np.ones_like(compression)
    steps = np.diff(coil.stage_rate, prepend=0.0)
    beyond = compression[..., None] - coil.stage_start
    return np.maximum(beyond, 0.0) @ steps, (beyond >= 0) @ steps


def fit_cautions(coil: Coil, stroke: float) -> list[Caution]:
    """Return the cautions of coil bind, rated stroke and preload turns on a shock of this stroke [m]."""
    found = []
    preload = float(coil.preload)
    if coil.free_length is not None and coil.solid_length is not None:
        room = coil.free_length - coil.solid_length - preload
        if room <= stroke:
            found.append(Caution("coil_bind", {"room": room, "stroke": stroke}))
    if coil.rated_stroke is not None and coil.rated_stroke < stroke + preload:
        found.append(Caution("rated_stroke", {"rated": coil.rated_stroke, "needed": stroke + preload}))
    if coil.thread_pitch and coil.max_preload_turns is not None:
        turns = preload / coil.thread_pitch
        if turns > coil.max_preload_turns:
            found.append(Caution("preload_turns", {"turns": turns, "most": coil.max_preload_turns}))
    return found
