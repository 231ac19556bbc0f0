"""The damper at the shaft: slopes with a knee, a tester's table, or a share of critical damping.

Speeds [m/s] are of the shaft, forces [N] of the damper alone: damper gas and seal friction are not in them.
Each direction has its own law, of speeds and forces that are positive there.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from physics.arrays import Scalar, Values, values
from physics.case import Damper, Damping, DampingShare, DampingSlopes, DampingTable
from physics.faults import Fault

USUAL = Damper(DampingShare(0.25), DampingShare(0.5))
"""Where nobody knows the damper: invented shares of critical damping, no source. Show them as assumed."""


def with_usual(damper: Damper) -> Damper:
    """Return the damper with the usual share in each direction that is not known.

    >>> with_usual(Damper(rebound=DampingShare(0.4)))
    Damper(compression=DampingShare(share=0.25), rebound=DampingShare(share=0.4))
    """
    return Damper(damper.compression or USUAL.compression, damper.rebound or USUAL.rebound)


def damper_force(damper: Damper, speed: Values, critical: Scalar) -> Values:
    """Return the damper force [N] at shaft speeds (points,) [m/s], compression positive.

    The force is positive in compression too: it then extends the shock, as a spring force does. `critical`
    [N s/m] is critical damping at the shaft at the sag point (`physics.figures`), used by shares alone.

    >>> damper = Damper(DampingSlopes(2000.0, 0.2, 800.0), DampingShare(0.5))
    >>> damper_force(damper, values([-0.1, 0.0, 0.1, 0.3]), 10_000.0).tolist()  # 0.2 · 2000 + 0.1 · 800
    [-500.0, 0.0, 200.0, 480.0]
    """
    known = with_usual(damper)
    compressing, extending = np.maximum(speed, 0.0), np.maximum(-speed, 0.0)
    pushing = one_way_force(known.compression or DampingShare(0.0), compressing, critical)
    return values(pushing - one_way_force(known.rebound or DampingShare(0.0), extending, critical))


def one_way_force(damping: Damping, speed: Values, critical: Scalar) -> Values:
    """Return the force [N] of one direction at shaft speeds (points,) [m/s], zero or above.

    >>> table = DampingTable(values([0.1, 0.2]), values([150.0, 200.0]))
    >>> one_way_force(table, values([0.05, 0.1, 0.4]), 0.0).round(6).tolist()  # on along the last two
    [75.0, 150.0, 300.0]
    """
    match damping:
        case DampingSlopes(low, knee, high):
            return values(low * np.minimum(speed, knee) + high * np.maximum(speed - knee, 0.0))
        case DampingTable():
            return _through(damping, speed)
        case DampingShare(share):
            return values(share * values(critical) * speed)


def _through(table: DampingTable, speed: Values) -> Values:
    at, force = values(table.speed), values(table.force)
    if at[0] > 0:
        at, force = np.concatenate([[0.0], at]), np.concatenate([[0.0], force])
    beyond = 0.0 if len(at) < 2 else (force[-1] - force[-2]) / (at[-1] - at[-2])
    return values(np.interp(speed, at, force) + beyond * np.maximum(speed - at[-1], 0.0))


def slope_at_rest(damping: Damping, critical: Scalar) -> float:
    """Return the slope [N s/m] of one direction at its lowest speeds.

    >>> slope_at_rest(DampingShare(0.5), 10_000.0)
    5000.0
    """
    match damping:
        case DampingSlopes(low):
            return float(low)
        case DampingTable(speed):
            first = float(speed[0]) if speed[0] > 0 or len(speed) < 2 else float(speed[1])
            return float(_through(damping, values(first / 2)) / (first / 2)) if first > 0 else 0.0
        case DampingShare(share):
            return float(share * critical)


def scaled(damping: Damping, factor: float) -> Damping:
    """Return one direction with every force times `factor`.

    >>> scaled(DampingSlopes(2000.0, 0.2, 800.0), 1.5)
    DampingSlopes(low=3000.0, knee=0.2, high=1200.0)
    """
    match damping:
        case DampingSlopes(low, knee, high):
            return DampingSlopes(low * factor, knee, high * factor)
        case DampingTable():
            return replace(damping, force=values(damping.force * factor))
        case DampingShare(share):
            return DampingShare(share * factor)


def damping_faults(damping: Damping | None, way: str) -> tuple[Fault, ...]:
    """Return the faults of one direction, `way` being "compression" or "rebound".

    Rows of a table must increase in speed and start at a force of zero or above, at a speed above zero or at
    zero force.

    >>> table = DampingTable(values([0.2, 0.1]), values([1.0, 2.0]))
    >>> [fault.code for fault in damping_faults(table, "rebound")]
    ['not_increasing']
    """
    if not isinstance(damping, DampingTable):
        return ()
    place = ("damper", way)
    if np.any(np.diff(damping.speed) <= 0) or damping.speed[0] < 0:
        return (Fault(place, "not_increasing"),)
    return ()
