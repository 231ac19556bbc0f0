"""One job in SI: what the bench is asked. Every class here is data; the laws live beside it.

All numbers are SI floats, or arrays of shape (cases...) to ask about many cases at once.
Pressures are absolute. `None` stands for "not known" or, for a rate or a set pressure, "solve it".
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from physics.arrays import Scalar, Values

STANDARD_GRAVITY = 9.80665
"""Standard gravity [m/s²], exact (ISO 80000-3)."""


@dataclass(frozen=True, slots=True)
class Ambient:
    """Air around the shock: temperature [K] and pressure [Pa absolute]."""

    temperature: Scalar
    pressure: Scalar


# --- load on the wheel -----------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class RiderAndBike:
    """Masses [kg] and the share of each that rests on this wheel, level ground."""

    rider_mass: Scalar
    rider_share: Scalar
    bike_mass: Scalar
    bike_share: Scalar
    unsprung_mass: Scalar


@dataclass(frozen=True, slots=True)
class ScaleReading:
    """Mass [kg] a scale shows under this wheel with the rider in position, and the unsprung mass [kg]."""

    scale_mass: Scalar
    unsprung_mass: Scalar


@dataclass(frozen=True, slots=True)
class MassCentre:
    """Rider and bike as one mass [kg] with a centre of mass, on a slope.

    Lengths in m: wheelbase, centre of mass behind the front axle, its height; `slope` in rad,
    nose down positive.
    """

    total_mass: Scalar
    wheelbase: Scalar
    behind_front: Scalar
    height: Scalar
    slope: Scalar
    wheel: Literal["front", "rear"]
    unsprung_mass: Scalar


Load = RiderAndBike | ScaleReading | MassCentre

# --- frame -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class LeverageEnds:
    """Leverage ratio at start and end of the wheel travel, and in the middle where it is known."""

    start: Scalar
    end: Scalar
    middle: Scalar | None = None


@dataclass(frozen=True, slots=True)
class Table:
    """Leverage ratio `ratio` at wheel travel `travel` [m], both of shape (rows,)."""

    travel: Values
    ratio: Values


@dataclass(frozen=True, slots=True)
class Measured:
    """Pairs read off the bike: wheel travel [m] and shock stroke used [m], shape (pairs,)."""

    travel: Values
    stroke: Values


@dataclass(frozen=True, slots=True)
class Fork:
    """A fork: head angle from the ground [rad]."""

    head_angle: Scalar


@dataclass(frozen=True, slots=True)
class Linkage:
    """The mechanism itself: named points [m] as drawn at full extension, x either way along the bike, y up.

    `fixed` are the pivots of the frame; `bars` keep the distance of two points; the `axle` is a point, the
    `shock` the two points of its eyes. Three points of one body are three bars, four of one are five.
    """

    names: tuple[str, ...]
    places: tuple[tuple[float, float], ...]
    fixed: tuple[str, ...]
    bars: tuple[tuple[str, str], ...]
    axle: str
    shock: tuple[str, str]


Leverage = LeverageEnds | Table | Measured | Linkage | Fork


@dataclass(frozen=True, slots=True)
class Frame:
    """Vertical wheel travel [m], shock stroke [m] and the leverage between them.

    `eye_to_eye` [m] is the shock's length at full extension, which a drawn linkage is held against.
    """

    wheel_travel: Scalar
    stroke: Scalar
    leverage: Leverage
    eye_to_eye: float | None = None


# --- spring and shock ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Wire:
    """What a coil is wound from: names and grade as in `physics.wire_stock`, diameters in m.

    `mean_diameter` is that of the helix, the middle of the wire. `total_coils` counts those at the ends too.
    """

    material: str
    diameter: Scalar
    mean_diameter: Scalar
    active_coils: Scalar
    total_coils: Scalar
    ends: str
    grade: int


@dataclass(frozen=True, slots=True)
class Coil:
    """A coil spring.

    `rate` [N/m] is None to be solved. A coil with stages has instead `stage_start`, the compressions
    [m] (preload included) where each stage starts, (stages,), and `stage_rate` [N/m], (cases..., stages).
    `preload` [m] is compression at full extension. The rest is None where it is not known:
    lengths in m, `ladder_step` [N/m] between rates one can buy, or `ladder` (rates,) [N/m] itself, the
    `wire`, which a coil in stages has no use for, and `inner_diameter` [m], which may be known without it.
    """

    rate: Scalar | None
    preload: Scalar
    ladder_step: float
    stage_start: Values | None = None
    stage_rate: Values | None = None
    free_length: float | None = None
    solid_length: float | None = None
    rated_stroke: float | None = None
    thread_pitch: float | None = None
    max_preload_turns: float | None = None
    ladder: Values | None = None
    wire: Wire | None = None
    inner_diameter: float | None = None


@dataclass(frozen=True, slots=True)
class NoNegative:
    """No negative spring: the starting force is the whole charge."""


@dataclass(frozen=True, slots=True)
class MechanicalNegative:
    """A coil pushing the other way: rate [N/m], free push length from full extension [m]."""

    rate: Scalar
    length: Scalar


@dataclass(frozen=True, slots=True)
class SeparateNegative:
    """Negative chamber filled through a valve of its own at full extension.

    Volume [m³] without spacers, spacer count, spacer volume [m³], pressure [Pa absolute].
    """

    volume: Scalar
    spacers: Scalar
    spacer_volume: Scalar
    pressure: Scalar


@dataclass(frozen=True, slots=True)
class EqualisedNegative:
    """Negative chamber that meets the positive one at stroke `port` [m]; volumes [m³]."""

    volume: Scalar
    spacers: Scalar
    spacer_volume: Scalar
    port: Scalar


Negative = NoNegative | MechanicalNegative | SeparateNegative | EqualisedNegative


@dataclass(frozen=True, slots=True)
class Air:
    """An air spring.

    `pressure` [Pa absolute] is the settled reading of the positive chamber at full extension in the
    shop's air, None to be solved. Diameters in m (`rod` is 0 for a fork's air shaft; `body` counts
    only with a negative chamber), volumes in m³ at full extension, `max_pressure` [Pa absolute] from
    the label or None, `hose_volume` [m³] of the pump.
    """

    pressure: Scalar | None
    bore: Scalar
    rod: Scalar
    body: Scalar
    positive_volume: Scalar
    positive_spacers: Scalar
    positive_spacer_volume: Scalar
    negative: Negative
    max_pressure: float | None = None
    hose_volume: float = 0.0


@dataclass(frozen=True, slots=True)
class GasCharge:
    """Damper gas charge at full extension: pressure [Pa absolute], volume [m³], damper rod [m]."""

    pressure: Scalar
    volume: Scalar
    rod: Scalar


@dataclass(frozen=True, slots=True)
class Bumper:
    """Bottom-out bumper: length [m] and force when fully squeezed [N]."""

    length: Scalar
    force: Scalar


@dataclass(frozen=True, slots=True)
class LowerLegs:
    """Air closed in the lower legs of a fork, at the pressure of the shop at full extension.

    Free volume of one leg at full extension [m³], outer diameter of a stanchion [m], how many legs hold air.
    """

    volume: Scalar
    stanchion: Scalar
    legs: int = 2


Extra = Literal["gas", "bumper", "lower_legs"]
"""What a shock may have besides its spring, by the names that `Setup` has for it."""


@dataclass(frozen=True, slots=True)
class Setup:
    """One shock as it would be ridden: a spring, and what every shock has besides it.

    `friction` [N] of the seals each way, `mass` [kg] of the spring as weighed or None. An extra that is None
    is not known; the shock is known to have none of those that `lacks` names. `rod` [m] is that of the damper
    where it is known without its gas, which nothing is reckoned from.
    """

    name: str
    spring: Coil | Air
    friction: Scalar = 0.0
    gas: GasCharge | None = None
    bumper: Bumper | None = None
    mass: float | None = None
    lower_legs: LowerLegs | None = None
    lacks: tuple[Extra, ...] = ()
    rod: float | None = None


@dataclass(frozen=True, slots=True)
class Target:
    """Sag asked for, a fraction of wheel travel or of shock stroke."""

    sag: Scalar
    of: Literal["travel", "stroke"]


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far off what is known may be, either way: weighing [kg], gauge [Pa], rate [share], volume [m³].

    `scale` is that of one weighing, `volume` that of one chamber, `share` that of the rider's share on this
    wheel, a fraction. One gauge serves both chambers. With `rate_of_wire` a coil whose wire is
    known strays as its grade allows, in place of `rate`.
    """

    scale: float = 0.0
    gauge: float = 0.0
    rate: float = 0.0
    volume: float = 0.0
    share: float = 0.0
    rate_of_wire: bool = False


@dataclass(frozen=True, slots=True)
class Case:
    """One wheel of one bike and the setups to compare on it.

    `shop` is the air the pressures are read in; `ride`, where it is given, the air of the ride. `tolerance`
    is how far off the tools may be; the bands of `physics.tolerance` and `physics.expected` come from it.
    """

    load: Load
    frame: Frame
    target: Target
    shop: Ambient
    setups: tuple[Setup, ...]
    ride: Ambient | None = None
    tolerance: Tolerance = Tolerance()
