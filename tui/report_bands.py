"""One setup of the plain report over a range: how far off it may be, and other air around it."""

from __future__ import annotations

from physics.arrays import values
from physics.case import Air, Case, Fork
from physics.conditions import ALTITUDES, TEMPERATURES, Conditions, conditions
from physics.tolerance import tolerance
from tui.jobs.fork_words import spoken
from tui.jobs.pumped import pressure_at_rest
from tui.jobs.tolerance_words import band_text, beyond_text, blamed, error_texts
from tui.jobs.words import STATES
from tui.shop_units import ABSENT, Measure, ShopUnits


def range_lines(case: Case, index: int, units: ShopUnits) -> list[str]:
    """Return how far off a setup may be and, for an air spring, what other air around makes of it."""
    lines = _tolerance(case, index, units)
    if isinstance(case.setups[index].spring, Air):
        lines += [
            "  Set here, ridden there",
            *(f"    {line}" for line in conditions_lines(case, index, units)),
        ]
    return lines


def _tolerance(case: Case, index: int, units: ShopUnits) -> list[str]:
    """Return where sag and the end of the travel may lie; nothing where there is no answer."""
    found = tolerance(case, index)
    sag = band_text(found.sag, Measure.FRACTION, units)
    end = band_text(found.bottom_ratio, Measure.RATIO, units)
    if end == ABSENT:
        return []
    errors = "; ".join(error_texts(case, [index], units))
    beyond = beyond_text(found, units)
    of = spoken(case.target.of, isinstance(case.frame.leverage, Fork))
    said = "" if sag == ABSENT else f"sag {sag} of {of}, "
    lines = [
        f"  Errors, each uniform within its ±: {errors}",
        f"    Tolerance, nine cases in ten: {said}at full travel {end} times the load",
    ]
    if each := blamed(found, units):
        lines.append(f"    Sag from each error alone: {each}")
    return [*lines, f"    {beyond}"] if beyond else lines


def conditions_lines(case: Case, index: int, units: ShopUnits) -> list[str]:
    """Return an air setup in the cold, in the heat and on the mountain, each as one line."""
    warm, high = conditions(case, index)
    places = (
        (warm, 0, f"at {units.show(float(TEMPERATURES[0]), Measure.TEMPERATURE)}"),
        (warm, -1, f"at {units.show(float(TEMPERATURES[-1]), Measure.TEMPERATURE)}"),
        (high, -1, f"at {units.show(float(ALTITUDES[-1]), Measure.ALTITUDE)}"),
    )
    fork = isinstance(case.frame.leverage, Fork)
    return [_there(*place, fork, units) for place in places]


def _there(found: Conditions, place: int, name: str, fork: bool, units: ShopUnits) -> str:
    there, outside = found.there, float(values(found.around.pressure)[place])
    reading = pressure_at_rest(
        float(there.set_pressure[place]), float(there.rest_pressure[place]), outside, units
    )
    state = str(there.state[place])
    sag = units.show(float(there.sag_wheel_fraction[place]), Measure.FRACTION)
    start = units.show(float(there.starting_shaft[place]), Measure.FORCE)
    moves = spoken("the shaft starts to move", fork)
    settled = f"sag {sag} of travel" if state == "ok" else STATES[state]
    return f"{name}: the gauge reads {reading}, {settled}, {moves} at {start}"
