"""What readings say as plain lines and as one JSON object."""

from __future__ import annotations

import math
from typing import Any

from physics.carried import Carried
from physics.cycled import Cycled
from physics.fit import Estimate, Fit
from tui.jobs.answer_json_springs import number
from tui.readings.finding import Finding
from tui.readings.fitted import (
    bend_words,
    errors_words,
    friction_words,
    left_out_words,
    shape_words,
    tied_words,
    tools_words,
    used_words,
)
from tui.readings.said import carried_words, cycled_words
from tui.readings.words import MEASURES, NAMES
from tui.shop_units import Measure, ShopUnits

_PSI = 6894.757293168
_JSON = {
    "rate": ("rate_n_per_mm", 1e3),
    "preload": ("preload_mm", 1e-3),
    "friction": ("friction_n", 1.0),
    "positive_volume": ("positive_volume_cm3", 1e-6),
    "negative_volume": ("negative_volume_cm3", 1e-6),
    "port": ("port_mm", 1e-3),
}
"""Key and SI per unit of each parameter."""


def finding_report(name: str, found: Finding, units: ShopUnits) -> str:
    """Return what readings say of a setup, a line each."""
    match found:
        case Fit():
            said = _fit_lines(found, units)
        case Cycled():
            said = list(cycled_words(found, units))
        case _:
            said = list(carried_words(found, units))
    return "\n".join([name, *(f"  {line}" for line in said)]) + "\n"


def _fit_lines(found: Fit, units: ShopUnits) -> list[str]:
    scatter = units.show(found.scatter, Measure.FORCE)
    friction = friction_words(found, units)
    if found.friction.said == "unknown":
        friction = (*friction, "Say it with --friction 15N, or read coming out as well.")
    tools = tools_words(found, units)
    return [
        *(_estimate(one, units) for one in found.estimates),
        *bend_words(found),
        *friction,
        *tied_words(found),
        *left_out_words(found, units),
        f"{used_words(found)}, {scatter} of scatter; ± is one standard error, of scatter and tools together",
        *errors_words(found, units),
        *([tools] if tools else []),
        shape_words(found),
    ]


def _estimate(one: Estimate, units: ShopUnits) -> str:
    writing = units.writings[MEASURES[one.name]]
    digits = writing.digits + 1
    value, error = (f"{number / writing.factor:.{digits}f}" for number in (one.value, one.error))
    return f"{NAMES[one.name]}: {value} ± {error} {writing.unit}"


def finding_object(name: str, found: Finding) -> dict[str, Any]:
    """Return what readings say as plain data, numbers in the unit of their key; null where there is none."""
    head = {"format": 1, "setup": name}
    match found:
        case Fit():
            return head | _fit_object(found)
        case Cycled():
            return head | {
                "negative_over_positive": number(found.ratio),
                "standard_error": number(found.error),
                "negative_volume_cm3": number(found.volume, 1e-6),
            }
        case _:
            return head | _carried_object(found)


def _fit_object(found: Fit) -> dict[str, Any]:
    parameters = {}
    for one in found.estimates:
        key, unit = _JSON[one.name]
        parameters[key] = {
            "value": number(one.value, unit),
            "standard_error": number(one.error, unit),
            "scatter_error": number(one.scatter, unit),
            "tool_error": number(one.tools, unit),
            "error_of_tool": {tool: number(error, unit) for tool, error in one.tool.items()},
            "per_n_of_friction": number(one.per_newton, unit),
        }
    friction, tools, shape = found.friction, found.tools, found.shape
    return {
        "readings": len(found.loop.stroke),
        "left_out": {
            "past_stroke_mm": (found.left_out.past * 1e3).tolist(),
            "turning_points": found.left_out.turning,
        },
        "scatter_n": number(found.scatter),
        "parameters": parameters,
        "friction": {"from": friction.said, "n": number(friction.value), "off_n": number(friction.off)},
        "tools": {
            "gauge_psi": number(found.gauge, _PSI),
            "diameter_mm": number(tools.diameter, 1e-3),
            "temperature_k": number(tools.temperature),
            "force_fraction": number(tools.force),
            "stroke_mm": number(tools.stroke, 1e-3),
        },
        "shape": {
            "verdict": shape.verdict,
            "opposite": shape.opposite,
            "said": list(bend_words(found)),
            "sides": [
                {
                    "way": "in" if side.way > 0 else "out",
                    "residuals": side.residuals,
                    "runs": side.runs,
                    "expected_runs": number(side.expected),
                    "chance": number(side.chance),
                }
                for side in shape.sides
            ],
        },
        "correlation": found.correlation.tolist(),
        "stroke_mm": (found.loop.stroke * 1e3).tolist(),
        "residual_n": found.residual.tolist(),
    }


def _carried_object(found: Carried) -> dict[str, Any]:
    return {
        "wheel_mm": number(found.wheel, 1e-3),
        "stroke_mm": number(found.stroke, 1e-3),
        "static_wheel_force_n": number(found.load),
        "band_n": [number(found.low), number(found.high)],
        "at_once_n": number(found.at_once),
        "friction_known": found.friction_known,
        "entered_n": number(found.entered),
        "scale_mass_kg": number(found.scale_mass),
        "gauge_of_record_psi": number(found.gauge, _PSI),
        "rider_share": None if math.isnan(found.share) else number(found.share),
    }
