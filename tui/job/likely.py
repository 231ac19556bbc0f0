"""What each number of a job usually is: a value outside is asked about, or told as a caution; it is no fault.

Every range is common practice, no source: wide enough for a child's bike and a downhill bike, narrow enough
that a lost digit or a unit mistaken for another is seen.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import NamedTuple

from physics.units import Dimension, UnitFault, parse
from tui.job.job import Job
from tui.job.tree import Raw, Tree, TreePath
from tui.shop_units import USUAL, Measure, ShopUnits

CODE = "unlikely"
"""The code of these cautions."""


class Likely(NamedTuple):
    """What a number measures, its usual range in the usual units, and what it is a number of."""

    measure: Measure
    low: float
    high: float
    what: str

    def holds(self, si: float) -> bool:
        """Return whether an SI value is in the range, rounding aside."""
        number = float(USUAL.scale(si, self.measure))
        slack = 1e-9 * max(abs(self.low), abs(self.high))
        return self.low - slack <= number <= self.high + slack

    def span(self, units: ShopUnits) -> str:
        """Return the range in a shop's units."""
        low, high = (self._si(number) for number in (self.low, self.high))
        return f"{units.plain(low, self.measure)} to {units.show(high, self.measure)}"

    def _si(self, number: float) -> float:
        writing = USUAL.writings[self.measure]
        return (number - writing.offset) * writing.factor


_MASS, _LENGTH, _FORCE = Measure.MASS, Measure.TRAVEL, Measure.FORCE
_PRESSURE, _VOLUME, _RATE = Measure.PRESSURE, Measure.VOLUME, Measure.SPRING_RATE
_SHARE, _COUNT, _TURNS, _RATIO = Measure.FRACTION, Measure.COUNT, Measure.TURNS, Measure.RATIO
_DEGREES, _AIR, _HIGH = Measure.ANGLE, Measure.TEMPERATURE, Measure.ALTITUDE

