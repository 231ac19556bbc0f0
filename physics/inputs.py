"""Inputs of a case that can be swept: by name, how each is read and replaced by an axis of cases.

Names are those of the job file. Every number is SI, pressures absolute. An input of a setup is put into
every setup that has it; the others stay unchanged.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, TypeVar, cast

import numpy as np

from physics.arrays import Scalar, Values, values
from physics.case import (
    Air,
    Ambient,
    Case,
    Coil,
    EqualisedNegative,
    Fork,
    LeverageEnds,
    MassCentre,
    MechanicalNegative,
    RiderAndBike,
    ScaleReading,
    SeparateNegative,
    Setup,
)
from physics.frozen import NamedTuple, dataclass
from physics.gas import standard_altitude, standard_pressure
from physics.leverage import fork_travel

if TYPE_CHECKING:
    from _typeshed import DataclassInstance


Part = TypeVar("Part")


class Reach(NamedTuple):
    """Default range of a sweep: from `low` to `high`, multiples of the present value with `share`."""

    low: float = 0.7
    high: float = 1.3
    share: bool = True
    whole: bool = False


_AROUND = Reach()
_COUNT = Reach(0.0, 8.0, share=False, whole=True)
_PRELOAD = Reach(0.0, 0.010, share=False)
_FRICTION = Reach(0.0, 100.0, share=False)


@dataclass(frozen=True, slots=True)
class SetupInput:
    """One number of a setup: as `Input`, for a setup alone."""

    name: str
    read: Callable[[Setup], Scalar | None]
    put: Callable[[Setup, Scalar], Setup]
    reach: Reach = _AROUND


def with_number(part: Part, field: str, number: Scalar) -> Part:
    """Return a part of a case with another number in one field."""
    return cast(Part, replace(cast("DataclassInstance", part), **{field: number}))


def _of_spring(name: str, kind: type[Coil] | type[Air], reach: Reach = _AROUND) -> SetupInput:
    def read(setup: Setup) -> Scalar | None:
        spring = setup.spring
        return cast("Scalar | None", getattr(spring, name)) if isinstance(spring, kind) else None

    def put(setup: Setup, number: Scalar) -> Setup:
        return replace(setup, spring=with_number(setup.spring, name, number))

    return SetupInput(name, read, put, reach)


def _of_negative(name: str, field: str, kinds: tuple[type, ...], reach: Reach = _AROUND) -> SetupInput:
    def read(setup: Setup) -> Scalar | None:
        negative = setup.spring.negative if isinstance(setup.spring, Air) else None
        return cast(Scalar, getattr(negative, field)) if isinstance(negative, kinds) else None

    def put(setup: Setup, number: Scalar) -> Setup:
        spring = cast(Air, setup.spring)
        second = with_number(spring.negative, field, number)
        return replace(setup, spring=replace(spring, negative=second))

    return SetupInput(name, read, put, reach)


def _of_extra(name: str, part: str, field: str, reach: Reach = _AROUND) -> SetupInput:
    def read(setup: Setup) -> Scalar | None:
        extra = getattr(setup, part)
        return None if extra is None else cast(Scalar, getattr(extra, field))

    def put(setup: Setup, number: Scalar) -> Setup:
        return replace(setup, **{part: with_number(getattr(setup, part), field, number)})

    return SetupInput(name, read, put, reach)


def _rod(setup: Setup) -> Scalar | None:
    if isinstance(setup.spring, Air):
        return setup.spring.rod
    return None if setup.gas is None else setup.gas.rod


def _with_rod(setup: Setup, rod: Scalar) -> Setup:
    """Return the setup with another damper rod, shared by air spring and gas charge."""
    spring, gas = setup.spring, setup.gas
    return replace(
        setup,
        spring=replace(spring, rod=rod) if isinstance(spring, Air) else spring,
        gas=None if gas is None else replace(gas, rod=rod),
    )


def _with_friction(setup: Setup, friction: Scalar) -> Setup:
    return replace(setup, friction=friction)


def gauges_moved(setup: Setup, by: Values) -> Setup:
    """Return the setup with the same gauge readings in air of another pressure, `by` [Pa] higher."""
    spring, gas = setup.spring, setup.gas
    if isinstance(spring, Air):
        negative = spring.negative
        if isinstance(negative, SeparateNegative):
            negative = replace(negative, pressure=values(negative.pressure + by))
        pressure = None if spring.pressure is None else values(spring.pressure + by)
        spring = replace(spring, pressure=pressure, negative=negative)
    if gas is not None:
        gas = replace(gas, pressure=values(gas.pressure + by))
    return replace(setup, spring=spring, gas=gas)


_SECOND = (SeparateNegative, EqualisedNegative)

SETUP_INPUTS: tuple[SetupInput, ...] = (
    _of_spring("rate", Coil),
    _of_spring("preload", Coil, _PRELOAD),
    _of_spring("pressure", Air),
    _of_spring("positive_volume", Air),
    _of_spring("positive_spacers", Air, _COUNT),
    _of_spring("positive_spacer_volume", Air),
    _of_spring("bore", Air),
    SetupInput("rod", _rod, _with_rod),
    _of_spring("body", Air),
    _of_negative("negative_volume", "volume", _SECOND),
    _of_negative("negative_spacers", "spacers", _SECOND, _COUNT),
    _of_negative("negative_spacer_volume", "spacer_volume", _SECOND),
    _of_negative("port", "port", (EqualisedNegative,)),
    _of_negative("negative_pressure", "pressure", (SeparateNegative,)),
    _of_negative("negative_rate", "rate", (MechanicalNegative,)),
    _of_negative("negative_length", "length", (MechanicalNegative,)),
    SetupInput("friction", lambda setup: setup.friction, _with_friction, _FRICTION),
    _of_extra("gas_pressure", "gas", "pressure"),
    _of_extra("gas_volume", "gas", "volume"),
    _of_extra("bumper_length", "bumper", "length"),
    _of_extra("bumper_force", "bumper", "force"),
    _of_extra("lower_leg_volume", "lower_legs", "volume"),
    _of_extra("stanchion_diameter", "lower_legs", "stanchion"),
)


DEGREE = np.pi / 180
Span = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Input:
    """One number of a case.

    `read` returns its present value, None if the case has no such number; `put` returns the case with
    another, or with an axis of them. `span` is the default range of a sweep: from one number to another, or
    with `share` from one multiple of the present value to another. `whole` marks counts.
    """

    name: str
    read: Callable[[Case], Scalar | None]
    put: Callable[[Case, Scalar], Case]
    span: Span
    share: bool = False
    whole: bool = False

    def reach(self, case: Case) -> Span:
        """Return the ends of the range for a case; raises `ValueError` if it has no such number."""
        if not self.share:
            return self.span
        here = self.read(case)
        if here is None:
            raise ValueError(f"{self.name} is no number of this case")
        low, high = self.span
        return float(values(here)) * low, float(values(here)) * high

    def along(self, low: float, high: float, count: int) -> Values:
        """Return `count` numbers from end to end, for a count as many integers as there are.

        >>> BY_NAME["sag"].along(0.1, 0.4, 4).round(6).tolist()
        [0.1, 0.2, 0.3, 0.4]
        >>> BY_NAME["positive_spacers"].along(0.0, 3.0, 9).tolist()
        [0.0, 1.0, 2.0, 3.0]
        """
        if not self.whole:
            return values(np.linspace(low, high, count))
        return values(np.unique(np.round(np.linspace(low, high, count))))


def inputs_of(case: Case) -> tuple[Input, ...]:
    """Return the inputs of a case that can be swept, with every rate and pressure known.

    An input that is zero with a relative range is left out.
    """
    return tuple(one for one in INPUTS if one.read(case) is not None and np.ptp(one.reach(case)) > 0)


def _of_load(name: str, kinds: tuple[type, ...], span: Span, *, share: bool = False) -> Input:
    def read(case: Case) -> Scalar | None:
        return cast(Scalar, getattr(case.load, name)) if isinstance(case.load, kinds) else None

    def put(case: Case, number: Scalar) -> Case:
        return replace(case, load=with_number(case.load, name, number))

    return Input(name, read, put, span, share)


def _of_ends(name: str) -> Input:
    def read(case: Case) -> Scalar | None:
        ends = case.frame.leverage
        return cast("Scalar | None", getattr(ends, name)) if isinstance(ends, LeverageEnds) else None

    def put(case: Case, number: Scalar) -> Case:
        ends = cast(LeverageEnds, case.frame.leverage)
        return replace(case, frame=replace(case.frame, leverage=with_number(ends, name, number)))

    return Input(name, read, put, (0.9, 1.1), share=True)


def _of_setups(one: SetupInput) -> Input:
    def read(case: Case) -> Scalar | None:
        return next((here for setup in case.setups if (here := one.read(setup)) is not None), None)

    def changed(setup: Setup, number: Scalar) -> Setup:
        return setup if one.read(setup) is None and not _is_open(setup, one) else one.put(setup, number)

    def put(case: Case, number: Scalar) -> Case:
        return replace(case, setups=tuple(changed(setup, number) for setup in case.setups))

    low, high, share, whole = one.reach
    return Input(one.name, read, put, (low, high), share, whole)


def _is_open(setup: Setup, one: SetupInput) -> bool:
    """Return whether it is a rate or a pressure still to be solved, which may be typed as well."""
    spring = setup.spring
    if isinstance(spring, Coil):
        return one.name == "rate" and spring.stage_rate is None
    return one.name == "pressure"


def _travel(case: Case) -> Scalar | None:
    return case.frame.wheel_travel if isinstance(case.frame.leverage, LeverageEnds | Fork) else None


def _with_travel(case: Case, travel: Scalar) -> Case:
    return replace(case, frame=replace(case.frame, wheel_travel=travel))


def _stroke(case: Case) -> Scalar | None:
    return case.frame.stroke if isinstance(case.frame.leverage, LeverageEnds | Fork) else None


def _with_stroke(case: Case, stroke: Scalar) -> Case:
    frame = case.frame
    if isinstance(frame.leverage, Fork):
        frame = replace(frame, wheel_travel=frame.wheel_travel * (values(stroke) / frame.stroke))
    return replace(case, frame=replace(frame, stroke=stroke))


def _head_angle(case: Case) -> Scalar | None:
    return case.frame.leverage.head_angle if isinstance(case.frame.leverage, Fork) else None


def _with_head_angle(case: Case, angle: Scalar) -> Case:
    """Return the case with another head angle: same fork stroke, other vertical wheel travel."""
    frame, fork = case.frame, cast(Fork, case.frame.leverage)
    rises = fork_travel(1.0, angle) / fork_travel(1.0, fork.head_angle)
    return replace(
        case, frame=replace(frame, leverage=Fork(angle), wheel_travel=values(frame.wheel_travel * rises))
    )


def _with_sag(case: Case, sag: Scalar) -> Case:
    return replace(case, target=replace(case.target, sag=sag))


def _with_temperature(case: Case, temperature: Scalar) -> Case:
    return replace(case, shop=replace(case.shop, temperature=temperature))


def _with_altitude(case: Case, altitude: Scalar) -> Case:
    """Return the case with the shop at another altitude; gauge readings stay the same."""
    outside = standard_pressure(altitude)
    moved = tuple(gauges_moved(setup, values(outside - case.shop.pressure)) for setup in case.setups)
    return replace(case, shop=Ambient(case.shop.temperature, outside), setups=moved)


_WEIGHED = (RiderAndBike, ScaleReading, MassCentre)

INPUTS: tuple[Input, ...] = (
    _of_load("rider_mass", (RiderAndBike,), (50.0, 120.0)),
    _of_load("scale_mass", (ScaleReading,), (0.7, 1.4), share=True),
    _of_load("total_mass", (MassCentre,), (0.7, 1.4), share=True),
    _of_load("rider_share", (RiderAndBike,), (0.3, 0.8)),
    _of_load("bike_mass", (RiderAndBike,), (10.0, 25.0)),
    _of_load("bike_share", (RiderAndBike,), (0.35, 0.65)),
    _of_load("unsprung_mass", _WEIGHED, (1.0, 8.0)),
    _of_load("slope", (MassCentre,), (-20 * DEGREE, 20 * DEGREE)),
    Input("sag", lambda case: case.target.sag, _with_sag, (0.10, 0.40)),
    Input("temperature", lambda case: case.shop.temperature, _with_temperature, (258.15, 318.15)),
    Input("altitude", lambda case: standard_altitude(case.shop.pressure), _with_altitude, (0.0, 4000.0)),
    Input("wheel_travel", _travel, _with_travel, (0.95, 1.05), share=True),
    Input("stroke", _stroke, _with_stroke, (0.95, 1.05), share=True),
    _of_ends("start"),
    _of_ends("middle"),
    _of_ends("end"),
    Input("head_angle", _head_angle, _with_head_angle, (60 * DEGREE, 70 * DEGREE)),
    *(_of_setups(one) for one in SETUP_INPUTS),
)
"""Every input; a sweep starts with the first that a case has."""

BY_NAME = {one.name: one for one in INPUTS}
