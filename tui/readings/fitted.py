"""What a fit says, in sentences: friction, bends, readings left out, and where its errors come from."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from physics.case import Coil
from physics.fit import MOST_FRICTION, Estimate, Fit, Tool
from physics.residuals import Side
from tui.readings.words import MEASURES, NAMES
from tui.shop_units import Measure, ShopUnits

TOOL_NAMES: Mapping[Tool, str] = {
    "gauge": "gauge",
    "diameters": "diameters",
    "temperature": "air temperature",
    "force": "force",
    "stroke": "stroke zero",
    "friction": "unknown friction",
}
_LEAST_SHARE = 0.1
"""Parts of a standard error below this share of it are not told one by one: they add less than 1 % to it."""
_STEP = 10.0
"""Friction in the shop's unit of force that a shift is told for."""
_TIED = 0.95
"""Correlation from which on two parameters are said to move together."""
_BENDS = {
    (
        True,
        False,
    ): "The readings bend in a way that a straight coil does not: a progressive coil, or a bumper "
    "or damper gas that the setup lacks?",
    (True, True): "Going in and coming out the readings bend opposite ways: friction that grows with the "
    "force?",
    (
        False,
        False,
    ): "The readings bend in a way that slow air does not: pressed fast, so that the air warmed, "
    "or a bumper or other hardware than the setup has?",
    (False, True): "Going in and coming out the readings bend opposite ways: air that warms going in, or "
    "friction that grows with the pressure?",
}
"""By whether the spring is a coil and whether the sides bend opposite ways."""
_NO_FIT = "The ± does not hold for readings that bend."


def used_words(found: Fit) -> str:
    """Return how many readings there were, and which way they go."""
    ways = "in and out" if found.loop.both else "going in" if found.loop.way[0] > 0 else "coming out"
    return f"{len(found.loop.stroke) + found.left_out.count} readings {ways}"


def left_out_words(found: Fit, units: ShopUnits) -> tuple[str, ...]:
    """Return which readings the fit does not use, a sentence each."""
    past, turning = found.left_out.past, found.left_out.turning
    said = []
    if len(past):
        deepest = units.show(float(np.max(past)), Measure.MISFIT)
        which = f"{_readings(len(past))} past full stroke"
        said.append(
            f"Left out: {which}, at {deepest}." if len(past) == 1 else f"Left out: {which}, to {deepest}."
        )
    if turning:
        said.append(f"Left out: {_readings(turning)} at a turning point, which belongs to neither side.")
    return tuple(said)


def _readings(count: int) -> str:
    return "1 reading" if count == 1 else f"{count} readings"


def friction_words(found: Fit, units: ShopUnits) -> tuple[str, ...]:
    """Return where the friction of readings one way is from and what it moves; none where it is fitted."""
    friction = found.friction
    if friction.said == "fitted":
        return ()
    held = units.show(friction.value, Measure.FORCE)
    most = units.show(MOST_FRICTION, Measure.FORCE)
    source = {
        "typed": f"{held} as typed",
        "setup": f"{held} as the setup has it",
        "unknown": f"taken as {held}, the middle of 0 to {most} (rule of thumb), with that range in the ±",
    }[friction.said]
    step = f"{_STEP:g} {units.unit(Measure.FORCE)}"
    newtons = _STEP * units.writings[Measure.FORCE].factor
    moves = ", ".join(
        f"{NAMES[one.name]} {_signed(one, one.per_newton * newtons, units)}" for one in found.estimates
    )
    return (
        f"Readings one way do not tell friction: {source}.",
        f"With {step} more friction: {moves}.",
    )


def _signed(one: Estimate, change: float, units: ShopUnits) -> str:
    writing = units.writings[MEASURES[one.name]]
    number = round(change / writing.factor, writing.digits + 1) + 0.0
    return f"{number:+.{writing.digits + 1}f} {writing.unit}"


def bend_words(found: Fit) -> tuple[str, ...]:
    """Return what a bend may come from, none where there is no bend."""
    if found.shape.verdict != "bent":
        return ()
    is_coil = isinstance(found.setup.spring, Coil)
    return _BENDS[is_coil, found.shape.opposite], _NO_FIT


def shape_words(found: Fit) -> str:
    """Return what the runs test says, with its numbers."""
    runs = "; ".join(_side_words(side) for side in found.shape.sides)
    verdict = {
        "chance": "The residuals scatter by chance",
        "bent": "The residuals bend",
        "too_few": "Too few readings to tell a bend from chance",
    }[found.shape.verdict]
    return f"{verdict}. Runs of one sign: {runs}."


def _side_words(side: Side) -> str:
    way = "in" if side.way > 0 else "out"
    said = f"{way} {side.runs}, {side.expected:.1f} expected"
    return said if np.isnan(side.chance) else f"{said}, chance of so few {_percent(side.chance)}"


def _percent(share: float) -> str:
    return "below 0.1 %" if share < 1e-3 else f"{share * 100:.{0 if share > 0.1 else 1}f} %"


def errors_words(found: Fit, units: ShopUnits) -> tuple[str, ...]:
    """Return where the standard error of each parameter comes from, a line each, the largest part first."""
    return tuple(_error_words(one, units) for one in found.estimates)


def _error_words(one: Estimate, units: ShopUnits) -> str:
    writing = units.writings[MEASURES[one.name]]
    parts = {"scatter": one.scatter} | {TOOL_NAMES[tool]: error for tool, error in one.tool.items()}
    ranked = sorted(parts.items(), key=lambda part: -part[1])
    told = [
        f"{name} {error / writing.factor:.{writing.digits + 1}f}"
        for name, error in ranked
        if error > _LEAST_SHARE * one.error
    ]
    return f"{NAMES[one.name]} ± in {writing.unit}: {', '.join(told)}"


def tools_words(found: Fit, units: ShopUnits) -> str:
    """Return how far off the tools were taken to be."""
    tools = found.tools
    pressure = units.writings[Measure.PRESSURE]
    limits: dict[Tool, str] = {
        "gauge": f"{found.gauge / pressure.factor:.{pressure.digits + 1}f} {pressure.unit}",
        "diameters": f"{units.show(tools.diameter, Measure.MISFIT)} for bore, rod and body each",
        "temperature": f"{tools.temperature:g} K between setting and reading",
        "force": f"{tools.force * 100:g} % of it",
        "stroke": units.show(tools.stroke, Measure.MISFIT),
    }
    counted = found.estimates[0].tool
    said = [f"{TOOL_NAMES[tool]} {limit}" for tool, limit in limits.items() if tool in counted]
    rule = (
        "the gauge as the job has it, the others a rule of thumb" if "gauge" in counted else "a rule of thumb"
    )
    return f"Tools off by up to, either way: {'; '.join(said)} ({rule})." if said else ""


def tied_words(found: Fit) -> tuple[str, ...]:
    """Return a sentence for each pair of parameters that move together."""
    names = [NAMES[one.name] for one in found.estimates]
    first, second = np.nonzero(np.triu(np.abs(found.correlation) > _TIED, 1))
    return tuple(
        f"{names[a].capitalize()} and {names[b]} lean on each other: their errors go together."
        for a, b in zip(first, second, strict=True)
    )
