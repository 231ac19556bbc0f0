"""The table of figures: path in the answer, name as in the JSON, label, measure, meaning."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from enum import Enum
from functools import cache
from operator import attrgetter
from typing import TYPE_CHECKING

from physics.frozen import NamedTuple, dataclass
from physics.limits import HIGHEST_PRESSURE
from tui.job.choices import STATES
from tui.job.fields import INPUTS
from tui.job.wheels import spoken
from tui.shop_units import ABSENT, KEY_UNITS, OVER, Measure, ShopUnits, Writing, gauge

if TYPE_CHECKING:
    from physics.answer import Answer, SetupAnswer
    from physics.arrays import Marks, Values
    from physics.sweep import Swept


class Part(Enum):
    """The part of the ride a figure belongs to; the value is its heading, in the order of the table."""

    FIT = "setting and sag"
    START = "start of travel"
    MIDDLE = "mid-stroke"
    END = "end of travel"
    TIMING = "frequency and damping"
    GAS = "pressures"
    WEIGHT = "weight"
    OUT_THERE = "in riding conditions"
    SLOW = "slow stroke, for reference"


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure: its path in the answer, how it is written, and what it says about the ride.

    `where` is its path in a `SetupAnswer`, attributes joined by dots. `name` is its name in commands and in
    the JSON of a sweep: by default the last attribute, with "sag_" or "ride_" in front. Its key in the JSON
    ends with the unit of its measure; with `both` there is a key in each system of units. `per` says what a
    bare ratio refers to; `by_ratio` compares setups by quotient instead of difference; `slow` is the label of
    the same figure of the slow curve. `shown`, `swept` and `in_json` say where it is used.
    """

    where: str
    label: str
    measure: Measure
    meaning: str
    part: Part = Part.FIT
    name: str = ""
    per: str = ""
    by_ratio: bool = False
    kinds: tuple[str, ...] = ("coil", "air")
    slow: str = ""
    both: bool = False
    shown: bool = True
    swept: bool = True
    in_json: bool = True

    @property
    def ends(self) -> tuple[str, ...]:
        """The endings of its keys in the JSON, the usual unit first; empty text for a bare number."""
        return tuple(KEY_UNITS.get(self.measure, ("",)))

    def unit(self, units: ShopUnits) -> str:
        """Return what follows its number: the unit, of a bare ratio what it is `per`."""
        return units.unit(self.measure) or self.per

    def show(self, si: float, units: ShopUnits) -> str:
        """Write it with what follows its number, `ABSENT` for NaN."""
        number = units.plain(si, self.measure)
        return number if number == ABSENT else f"{number} {self.unit(units)}".rstrip()

    @property
    def can_be_wanted(self) -> bool:
        """Whether it can be a target figure: one of the curves, not a pressure, rate or sag."""
        elsewhere = self.part in (Part.FIT, Part.OUT_THERE)
        return self.swept and not elsewhere and self.measure not in (Measure.PRESSURE, Measure.TEMPERATURE)


_COIL, _AIR = ("coil",), ("air",)
_LOAD, _BEFORE = "x static", "x"
_BOUNCE = (
    # The range is common practice, no source.
    "Natural frequency at sag, undamped. Higher is firmer and quicker. Rule of thumb: 2 to 3 Hz."
)
_SLOWLY = (
    "The same for a slow stroke, where the air stays at shop temperature: what a spring tester shows, not "
    "how it rides."
)
_SLOW_CHORD = (
    "Largest gap to the chord from sag to full travel, bumper included: what a spring tester "
    "shows, not how it rides."
)

