"""The part of the JSON answer that only measured pairs have: how far each lies off the curve through them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from physics.answer import Figures, LinkageAnswer, Riding, SetupAnswer
from physics.case import Leverage, Measured
from physics.faults import Caution
from physics.pairs import checked
from tui.job.answer import JobAnswer
from tui.job.case import turned_by
from tui.job.cautions import NOTHING_TYPED, caution_text
from tui.job.faults import dotted
from tui.job.likely import CODE, doubts
from tui.job.tree import Raw
from tui.shop_units import USUAL
from tui.subjects.balance import balance_object
from tui.subjects.measurements import measured_cautions, measured_object
from tui.subjects.springs import air_object, coil_object, number, ride_object
from tui.subjects.tolerance import range_objects, tools_object
from tui.subjects.wire import wire_objects

_PAIRS_MM = 1e-3


def pairs_object(leverage: Leverage) -> dict[str, Any] | None:
    """Return the pairs held against their curve, None for another kind; `odd` counts from 0 as arrays do.

    `standard_deviation_mm` is that of a reading, null without a degree of freedom; the origin does not count.
    """
    if not isinstance(leverage, Measured):
        return None
    found = checked(leverage)
    return {
        "residual_mm": [number(off, _PAIRS_MM) for off in found.residual],
        "by_others_mm": [number(stroke, _PAIRS_MM) for stroke in found.by_others],
        "ratio": [number(ratio) for ratio in found.ratio],
        "odd": found.odd,
        "standard_deviation_mm": number(found.deviation, _PAIRS_MM),
        "degrees_of_freedom": found.freedom,
    }


_JSON_MM = 1e-3
_DEGREE = 0.017453292519943295
_N_PER_MM = 1e3

_FIGURE_KEYS = {
    "starting_shaft": ("starting_shaft_n", 1.0),
    "starting_wheel": ("starting_wheel_n", 1.0),
    "support_25": ("support_25", 1.0),
    "support_50": ("support_50", 1.0),
    "support_75": ("support_75", 1.0),
    "bottom_wheel_force": ("bottom_wheel_force_n", 1.0),
    "bottom_ratio": ("bottom_ratio", 1.0),
    "chord_deviation": ("chord_deviation", 1.0),
    "softest_wheel_rate": ("softest_wheel_rate_n_per_mm", _N_PER_MM),
    "softest_at_wheel": ("softest_at_wheel_mm", _JSON_MM),
    "end_ramp": ("end_ramp", 1.0),
    "energy_total": ("energy_total_j", 1.0),
    "energy_from_sag": ("energy_from_sag_j", 1.0),
    "drop_height": ("drop_height_mm", _JSON_MM),
    "wheel_rate_at_sag": ("wheel_rate_at_sag_n_per_mm", _N_PER_MM),
    "rate_at_sag": ("rate_at_sag_n_per_mm", _N_PER_MM),
    "fast_rate_at_sag": ("fast_rate_at_sag_n_per_mm", _N_PER_MM),
    "natural_frequency": ("natural_frequency_hz", 1.0),
    "fast_natural_frequency": ("fast_natural_frequency_hz", 1.0),
    "critical_damping": ("critical_damping_n_s_per_m", 1.0),
    "fast_bottom_shaft": ("fast_bottom_shaft_n", 1.0),
}
_ONLY_RIDING_KEYS = {
    "bottom_ratio_without_bumper": ("bottom_ratio_without_bumper", 1.0),
    "end_ramp_without_bumper": ("end_ramp_without_bumper", 1.0),
}
_RIDING_KEYS = {name: {**_FIGURE_KEYS, **_ONLY_RIDING_KEYS}[name] for name in Riding.__slots__}
_CURVE_KEYS = {
    "stroke_mm": ("stroke", _JSON_MM),
    "shaft_force_n": ("shaft_force", 1.0),
    "positive_n": ("positive", 1.0),
    "negative_n": ("negative", 1.0),
    "rate_n_per_mm": ("rate", _N_PER_MM),
    "wheel_travel_mm": ("wheel_travel", _JSON_MM),
    "wheel_force_n": ("wheel_force", 1.0),
    "wheel_rate_n_per_mm": ("wheel_rate", _N_PER_MM),
    "fast_shaft_force_n": ("fast_shaft_force", 1.0),
    "riding_shaft_force_n": ("riding_shaft_force", 1.0),
    "riding_wheel_force_n": ("riding_wheel_force", 1.0),
    "riding_wheel_rate_n_per_mm": ("riding_wheel_rate", _N_PER_MM),
}


def answer_object(answered: JobAnswer) -> dict[str, Any]:
    """Return the JSON object of an answer; what does not exist is None."""
    found = {
        "format": 1,
        "title": answered.job.title,
        "unconfirmed": [dotted(path) for path in answered.job.unconfirmed],
        **_wheel_object(answered),
        "tolerance": tools_object(answered.case.tolerance),
    }
    if answered.front is not None:
        front = answered.front.answer
        cautions = _caution_objects(front.cautions, float(front.shop.pressure), front.frame.fork)
        found["front"] = {**_wheel_object(answered.front), "cautions": cautions}
        found["balance"] = balance_object(answered)
    return found


def _wheel_object(answered: JobAnswer) -> dict[str, Any]:
    answer = answered.answer
    frame = answer.frame
    outside = float(answer.shop.pressure)
    return {
        "load": {
            "ground_reaction_n": number(answer.load.ground_reaction),
            "static_wheel_force_n": number(answer.load.static_wheel_force),
        },
        "frame": {
            "leverage_start": number(frame.leverage_start),
            "leverage_end": number(frame.leverage_end),
            "progression": number(frame.progression),
            "closure_error": number(frame.closure_error),
            "residual_mm": number(frame.residual, _JSON_MM),
            "pairs": pairs_object(answered.case.frame.leverage),
            "linkage": None
            if frame.linkage is None
            else _linkage_object(frame.linkage, turned_by(answered.job)),
        },
        # A caution about load or frame is one about every setup; the form has no other place for it.
        "setups": [
            _setup_object(
                setup,
                answered.job.setups[index],
                answer.cautions,
                outside,
                frame.fork,
                [*measured_cautions(answered, index), *_unlikely_objects(answered, index)],
            )
            | wire_objects(setup, float(frame.stroke))
            | range_objects(answered.case, index)
            | {"measured": measured_object(answered, index)}
            for index, setup in enumerate(answer.setups)
        ],
    }


def _caution_objects(
    cautions: tuple[Caution, ...], outside: float, fork: bool, typed: Mapping[str, Raw] = NOTHING_TYPED
) -> list[dict[str, str]]:
    return [
        {"code": caution.code, "text": caution_text(caution, USUAL, outside, fork, typed)}
        for caution in cautions
    ]


def _linkage_object(linkage: LinkageAnswer, turned: float | None) -> dict[str, Any]:
    return {
        "turned_deg": None if turned is None else number(turned, _DEGREE),
        "wheel_travel_mm": number(linkage.wheel_travel, _JSON_MM),
        "eye_to_eye_mm": number(linkage.eye_to_eye, _JSON_MM),
        "stroke_mm": [number(stroke, _JSON_MM) for stroke in linkage.stroke],
        "axle_path_mm": [[number(x, _JSON_MM), number(y, _JSON_MM)] for x, y in linkage.axle],
        "ratio": [number(ratio) for ratio in linkage.ratio],
    }


def _unlikely_objects(answered: JobAnswer, index: int) -> list[dict[str, str]]:
    """Return cautions about typed values that a setup is answered with, load and frame among them."""
    return [
        {"code": CODE, "text": doubt.text(USUAL)}
        for doubt in doubts(answered.job)
        if doubt.path[0] != "setup" or doubt.path[1] == index
    ]


def _setup_object(
    setup: SetupAnswer,
    typed: Mapping[str, Raw],
    of_frame: tuple[Caution, ...],
    outside: float,
    fork: bool,
    first: list[dict[str, str]],
) -> dict[str, Any]:
    sag = setup.sag
    return {
        "name": setup.name,
        "kind": setup.kind,
        "state": setup.state,
        **coil_object(setup),
        **air_object(setup, outside),
        "sag": {
            "wheel_mm": number(sag.wheel, _JSON_MM),
            "wheel_fraction": number(sag.wheel_fraction),
            "stroke_mm": number(sag.stroke, _JSON_MM),
            "stroke_fraction": number(sag.stroke_fraction),
            "shaft_force_n": number(sag.shaft_force),
            "band_wheel_mm": [number(sag.band_low, _JSON_MM), number(sag.band_high, _JSON_MM)],
            "at_once_wheel_mm": number(setup.at_once.wheel, _JSON_MM),
            "at_once_stroke_mm": number(setup.at_once.stroke, _JSON_MM),
            "settling_time_s": number(setup.at_once.settling_time),
        },
        "figures": _figures_object(setup.figures, _FIGURE_KEYS),
        "riding": _figures_object(setup.riding, _RIDING_KEYS),
        "curve": {
            key: [number(point, unit) for point in getattr(setup.curve, name)]
            for key, (name, unit) in _CURVE_KEYS.items()
        },
        **ride_object(setup.ride),
        "cautions": [*first, *_caution_objects((*of_frame, *setup.cautions), outside, fork, typed)],
    }


def _figures_object(
    figures: Figures | Riding, keys: Mapping[str, tuple[str, float]]
) -> dict[str, float | None]:
    return {key: number(getattr(figures, name), unit) for name, (key, unit) in keys.items()}
