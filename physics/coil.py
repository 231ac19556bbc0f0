"""A coil as a force law: rate, preload, stages."""

from __future__ import annotations

import numpy as np

from physics.arrays import Values, per_point, values
from physics.case import Coil
from physics.faults import Fault
from physics.wire_answer import wire_faults


def coil_faults(coil: Coil) -> tuple[Fault, ...]:
    """Return what makes a coil impossible: slack in place of preload, stages out of order, its wire."""
    found = []
    slack = np.asarray(values(coil.preload) < 0)
    if np.any(slack):
        found.append(Fault(("preload",), "negative_preload", cases=slack))
    if coil.stage_start is not None and np.any(np.diff(coil.stage_start) <= 0):
        found.append(Fault(("stages", "compression_mm"), "not_increasing"))
    return (*found, *wire_faults(coil))


def coil_force(coil: Coil, stroke: Values) -> tuple[Values, Values]:
    """Return force [N] and rate [N/m] at strokes (cases..., points) [m]; the rate must be known.

    F = k (x + c); with stages every one adds the step of its rate beyond its start, so F is continuous.
    Raises `ValueError` where the rate is still to be solved.
    """
    compression = stroke + per_point(coil.preload)
    if coil.stage_rate is not None and coil.stage_start is not None:
        steps = np.diff(coil.stage_rate, prepend=0.0)
        beyond = compression[..., None] - coil.stage_start
        # As a column, so that the rates of the stages may have the axis of cases.
        column = steps[..., None]
        return values((np.maximum(beyond, 0.0) @ column)[..., 0]), values(((beyond >= 0) @ column)[..., 0])
    if coil.rate is None:
        raise ValueError("the rate of this coil is still to be solved")
    rate = per_point(coil.rate)
    return rate * compression, rate * np.ones_like(compression)


def coil_kinks(coil: Coil) -> Values:
    """Return the strokes (cases..., kinks) [m] where the rate steps: the starts of the stages."""
    if coil.stage_start is None:
        return np.empty(0)
    return values(coil.stage_start - per_point(coil.preload))