_TABLE: Mapping[Part, Sequence[Figure]] = {
    Part.FIT: (
        Figure("air.set_pressure", "set pressure", Measure.PRESSURE,
            "Gauge reading at full extension, chambers equalised. More is stiffer all through, most "
            "near bottom-out.", kinds=_AIR, both=True),
        Figure("coil.rate", "spring rate", Measure.SPRING_RATE,
            "Force per length to compress the coil. Stiffer: less sag, more support all through, most "
            "near bottom-out.", kinds=_COIL, both=True),
        Figure("coil.preload", "preload", Measure.TRAVEL,
            "How far the collar compresses the extended coil. More: higher breakaway, less sag, little "
            "change at bottom-out.", kinds=_COIL),
        Figure("coil.preload_turns", "preload turns", Measure.TURNS,
            "Collar turns from first contact with the coil; they need the thread pitch. Above the maker's "
            "maximum, fit a stiffer coil instead.", kinds=_COIL, swept=False),
        Figure("sag.wheel", "sag at wheel", Measure.TRAVEL,
            "Wheel travel used with the rider sitting still. More is softer and rides lower. Set by "
            "rate, pressure or preload."),
        Figure("sag.wheel_fraction", "sag, % travel", Measure.FRACTION,
            "Sag in % of wheel travel. More is softer, rides lower. Rule of thumb: 25 to 30 % rear, 15 "
            "to 20 % front.", name="sag_fraction"),
        Figure("sag.stroke", "sag at shock", Measure.TRAVEL,
            "What the O-ring on the shaft shows with the rider on. Measure here: it is easier to read "
            "than the wheel."),
        Figure("sag.stroke_fraction", "sag, % stroke", Measure.FRACTION,
            "Sag in % of shock stroke. Differs from % of travel because the leverage ratio changes "
            "through the travel."),
        Figure("at_once.wheel", "sag at once", Measure.TRAVEL,
            "Sag at the wheel as soon as the rider sits, while the air is warm. It deepens to the sag "
            "above: sit still until it stops, then read.", swept=False),
        Figure("sag.band_low", "sag, min", Measure.TRAVEL,
            "Seal friction can hold the wheel this high. Bounce and let it settle; any reading from min "
            "to max is normal.", in_json=False, swept=False),
        Figure("sag.band_high", "sag, max", Measure.TRAVEL,
            "Seal friction can hold the wheel this deep. A wide min-max gap means sticky seals; service "
            "narrows it.", in_json=False, swept=False),
        Figure("sag.shaft_force", "shaft load at sag", Measure.FORCE,
            "Force on the shaft at sag. Rider load and leverage ratio set it; the spring rate does not.",
            name="shaft_force"),
    ),
    Part.START: (
        Figure("figures.starting_shaft", "breakaway, shaft", Measure.FORCE,
            "Force to start the shaft moving, seals included. Less is more supple. Preload raises it, "
            "negative force lowers it."),
        Figure("figures.starting_wheel", "breakaway, wheel", Measure.FORCE,
            "Breakaway force at the wheel. Smaller bumps do not move the wheel: less is better "
            "small-bump grip."),
        Figure("curve.positive", "positive force", Measure.FORCE,
            "Force of the positive chamber at full extension. Without a negative spring all of it is "
            "breakaway force.", kinds=_AIR, swept=False),
        Figure("curve.negative", "negative force", Measure.FORCE,
            "Force of the negative spring at full extension. More lowers breakaway; more negative "
            "volume acts deeper.", kinds=_AIR, swept=False),
        Figure("air.rest_stroke", "rest position", Measure.TRAVEL,
            "Stroke the negative spring pulls in with no load. An earlier port or less negative "
            "pressure lessens it.", kinds=_AIR),
    ),
    Part.MIDDLE: (
        Figure("riding.support_25", "support at 25 %", Measure.RATIO,
            "Wheel force at 25 % travel over the static load. More rides higher; less sinks in sooner. "
            "Reads sag where the sag is deeper.", per=_LOAD, slow="at 25 %"),
        Figure("riding.support_50", "support at 50 %", Measure.RATIO,
            "Wheel force at 50 % travel over the static load: mid-stroke support. More holds up in "
            "corners; less wallows.", per=_LOAD, slow="at 50 %"),
        Figure("riding.support_75", "support at 75 %", Measure.RATIO,
            "Wheel force at 75 % travel over the static load. More keeps the last quarter for big hits.",
            per=_LOAD, slow="at 75 %"),
        Figure("riding.chord_deviation", "mid-stroke dip", Measure.FRACTION,
            "Largest gap to the chord from sag to 80 % travel. Negative: soft mid-stroke. "
            "Spacers deepen it, a bumper does not.", slow="dip"),
        Figure("riding.softest_wheel_rate", "lowest wheel rate", Measure.WHEEL_RATE,
            "Lowest wheel rate past sag. Too low blows through the travel; leverage and spacers change "
            "it.", slow="lowest rate"),
        Figure("riding.softest_at_wheel", "lowest rate at", Measure.TRAVEL,
            "Travel where the wheel rate is lowest. Deep: felt in big compressions. Early: felt around "
            "sag.", slow="lowest at"),
        Figure("riding.wheel_rate_at_sag", "wheel rate at sag", Measure.WHEEL_RATE,
            "Wheel force added per length of travel around sag. More is firm and lively, less is soft "
            "and calm.", slow="wheel rate"),
        Figure("figures.fast_rate_at_sag", "shock rate at sag", Measure.SPRING_RATE,
            "Rate of the whole shock at sag as it rides: compares an air spring with a coil in coil "
            "units.", slow="shock rate"),
    ),
    Part.END: (
        Figure("riding.bottom_wheel_force", "bottom-out, wheel", Measure.FORCE,
            "Wheel force at full travel in one hit from sag. More is harder to bottom; rate, pressure, "
            "spacers and bumper raise it.", slow="bottom force"),
        Figure("riding.bottom_ratio", "bottom-out ratio", Measure.RATIO,
            "Bottom-out force over the static load. More is harder to bottom; comparable between riders "
            "and bikes.", per=_LOAD, slow="bottom ratio"),
        Figure("riding.bottom_ratio_without_bumper", "ratio, no bumper", Measure.RATIO,
            "Bottom-out ratio without the bumper: what leverage and spring alone hold at full travel.",
            per=_LOAD),
        Figure("riding.end_ramp", "ramp-up", Measure.RATIO,
            "Force gained in the last 20 % of travel over that in the 20 % before. 1 is linear; a "
            "bumper raises it; without one, spacers do.", per=_BEFORE, slow="ramp-up"),
        Figure("riding.end_ramp_without_bumper", "ramp, no bumper", Measure.RATIO,
            "Ramp-up without the bumper: what leverage and spring alone do over the last 20 % of "
            "travel.",
            per=_BEFORE),
        Figure("figures.fast_bottom_shaft", "bottom-out, shaft", Measure.FORCE,
            "Shaft force at full stroke in one hard hit from sag. Air is higher than slow because it "
            "heats; a coil is the same."),
        Figure("riding.energy_total", "energy, total", Measure.ENERGY,
            "Energy the spring takes from full extension to bottom-out. More takes a bigger hit before "
            "it bottoms.", slow="energy"),
        Figure("riding.energy_from_sag", "energy from sag", Measure.ENERGY,
            "Energy the spring takes from sag to bottom-out. More takes a bigger hit before it bottoms.",
            slow="from sag"),
        Figure("riding.drop_height", "undamped drop", Measure.TRAVEL,
            "Drop that uses all travel with no damping and no legs; that of events counts the damper. For "
            "comparing setups only, never a limit to ride to.", slow="drop"),
    ),
    Part.TIMING: (
        Figure("riding.natural_frequency", "natural frequency", Measure.FREQUENCY, _BOUNCE, slow="frequency"),
        Figure("figures.fast_natural_frequency", "natural frequency", Measure.FREQUENCY,
            _BOUNCE, shown=False),
        Figure("riding.critical_damping", "critical damping", Measure.DAMPING,
            "Shaft damping that just stops oscillation at sag. x 1.10 against the first setup: set 10 % "
            "more rebound damping.", by_ratio=True, slow="damping"),
    ),
    Part.GAS: (
        Figure("air.equalised_pressure", "pressure at port", Measure.PRESSURE,
            "Equalised pressure: of both chambers, pushed in to the equalising port. Less remains at full "
            "extension: the set pressure.", kinds=_AIR),
        Figure("air.compression_ratio", "compression ratio", Measure.RATIO,
            "Positive volume, extended over compressed. Higher is firmer near bottom-out; spacers raise it, "
            "a larger chamber lowers it.", per=": 1", kinds=_AIR),
        Figure("air.peak_pressure", "peak, slow", Measure.PRESSURE,
            "Pressure at bottom-out, slow stroke. Set pressure and spacers raise it.", kinds=_AIR),
        Figure("air.fast_peak_pressure", "peak, fast", Measure.PRESSURE,
            "Pressure at bottom-out on a hard hit: hot air pushes back harder than in a slow stroke. "
            "Spacers raise it.", kinds=_AIR),
        Figure("air.fast_peak_temperature", "air temp., fast", Measure.TEMPERATURE,
            "Brief air temperature at bottom-out on a hard hit. Longer stroke and spacers raise it; it "
            "cools at once.", kinds=_AIR, in_json=False),
        Figure("setup.spring.max_pressure", "max pressure", Measure.PRESSURE,
            "Maximum pressure on the shock's label. Never set above it; label and maker's manual "
            "decide.", kinds=_AIR, swept=False),
    ),
    Part.WEIGHT: (
        Figure("mass", "spring weight", Measure.SPRING_MASS,
            "Spring weight as typed, or worked out from the wire for a coil. It has no effect on sag.",
            swept=False),
    ),
    Part.OUT_THERE: (
        Figure("ride.set_pressure", "gauge, riding", Measure.PRESSURE,
            "Gauge reading at riding temperature and altitude, no air added. Cold lowers it, altitude "
            "raises it.", kinds=_AIR, swept=False),
        Figure("ride.sag_wheel_fraction", "sag, riding", Measure.FRACTION,
            "Sag, % of travel, at riding temperature and altitude. Cold adds sag to an air spring; a "
            "coil stays as it is.", name="ride_sag_fraction"),
        Figure("ride.starting_shaft", "breakaway, riding", Measure.FORCE,
            "Breakaway force at the shaft at riding temperature and altitude. Less is more supple."),
    ),
}  # fmt: skip


