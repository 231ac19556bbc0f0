"""Case → Answer: the only door that the rest of the program knocks on."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from physics import gas
from physics.air import ChargedAir
from physics.answer import (
    AirAnswer,
    Answer,
    CoilAnswer,
    FrameAnswer,
    RideAnswer,
    Sag,
    SetupAnswer,
    SpacerRow,
    State,
)
from physics.arrays import Values, per_point, values
from physics.buyable import buyable_coils
from physics.case import Air, Case, Coil, EqualisedNegative, Setup
from physics.coil import fit_cautions
from physics.curves import curve, rest_stroke
from physics.faults import Caution, Refused
from physics.figures import figures
from physics.fill import fill
from physics.leverage import SILENT_CLOSURE, LeverageCurve, leverage_curve
from physics.load import wheel_load
from physics.sag import settle
from physics.shock import Shock, shock_of
from physics.solve import solved

_MOST_SPACERS = 8
_NONE = values(np.nan)


def answer(case: Case) -> Answer:
    """Return the answer to a case of one job (every parameter a single number).

    Raises `Refused` with the faults of the load, the frame or a setup, the setup's index in the path.
    """
    load = wheel_load(case.load)
    lever = leverage_curve(case.frame)
    setups = tuple(
        _numbered(index, setup, case, lever, load.static_wheel_force)
        for index, setup in enumerate(case.setups)
    )
    error = float(lever.closure_error)
    cautions = (Caution("closure", {"closure_error": error}),) if abs(error) > SILENT_CLOSURE else ()
    return Answer(load, _frame_answer(lever), case.target, case.shop, setups, cautions)


def _numbered(index: int, setup: Setup, case: Case, lever: LeverageCurve, static: Values) -> SetupAnswer:
    try:
        return setup_answer(setup, case, lever, static)
    except Refused as refusal:
        raise Refused(
            *(replace(fault, field=("setup", index, *fault.field)) for fault in refusal.faults)
        ) from None


def _frame_answer(lever: LeverageCurve) -> FrameAnswer:
    travel = per_point(lever.wheel_travel) * np.linspace(0.0, 1.0, lever.node_ratio.shape[-1])
    start, end = lever.node_ratio[..., 0], lever.node_ratio[..., -1]
    return FrameAnswer(
        leverage_start=start,
        leverage_end=end,
        progression=values((start - end) / start),
        closure_error=lever.closure_error,
        residual=lever.residual,
        wheel_travel=lever.wheel_travel,
        stroke=lever.stroke,
        travel=values(travel),
        ratio=lever.node_ratio,
    )


def setup_answer(setup: Setup, case: Case, lever: LeverageCurve, static: Values) -> SetupAnswer:
    """Return the answer for one setup on a closed lever under a static wheel force [N]."""
    ready = solved(setup, lever, case.shop, case.target, static)
    shock = shock_of(ready, lever, case.shop)
    wheel, topped, bottomed = settle(shock, static)
    unsolved = not np.isfinite(shock.at(values([0.0])).force).all()
    state = _state(bool(topped), bool(bottomed), unsolved)
    if unsolved:
        wheel = _NONE
    sag = _sag(shock, wheel, static)
    read = figures(shock, static, wheel)
    is_coil = isinstance(ready.spring, Coil)
    return SetupAnswer(
        name=setup.name,
        kind="coil" if is_coil else "air",
        state=state,
        setup=ready,
        coil=_coil_answer(ready, case, lever, static) if is_coil else None,
        air=None if is_coil else _air_answer(setup, shock, sag, case, static, unsolved),
        sag=sag,
        figures=read,
        curve=curve(shock, wheel),
        mass=_NONE if setup.mass is None else values(setup.mass),
        ride=_ride_answer(ready, case, lever, static),
        cautions=_cautions(shock, state),
    )


def _state(topped: bool, bottomed: bool, unsolved: bool) -> State:
    if unsolved:
        return "unsolved"
    return "topped_out" if topped else "bottomed_out" if bottomed else "ok"


def _sag(shock: Shock, wheel: Values, static: Values) -> Sag:
    lever = shock.lever
    if not np.isfinite(wheel):
        return Sag(_NONE, _NONE, _NONE, _NONE, _NONE, _NONE, _NONE)
    ratio, _slope, stroke = (part[..., 0] for part in lever.at(per_point(wheel)))
    # Seals hold the wheel anywhere between the load less and the load plus their friction.
    friction = shock.setup.friction / ratio
    low, high = (settle(shock, values(static + sign * friction))[0] for sign in (-1, 1))
    return Sag(
        wheel=wheel,
        wheel_fraction=values(wheel / lever.wheel_travel),
        stroke=stroke,
        stroke_fraction=values(stroke / lever.stroke),
        shaft_force=values(static * ratio),
        band_low=low,
        band_high=high,
    )


def _coil_answer(setup: Setup, case: Case, lever: LeverageCurve, static: Values) -> CoilAnswer:
    spring = setup.spring
    if not isinstance(spring, Coil):
        raise TypeError("not a coil")
    turns = _NONE if spring.thread_pitch is None else values(spring.preload / spring.thread_pitch)
    rate = _NONE if spring.rate is None else values(spring.rate)
    return CoilAnswer(
        rate, values(spring.preload), turns, buyable_coils(setup, lever, case.shop, case.target, static)
    )


def _charged(shock: Shock) -> tuple[Air, ChargedAir]:
    if not isinstance(shock.setup.spring, Air) or shock.air is None:
        raise TypeError("not an air spring")
    return shock.setup.spring, shock.air


def _air_answer(
    asked: Setup, shock: Shock, sag: Sag, case: Case, static: Values, unsolved: bool
) -> AirAnswer:
    spring, air = _charged(shock)
    T = values(case.shop.temperature)
    ends = values([0.0, float(shock.lever.stroke)])
    volume, rho = air.positive.at(ends)
    fast_peak = _NONE
    if np.isfinite(sag.stroke):
        _, start = air.positive.at(per_point(sag.stroke))
        fast_peak = gas.pressure(rho[-1], gas.isentropic_temperature(T, start[..., 0], rho[-1]))
    at_rest = _NONE if unsolved else rest_stroke(shock)
    cycled = isinstance(spring.negative, EqualisedNegative) and not unsolved
    pressure = values(np.nan if spring.pressure is None else spring.pressure)
    return AirAnswer(
        set_pressure=pressure,
        equalised_pressure=gas.pressure(air.equalised_density, T),
        compression_ratio=values(volume[0] / volume[-1]),
        peak_pressure=gas.pressure(rho[-1], T),
        fast_peak_pressure=values(fast_peak),
        rest_stroke=at_rest,
        rest_pressure=gas.pressure(air.positive.at(per_point(at_rest))[1][..., 0], T),
        fill=fill(spring, float(pressure), case.shop, float(shock.lever.stroke)) if cycled else None,
        spacers=_spacer_rows(asked, case, shock.lever, static),
    )


def _spacer_rows(setup: Setup, case: Case, lever: LeverageCurve, static: Values) -> tuple[SpacerRow, ...]:
    """Return, for each spacer count that leaves air at full stroke, the pressure for the target sag."""
    spring = setup.spring
    if not isinstance(spring, Air) or not spring.positive_spacer_volume > 0:
        return ()
    swept = np.pi / 4 * (spring.bore**2 - spring.rod**2) * lever.stroke
    counts = np.arange(_MOST_SPACERS + 1)
    counts = counts[spring.positive_volume - counts * spring.positive_spacer_volume - swept > 0]
    if not counts.size:
        return ()
    many = replace(setup, spring=replace(spring, pressure=None, positive_spacers=values(counts)))
    ready = solved(many, lever, case.shop, case.target, np.broadcast_to(static, counts.shape))
    shock = shock_of(ready, lever, case.shop)
    spring, air = _charged(shock)
    if spring.pressure is None:
        return ()
    pressures = values(spring.pressure)
    full = per_point(lever.stroke)
    peak = gas.pressure(air.positive.at(full)[1][..., 0], case.shop.temperature)
    bottom = shock.wheel(per_point(lever.wheel_travel))[0][..., 0]
    return tuple(SpacerRow(int(count), pressures[i], peak[i], bottom[i]) for i, count in enumerate(counts))


def _ride_answer(setup: Setup, case: Case, lever: LeverageCurve, static: Values) -> RideAnswer | None:
    if case.ride is None:
        return None
    shock = shock_of(setup, lever, case.shop, case.ride)
    wheel, topped, bottomed = settle(shock, static)
    start = shock.at(values([0.0])).force
    state = _state(bool(topped), bool(bottomed), not np.isfinite(start).all())
    stroke = lever.at(wheel[..., None])[2][..., 0] if np.isfinite(wheel) else _NONE
    pressure = _NONE
    if shock.air is not None:
        pressure = gas.pressure(shock.air.positive.at(values([0.0]))[1][..., 0], case.ride.temperature)
    return RideAnswer(
        ambient=case.ride,
        state=state,
        set_pressure=values(pressure),
        sag_wheel_fraction=values(wheel / lever.wheel_travel),
        sag_stroke_fraction=values(stroke / lever.stroke),
        starting_shaft=values(np.maximum(start[..., 0], 0.0) + values(setup.friction)),
    )


def _cautions(shock: Shock, state: State) -> tuple[Caution, ...]:
    found = [] if state == "ok" else [Caution(state)]
    spring = shock.setup.spring
    if isinstance(spring, Coil):
        found.append(Caution("preloaded_coil", {"preload": float(spring.preload)}))
        found += fit_cautions(spring, float(shock.lever.stroke))
    else:
        found.append(Caution("pressurised"))
        if spring.max_pressure is not None and spring.pressure is not None:
            set_pressure = float(spring.pressure)
            if set_pressure > spring.max_pressure:
                found.append(Caution("over_label", {"pressure": set_pressure, "limit": spring.max_pressure}))
    return tuple(found)
