"""What of a setup can be swept: the numbers of spring, negative spring, gas charge, bumper and lower legs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple, TypeVar, cast

from physics.arrays import Scalar, Values, values
from physics.case import Air, Coil, EqualisedNegative, MechanicalNegative, SeparateNegative, Setup

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

Part = TypeVar("Part")


class Reach(NamedTuple):
    """What a sweep covers by itself: from `low` to `high`, multiples of what stands there with `share`."""

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
    """One number of a setup: as `physics.inputs.Input`, for a setup alone."""

    name: str
    read: Callable[[Setup], Scalar | None]
    put: Callable[[Setup, Scalar], Setup]
    reach: Reach = _AROUND


def with_number(part: Part, field: str, number: Scalar) -> Part:
    """Return a part of a case with another number in one of its fields."""
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
    """Return the setup with another damper rod, which air spring and gas charge share."""
    spring, gas = setup.spring, setup.gas
    return replace(
        setup,
        spring=replace(spring, rod=rod) if isinstance(spring, Air) else spring,
        gas=None if gas is None else replace(gas, rod=rod),
    )


def _with_friction(setup: Setup, friction: Scalar) -> Setup:
    return replace(setup, friction=friction)


def gauges_moved(setup: Setup, by: Values) -> Setup:
    """Return the setup as the same gauge readings in air of another pressure, `by` [Pa] more."""
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