def _plain_name(where: str) -> str:
    place, _, field = where.rpartition(".")
    return f"{place}_{field}" if place in ("sag", "ride", "at_once") else field


def _slow(figure: Figure) -> Figure:
    """Return the figure of the slow curve for one of the riding curve; only for air springs."""
    field = figure.where.rpartition(".")[2]
    return replace(
        figure,
        where=f"figures.{field.removeprefix('fast_')}",
        label=f"slow {figure.slow}",
        meaning=_SLOW_CHORD if field == "chord_deviation" else _SLOWLY,
        part=Part.SLOW,
        name=field.removeprefix("fast_") if figure.where.startswith("figures.") else f"slow_{field}",
        kinds=_AIR,
    )


_RIDDEN = tuple(
    replace(figure, part=part, name=figure.name or _plain_name(figure.where))
    for part, figures in _TABLE.items()
    for figure in figures
)
FIGURES = (*_RIDDEN, *(_slow(figure) for figure in _RIDDEN if figure.slow))
"""Every figure there is, in the order of the table on the screen."""
BY_WHERE: Mapping[str, Figure] = {figure.where: figure for figure in FIGURES}
SWEPT = tuple(figure.name for figure in FIGURES if figure.swept)
"""Names of the figures that can be swept."""
WANTED = tuple(figure.name for figure in FIGURES if figure.can_be_wanted)
"""Names of possible target figures."""

