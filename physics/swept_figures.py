"""Figures of a swept setup by name: what a sweep can draw, pressures absolute [Pa]."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields

from physics.answer import Figures, Riding
from physics.arrays import NONE, Values, values
from physics.case import Coil, Setup
from physics.sweep import SweptSetup

Read = Callable[[SweptSetup], Values]


def _of_figures(name: str) -> Read:
    return lambda setup: values(getattr(setup.figures, name))


def _of_riding(name: str) -> Read:
    return lambda setup: values(getattr(setup.riding, name))


def _of_sag(name: str) -> Read:
    return lambda setup: values(getattr(setup.sag, name))


def _of_air(name: str) -> Read:
    return lambda setup: NONE if setup.air is None else values(getattr(setup.air, name))


def _of_coil(name: str) -> Read:
    return lambda setup: NONE if setup.coil is None else values(getattr(setup.coil, name))


def _of_ride(name: str) -> Read:
    return lambda setup: NONE if setup.ride is None else values(getattr(setup.ride, name))


SLOW = "slow_"
"""In front of the name of a figure that exists twice: off the slow curve, not off the riding curve."""
_TWICE = tuple(field.name for field in fields(Figures) if field.name in Riding.__slots__)
_ONLY_SLOW = tuple(field.name for field in fields(Figures) if field.name not in Riding.__slots__)
_READ: Mapping[str, Read] = {
    "set_pressure": _of_air("set_pressure"),
    "rate": _of_coil("rate"),
    "preload": _of_coil("preload"),
    "sag_wheel": _of_sag("wheel"),
    "sag_fraction": _of_sag("wheel_fraction"),
    "sag_stroke": _of_sag("stroke"),
    "sag_stroke_fraction": _of_sag("stroke_fraction"),
    "shaft_force": _of_sag("shaft_force"),
    **{name: _of_figures(name) for name in _ONLY_SLOW},
    **{field.name: _of_riding(field.name) for field in fields(Riding)},
    **{f"{SLOW}{name}": _of_figures(name) for name in _TWICE},
    "rest_stroke": _of_air("rest_stroke"),
    "equalised_pressure": _of_air("equalised_pressure"),
    "compression_ratio": _of_air("compression_ratio"),
    "peak_pressure": _of_air("peak_pressure"),
    "fast_peak_pressure": _of_air("fast_peak_pressure"),
    "fast_peak_temperature": _of_air("fast_peak_temperature"),
    "ride_sag_fraction": _of_ride("sag_wheel_fraction"),
    "ride_starting_shaft": _of_ride("starting_shaft"),
}
FIGURES = tuple(_READ)
"""Every name, in the order of a table."""

OF_CURVES = (
    *_ONLY_SLOW,
    *(field.name for field in fields(Riding)),
    *(f"{SLOW}{name}" for name in _TWICE),
    "rest_stroke",
    "compression_ratio",
)
"""Names of what is read off the curves and is no pressure, rate, sag or ride elsewhere."""

SOLVED = frozenset({"set_pressure", "rate"})
"""Figures that are solved for: they need no walk through the travel."""


def figure_of(setup: SweptSetup, name: str) -> Values:
    """Return a figure of shape (cases...), NaN where the setup has none; raises `KeyError` for no name."""
    return _READ[name](setup)


def solved_figure(setup: Setup, name: str) -> Values:
    """Return one of `SOLVED` of a setup whose rate or pressure is in place."""
    spring = setup.spring
    if isinstance(spring, Coil):
        return NONE if name != "rate" or spring.rate is None else values(spring.rate)
    return NONE if name != "set_pressure" or spring.pressure is None else values(spring.pressure)
