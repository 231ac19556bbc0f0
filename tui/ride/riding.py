"""A ride through an event: its figures, the verdict in words, and what was assumed.

The figures are one table, as those of a job are: label, measure, meaning, and where the ride has each; view,
JSON and plain lines come from its rows. What is searched for besides a ride, as the height at which a setup
first bottoms out, takes longer and may still be missing where a document is written.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from physics.arrays import Values
from physics.case import Air, Case, Damping, DampingShare, DampingSlopes, EqualisedNegative
from physics.damper import USUAL as USUAL_DAMPER
from physics.descent import Descent, descent
from physics.frozen import NamedTuple, dataclass
from physics.ground import Bumps, Drop, Road
from physics.response import Response, response
from physics.ride import USUAL_PORT_AREA, USUAL_PORT_LENGTH, USUAL_TYRE, Ride, around, ride
from physics.ride_search import (
    HIGHEST,
    LEAST_FACTOR,
    MOST_FACTOR,
    Rebound,
    first_meets,
    returning_rebound,
)
from tui.job.answer import JobAnswer
from tui.job.choices import STATES
from tui.job.faults import JobFault, UnusableJob
from tui.job.fields import DAMPER
from tui.job.job import Job
from tui.job.quantities import in_si
from tui.job.tree import TreePath, brief
from tui.job.wheels import Wheel, spoken
from tui.kit.document import (
    Block,
    Document,
    Drawing,
    Heading,
    Paragraph,
    Rows,
    SetupName,
    Table,
    TableRow,
    caution,
    csv_text,
    heading_of,
    plain_lines,
)
from tui.kit.roles import Role
from tui.ride.events import (
    CAUTION,
    DESCENT,
    EventName,
    duration_text,
    event_in,
    event_text,
    size_now,
    sizes_asked,
    sizes_object,
)
from tui.shop_units import ABSENT, ALL, KEY_UNITS, METRIC, USUAL, Measure, ShopUnits, keyed
from tui.subjects.asked import answered_file, job_faults_told, printed, refused, several_named
from tui.subjects.conditions import place_text


@dataclass(frozen=True, slots=True)
class RideFigure:
    """One figure of a ride: `name` and measure (its key in the JSON ends in the unit), label and meaning.

    `read` takes it for the setup at a place. `without_stops` marks a force that leaves out that of the stops.
    """

    name: str
    label: str
    measure: Measure
    meaning: str
    read: Callable[[Ridden, int], float]
    without_stops: bool = False

    @property
    def key(self) -> str:
        """Its key in the JSON."""
        return f"{self.name}{next(iter(KEY_UNITS.get(self.measure, ('',))))}"

    def is_least(self, found: Ridden, place: int) -> bool:
        """Return whether the force of a setup is higher still: it bottomed out, and its stop is left out."""
        return self.without_stops and bool(found.ride.meetings[place].time.size)

    def plain(self, found: Ridden, place: int) -> float | int:
        """Return the figure of one setup for the JSON, a count as a whole number."""
        number = self.read(found, place)
        return int(number) if self.measure is Measure.COUNT and math.isfinite(number) else number


def _of(name: str) -> Callable[[Ridden, int], float]:
    return lambda found, place: float(getattr(found.ride, name)[place])


def _most(name: str) -> Callable[[Ridden, int], float]:
    """Read the most of all bottom-outs, NaN without one."""

    def read(found: Ridden, place: int) -> float:
        each: Values = getattr(found.ride.meetings[place], name)
        return float(each.max()) if each.size else math.nan

    return read


def settles(ride: Ride, place: int) -> bool:
    """Return whether the setup at a place has a sag, and so rides at all."""
    return bool(np.isfinite(ride.deepest[place]))


def _share_used(found: Ridden, place: int) -> float:
    return float(found.ride.deepest[place]) / float(found.answered.case.frame.wheel_travel)


def _met(found: Ridden, place: int) -> float:
    return float(found.ride.meetings[place].time.size) if settles(found.ride, place) else math.nan


def _peak_pressure(found: Ridden, place: int) -> float:
    return float(found.ride.peak_pressure[place]) - float(around(found.answered.case).pressure)


def _label_pressure(found: Ridden, place: int) -> float:
    spring = found.answered.case.setups[place].spring
    limit = spring.max_pressure if isinstance(spring, Air) else None
    return math.nan if limit is None else limit - float(found.answered.case.shop.pressure)


def _body_peak(found: Ridden, place: int) -> tuple[float, float]:
    """Return the frequency [Hz] at which small waves move the body most, and how much more."""
    gain = np.abs(found.response.height[place])
    if not np.isfinite(gain).any():
        return math.nan, math.nan
    peak = int(np.nanargmax(gain))
    return float(found.response.frequency[peak]), float(gain[peak])


RIDE_FIGURES: Sequence[RideFigure] = (
    RideFigure("travel_used_fraction", "travel used", Measure.FRACTION,
        "Deepest wheel travel over full travel; 100 % is at the stop.", _share_used),
    RideFigure("deepest_travel", "deepest travel", Measure.TRAVEL,
        "Deepest wheel travel of the ride.", _of("deepest")),
    RideFigure("stop_meetings", "bottoms out", Measure.COUNT,
        "Times the wheel reaches full travel; counted again after it was below 98 %.", _met),
    RideFigure("stop_speed", "bottom-out speed", Measure.SHAFT_SPEED,
        "Wheel speed just before contact at the hardest bottom-out.", _most("speed")),
    RideFigure("stop_energy", "bottom-out energy", Measure.ENERGY,
        "Energy of the sprung mass just before contact at the hardest bottom-out. The force depends "
        "on how stiff the stop is.", _most("energy")),
    RideFigure("top_meetings", "tops out", Measure.COUNT,
        "Times the wheel returns to full extension and meets its top-out stop.", _of("top_meetings")),
    RideFigure("peak_wheel_force", "peak wheel force", Measure.FORCE,
        "Highest force of spring, damper and seals at the wheel, without the stops.",
        _of("peak_wheel_force"), without_stops=True),
    RideFigure("peak_shaft_force", "peak shaft force", Measure.FORCE,
        "Highest force of spring, damper and seals at the shaft, without the stops.",
        _of("peak_shaft_force"), without_stops=True),
    RideFigure("peak_pressure", "peak pressure, ride", Measure.PRESSURE,
        "Highest gauge pressure of a chamber while the event compresses it. The max pressure on the label is "
        "for pumping.", _peak_pressure),
    RideFigure("max_pressure", "max pressure, pump", Measure.PRESSURE,
        "Maximum pressure on the label, for pumping at full extension. Never pump above it.",
        _label_pressure),
    RideFigure("peak_acceleration", "peak acceleration", Measure.ACCELERATION,
        "Highest acceleration of bike and rider as one mass, without gravity.", _of("peak_acceleration")),
    RideFigure("rms_acceleration", "RMS acceleration", Measure.ACCELERATION,
        "RMS acceleration of bike and rider: less is smoother.", _of("rms_acceleration")),
    RideFigure("airtime_fraction", "tyre in the air", Measure.FRACTION,
        "Share of the time without tyre contact.", _of("airtime")),
    RideFigure("longest_air", "longest in the air", Measure.TIME,
        "Longest single time without tyre contact.", _of("longest_air")),
    RideFigure("grip_fraction", "tyre force RMS", Measure.FRACTION,
        "RMS variation of the tyre force over the static tyre force: less is more grip.", _of("grip")),
    RideFigure("mean_travel", "mean travel", Measure.TRAVEL,
        "Mean wheel travel over the ride.", _of("mean_travel")),
    RideFigure("sinks", "packs down", Measure.TRAVEL,
        "Mean travel over the last bump of a train minus static sag: how far it packs down.", _of("sinks")),
    RideFigure("body_peak", "body peak at", Measure.FREQUENCY,
        "Frequency of small ground waves at which the body moves most, without seal friction.",
        lambda found, place: _body_peak(found, place)[0]),
    RideFigure("body_peak_ratio", "body peak x ground", Measure.RATIO,
        "Movement of the body over that of the ground at that frequency; more damping lowers it.",
        lambda found, place: _body_peak(found, place)[1]),
    RideFigure("damper_heat", "heat in the damper", Measure.ENERGY,
        "Energy that the damper turns into heat.", _of("damper_heat")),
    RideFigure("friction_heat", "heat in the seals", Measure.ENERGY,
        "Energy that seal friction turns into heat.", _of("friction_heat")),
)  # fmt: skip
"""In the order of the table."""


def figures_of(found: Ridden) -> Iterator[tuple[RideFigure, tuple[float, ...]]]:
    """Yield each figure that some setup has, with its numbers by setup."""
    for figure in RIDE_FIGURES:
        numbers = tuple(figure.read(found, place) for place in range(len(found.ride.names)))
        if any(map(math.isfinite, numbers)):
            yield figure, numbers


_HIGHER = "> bottomed out: the stop adds to this force, by how much depends on how stiff it is."
_PRESSURES = (
    "Peak pressure is that of a chamber compressed by the event, max pressure the most to pump at full "
    "extension: the one is no limit for the other. Ask the maker what the shock withstands."
)
KNOBS, CHART, RESPONSE = "knobs", "chart", "response"
"""What a view draws in the document."""
OTHERS = 2
"""Setups in one table beside the baseline."""


@dataclass(frozen=True, slots=True, eq=False)
class Ridden:
    """An event with its sizes as typed, the wheel that rode it, and the ride of all its setups.

    `response` is how each of them answers to small waves of the ground, whatever the event.
    """

    answered: JobAnswer
    event: EventName
    sizes: Job
    ride: Ride
    response: Response


Progress = Callable[[float], object]


def goes_on(progress: Progress | None) -> Callable[[float], bool] | None:
    """Return the same for the physics, which goes on unless that raises."""
    if progress is None:
        return None
    told = progress

    def goes_on(share: float) -> bool:
        told(share)
        return True

    return goes_on


def ridden(answered: JobAnswer, event: EventName, sizes: Job, progress: Progress | None = None) -> Ridden:
    """Return the ride of every setup of a wheel through an event; raises `UnusableJob` for its sizes.

    `progress` is told the share that is done and raises whatever is to end the work.
    """
    asked = event_in(event, sizes)
    try:
        found = ride(answered.case, answered.answer, asked, progress=goes_on(progress))
    except ValueError as refused_event:
        raise UnusableJob((JobFault((event,), str(refused_event), "use other sizes"),)) from refused_event
    return Ridden(answered, event, sizes, found, response(answered.case, answered.answer))


@dataclass(frozen=True, slots=True, eq=False)
class Searched:
    """What was searched for besides a ride, each None if it has nothing to do with the event.

    `first_stop` is the height [m] of a drop at which each setup first bottoms out, `rebound` the rebound
    damping at which the wheel just returns between the bumps of a train, `descent` how warm each becomes on a
    long road.
    """

    first_stop: Values | None = None
    rebound: Rebound | None = None
    descent: Descent | None = None


SEARCHED: frozenset[EventName] = frozenset(("drop", "bumps", "road"))
"""Events that something is searched for besides the ride."""


def searched(found: Ridden, progress: Progress | None = None) -> Searched:
    """Return what the event of a ride is searched for; `progress` as for the ride itself."""
    answered, asked = found.answered, event_in(found.event, found.sizes)
    told = goes_on(progress)
    match asked:
        case Drop():
            return Searched(first_stop=first_meets(answered.case, answered.answer, progress=told))
        case Bumps():
            rebound = returning_rebound(answered.case, answered.answer, asked, progress=told)
            return Searched(rebound=rebound)
        case Road():
            lasting = size_now(found.event, found.sizes, DESCENT)
            return Searched(descent=descent(answered.case, answered.answer, asked, lasting, progress=told))
        case _:
            return Searched()


MEETS, RETURNS, WARMS = (
    "Drop that first bottoms out, with damper",
    "Rebound that just returns to sag between the bumps",
    "Heat of the descent",
)
"""What is searched for with a drop, with a train of bumps and with a road."""


def search_text(found: Ridden, more: Searched, units: ShopUnits) -> str:
    """Return in a sentence what was searched for, empty if nothing was."""
    names = found.ride.names
    if more.first_stop is not None:
        heights = (_height_text(float(at), units) for at in more.first_stop)
        told = map(" ".join, zip(map(brief, names), heights, strict=True))
        return f"{MEETS}: {', '.join(told)}."
    if more.rebound is not None:
        dampers = (setup.damper.rebound or USUAL_DAMPER.rebound for setup in found.answered.case.setups)
        both = list(zip(more.rebound.factor, dampers, strict=True))
        factors = (_rebound_text(float(factor), damping, units) for factor, damping in both)
        told = map(" ".join, zip(map(brief, names), factors, strict=True))
        return f"{RETURNS}: {', '.join(told)}{_rebound_of(both[0][1])}."
    if more.descent is not None:
        warm = more.descent
        outside = float(around(found.answered.case).pressure)
        each = [
            f"{brief(name)} {_warmed_text(warm, place, outside, units)}"
            for place, name in enumerate(names)
            if math.isfinite(warm.sag[place])
        ]
        return f"{WARMS}, {duration_text(float(warm.time[-1]))}: {'; '.join(each)}." if each else ""
    return ""


def _warmed_text(warm: Descent, setup: int, outside: float, units: ShopUnits) -> str:
    """Return how warm a setup becomes, and how its pressure and its sag change."""
    ends = [
        ("", warm.wall[setup, 0], warm.wall[setup, -1], Measure.TEMPERATURE),
        ("pressure ", warm.cold_pressure[setup] - outside, warm.pressure[setup] - outside, Measure.PRESSURE),
        ("sag ", warm.cold_sag[setup], warm.sag[setup], Measure.FRACTION),
    ]
    return ", ".join(
        f"{what}{units.plain(cold, measure)} → {units.show(hot, measure)}"
        for what, cold, hot, measure in ends
        if math.isfinite(hot)
    )


def _height_text(at: float, units: ShopUnits) -> str:
    if math.isnan(at):
        return ABSENT
    most = units.show(HIGHEST, Measure.DISTANCE)
    return f"not up to {most}" if math.isinf(at) else f"from {units.show(at, Measure.DISTANCE)}"


def _rebound_text(factor: float, damping: Damping | None, units: ShopUnits) -> str:
    """Return the rebound damping of a setup that a factor makes, in the way the damper is known."""
    if math.isnan(factor):
        return ABSENT
    if math.isinf(factor):
        return f"more than {MOST_FACTOR:g} x the present"
    if factor == 0:
        return f"less than {LEAST_FACTOR:g} x the present"
    match damping:
        case DampingShare(share):
            return units.show(share * factor, Measure.FRACTION)
        case DampingSlopes(low):
            return units.show(low * factor, Measure.DAMPING)
        case _:
            return f"{factor:.2f} x"


def _rebound_of(damping: Damping | None) -> str:
    """Return which quantity the numbers of a rebound damping are."""
    match damping:
        case DampingShare():
            return " of critical damping"
        case DampingSlopes():
            return " at low speed"
        case _:
            return " the damper tester's forces"


def with_rebound(job: Job, factor: float) -> Job:
    """Return the job of a wheel with its rebound damping times a factor, in the way the damper is known."""
    speeds, forces = (job.get((*DAMPER_AT, key)) for key in ("speed_m_per_s", "force_n"))
    if isinstance(speeds, tuple) and isinstance(forces, tuple):
        pairs = zip(speeds, forces, strict=True)
        turned = tuple(round(push * factor, 1) if at < 0 else push for at, push in pairs)
        return job.with_value((*DAMPER_AT, "force_n"), turned)
    slopes = [key for key in ("rebound_low", "rebound_high") if job.get((*DAMPER_AT, key)) is not None]
    for key in slopes:
        before = in_si(job.get((*DAMPER_AT, key)), Measure.DAMPING)
        if before is not None:
            job = job.with_value((*DAMPER_AT, key), METRIC.show(before * factor, Measure.DAMPING))
    if slopes:
        return job
    share = DAMPER["rebound_share"]
    before = in_si(job.get(share.path) or share.usual, Measure.FRACTION)
    if before is None:
        return job
    return job.with_value(share.path, METRIC.show(before * factor, Measure.FRACTION))


DAMPER_AT: TreePath = ("damper",)


def document(
    found: Ridden,
    units: ShopUnits,
    more: Searched | None = None,
    waits: str = "",
    others: int = OTHERS,
) -> Document:
    """Return the result of a ride: verdict, caution, then figures and assumptions.

    `more` is what was searched for, where that is known; `waits` stands in its place while it is not. A table
    of figures has at most so many `others` next to the baseline.
    """
    case, names = found.answered.case, found.ride.names
    said = waits if more is None else search_text(found, more, units)
    air = conditions_text(found.answered, units)
    first: list[Block] = [
        Paragraph(verdict(found, units), Role.STRONG, verdict(found, units, whole=True), verbatim=True),
        *([Paragraph(air, Role.BASE, air)] if air else []),
        *([Paragraph(said, Role.QUIET if more is None else Role.STRONG, verbatim=True)] if said else []),
        *_unsettled(found),
        caution(CAUTION),
        Drawing(KNOBS),
        Drawing(CHART),
    ]
    against = f"Figures, against {brief(names[0])}" if len(names) > 1 else "Figures"
    assumed = tuple(Paragraph(text, plain=f"  {text}") for text in assumptions(case, units))
    blocks: tuple[Block, ...] = (*first, Heading(against, f"{against}:"), *_tables(found, units, others))
    if any(meetings.time.size for meetings in found.ride.meetings):
        blocks = (*blocks, Paragraph(_HIGHER, Role.QUIET, f"  {_HIGHER}", gap=True))
    if any(math.isfinite(_label_pressure(found, place)) for place in range(len(names))):
        blocks = (*blocks, Paragraph(_PRESSURES, Role.QUIET, f"  {_PRESSURES}", gap=True))
    if more is not None and more.descent is not None:
        body = more.descent.body
        text = (
            f"Body of shock or fork: takes up {body.heat_capacity:.0f} J/K, gives off {body.loss:.1f} W/K; "
            "the pressure is at full extension. Unverified."
        )
        assumed = (*assumed, Paragraph(text, plain=f"  {text}"))
    if assumed:
        blocks = (*blocks, Heading("Assumed", "Assumed:"), *assumed)
    return Document(blocks, found.answered.answer.frame.fork)


def conditions_text(answered: JobAnswer, units: ShopUnits) -> str:
    """Return in a sentence the riding conditions of the setups; empty without any."""
    if answered.case.ride is None:
        return ""
    return f"Ridden at {place_text(answered, units)}, with the gas that was set in the shop."


def verdict(found: Ridden, units: ShopUnits, *, whole: bool = False) -> str:
    """Return in a sentence how far each setup goes, and what it brings to its stop.

    The event has its first size, or the `whole` of them.
    """
    rode, case = found.ride, found.answered.case
    told = [
        f"{brief(name)} {_told(rode, case, place, units)}"
        for place, name in enumerate(rode.names)
        if settles(rode, place)
    ]
    what = what_rode(found, units, whole=whole)
    return f"{what}: {'; '.join(told)}." if told else f"{what}: no setup has a sag, so none can ride."


def what_rode(found: Ridden, units: ShopUnits, *, whole: bool = False) -> str:
    """Return the event at the beginning of a sentence, with its first size or the `whole` of them."""
    what = event_text(found.event, found.sizes, units, whole=whole)
    return f"{what[:1].upper()}{what[1:]}"


def _told(rode: Ride, case: Case, place: int, units: ShopUnits) -> str:
    met = rode.meetings[place]
    force = units.show(rode.peak_wheel_force[place], Measure.FORCE)
    if not met.time.size:
        used = units.show(float(rode.deepest[place]) / float(case.frame.wheel_travel), Measure.FRACTION)
        return f"{used} of travel, {force} at the wheel"
    hardest = int(np.argmax(met.energy))
    times = "" if met.time.size == 1 else f" {met.time.size} times"
    speed = units.show(met.speed[hardest], Measure.SHAFT_SPEED)
    energy = units.show(met.energy[hardest], Measure.ENERGY)
    return f"bottoms out{times} at {speed} ({energy}), up to {force} at the wheel without the stop"


def _unsettled(found: Ridden) -> Iterator[Paragraph]:
    """Yield a caution for each setup that does not ride because it does not settle."""
    for place, setup in enumerate(found.answered.answer.setups):
        if not settles(found.ride, place):
            elsewhere = setup.state == "ok" and setup.ride is not None
            why = STATES[setup.ride.state if elsewhere and setup.ride else setup.state].sentence
            why += " in the riding conditions" if elsewhere else ""
            text = f"{brief(setup.name)} is left out: {why}."
            yield Paragraph(text, Role.CAUTION, f"Caution: {text}", verbatim=True)


def _tables(found: Ridden, units: ShopUnits, most: int) -> Iterator[Table]:
    """Yield the figures with the difference to the baseline, at most so many setups beside it in a table."""
    names = found.ride.names
    others = range(1, len(names))
    chunks = [others[start : start + most] for start in range(0, len(others), most)] or [range(0)]
    rows = tuple(figures_of(found))
    fork = found.answered.answer.frame.fork
    more = [tuple(figure.is_least(found, place) for place in range(len(names))) for figure, _ in rows]
    plain = tuple(
        f"  {spoken(figure.label, fork)}: {', '.join(_plain(names, numbers, least, figure.measure, units))}"
        for (figure, numbers), least in zip(rows, more, strict=True)
    )
    for chunk in chunks:
        marked = [SetupName(brief(name), place) for place, name in enumerate(names)]
        head = ("", marked[0], *(part for place in chunk for part in (marked[place], "diff.")))
        body = tuple(
            _row(spoken(figure.label, fork), figure.measure, numbers, least, chunk, units)
            for (figure, numbers), least in zip(rows, more, strict=True)
        )
        yield Table((head, *body), plain=plain, last_from=0)
        plain = ()


def _row(
    label: str,
    measure: Measure,
    numbers: Sequence[float],
    least: Sequence[bool],
    others: Sequence[int],
    units: ShopUnits,
) -> TableRow:
    """Return a row of the table; what is `least` is more than shown, and so has no difference."""
    shown = [
        f"{'>' * is_least}{units.plain(number, measure)}"
        for number, is_least in zip(numbers, least, strict=True)
    ]
    row = [heading_of(label, units.unit(measure)), shown[0]]
    for place in others:
        unknown = least[0] or least[place]
        row += [
            shown[place],
            ABSENT if unknown else units.difference(numbers[place], numbers[0], measure),
        ]
    return tuple(row)


def _plain(
    names: Sequence[str], numbers: Sequence[float], least: Sequence[bool], measure: Measure, units: ShopUnits
) -> Iterator[str]:
    unit = units.unit(measure)
    for place, (name, number) in enumerate(zip(names, numbers, strict=True)):
        known = place and not (least[0] or least[place])
        apart = f"{units.difference(number, numbers[0], measure)} {unit}".strip() if known else ""
        apart = "" if apart == unit else apart
        shown = f"{'>' * least[place]}{units.show(number, measure)}"
        yield f"{brief(name)} {shown}{f' ({apart})' if apart else ''}"


def assumptions(case: Case, units: ShopUnits) -> Iterator[str]:
    """Yield the usual values that were assumed because nobody has typed them."""
    missing = [
        f"{way} {units.show(usual.share, Measure.FRACTION)}"
        for way in ("rebound", "compression")
        if any(getattr(setup.damper, way) is None for setup in case.setups)
        and isinstance(usual := getattr(USUAL_DAMPER, way), DampingShare)
    ]
    if missing:
        yield f"Damper: {', '.join(missing)} of critical damping of each setup at sag. Invented, unverified."
    of_tyre = {
        "stiffness": ("stiffness", Measure.WHEEL_RATE),
        "damping": ("damping", Measure.DAMPING),
        "radius": ("wheel radius", Measure.TRAVEL),
    }
    absent = [
        f"{label} {units.show(getattr(USUAL_TYRE, key), measure)}"
        for key, (label, measure) in of_tyre.items()
        if getattr(case.tyre, key) is None
    ]
    if absent:
        yield f"Tyre: {', '.join(absent)}. Rule of thumb, unverified."
    springs = [setup.spring for setup in case.setups if isinstance(setup.spring, Air)]
    ports = [spring.negative for spring in springs if isinstance(spring.negative, EqualisedNegative)]
    length, area = units.show(USUAL_PORT_LENGTH, Measure.TRAVEL), units.show(USUAL_PORT_AREA, Measure.AREA)
    port = [f"{length} long"] if any(one.port_length is None for one in ports) else []
    port += [f"flow area {area}"] if any(one.port_area is None for one in ports) else []
    if port:
        yield f"Equalising port: {', '.join(port)}. Unverified."
    if any(spring.time_constant is None for spring in springs):
        yield "Heat time of the air: estimated from free convection."


def numbers(found: Ridden, units: ShopUnits) -> Rows:
    """Return the whole ride for a spreadsheet, unrounded: a row for each moment, columns for each setup."""
    rode = found.ride
    columns: list[tuple[str, Values]] = [
        (heading_of("time", "s"), rode.time),
        (heading_of("ground", units.unit(Measure.TRAVEL)), _scaled(rode.ground, Measure.TRAVEL, units)),
    ]
    for place, name in enumerate(rode.names):
        for label, drawn, measure in (
            ("travel", rode.travel, Measure.TRAVEL),
            ("wheel force", rode.wheel_force, Measure.FORCE),
            ("stop force", rode.stop_force, Measure.FORCE),
            ("tyre force", rode.tyre_force, Measure.FORCE),
            ("acceleration", rode.acceleration, Measure.ACCELERATION),
        ):
            head = heading_of(f"{name} {label}", units.unit(measure))
            columns.append((head, _scaled(drawn[place], measure, units)))
    heads = [head for head, _ in columns]
    return [heads, *(list(row) for row in np.column_stack([column for _, column in columns]).tolist())]


def _scaled(si: Values, measure: Measure, units: ShopUnits) -> Values:
    return units.scale(si, measure)


def json_object(bike: JobAnswer, wheel: Wheel, found: Ridden, more: Searched) -> dict[str, Any]:
    """Return a ride as plain data: every figure of every setup in the unit of its key, null without one.

    `first_stop_m` is null if nothing was searched or the stop is not met up to `searched_to_m`;
    `rebound_factor` is what the rebound damping would be multiplied by.
    """
    case, rode = found.answered.case, found.ride
    setups = []
    for place, name in enumerate(rode.names):
        met = rode.meetings[place]
        figures = {figure.key: figure.plain(found, place) for figure in RIDE_FIGURES}
        meetings = keyed(time_s=met.time, speed_m_per_s=met.speed, energy_j=met.energy, force_n=met.force)
        found_too = keyed(
            first_stop_m=math.nan if more.first_stop is None else float(more.first_stop[place]),
            rebound_factor=math.nan if more.rebound is None else float(more.rebound.factor[place]),
        )
        warm = None if more.descent is None else _descent_object(more.descent, place, case)
        setups.append({"name": name, **keyed(**figures), **found_too, "descent": warm, "meetings": meetings})
    return {
        "format": 1,
        "title": bike.job.title,
        "wheel": wheel,
        "event": found.event,
        "conditions": conditions_text(found.answered, USUAL) or None,
        "sizes": sizes_object(found.event, found.sizes),
        "searched_to_m": HIGHEST if more.first_stop is not None else None,
        "setups": setups,
        "assumed": list(assumptions(case, USUAL)),
        "caution": CAUTION,
    }


def _descent_object(warm: Descent, setup: int, case: Case) -> dict[str, Any]:
    """Return how one setup warms up on a long road as plain data, pressures as on a gauge."""
    outside, zero = float(around(case).pressure), METRIC.writings[Measure.TEMPERATURE].offset
    return keyed(
        time_s=float(warm.time[-1]),
        damper_w=float(warm.damper[setup]),
        friction_w=float(warm.friction[setup]),
        air_w=float(warm.air[setup]),
        body_c=float(warm.wall[setup, -1]) + zero,
        settled_c=float(warm.settled[setup]) + zero,
        cold_pressure_psi=float(warm.cold_pressure[setup]) - outside,
        pressure_psi=float(warm.pressure[setup]) - outside,
        cold_sag_fraction=float(warm.cold_sag[setup]),
        sag_fraction=float(warm.sag[setup]),
    )


class RideAsked(NamedTuple):
    """The options of the command: event, its sizes as text, the wheel, one setup or all, the units."""

    event: EventName
    sizes: Mapping[str, str]
    wheel: Wheel = "rear"
    setup: str = ""
    units: str = ""


def command(source: str, asked: RideAsked, *, as_json: bool = False, as_csv: bool = False) -> str:
    """Return the ride of the setups in the job file `source` through an event; raises `Unanswered`."""
    bike = answered_file(source)
    there = bike.at(asked.wheel)
    if there is None:
        raise refused("wheel", "this job has no front", "use rear")
    units = units_named(asked.units)
    with job_faults_told():
        sizes = sizes_asked(asked.event, asked.sizes)
        found = ridden(alone(there, asked.setup), asked.event, sizes)
    if as_csv:
        return csv_text(numbers(found, units))
    more = searched(found)
    if as_json:
        return printed(json_object(bike, asked.wheel, found, more))
    title = bike.job.heading
    return printed([title, *plain_lines(document(found, units, more), "")])


def units_named(name: str) -> ShopUnits:
    """Return units by their name, the usual ones for none."""
    return next((one for one in ALL if one.name == name), USUAL)


def alone(there: JobAnswer, name: str) -> JobAnswer:
    """Return a wheel with the setup of a name alone, with all of them for no name; raises `Unanswered`."""
    if not name:
        return there
    names = [setup.name for setup in there.answer.setups]
    if name not in names:
        listed = ", ".join(f'"{brief(one)}"' for one in names)
        raise refused("setup", f'no setup is named "{brief(name)}"', f"use one of {listed}")
    if names.count(name) > 1:
        raise several_named("setup", name, names.count(name))
    place = names.index(name)
    case = replace(there.case, setups=(there.case.setups[place],))
    answer = replace(there.answer, setups=(there.answer.setups[place],))
    return replace(there, case=case, answer=answer)