STATE_KEY = "state"
STATE_LABEL = "state"
STATE_MEANING = (
    "What the wheel does under the rider, still. Tops out: too stiff to sag. "
    "Bottomed out: too soft, no travel left."
)


@cache
def _by_name(fork: bool) -> Mapping[str, Figure]:
    return {
        figure.name: replace(figure, label=spoken(figure.label, fork), meaning=spoken(figure.meaning, fork))
        for figure in FIGURES
    }


def every_figure(fork: bool = False) -> tuple[Figure, ...]:
    """Return every figure shown, in the order of the table, in terms of a shock or a `fork`."""
    return tuple(figure for figure in _by_name(fork).values() if figure.shown)


def figures_for(setups: Sequence[SetupAnswer], fork: bool = False) -> tuple[Figure, ...]:
    """Return the figures that at least one of these setups can have, in terms of a shock or a `fork`."""
    kinds = {setup.kind for setup in setups}
    rides = any(setup.ride is not None for setup in setups)
    return tuple(
        figure
        for figure in every_figure(fork)
        if kinds.intersection(figure.kinds) and (rides or figure.part is not Part.OUT_THERE)
    )


def figure_named(name: str, fork: bool = False) -> Figure:
    """Return a figure in terms of a shock or a `fork`; raises `KeyError` for an unknown name."""
    return _by_name(fork)[name]


def meaning_of(key: str, fork: bool = False) -> tuple[str, str]:
    """Return label and meaning of a row of the table; raises `KeyError` for a row that does not exist."""
    if key == STATE_KEY:
        return STATE_LABEL, STATE_MEANING
    figure = figure_named(key, fork)
    return figure.label, figure.meaning


def figure_text(name: str, fork: bool = False) -> str:
    """Return the label of a figure, with the reference of a bare ratio."""
    figure = figure_named(name, fork)
    return f"{figure.label} ({figure.per})" if figure.per else figure.label


