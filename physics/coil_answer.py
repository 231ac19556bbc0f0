"""What only a coil has to say."""

from __future__ import annotations

from physics.answer import CoilAnswer
from physics.arrays import NONE, Scalar, values
from physics.case import Setup
from physics.shock import coil_of
from physics.wire_answer import wire_answer


def coil_answer(setup: Setup, stroke: Scalar) -> CoilAnswer:
    """Return what a solved coil is on a shock of `stroke` [m], each figure of its own shape.

    A coil in stages has no rate.
    """
    coil = coil_of(setup)
    turns = NONE if coil.thread_pitch is None else values(values(coil.preload) / coil.thread_pitch)
    rate = NONE if coil.rate is None or coil.stage_rate is not None else values(coil.rate)
    return CoilAnswer(rate, values(coil.preload), turns, (), wire_answer(coil, stroke))
