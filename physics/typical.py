"""Typical springs for a shock or fork of a common size, derived from its geometry: a starting point.

No maker's figures. The sizes are those commonly sold (from memory). Chambers and springs that fit are derived
from eye to eye and stroke, or from the travel, with a few assumed ratios, each common practice, no source.
The results are typical values only: the real hardware must be measured.
"""

from __future__ import annotations

from math import pi

from physics.case import Air, Coil, EqualisedNegative
from physics.frozen import dataclass
from physics.limits import LBF_PER_IN

# --- sizes (from memory) ---------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class ShockSize:
    """A shock: eye to eye [m] at full extension and stroke [m].

    `longest` [m] is the longest stroke sold with this length: shorter-stroke versions are the same shock with
    the stroke limited. `trunnion`: the upper end is bolted at its sides.
    """

    eye_to_eye: float
    stroke: float
    longest: float
    trunnion: bool = False


@dataclass(frozen=True, slots=True)
class ForkSize:
    """A fork: its travel [m] along the legs."""

    travel: float


Size = ShockSize | ForkSize

_MM = 1e-3
_EYELET = {
    165.1: (38.1,),
    184.2: (44.5,),
    190.0: (40.0, 42.5, 45.0),
    190.5: (50.8,),
    200.0: (50.8, 57.2),
    210.0: (50.0, 52.5, 55.0),
    215.9: (63.5,),
    222.3: (66.0, 69.9),
    230.0: (57.5, 60.0, 62.5, 65.0),
    241.3: (76.2,),
    250.0: (67.5, 70.0, 72.5, 75.0),
    266.7: (88.9,),
}
_TRUNNION = {
    165.0: (37.5, 40.0, 42.5, 45.0),
    185.0: (47.5, 50.0, 52.5, 55.0),
    205.0: (57.5, 60.0, 62.5, 65.0),
    225.0: (67.5, 70.0, 72.5, 75.0),
}
SHOCK_SIZES = tuple(
    ShockSize(round(length * _MM, 6), round(stroke * _MM, 6), round(strokes[-1] * _MM, 6), trunnion)
    for trunnion, family in ((False, _EYELET), (True, _TRUNNION))
    for length, strokes in family.items()
    for stroke in strokes
)
"""Common shocks, eyelets before trunnion, each by length and stroke."""
FORK_SIZES = tuple(ForkSize(round(travel * _MM, 6)) for travel in range(100, 201, 10))
"""Common forks by travel."""
_SAME = 1.5 * _MM
"""Largest total deviation [m] of length and stroke for the same size: some are printed in inches, or
rounded."""
_SHORTEST_EYELET, _USUAL_EYELET = 80 * _MM, 100 * _MM
"""Eye to eye less twice the stroke [m]: below the first value the shock has a trunnion; the second is usual
for one with two eyes (from memory)."""


def shock_size(eye_to_eye: float | None, stroke: float) -> ShockSize:
    """Return the common size that matches these lengths [m], else a size of its own.

    Without an `eye_to_eye` the usual one for the stroke is used.

    >>> shock_size(0.230, 0.060)
    ShockSize(eye_to_eye=0.23, stroke=0.06, longest=0.065, trunnion=False)
    >>> shock_size(0.205, 0.068).trunnion  # 205 - 2 · 68 = 69 mm leave no room for an upper eye
    True
    """
    length = 2 * stroke + _USUAL_EYELET if eye_to_eye is None else eye_to_eye

    def off(size: ShockSize) -> float:
        return abs(size.eye_to_eye - length) + abs(size.stroke - stroke)

    nearest = min(SHOCK_SIZES, key=off)
    if off(nearest) < _SAME:
        return ShockSize(length, stroke, max(nearest.longest, stroke), nearest.trunnion)
    return ShockSize(length, stroke, stroke, length - 2 * stroke < _SHORTEST_EYELET)


# --- air -------------------------------------------------------------------------------------

_FITTINGS = 60 * _MM
"""Length [m] of eyes, heads, piston and seals of a shock, not available to chambers. Common practice, no
source."""
_UPPER_EYE = 25 * _MM
"""The part of it [m] that a trunnion saves. Common practice, no source."""
_POSITIVE_PART = 0.7
"""Fraction of the remaining length that the positive chamber has. Common practice, no source."""
_LEAST_POSITIVE, _LEAST_NEGATIVE = 0.3, 0.125
"""Least length of either chamber beyond the stroke, as fractions of the stroke: with less, an outer can
around the sleeve adds the missing volume. Common practice, no source."""
_SLEEVES = ((56 * _MM, 40 * _MM, 27 * _MM), (66 * _MM, 42 * _MM, 28 * _MM), (1.0, 44 * _MM, 30 * _MM))
"""Longest stroke up to which a bore and a damper body diameter are used, all [m]. Common practice, no
source."""
_ROD = 9 * _MM
"""Diameter [m] of the damper rod of a shock. Common practice, no source."""
_PORT_PART = 0.45
"""Position of the port as a fraction of the negative chamber's length at full extension. Common practice, no
source."""
_STANCHIONS = ((125 * _MM, 32 * _MM), (155 * _MM, 35 * _MM), (1.0, 38 * _MM))
"""Travel up to which a stanchion's outer diameter is used, both [m]. Common practice, no source."""
_WALL, _AIR_SHAFT = 2 * _MM, 10 * _MM
"""Wall of a stanchion and diameter of the air shaft [m]. Common practice, no source."""
_OVERLAP, _OVERLAP_PART = 110 * _MM, 0.5
"""Length of a stanchion beyond the travel, for crown and bushings: a length [m] plus a fraction of the
travel. Common practice, no source."""
_FORK_NEGATIVE_PART, _FORK_PORT_PART = 0.2, 0.05
"""Length of a fork's negative chamber as a fraction of the travel, and position of its port as a fraction of
that length. Common practice, no source."""
MOST_SPACERS = 4
"""Number of volume spacers that fit. Common practice, no source."""
_SPACER_ROOM = 0.5
"""Fraction of the volume at full stroke that all of them take together. Common practice, no source."""