def read_figure(figure: Figure, setup: SetupAnswer, answer: Answer | None = None) -> float:
    """Return a figure of one setup in SI, NaN if it has none; with its `answer`, pressures are gauge."""
    place = figure.where.partition(".")[0]
    if setup.kind not in figure.kinds or getattr(setup, place) is None:
        return math.nan
    found = attrgetter(figure.where)(setup)
    if found is None:
        return math.nan
    if place == "curve":
        # Told at full extension; the pull of a negative chamber is the force it takes from the shock's.
        return float(found[..., 0]) * (-1.0 if figure.where == "curve.negative" else 1.0)
    if answer is not None and figure.measure is Measure.PRESSURE:
        # A gauge reads relative to the ambient air where it is used.
        around = setup.ride.ambient if place == "ride" and setup.ride else answer.shop
        return gauge(float(found), float(around.pressure))
    return float(found)


def input_text(name: str, fork: bool) -> str:
    """Return the label of an input, in terms of a `fork` if it is one."""
    return spoken(INPUTS[name][0], fork)


def as_read(name: str, swept: Swept) -> Values:
    """Return a figure (setups, n, …) in SI, pressures as gauge readings in the shop."""
    found = swept.figures[name]
    return found - swept.outside if figure_named(name).measure is Measure.PRESSURE else found


def why_not(swept: Swept) -> Iterator[str]:
    """Yield a sentence for every reason why cases are impossible."""
    from tui.job.fault_words import job_fault

    for reason in swept.impossible:
        count = f"{reason.cases} of {swept.outside.size}"
        yield f"{count} not possible: {job_fault(reason.fault).what}."


class Named(NamedTuple):
    """A figure by its name, and the units of the key by which it was given, None without a unit."""

    figure: str
    writing: Writing | None = None


_STARTS: Mapping[str, str] = {"riding.": "", "figures.": "slow_", "sag.": "sag_"}
"""Prefixes of names of figures by the table of the answer that they are in."""


def figure_called(text: str, known: Iterable[str]) -> Named | None:
    """Return the figure among `known` that a text such as "natural_frequency_hz" names, None without one.

    The table of the answer may precede it: "riding.support_50".
    """
    names = frozenset(known)
    table = next((table for table in _STARTS if text.startswith(table)), "")
    typed = (start + text.removeprefix(table) for start in (_STARTS.get(table, ""), ""))
    found = (_spellings().get(name) for name in typed)
    return next((one for one in found if one is not None and one.figure in names), None)


@cache
def _spellings() -> Mapping[str, Named]:
    """Return every spelling of figures: by name or path in the answer, with or without a unit."""
    found: dict[str, Named] = {}
    for figure in FIGURES:
        units = KEY_UNITS.get(figure.measure, {})
        for name in (figure.name, _plain_name(figure.where)):
            found.setdefault(name, Named(figure.name))
            for end, shop in units.items():
                found.setdefault(f"{name}{end}", Named(figure.name, shop.writings[figure.measure]))
    return found