LIKELY: Mapping[str, Likely] = {
    "load.rider_mass": Likely(_MASS, 20, 160, "a rider"),
    "load.rider_share": Likely(_SHARE, 20, 80, "the rider's share on one wheel"),
    "load.bike_mass": Likely(_MASS, 6, 40, "a bike"),
    "load.bike_share": Likely(_SHARE, 30, 70, "the bike's share on one wheel"),
    "load.scale_mass": Likely(_MASS, 8, 150, "one wheel on the scale"),
    "load.unsprung_mass": Likely(_MASS, 0, 12, "unsprung mass"),
    "load.geometry.wheelbase": Likely(_LENGTH, 800, 1600, "a wheelbase"),
    "load.geometry.mass_behind_front": Likely(_LENGTH, 250, 1200, "the CoM behind the front axle"),
    "load.geometry.mass_height": Likely(_LENGTH, 500, 1500, "the height of the CoM"),
    "load.geometry.slope": Likely(_DEGREES, -40, 40, "a slope"),
    "frame.wheel_travel": Likely(_LENGTH, 30, 260, "wheel travel"),
    "frame.stroke": Likely(_LENGTH, 15, 260, "a stroke"),
    "frame.eye_to_eye": Likely(_LENGTH, 100, 400, "an eye-to-eye length"),
    "frame.leverage.start": Likely(_RATIO, 0.8, 5, "a leverage ratio"),
    "frame.leverage.middle": Likely(_RATIO, 0.8, 5, "a leverage ratio"),
    "frame.leverage.end": Likely(_RATIO, 0.8, 5, "a leverage ratio"),
    "frame.leverage.head_angle": Likely(_DEGREES, 55, 80, "a head angle"),
    "frame.leverage.known.length": Likely(_LENGTH, 30, 1500, "a length of the drawing"),
    "target.sag": Likely(_SHARE, 5, 50, "a sag"),
    "ambient.temperature": Likely(_AIR, -25, 45, "the air in a shop"),
    "ambient.altitude": Likely(_HIGH, -100, 4500, "the altitude of a shop"),
    "ride.temperature": Likely(_AIR, -25, 50, "the air of a ride"),
    "ride.altitude": Likely(_HIGH, -100, 5500, "the altitude of a ride"),
    "tolerance.scale": Likely(_MASS, 0, 5, "the error of a scale"),
    "tolerance.gauge": Likely(_PRESSURE, 0, 15, "the error of a gauge"),
    "tolerance.rate": Likely(_SHARE, 0, 20, "the error of a coil's rate"),
    "tolerance.volume": Likely(_VOLUME, 0, 20, "the error of a volume"),
    "tolerance.share": Likely(_SHARE, 0, 10, "the error of a rider's share"),
    "setup.friction": Likely(_FORCE, 0, 400, "seal friction"),
    "setup.mass": Likely(_MASS, 0.03, 2.5, "a spring's mass"),
    "setup.rod": Likely(_LENGTH, 0, 25, "a damper rod"),
    "setup.gas_pressure": Likely(_PRESSURE, 15, 600, "a damper's gas charge"),
    "setup.gas_volume": Likely(_VOLUME, 1, 150, "a damper's gas volume"),
    "setup.bumper_length": Likely(_LENGTH, 1, 50, "a bottom-out bumper"),
    "setup.bumper_force": Likely(_FORCE, 100, 20_000, "the force of a bumper"),
    "setup.lower_leg_volume": Likely(_VOLUME, 20, 600, "the air in a lower leg"),
    "setup.stanchion_diameter": Likely(_LENGTH, 20, 50, "a stanchion"),
    "setup.rate": Likely(_RATE, 8, 1500, "a spring rate"),
    "setup.preload": Likely(_LENGTH, 0, 25, "preload"),
    "setup.preload_turns": Likely(_TURNS, 0, 20, "preload"),
    "setup.thread_pitch": Likely(_LENGTH, 0.5, 3, "a thread pitch"),
    "setup.max_preload_turns": Likely(_TURNS, 0.5, 20, "the most preload"),
    "setup.free_length": Likely(_LENGTH, 50, 600, "a spring's free length"),
    "setup.solid_length": Likely(_LENGTH, 20, 400, "a spring's solid length"),
    "setup.rated_stroke": Likely(_LENGTH, 15, 260, "a spring's rated stroke"),
    "setup.wire_diameter": Likely(_LENGTH, 2, 16, "spring wire"),
    "setup.inner_diameter": Likely(_LENGTH, 15, 80, "the inside of a spring"),
    "setup.outer_diameter": Likely(_LENGTH, 18, 100, "the outside of a spring"),
    "setup.mean_diameter": Likely(_LENGTH, 15, 90, "the mean diameter of a spring"),
    "setup.active_coils": Likely(_RATIO, 2, 50, "active coils"),
    "setup.total_coils": Likely(_RATIO, 3, 50, "total coils"),
    "setup.ladder_step": Likely(_RATE, 2, 150, "a step between rates"),
    "setup.pressure": Likely(_PRESSURE, 12, 420, "a set pressure"),
    "setup.bore": Likely(_LENGTH, 15, 80, "a bore"),
    "setup.body": Likely(_LENGTH, 0, 70, "the body in a bore"),
    "setup.positive_volume": Likely(_VOLUME, 15, 800, "a positive chamber"),
    "setup.positive_spacers": Likely(_COUNT, 0, 15, "volume spacers"),
    "setup.positive_spacer_volume": Likely(_VOLUME, 0, 60, "a volume spacer"),
    "setup.negative_volume": Likely(_VOLUME, 1, 250, "a negative chamber"),
    "setup.negative_spacers": Likely(_COUNT, 0, 15, "volume spacers"),
    "setup.negative_spacer_volume": Likely(_VOLUME, 0, 60, "a volume spacer"),
    "setup.port": Likely(_LENGTH, 0, 60, "the port's place in the stroke"),
    "setup.negative_pressure": Likely(_PRESSURE, 12, 420, "a negative chamber's pressure"),
    "setup.negative_rate": Likely(_RATE, 5, 1500, "the rate of a negative coil"),
    "setup.negative_length": Likely(_LENGTH, 1, 80, "the push of a negative coil"),
    "setup.max_pressure": Likely(_PRESSURE, 50, 600, "a label's max pressure"),
    "setup.hose_volume": Likely(_VOLUME, 0, 30, "a pump's hose"),
    "measured.sag": Likely(_LENGTH, 2, 130, "a measured sag"),
    "measured.gauge": Likely(_PRESSURE, 12, 420, "a gauge reading"),
    "measured.rebound_clicks": Likely(_COUNT, 0, 40, "rebound clicks"),
    "measured.compression_clicks": Likely(_COUNT, 0, 40, "compression clicks"),
    "measured.tyre": Likely(_PRESSURE, 8, 70, "a tyre"),
    "measured.scale": Likely(_MASS, 8, 150, "one wheel on the scale"),
}
"""By table and key of the job file; a zero that means "none" is in its range."""

