"""What a drawn linkage gives by itself, for people to see."""

from __future__ import annotations

import numpy as np

from physics.answer import LinkageAnswer
from physics.arrays import values
from physics.case import Frame, Linkage
from physics.linkage import move
from physics.linkage_checks import eye_to_eye

_EVERY = 5
"""Of so many steps of the motion one is told."""


def linkage_answer(frame: Frame) -> LinkageAnswer | None:
    """Return what the linkage of a frame gives, None for any other kind of leverage."""
    linkage = frame.leverage
    if not isinstance(linkage, Linkage):
        return None
    motion = move(linkage, float(np.max(frame.stroke)))
    axle = motion.places[::_EVERY, linkage.names.index(linkage.axle)]
    return LinkageAnswer(
        wheel_travel=values(motion.wheel[-1]),
        eye_to_eye=values(eye_to_eye(linkage)),
        stroke=values(motion.stroke[::_EVERY]),
        axle=values(axle - axle[0]),
        ratio=values(motion.ratio[::_EVERY]),
    )
