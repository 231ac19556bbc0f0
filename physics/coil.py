"""A coil spring: force law (rate, preload, stages), fit on its shock, and the figures only a coil has."""

from __future__ import annotations

import numpy as np

from physics.answer import CoilAnswer
from physics.arrays import NONE, Scalar, Values, beside_points, per_point, some, values
from physics.case import Coil
from physics.faults import Caution, Fault
from physics.wire import wire_answer, wire_faults


def coil_faults(coil: Coil) -> tuple[Fault, ...]:
    """Return the faults of a coil: negative preload, stages out of order, its wire."""
    found = []
    slack = values(coil.preload) < 0
    if some(slack):
        found.append(Fault(("preload",), "negative_preload", cases=slack))
    if coil.stage_start is not None and np.any(np.diff(coil.stage_start) <= 0):
        found.append(Fault(("stages", "compression_mm"), "not_increasing"))
    return (*found, *wire_faults(coil))


def coil_force(coil: Coil, stroke: Values) -> tuple[Values, Values]:
    """Return force [N] and rate [N/m] at strokes (cases..., points) [m]; the rate must be known.

    F = k (x + c); a progressive coil adds the rate step of each stage beyond its start, so F is continuous.
    Raises `ValueError` if the rate is still to be solved.

    >>> coil_force(Coil(80_000.0, 0.001, 4378.0), values([0.0, 0.020]))[0].round(6).tolist()
    [80.0, 1680.0]
    """
    compression = stroke + beside_points(coil.preload)
    if coil.stage_rate is not None and coil.stage_start is not None:
        steps = np.diff(coil.stage_rate, prepend=0.0)
        beyond = compression[..., None] - coil.stage_start
        # As a column, so that the rates of the stages may have the axis of cases.
        column = steps[..., None]
        return values((np.maximum(beyond, 0.0) @ column)[..., 0]), values(((beyond >= 0) @ column)[..., 0])
    if coil.rate is None:
        raise ValueError("the rate of this coil is still to be solved")
    rate = beside_points(coil.rate)
    return rate * compression, values(rate) if not compression.ndim else rate * np.ones_like(compression)


def coil_kinks(coil: Coil) -> Values:
    """Return the strokes (cases..., kinks) [m] at which the rate jumps: the starts of the stages."""
    if coil.stage_start is None:
        return np.empty(0)
    return values(coil.stage_start - per_point(coil.preload))


_HAIR = 1e-9
"""Lengths [m] and turns closer than this are equal: rounding of typed numbers raises no caution."""


def fit_cautions(coil: Coil, stroke: float) -> list[Caution]:
    """Return the cautions of fit of one coil with its preload on a shock of this stroke [m].

    Free length − solid length − preload must exceed the stroke, the rated stroke must cover stroke
    plus preload, and the preload turns must stay within the maker's limit; what is not known is not checked.

    >>> coil = Coil(80_000.0, 0.002, 4378.0, free_length=0.150, solid_length=0.090)
    >>> [(caution.code, round(caution.values["room"], 6)) for caution in fit_cautions(coil, 0.060)]
    [('coil_bind', 0.058)]
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


def longest_preload(coil: Coil, stroke: float) -> float:
    """Return the longest preload [m] without a caution of fit on a shock of this stroke [m].

    Infinite if nothing is known that limits it; negative if the coil fits with no preload.

    >>> coil = Coil(80_000.0, 0.002, 4378.0, free_length=0.150, solid_length=0.085, rated_stroke=0.064)
    >>> round(longest_preload(coil, 0.060), 6)
    0.004
    """
    limits = [np.inf]
    if coil.free_length is not None and coil.solid_length is not None:
        limits.append(coil.free_length - coil.solid_length - stroke)
    if coil.rated_stroke is not None:
        limits.append(coil.rated_stroke - stroke)
    if coil.thread_pitch and coil.max_preload_turns is not None:
        limits.append(coil.max_preload_turns * coil.thread_pitch)
    return float(min(limits))


def coil_answer(coil: Coil, stroke: Scalar) -> CoilAnswer:
    """Return the figures of a solved coil on a shock of `stroke` [m], each in its own shape.

    A progressive coil has no rate.
    """
    turns = NONE if coil.thread_pitch is None else values(values(coil.preload) / coil.thread_pitch)
    rate = NONE if coil.rate is None or coil.stage_rate is not None else values(coil.rate)
    return CoilAnswer(rate, values(coil.preload), turns, (), wire_answer(coil, stroke))
