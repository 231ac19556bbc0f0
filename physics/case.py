"""One job in SI: the input of the bench. Every class here is data; the laws are in the other modules.

All numbers are SI floats, or arrays of shape (cases...) for many cases at once.
Pressures are absolute. `None` means "not known" or, for a rate or a set pressure, "to be solved".
"""

from __future__ import annotations

from typing import Literal

from physics.arrays import Scalar, Values
from physics.frozen import dataclass


@dataclass(frozen=True, slots=True)
class Ambient:
    """Air around the shock: temperature [K] and pressure [Pa absolute]."""

    temperature: Scalar
    pressure: Scalar


# --- load on the wheel -----------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class RiderAndBike:
    """Masses [kg] and the fraction of each that rests on this wheel, on level ground."""

    rider_mass: Scalar
    rider_share: Scalar
    bike_mass: Scalar
    bike_share: Scalar
    unsprung_mass: Scalar


@dataclass(frozen=True, slots=True)
class ScaleReading:
    """Mass [kg] read by a scale under this wheel with the rider in position, and the unsprung mass [kg]."""

    scale_mass: Scalar
    unsprung_mass: Scalar


@dataclass(frozen=True, slots=True)
class MassCentre:
    """Rider and bike as one mass [kg] with a centre of mass, on a slope.

    Lengths in m: wheelbase, CoM behind the front axle, CoM height; `slope` in rad, nose down positive.
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
    """Leverage ratio at the start and end of the wheel travel, and at half travel if known."""

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
    """Pairs measured on the bike: wheel travel [m] and shock stroke used [m], shape (pairs,)."""

    travel: Values
    stroke: Values


@dataclass(frozen=True, slots=True)
class Fork:
    """A fork: head angle from the ground [rad]."""

    head_angle: Scalar


@dataclass(frozen=True, slots=True)
class Linkage:
    """The mechanism itself: named points [m] as drawn at full extension, x along the bike either way, y up.

    `fixed` are the pivots of the frame; `bars` keep the distance between two points; the `axle` is a point,
    the `shock` the two points of its eyes. Three points of one rigid body take three bars, four take five.
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

    `eye_to_eye` [m] is the length of the shock at full extension, which a drawn linkage is checked against.

    >>> frame = Frame(0.150, 0.060, LeverageEnds(2.8, 2.2))
    >>> round(frame.wheel_travel / frame.stroke, 6)  # the mean leverage over the stroke
    2.5
    """

    wheel_travel: Scalar
    stroke: Scalar
    leverage: Leverage
    eye_to_eye: float | None = None


# --- spring and shock ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Wire:
    """What a coil is wound from: names and grade as in `physics.wire_stock`, diameters in m.

    `mean_diameter` is that of the helix through the middle of the wire. `total_coils` includes the end coils.
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

    `rate` [N/m] is None to be solved. A progressive coil has instead `stage_start`, the compressions
    [m] (preload included) at which each stage starts, (stages,), and `stage_rate` [N/m], (cases..., stages).
    `preload` [m] is the compression at full extension. The rest is None if not known:
    lengths in m, `ladder_step` [N/m] between rates in stock, or `ladder` (rates,) [N/m] the stock itself, the
    `wire`, which a progressive coil does not use, and `inner_diameter` [m], which may be known without it.
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
    """No negative spring: the breakaway force is the whole charge."""


@dataclass(frozen=True, slots=True)
class MechanicalNegative:
    """A coil acting against the air spring: rate [N/m], length from full extension over which it acts [m]."""

    rate: Scalar
    length: Scalar


@dataclass(frozen=True, slots=True)
class SeparateNegative:
    """Negative chamber filled through its own valve at full extension.

    Volume [m³] without spacers, spacer count, spacer volume [m³], pressure [Pa absolute].
    """

    volume: Scalar
    spacers: Scalar
    spacer_volume: Scalar
    pressure: Scalar


@dataclass(frozen=True, slots=True)
class EqualisedNegative:
    """Negative chamber joined to the positive one by an equalising port at stroke `port` [m].

    Volumes in m³; volume without spacers. `port_length` [m] of the stroke over which the port is open, and
    its flow area times discharge coefficient `port_area` [m²]: None stands for the usual ones of
    `physics.ride`.
    """

    volume: Scalar
    spacers: Scalar
    spacer_volume: Scalar
    port: Scalar
    port_length: float | None = None
    port_area: float | None = None


Negative = NoNegative | MechanicalNegative | SeparateNegative | EqualisedNegative


