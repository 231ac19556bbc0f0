"""What only a coil has to say."""

from __future__ import annotations

from physics.answer import CoilAnswer
from physics.arrays import NONE, values
from physics.case import Setup
from physics.shock import coil_of


def coil_answer(setup: Setup) -> CoilAnswer:
    """Return rate, preload and turns of a solved coil, each of its own shape; no rate for one in stages."""
    coil = coil_of(setup)
    turns = NONE if coil.thread_pitch is None else values(values(coil.preload) / coil.thread_pitch)
    rate = NONE if coil.rate is None or coil.stage_rate is not None else values(coil.rate)
    return CoilAnswer(rate, values(coil.preload), turns, ())
