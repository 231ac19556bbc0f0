"""The damper's laws, each way, and what is refused."""

import numpy as np
import pytest

from physics.arrays import values
from physics.case import Damper, DampingShare, DampingSlopes, DampingTable
from physics.damper import damper_force, damping_faults, one_way_force, scaled, slope_at_rest, with_usual

SLOPES = DampingSlopes(3000.0, 0.15, 900.0)
TABLE = DampingTable(values([0.05, 0.15, 0.5]), values([150.0, 450.0, 765.0]))
"""The same law as a tester would give it."""
SPEEDS = values(np.linspace(0.0, 2.0, 41))


def test_a_table_through_the_knee_is_the_slopes() -> None:
    assert one_way_force(TABLE, SPEEDS, 0.0) == pytest.approx(one_way_force(SLOPES, SPEEDS, 0.0))
    assert slope_at_rest(TABLE, 0.0) == pytest.approx(slope_at_rest(SLOPES, 0.0))


def test_each_way_has_its_own_law_and_both_resist() -> None:
    damper = Damper(SLOPES, DampingShare(0.5))
    force = damper_force(damper, values([*-SPEEDS[::-1], *SPEEDS]), 8000.0)
    assert force[-1] == pytest.approx(450 + 1.85 * 900)
    assert force[0] == pytest.approx(-0.5 * 8000 * 2.0)
    assert np.all(np.diff(force) >= 0)


def test_what_nobody_knows_is_a_usual_share() -> None:
    known = with_usual(Damper(compression=SLOPES))
    assert known.compression == SLOPES
    assert isinstance(known.rebound, DampingShare)


@pytest.mark.parametrize("damping", [SLOPES, TABLE, DampingShare(0.4)])
def test_scaled_scales_every_force(damping: DampingSlopes | DampingTable | DampingShare) -> None:
    twice = one_way_force(scaled(damping, 2.0), SPEEDS, 9000.0)
    assert twice == pytest.approx(2 * one_way_force(damping, SPEEDS, 9000.0))


@pytest.mark.parametrize("speed", [[0.1, 0.1], [0.2, 0.1], [-0.1, 0.1]])
def test_rows_out_of_order_are_refused(speed: list[float]) -> None:
    faults = damping_faults(DampingTable(values(speed), values([1.0, 2.0])), "compression")
    assert [(fault.field, fault.code) for fault in faults] == [(("damper", "compression"), "not_increasing")]
    assert damping_faults(TABLE, "compression") == ()
    assert damping_faults(None, "compression") == ()