def typical_air(size: Size) -> Air:
    """Return an air spring that fits in a shock or fork, its pressure to be solved, no spacer fitted.

    Shock: eye to eye ℓ less twice the longest stroke s is not needed by the stroke nor by the sleeve that
    covers it. Less the fittings it is the length r for both chambers besides the stroke: the positive one is
    s + h long with h = 0.7 r, the negative one n = 0.3 r. With A_p = π/4 (D² − d_r²) and A_n = π/4 (D² −
    d_b²), V_p = A_p (s + h) and V_n = A_n n at full extension. A sleeve too short for h = 0.3 s or n = s/8
    has an outer can, which makes up for it. Fork: the stanchion is longer than the travel s by an overlap;
    less fittings and the negative chamber n, that is h. The piston has no rod on the positive side, and the
    air shaft runs through the negative one. Spacers go into the chamber of length h, and all of them may
    halve it.

    >>> spring = typical_air(shock_size(0.230, 0.065))
    >>> round(spring.positive_volume * 1e6, 1)  # π/4 (42² − 9²) mm² · (65 + 0.7 · (230 − 130 − 60)) mm
    122.9
    >>> round(spring.negative.volume * 1e6, 1)  # π/4 (42² − 28²) mm² · 12 mm
    9.2
    """
    if isinstance(size, ForkSize):
        return _fork_air(size.travel)
    bore, body = next((bore, body) for most, bore, body in _SLEEVES if size.longest <= most)
    room = size.eye_to_eye - 2 * size.longest - _fittings(_FITTINGS, size)
    spare = max(_POSITIVE_PART * room, _LEAST_POSITIVE * size.longest)
    behind = max((1 - _POSITIVE_PART) * room, _LEAST_NEGATIVE * size.longest)
    return _air((bore, _ROD, body), size.longest, spare, behind, _PORT_PART)


def _fork_air(travel: float) -> Air:
    stanchion = next(outside for most, outside in _STANCHIONS if travel <= most)
    behind = _FORK_NEGATIVE_PART * travel
    spare = _fork_room(travel) - travel - behind
    return _air((stanchion - 2 * _WALL, 0.0, _AIR_SHAFT), travel, spare, behind, _FORK_PORT_PART)


def _fork_room(travel: float) -> float:
    """Return the length [m] inside a stanchion between top cap and seal head."""
    return travel + _OVERLAP + _OVERLAP_PART * travel - _FITTINGS


def _fittings(usual: float, size: ShockSize) -> float:
    return usual - (_UPPER_EYE if size.trunnion else 0.0)


def _air(across: tuple[float, float, float], stroke: float, spare: float, behind: float, port: float) -> Air:
    """Return an air spring from lengths [m].

    `across` are bore, rod and body; `spare` is the length of the positive chamber beyond the stroke, `behind`
    the length of the negative one.
    """
    bore, rod, body = across
    area, ring = (pi / 4 * (bore**2 - inner**2) for inner in (rod, body))
    return Air(
        pressure=None,
        bore=bore,
        rod=rod,
        body=body,
        positive_volume=area * (stroke + spare),
        positive_spacers=0,
        positive_spacer_volume=_SPACER_ROOM * area * spare / MOST_SPACERS,
        negative=EqualisedNegative(ring * behind, 0, 0.0, port * behind),
    )


# --- coil ------------------------------------------------------------------------------------

_COLLARS = 70 * _MM
"""Length [m] of a shock not covered by its coil: eyes and collars. Common practice, no source."""
_PRELOAD = 1 * _MM
"""Preload [m] that just holds a coil: about one turn of the collar. Common practice, no source."""
_OVER_STROKE, _OVER_RATED = 5 * _MM, 4 * _MM
"""Rated stroke of a coil beyond the shock stroke, and clearance to coil bind beyond that, both [m]. Common
practice, no source."""
SHOCK_STEP, FORK_STEP = 25 * LBF_PER_IN, 5 * LBF_PER_IN
"""Step [N/m] between rates that can be ordered. Common practice, no source."""


def between_collars(size: ShockSize) -> float:
    """Return the length [m] between the collars of a shock at full extension.

    >>> round(between_collars(shock_size(0.230, 0.065)), 6)
    0.16
    """
    return size.eye_to_eye - _fittings(_COLLARS, size)


def typical_coil(size: Size) -> Coil:
    """Return a coil that fits on a shock or in a fork, its rate to be solved.

    Its free length is the length between the collars at full extension, ℓ less eyes and collars, plus the
    preload; in a stanchion, all the length that an air spring has there. Its rated stroke is slightly more
    than the longest stroke, and it is solid slightly beyond that.

    >>> coil = typical_coil(shock_size(0.230, 0.065))
    >>> [round(length * 1e3, 1) for length in (coil.free_length, coil.rated_stroke, coil.solid_length)]
    [161.0, 70.0, 87.0]
    """
    if isinstance(size, ForkSize):
        between, longest, step = _fork_room(size.travel), size.travel, FORK_STEP
    else:
        between = between_collars(size)
        longest, step = size.longest, SHOCK_STEP
    free, rated = between + _PRELOAD, longest + _OVER_STROKE
    return Coil(
        rate=None,
        preload=_PRELOAD,
        ladder_step=step,
        free_length=free,
        solid_length=free - rated - _OVER_RATED,
        rated_stroke=rated,
    )