SAME = "same"
"""Shown instead of a change if two setups show the same figure."""


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row as text. A heading has only a label; `changes` is empty for the first setup."""

    key: str
    label: str
    unit: str = ""
    values: tuple[str, ...] = ()
    changes: tuple[str, ...] = ()

    @property
    def is_heading(self) -> bool:
        """Whether the row only names the part of the ride below it."""
        return not self.key


def figure_rows(answer: Answer, units: ShopUnits) -> tuple[TableRow, ...]:
    """Return the rows of the table, a heading above each part of the ride."""
    states = tuple(STATES[setup.state].short for setup in answer.setups)
    rows = [TableRow(STATE_KEY, STATE_LABEL, "", states, ("",) * len(states))]
    part = None
    for figure in figures_for(answer.setups, answer.frame.fork):
        if figure.part is not part:
            part = figure.part
            rows.append(TableRow("", part.value))
        rows.append(_row(figure, answer, units))
    return tuple(rows)


NO_ESTIMATE = "?"
"""Shown for a figure at full travel that the air model cannot estimate."""
IN_SAG = "sag"
"""Shown for a support at a travel that the sag already takes."""
_SUPPORTED: Mapping[str, float] = {f"support_{share}": share / 100 for share in (25, 50, 75)}
"""Figures of support, with their share of the travel."""
_MOST_ESTIMATED = 2 * HIGHEST_PRESSURE
"""Absolute peak pressure [Pa] up to which rough figures are shown. Above it those at full travel depend on
the last drop of volume and grow without bound."""
_PEAKS = ("peak_pressure", "fast_peak_pressure")
_AT_THE_END: Mapping[str, str] = {
    **{figure.name: "fast_peak_pressure" for figure in FIGURES if figure.part is Part.END},
    **{f"slow_{figure.name}": "peak_pressure" for figure in FIGURES if figure.part is Part.END},
    "fast_peak_temperature": "fast_peak_pressure",
}
"""Figures at full travel, with the peak pressure that they go with."""


def peak_text(pressure: float, outside: float, units: ShopUnits) -> str:
    """Return a gauge pressure [Pa] in air of `outside` [Pa] as a number, ">3467" above all estimates."""
    most = gauge(_MOST_ESTIMATED, outside)
    above = ">" if pressure > most else ""
    return above + units.plain(most if above else pressure, Measure.PRESSURE)


def is_estimated(peak: float) -> bool:
    """Return whether figures at full travel are estimated with this peak pressure [Pa absolute] there."""
    return not peak > _MOST_ESTIMATED


def peak_of(name: str) -> str | None:
    """Return the peak pressure that tells whether a figure is estimated, None for one that always is."""
    return name if name in _PEAKS else _AT_THE_END.get(name)


def not_estimated(peaks: Values) -> Marks:
    """Return with which peak pressures [Pa absolute] figures at full travel are not estimated."""
    return peaks > _MOST_ESTIMATED


def no_estimate_text(figure: Figure, outside: float, units: ShopUnits, *, bare: bool = False) -> str:
    """Return what is shown of a figure that is not estimated, in air of `outside` [Pa]: ">3467 psi" or "?".

    `bare` has no unit.
    """
    if figure.name not in _PEAKS:
        return NO_ESTIMATE
    return f"{peak_text(math.inf, outside, units)} {'' if bare else figure.unit(units)}".rstrip()


def has_estimate(figure: Figure, setup: SetupAnswer) -> bool:
    """Return whether the air model can estimate a figure of a setup, one at full travel in particular."""
    peak = _AT_THE_END.get(figure.name)
    return setup.air is None or peak is None or is_estimated(float(getattr(setup.air, peak)))


def figure_read(figure: Figure, setup: SetupAnswer, answer: Answer, units: ShopUnits) -> tuple[str, float]:
    """Return a figure of a setup as it is shown, without unit, and in SI: NaN where no number is shown."""
    number = read_figure(figure, setup, answer)
    text = units.plain(number, figure.measure)
    if text == ABSENT and float(setup.sag.wheel_fraction) >= _SUPPORTED.get(figure.name, math.inf):
        return IN_SAG, number
    if setup.air is not None and text != ABSENT:
        if figure.name in _PEAKS:
            text = peak_text(number, float(answer.shop.pressure), units)
        elif not has_estimate(figure, setup):
            text = NO_ESTIMATE
    return text, math.nan if text.startswith((">", NO_ESTIMATE)) else number


def _row(figure: Figure, answer: Answer, units: ShopUnits) -> TableRow:
    found = [figure_read(figure, setup, answer, units) for setup in answer.setups]
    values, numbers = [text for text, _ in found], [number for _, number in found]
    if figure.name == "set_pressure":
        over = (any(one.code == "over_label" for one in setup.cautions) for setup in answer.setups)
        values = [f"{OVER}{value}" if is_over else value for value, is_over in zip(values, over, strict=True)]
    changes = ("", *(change(figure, units, numbers[0], other) for other in numbers[1:]))
    unit = figure.unit(units)
    return TableRow(figure.name, figure.label, unit, tuple(values), changes)


def change(figure: Figure, units: ShopUnits, first: float, other: float) -> str:
    """Return the change from one setup's figure to another's, from the numbers as shown.

    It is the difference of the rounded numbers, which a person can check, or a quotient for figures
    `by_ratio`.
    """
    shown = units.plain(first, figure.measure), units.plain(other, figure.measure)
    if ABSENT in shown:
        return ABSENT
    if shown[0] == shown[1]:
        return SAME
    if figure.by_ratio:
        ratio = other / first if first else math.inf
        return f"x {ratio:.2f}" if math.isfinite(ratio) else ABSENT
    return units.difference(other, first, figure.measure)