_DIMENSIONS = {
    Measure.TRAVEL: Dimension.LENGTH,
    Measure.ALTITUDE: Dimension.LENGTH,
    **{
        measure: Dimension[measure.name]
        for measure in (_MASS, _FORCE, _PRESSURE, _VOLUME, _RATE, _SHARE, _DEGREES, _AIR)
    },
}


class Doubt(NamedTuple):
    """A value of a job outside of what is usual: where it stands, as typed, in SI, and what is usual."""

    path: TreePath
    typed: str
    si: float
    likely: Likely

    def value(self, units: ShopUnits) -> str:
        """Return the value as typed, and in the shop's unit where that is another."""
        shown = units.show(self.si, self.likely.measure)
        unit = units.unit(self.likely.measure)
        return self.typed if not unit or self.typed.endswith(unit) else f"{self.typed} ({shown})"

    def text(self, units: ShopUnits) -> str:
        """Return the caution."""
        usual = f"{self.likely.span(units)} is usual (rule of thumb)"
        return f"{self.value(units)} for {self.likely.what}: {usual}. Check it."


@lru_cache(maxsize=16)
def doubts(job: Job) -> tuple[Doubt, ...]:
    """Return what is unlikely in the job of one wheel, in the order of the file."""
    found = (doubt_at(job, path) for path in _numbers(job.tree, ()))
    return tuple(doubt for doubt in found if doubt is not None)


def doubt_at(job: Job, path: TreePath) -> Doubt | None:
    """Return the doubt about one value; None where it is usual, absent, or cannot be read."""
    likely = LIKELY.get(".".join(str(step) for step in path if not isinstance(step, int)))
    raw = job.get(path)
    si = None if likely is None else _si(raw, likely.measure)
    if likely is None or si is None or likely.holds(si):
        return None
    return Doubt(path, _typed(raw, likely), si, likely)


def unlikely(key: str, si: float, typed: str) -> Doubt | None:
    """Return the doubt about an SI value typed elsewhere than in a job, by the range of `key`."""
    likely = LIKELY[key]
    return None if likely.holds(si) else Doubt((key,), typed, si, likely)


def _numbers(table: Tree, path: TreePath) -> Iterator[TreePath]:
    for key, raw in table.items():
        if isinstance(raw, Tree):
            if (*path, key) != ("front",):
                yield from _numbers(raw, (*path, key))
        elif isinstance(raw, tuple):
            for index, one in enumerate(raw):
                if isinstance(one, Tree):
                    yield from _numbers(one, (*path, key, index))
        else:
            yield (*path, key)


def _si(raw: Raw | None, measure: Measure) -> float | None:
    if isinstance(raw, int | float) and not isinstance(raw, bool):
        return float(raw) if measure in (_SHARE, _COUNT, _TURNS, _RATIO) else None
    dimension = _DIMENSIONS.get(measure)
    if not isinstance(raw, str) or dimension is None:
        return None
    try:
        return parse(raw, dimension)[0]
    except UnitFault:
        return None


def _typed(raw: Raw | None, likely: Likely) -> str:
    if likely.measure is _SHARE and not isinstance(raw, str):
        return f"{float(str(raw)) * 100:g} %"
    return f"{raw} turns" if likely.measure is _TURNS else str(raw)
