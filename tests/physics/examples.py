"""Invented setups that together use every law: both springs, all four negatives, gas, bumper, stages."""

from dataclasses import replace

import numpy as np

from physics.arrays import Values, values
from physics.case import (
    Air,
    Ambient,
    Bumper,
    Case,
    Coil,
    EqualisedNegative,
    Fork,
    Frame,
    GasCharge,
    Leverage,
    LeverageEnds,
    LowerLegs,
    Measured,
    MechanicalNegative,
    NoNegative,
    RiderAndBike,
    SeparateNegative,
    Setup,
    Table,
    Target,
)
from physics.gas import standard_pressure
from physics.leverage import leverage_curve

PSI = 6894.757293168
LBF_IN = 175.126835246
SEA = 101_325.0
SHOP = Ambient(293.15, SEA)
COLD_PASS = Ambient(268.15, float(standard_pressure(2200.0)))
LOAD = RiderAndBike(85.0, 0.62, 15.5, 0.5, 4.2)
TARGET = Target(0.30, "travel")

EQUALISED = EqualisedNegative(20e-6, 0, 4e-6, 0.009)
SEPARATE = SeparateNegative(22e-6, 1, 3e-6, 150 * PSI + SEA)
MECHANICAL = MechanicalNegative(60e3, 0.012)
BARE_AIR = Air(None, 0.040, 0.009, 0.027, 105e-6, 1, 6e-6, NoNegative())
GAS = GasCharge(200 * PSI + SEA, 12e-6, 0.009)
BUMPER = Bumper(0.009, 1800.0)
STAGES = Coil(
    None,
    0.002,
    25 * LBF_IN,
    stage_start=values([0.0, 0.030]),
    stage_rate=values([80e3, 95e3]),
)

SETUPS = {
    "coil": Setup("coil", Coil(None, 0.001, 25 * LBF_IN, thread_pitch=0.001), 12.0),
    "coil with gas and bumper": Setup("extras", Coil(None, 0.001, 25 * LBF_IN), 12.0, GAS, BUMPER),
    "coil in stages": Setup("stages", STAGES, 12.0, None, BUMPER),
    "equalised": Setup("equalised", replace(BARE_AIR, negative=EQUALISED), 30.0),
    "separate": Setup("separate", replace(BARE_AIR, negative=SEPARATE), 30.0, GAS),
    "mechanical": Setup("mechanical", replace(BARE_AIR, negative=MECHANICAL), 30.0, None, BUMPER),
    "none": Setup("none", BARE_AIR, 30.0),
}
"""Every kind of setup; all but the coil in stages are to be solved."""

_TRAVEL = values(np.linspace(0.0, 0.150, 7))
_CURVE = leverage_curve(Frame(0.150, 0.060, LeverageEnds(2.80, 2.25, 2.48)))

LEVERAGES: dict[str, Leverage] = {
    "ends": LeverageEnds(2.80, 2.25),
    "middle": LeverageEnds(2.80, 2.25, 2.48),
    "table": Table(_TRAVEL, values([2.80, 2.72, 2.60, 2.50, 2.42, 2.35, 2.26])),
    "measured": Measured(_TRAVEL, _CURVE.at(_TRAVEL).stroke),
}
"""Every kind of leverage of a rear shock, all of them good for 60 mm of stroke on 150 mm of travel."""


def case_of(*setups: Setup, leverage: Leverage = LEVERAGES["ends"]) -> Case:
    return Case(LOAD, Frame(0.150, 0.060, leverage), TARGET, SHOP, setups)


def forks(degrees: Values) -> Case:
    angle = np.radians(degrees)
    load = replace(LOAD, rider_share=0.38)
    spring = replace(BARE_AIR, rod=0.0, bore=0.032, positive_volume=210e-6, positive_spacers=1.0)
    legs = LowerLegs(240e-6, 0.035)
    setups = (Setup("air", spring, lower_legs=legs), Setup("coil", Coil(None, 0.001, 4378.0)))
    return Case(load, Frame(0.150 * np.sin(angle), 0.150, Fork(angle)), Target(0.18, "travel"), SHOP, setups)