@dataclass(frozen=True, slots=True)
class Air:
    """An air spring.

    `pressure` [Pa absolute] is the settled reading of the positive chamber at full extension in the
    shop's air, None to be solved. Diameters in m (`rod` is 0 for a fork's air shaft; `body` is used
    only with a negative chamber), volumes in m³ at full extension, `max_pressure` [Pa absolute] from
    the label or None, `hose_volume` [m³] of the pump. `time_constant` [s] of the heat between the air of each
    chamber and its wall, None to be estimated.
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
    time_constant: float | None = None


@dataclass(frozen=True, slots=True)
class GasCharge:
    """Damper gas charge at full extension: pressure [Pa absolute], volume [m³], damper rod diameter [m]."""

    pressure: Scalar
    volume: Scalar
    rod: Scalar


@dataclass(frozen=True, slots=True)
class Bumper:
    """Bottom-out bumper: length [m] and force when fully compressed [N]."""

    length: Scalar
    force: Scalar


@dataclass(frozen=True, slots=True)
class LowerLegs:
    """Air trapped in the lower legs of a fork, at shop pressure at full extension.

    Free volume of one leg at full extension [m³], stanchion outer diameter [m], number of legs that hold air.
    `time_constant` [s] of the heat between the air and the legs, None to be estimated.
    """

    volume: Scalar
    stanchion: Scalar
    legs: int = 2
    time_constant: float | None = None


@dataclass(frozen=True, slots=True)
class DampingSlopes:
    """One direction of a damper: slope `low` up to the shaft speed `knee`, slope `high` beyond it.

    Slopes in N s/m, the knee in m/s, all at the shaft; speeds and forces positive in either direction.
    """

    low: float
    knee: float
    high: float


@dataclass(frozen=True, slots=True)
class DampingTable:
    """One direction of a damper as a tester gives it: shaft `speed` [m/s] and `force` [N], both (rows,).

    Speeds increase, from zero or above. Both are positive in either direction; straight between the rows,
    from the origin to the first one, and on along the last two.
    """

    speed: Values
    force: Values


@dataclass(frozen=True, slots=True)
class DampingShare:
    """One direction of a damper as a fraction of critical damping at the sag point: one slope throughout."""

    share: float


Damping = DampingSlopes | DampingTable | DampingShare


@dataclass(frozen=True, slots=True)
class Damper:
    """A damper in compression and in rebound. None stands for a usual share of `physics.damper`: assumed."""

    compression: Damping | None = None
    rebound: Damping | None = None


@dataclass(frozen=True, slots=True)
class Tyre:
    """A tyre: vertical stiffness [N/m], damping [N s/m], and the wheel's outer radius [m].

    None stands for the usual values of `physics.ground` and `physics.ride`: assumed.
    """

    stiffness: float | None = None
    damping: float | None = None
    radius: float | None = None


Extra = Literal["gas", "bumper", "lower_legs"]
"""What a shock may have besides its spring, by the names of the fields of `Setup`."""


@dataclass(frozen=True, slots=True)
class Setup:
    """One shock as ridden: a spring, and what every shock has besides it.

    `friction` [N] of the seals in each direction, `mass` [kg] of the spring as weighed or None. An extra that
    is None is not known; those named in `lacks` are known to be absent. `rod` [m] is the diameter of the
    damper rod if known without its gas; no figure depends on it. The `damper` counts only in time
    (`physics.ride`).
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
    damper: Damper = Damper()


@dataclass(frozen=True, slots=True)
class Target:
    """Target sag, a fraction of wheel travel or of shock stroke."""

    sag: Scalar
    of: Literal["travel", "stroke"]


@dataclass(frozen=True, slots=True)
class Tolerance:
    """Tool errors (±) of the inputs: weighing [kg], gauge [Pa], rate [fraction], volume [m³].

    `scale` is per weighing, `volume` per chamber, `share` the rider's share on this wheel, a fraction. One
    gauge serves both chambers. With `rate_of_wire` a coil whose wire is known varies as its quality grade
    allows, instead of by `rate`.
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

    `shop` is the air in which pressures are read; `ride`, if given, the riding conditions. `tolerance` holds
    the tool errors behind the bands of `physics.tolerance` and `physics.expected`. The `tyre` counts only in
    time (`physics.ride`).
    """

    load: Load
    frame: Frame
    target: Target
    shop: Ambient
    setups: tuple[Setup, ...]
    ride: Ambient | None = None
    tolerance: Tolerance = Tolerance()
    tyre: Tyre = Tyre()
