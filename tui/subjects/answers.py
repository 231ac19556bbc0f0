"""The answer as JSON: both wheels, every setup with its figures, curve, cautions and measurements."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import fields
from typing import Any

from physics.answer import Answer, RideAnswer, SetupAnswer
from physics.arrays import Values
from physics.case import Air, EqualisedNegative
from physics.faults import Caution
from tui.job.answer import JobAnswer
from tui.job.cautions import NOTHING_TYPED, caution_texts
from tui.job.figures import BY_WHERE
from tui.job.quantities import CODE, doubts
from tui.job.tree import Raw
from tui.shop_units import USUAL, Measure, keyed, number
from tui.subjects import conditions, leverage, measurements, tolerance, unverified, wire
from tui.subjects.asked import answered_file, printed

_CURVE_KEYS = (
    "stroke_mm", "shaft_force_n", "positive_n", "negative_n", "rate_n_per_mm", "wheel_travel_mm",
    "wheel_force_n", "wheel_rate_n_per_mm", "fast_shaft_force_n", "riding_shaft_force_n",
    "riding_wheel_force_n", "riding_wheel_rate_n_per_mm",
)  # fmt: skip
"""The columns of the curve, each with its unit as suffix."""
_UNIT = re.compile("_mm$|_n$|_n_per_mm$")


def answer_text(source: str) -> str:
    """Return the answer to the job in a file, or on standard input for `-`, as JSON; raises `Unanswered`."""
    return printed(answer_object(answered_file(source, spacers=True)))


def answer_object(answered: JobAnswer) -> dict[str, Any]:
    """Return the JSON object of an answer; missing values are None."""
    found = {
        "format": 1,
        "title": answered.job.title,
        "unconfirmed": unverified.json_object(answered.job),
        **_wheel_object(answered),
        "tolerance": tolerance.tools_object(answered.case.tolerance),
    }
    if answered.front is not None:
        front = answered.front.answer
        cautions = _caution_objects(front.cautions, front)
        found["front"] = {**_wheel_object(answered.front), "cautions": cautions}
        from tui.subjects import balance  # loads what advises and sweeps: a fifth of all, for two wheels only

        found["balance"] = balance.json_object(answered)
    return found


def _wheel_object(answered: JobAnswer) -> dict[str, Any]:
    load = answered.answer.load
    return {
        "load": keyed(ground_reaction_n=load.ground_reaction, static_wheel_force_n=load.static_wheel_force),
        "frame": leverage.json_object(answered),
        "setups": [_setup_object(answered, index) for index in range(len(answered.answer.setups))],
    }


def _caution_objects(
    cautions: tuple[Caution, ...], answer: Answer, typed: Mapping[str, Raw] = NOTHING_TYPED
) -> list[dict[str, str]]:
    texts = caution_texts(cautions, answer, USUAL, typed)
    return [{"code": one.code, "text": text} for one, text in zip(cautions, texts, strict=True)]


def _setup_object(answered: JobAnswer, index: int) -> dict[str, Any]:
    answer, typed = answered.answer, answered.job.setups[index]
    setup, outside = answer.setups[index], float(answer.shop.pressure)
    sag, once = setup.sag, setup.at_once
    # Cautions about load or frame apply to every setup; the format has no other place for them.
    unlikely = [
        {"code": CODE, "text": doubt.text(USUAL)}
        for doubt in doubts(answered.job)
        if doubt.path[0] != "setup" or doubt.path[1] == index
    ]
    said = _caution_objects((*answer.cautions, *setup.cautions), answer, typed)
    return {
        "name": setup.name,
        "kind": setup.kind,
        "state": setup.state,
        **_coil_object(setup, answer, typed),
        **_air_object(setup, outside),
        "sag": {
            **_figures_object(setup, "sag"),
            "band_wheel_mm": [*keyed(low_mm=sag.band_low, high_mm=sag.band_high).values()],
            **keyed(at_once_wheel_mm=once.wheel, at_once_stroke_mm=once.stroke),
            "settling_time_s": number(once.settling_time),
        },
        "figures": _figures_object(setup, "figures"),
        "riding": _figures_object(setup, "riding"),
        "curve": keyed(**{key: getattr(setup.curve, _UNIT.sub("", key)) for key in _CURVE_KEYS}),
        **_ride_object(setup.ride),
        "cautions": [*measurements.json_cautions(answered, index), *unlikely, *said],
        **wire.json_object(answered, index),
        "tolerance": tolerance.json_object(answered.case, index),
        "conditions": conditions.json_object(answered.case, index),
        "measured": measurements.json_object(answered, index),
    }


def _figures_object(setup: SetupAnswer, place: str, outside: float = 0.0) -> dict[str, float | None]:
    """Return the figures of one part of a setup in the order of its fields, pressures less `outside` [Pa]."""
    part, found = getattr(setup, place), dict[str, Values | float]()
    for field in fields(part):
        figure = BY_WHERE.get(f"{place}.{field.name}")
        if figure is None or not figure.in_json:
            continue
        number = getattr(part, field.name)
        for end in figure.ends if figure.both else figure.ends[:1]:
            found[f"{field.name}{end}"] = number - outside if figure.measure is Measure.PRESSURE else number
    return keyed(**found)


def _coil_object(setup: SetupAnswer, answer: Answer, typed: Mapping[str, Raw]) -> dict[str, Any]:
    coil = setup.coil
    if coil is None:
        return {}
    choices = []
    for one in coil.buyable:
        preload = {
            "preload_for_target_mm": one.preload_for_target,
            "preload_for_target_turns": one.preload_turns,
        }
        numbers = keyed(rate_lbf_per_in=one.rate, sag_fraction=one.sag_fraction, **preload)
        choices.append({**numbers, "cautions": _caution_objects(one.cautions, answer, typed)})
    return {**_figures_object(setup, "coil"), "buyable": choices}


def _air_object(setup: SetupAnswer, outside: float) -> dict[str, Any]:
    """Return the keys of an air spring at ambient pressure `outside` [Pa], none for other springs."""
    air = setup.air
    if air is None:
        return {}
    pressures, spacers = ("set_pressure", "peak_pressure", "fast_peak_pressure"), list[dict[str, Any]]()
    for row in air.spacers:
        read = {f"{name}_psi": getattr(row, name) - outside for name in pressures}
        spacers.append(keyed(spacers=row.spacers, **read, bottom_wheel_force_n=row.bottom_wheel_force))
    found: dict[str, Any] = _figures_object(setup, "air", outside)
    found |= keyed(rest_pressure_psi=air.rest_pressure - outside, spacers=spacers)
    spring, fill = setup.setup.spring, air.fill
    if isinstance(spring, Air) and isinstance(spring.negative, EqualisedNegative):
        found["fill"] = fill and keyed(
            readings_psi=fill.readings - outside,
            pump_shows_psi=fill.pump_gauge - outside,
            rest_readings_psi=fill.rest_readings - outside,
            rest_pump_shows_psi=fill.rest_gauge - outside,
            rounds=fill.rounds if fill.holds else None,
            single_fill_psi=fill.single_fill - outside,
        )
    return found


def _ride_object(ride: RideAnswer | None) -> dict[str, Any]:
    """Return the key of riding conditions, none if the job has none."""
    if ride is None:
        return {}
    outside = float(ride.ambient.pressure)
    found = keyed(
        state=ride.state,
        set_pressure_psi=ride.set_pressure - outside,
        rest_pressure_psi=ride.rest_pressure - outside,
        sag=keyed(wheel_fraction=ride.sag_wheel_fraction, stroke_fraction=ride.sag_stroke_fraction),
        starting_shaft_n=ride.starting_shaft,
    )
    return {"ride": found}
