"""What the tools' errors do to readings of force and stroke, each tool off by one standard deviation.

Of the ± of a tool nothing is known but that it holds: a uniform error of ±a has the variance a²/3
(JCGM 100:2008, 4.3.7, second-hand).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from physics.arrays import Values, values
from physics.case import Air, SeparateNegative, Setup
from physics.fit_laws import Law
from physics.loop import Loop

Tool = Literal["gauge", "diameters", "temperature", "force", "stroke", "friction"]
"""What may be off: `friction` is that of readings one way where nobody told it."""

TO_DEVIATION = 1 / np.sqrt(3.0)
"""Standard deviation of a uniform error over its ±."""
_STEP = 0.01
"""Step of the central differences, in standard deviations: a chamber at the limit of a fit keeps a volume."""


@dataclass(frozen=True, slots=True)
class FitTools:
    """How far off what a fit relies on may be, either way, beside the gauge of the case.

    `diameter` [m] of bore, rod and body, each by itself; `temperature` [K] of the air on the tester from that
    at which the pressure was set; `force`, a share of every reading; `stroke` [m], where full extension is.
    """

    diameter: float = 0.1e-3
    temperature: float = 2.0
    force: float = 0.01
    stroke: float = 0.2e-3


USUAL_TOOLS = FitTools()
"""A caliper, a shop's air, a hanging scale or load cell, a caliper's zero. Common practice, no source."""

_ROWS: tuple[Tool, ...] = ("gauge", "diameters", "diameters", "diameters", "temperature", "stroke")
_GAUGE, _BORE, _ROD, _BODY, _WARMTH, _STROKE = range(len(_ROWS))


def tool_effects(
    law: Law, loop: Loop, solution: Values, gauge: float, tools: FitTools
) -> Mapping[Tool, Values]:
    """Return what each tool does to the readings [N], (errors, readings), off by a standard deviation.

    `gauge` [Pa] is the ± of the one gauge that both chambers are set with. Bore, rod and body are errors of
    their own in one tool. Tools that do nothing here are left out.
    """
    limits = [gauge, tools.diameter, tools.diameter, tools.diameter, tools.temperature, tools.stroke]
    off = _STEP * TO_DEVIATION * np.diag(limits)
    both = np.concatenate([off, -off])
    forces = _force(law, loop, solution, both)
    rows = (forces[: len(off)] - forces[len(off) :]) / (2 * _STEP)
    found: dict[Tool, Values] = {}
    for tool in dict.fromkeys(_ROWS):
        found[tool] = rows[[place for place, own in enumerate(_ROWS) if own == tool]]
    found["force"] = values(TO_DEVIATION * tools.force * loop.force[None, :])
    return {tool: effect for tool, effect in found.items() if np.any(effect)}


def _force(law: Law, loop: Loop, solution: Values, off: Values) -> Values:
    """Return the force [N] (cases, readings) with errors (cases, rows) in the tools."""
    moved = replace(law, setup=_moved(law.setup, off), warmer=off[:, _WARMTH])
    parameters = np.broadcast_to(solution, (len(off), len(solution)))
    return moved.force(parameters, values(loop.stroke + off[:, _STROKE, None]), loop.way)


def _moved(setup: Setup, off: Values) -> Setup:
    """Return the setup as it really is, as an axis of cases; a coil relies on neither gauge nor bore."""
    air = setup.spring
    if not isinstance(air, Air) or air.pressure is None:
        return setup
    negative = air.negative
    if isinstance(negative, SeparateNegative):
        negative = replace(negative, pressure=values(negative.pressure + off[:, _GAUGE]))
    bore, rod, body = (
        # A fork's air shaft has no rod, a spring without a negative chamber no body.
        values(wide + off[:, row] * (values(wide) > 0))
        for wide, row in ((air.bore, _BORE), (air.rod, _ROD), (air.body, _BODY))
    )
    pressure = values(air.pressure + off[:, _GAUGE])
    moved = replace(air, pressure=pressure, bore=bore, rod=rod, body=body, negative=negative)
    return replace(setup, spring=moved)
