"""What the inputs and figures of a sweep are called and measured in, on the screen and without one."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from tui.jobs.fork_words import spoken
from tui.shop_units import Measure

if TYPE_CHECKING:
    from collections.abc import Iterator

    from physics.arrays import Values
    from physics.sweep import Swept
    from tui.bench.figures_words import Figure

INPUTS: Mapping[str, tuple[str, Measure]] = {
    "rider_mass": ("rider mass", Measure.MASS),
    "scale_mass": ("scale reading", Measure.MASS),
    "total_mass": ("rider and bike", Measure.MASS),
    "rider_share": ("rider's share", Measure.FRACTION),
    "bike_mass": ("bike mass", Measure.MASS),
    "bike_share": ("bike's share", Measure.FRACTION),
    "unsprung_mass": ("unsprung mass", Measure.MASS),
    "slope": ("slope", Measure.ANGLE),
    "sag": ("sag wanted", Measure.FRACTION),
    "temperature": ("temperature", Measure.TEMPERATURE),
    "altitude": ("altitude", Measure.ALTITUDE),
    "wheel_travel": ("wheel travel", Measure.TRAVEL),
    "stroke": ("stroke", Measure.TRAVEL),
    "start": ("ratio at start", Measure.RATIO),
    "middle": ("ratio mid-travel", Measure.RATIO),
    "end": ("ratio at the end", Measure.RATIO),
    "head_angle": ("head angle", Measure.ANGLE),
    "rate": ("spring rate", Measure.SPRING_RATE),
    "preload": ("preload", Measure.TRAVEL),
    "pressure": ("set pressure", Measure.PRESSURE),
    "positive_volume": ("positive volume", Measure.VOLUME),
    "positive_spacers": ("positive spacers", Measure.COUNT),
    "positive_spacer_volume": ("positive spacer takes", Measure.VOLUME),
    "bore": ("bore", Measure.TRAVEL),
    "rod": ("damper rod", Measure.TRAVEL),
    "body": ("damper body or air shaft", Measure.TRAVEL),
    "negative_volume": ("negative volume", Measure.VOLUME),
    "negative_spacers": ("negative spacers", Measure.COUNT),
    "negative_spacer_volume": ("negative spacer takes", Measure.VOLUME),
    "port": ("port at stroke", Measure.TRAVEL),
    "negative_pressure": ("negative pressure", Measure.PRESSURE),
    "negative_rate": ("negative coil's rate", Measure.SPRING_RATE),
    "negative_length": ("negative coil's push", Measure.TRAVEL),
    "friction": ("seal drag", Measure.FORCE),
    "gas_pressure": ("gas pressure", Measure.PRESSURE),
    "gas_volume": ("gas volume", Measure.VOLUME),
    "bumper_length": ("bumper length", Measure.TRAVEL),
    "bumper_force": ("bumper force", Measure.FORCE),
    "lower_leg_volume": ("lower leg volume", Measure.VOLUME),
    "stanchion_diameter": ("stanchion diameter", Measure.TRAVEL),
}
"""By the name of an input what it is called and what it measures."""

FIGURE_KEYS: Mapping[str, str] = {
    "starting_shaft": "start_shaft",
    "starting_wheel": "start_wheel",
    "set_pressure": "set_pressure",
    "rate": "rate",
    "preload": "preload",
    "sag_wheel": "sag_wheel",
    "sag_fraction": "sag_travel",
    "sag_stroke": "sag_shock",
    "sag_stroke_fraction": "sag_stroke",
    "shaft_force": "sag_force",
    "support_25": "support_25",
    "support_50": "support_50",
    "support_75": "support_75",
    "bottom_ratio": "end_ratio",
    "bottom_ratio_without_bumper": "bare_ratio",
    "bottom_wheel_force": "end_force",
    "chord_deviation": "off_line",
    "softest_wheel_rate": "softest_rate",
    "softest_at_wheel": "softest_at",
    "end_ramp": "ramp",
    "end_ramp_without_bumper": "bare_ramp",
    "energy_total": "energy",
    "energy_from_sag": "energy_sag",
    "drop_height": "drop",
    "wheel_rate_at_sag": "wheel_rate",
    "rate_at_sag": "slow_fast_rate",
    "fast_rate_at_sag": "fast_rate",
    "natural_frequency": "bounce",
    "fast_natural_frequency": "bounce",
    "critical_damping": "damping",
    "fast_bottom_shaft": "fast_end",
    "rest_stroke": "rest",
    "equalised_pressure": "port_pressure",
    "compression_ratio": "compression",
    "peak_pressure": "peak",
    "fast_peak_pressure": "fast_peak",
    "fast_peak_temperature": "fast_heat",
    "ride_sag_fraction": "ride_sag",
    "ride_starting_shaft": "ride_start",
    "slow_support_25": "slow_support_25",
    "slow_support_50": "slow_support_50",
    "slow_support_75": "slow_support_75",
    "slow_bottom_ratio": "slow_end_ratio",
    "slow_bottom_wheel_force": "slow_end_force",
    "slow_chord_deviation": "slow_off_line",
    "slow_softest_wheel_rate": "slow_softest_rate",
    "slow_softest_at_wheel": "slow_softest_at",
    "slow_end_ramp": "slow_ramp",
    "slow_energy_total": "slow_energy",
    "slow_energy_from_sag": "slow_energy_sag",
    "slow_drop_height": "slow_drop",
    "slow_wheel_rate_at_sag": "slow_wheel_rate",
    "slow_natural_frequency": "slow_bounce",
    "slow_critical_damping": "slow_damping",
}
"""By the name of a figure that can be swept the key it has in the table of figures, in the order of keys."""


def input_text(name: str, fork: bool) -> str:
    """Return what an input is called, on a `fork` in its words."""
    return spoken(INPUTS[name][0], fork)


def figure_named(name: str, fork: bool = False) -> Figure:
    """Return the words of a figure that can be swept; raises `KeyError` for no such name."""
    from tui.bench.figures_words import every_figure

    key = FIGURE_KEYS[name]
    return next(figure for figure in every_figure(fork) if figure.key == key)


def figure_text(name: str, fork: bool = False) -> str:
    """Return what a figure is called and what a bare ratio is a ratio of."""
    figure = figure_named(name, fork)
    return f"{figure.label} ({figure.per})" if figure.per else figure.label


def as_read(name: str, swept: Swept) -> Values:
    """Return a figure (setups, n, …) in SI as a person reads it: pressures as on a gauge in the shop."""
    found = swept.figures[name]
    return found - swept.outside if figure_named(name).measure is Measure.PRESSURE else found


def why_not(swept: Swept) -> Iterator[str]:
    """Yield a sentence for every reason why cases cannot be."""
    from tui.jobs.fault_words import job_fault

    for reason in swept.impossible:
        count = f"{reason.cases} of {swept.outside.size}"
        yield f"{count} cannot be: {job_fault(reason.fault).what}."
