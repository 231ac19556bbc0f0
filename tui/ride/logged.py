"""A logged ride in words: the verdict, every statistic with its interval beside what the setup lets expect.

The statistics are one table, as the figures of a job are; view, comparison, JSON and plain lines come from
its rows. Two rides stand side by side, and two channels of one ride against each other. What is left out of a
log is named, with its reason and its time.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np

from physics.answer import SetupAnswer
from physics.frozen import NamedTuple, dataclass
from physics.leverage import LeverageCurve
from physics.log import (
    Estimate,
    Histogram,
    Log,
    Reason,
    Statistics,
    Together,
    Unusable,
    part,
    read_log,
    statistics,
    together,
)
from physics.stand import stand
from tui.job.answer import JobAnswer
from tui.job.job import setup_on_bike
from tui.job.tree import brief
from tui.job.wheels import Wheel
from tui.kit.document import (
    TAKES,
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
    heading_of,
)
from tui.kit.roles import Role
from tui.ride.events import CAUTION
from tui.shop_units import ABSENT, KEY_UNITS, USUAL, Measure, ShopUnits, in_unit_of, keyed, number
from tui.subjects.asked import Seat, Unanswered, refused
from tui.tables.questions import Told, lines_of
from tui.tables.recorded import Channel, LogFile, Recorded, date_of, log_told
from tui.tables.source import UnusableReadings

CHART = "chart"
"""What a view draws in the document."""
Progress = Callable[[float], None]

WHY: dict[str, str] = {
    "too_few_samples": "{samples} samples with a time and a travel are too few",
    "too_slow": "{rate} samples a second are too few; log at {least} Hz or more",
    "too_short": "only {kept} of {logged} can be used; log at least {least}",
    "same_reading": "both readings of the sensor are the same; use the one at full extension and the one "
    "fully compressed",
    "no_movement": "the wheel moves only {range}; check that the sensor is connected and its unit is right",
}
"""Why a log cannot be used, by the code of `physics.log.Unusable`."""
_WHY_MEASURES = {"range": Measure.TRAVEL} | dict.fromkeys(("least", "kept", "logged"), Measure.TIME)
LEFT_OUT: dict[Reason, str] = {
    "missing": "not a number",
    "repeated": "time not increasing",
    "gap": "gap in the samples",
    "jump": "jump too fast for a shock",
    "spike": "single outliers",
    "outside": "beyond the travel",
    "short": "too short between two gaps",
}
"""Why a stretch was left out, by its reason in `physics.log`."""


# --- the statistics as figures -----------------------------------------------------------


def _nothing(_setup: SetupAnswer) -> float:
    return math.nan


@dataclass(frozen=True, slots=True)
class LogFigure:
    """One statistic: `name` and measure (its key in the JSON ends in the unit), label and meaning.

    `estimate` is its name in `Statistics.estimates`; of one `over_travel` the wheel travel is the whole.
    `expected` reads the expected value of the setup, named `beside`; NaN and empty where there is none.
    `more` and `less` say what it means that the ride has more or less than that, beyond its interval and by
    more than the share `apart` of it.
    """

    name: str
    estimate: str
    label: str
    measure: Measure
    meaning: str
    over_travel: bool = False
    expected: Callable[[SetupAnswer], float] = _nothing
    beside: str = ""
    more: str = ""
    less: str = ""
    apart: float = 0.0

    @property
    def key(self) -> str:
        """Its key in the JSON."""
        return f"{self.name}{next(iter(KEY_UNITS.get(self.measure, ('',))))}"

    def of(self, found: Statistics, log: Log) -> Estimate:
        """Return it with its interval, in SI."""
        one = found.estimates()[self.estimate]
        return one if not self.over_travel else scaled(one, 1 / log.wheel_travel)


def scaled(one: Estimate, factor: float) -> Estimate:
    """Return an estimate times a factor above zero."""
    return Estimate(one.value * factor, one.low * factor, one.high * factor)


def static_sag(setup: SetupAnswer) -> float:
    """Return the static sag of a setup as a fraction of wheel travel, in the air that it is ridden in."""
    return float(setup.sag.wheel_fraction if setup.ride is None else setup.ride.sag_wheel_fraction)


_DAMPED = 0.10
"""Share by which a damped body may move slower or faster than its natural frequency (rule of thumb)."""
LOG_FIGURES: Sequence[LogFigure] = (
    LogFigure("dynamic_sag_fraction", "mean_moving", "dynamic sag", Measure.FRACTION,
        "Mean wheel travel while the wheel moves faster than 20 mm/s.", True,
        static_sag, "static sag",
        "Braking, corners and packing down add to the static sag.",
        "Time in the air, rebound or seal friction hold the wheel up."),
    LogFigure("mean_travel_fraction", "mean", "mean travel", Measure.FRACTION,
        "Mean wheel travel over the whole log.", True),
    LogFigure("median_travel_fraction", "median", "median travel", Measure.FRACTION,
        "Half of the time the wheel uses less travel than this.", True),
    LogFigure("travel_95_fraction", "travel_95", "95 % travel", Measure.FRACTION,
        "95 % of the time the wheel uses less travel than this.", True),
    LogFigure("travel_99_fraction", "travel_99", "99 % travel", Measure.FRACTION,
        "99 % of the time the wheel uses less travel than this.", True),
    LogFigure("last_tenth_time_fraction", "last_tenth_share", "time in last tenth", Measure.FRACTION,
        "Share of the time in the last tenth of the travel."),
    LogFigure("last_tenth_per_minute", "last_tenth_entries", "last tenth, per minute", Measure.RATIO,
        "Times the wheel enters the last tenth of the travel; counted again after it was below 85 %."),
    LogFigure("stop_per_minute", "stop_meetings", "bottom-outs per minute", Measure.RATIO,
        "Times the wheel reaches full travel; counted again after it was below 98 %."),
    LogFigure("shaft_compression_95", "shaft.compression_95", "95 % compression", Measure.SHAFT_SPEED,
        "95 % of the time in compression the shaft is slower than this, pauses left out."),
    LogFigure("shaft_rebound_95", "shaft.rebound_95", "95 % rebound", Measure.SHAFT_SPEED,
        "95 % of the time in rebound the shaft is slower than this, pauses left out."),
    LogFigure("rebound_over_compression", "shaft.rebound_over_compression", "rebound / compression",
        Measure.RATIO, "95 % rebound over 95 % compression speed of the shaft."),
    LogFigure("wheel_compression_95", "wheel.compression_95", "95 % comp., wheel", Measure.SHAFT_SPEED,
        "95 % of the time in compression the wheel is slower than this, pauses left out."),
    LogFigure("wheel_rebound_95", "wheel.rebound_95", "95 % reb., wheel", Measure.SHAFT_SPEED,
        "95 % of the time in rebound the wheel is slower than this, pauses left out."),
    LogFigure("body_peak", "spectrum.body_peak", "body moves most at", Measure.FREQUENCY,
        "Frequency at which the body moves most on this ride.", False,
        lambda setup: float(setup.riding.natural_frequency), "natural frequency",
        "Legs, damper, or a spring stiffer than typed.",
        "A heavier load, or a spring softer than typed.",
        _DAMPED),
    LogFigure("airtime_fraction", "airtime_share", "in the air", Measure.FRACTION,
        "Share of the time with the wheel in the air: fully extended and not moving."),
    LogFigure("moving_fraction", "moving_share", "moving", Measure.FRACTION,
        "Share of the time in which the wheel moves faster than 20 mm/s."),
)  # fmt: skip
"""In the order of the table."""


# --- a log calculated ----------------------------------------------------------------------


class Ridden(NamedTuple):
    """One channel of a log, its statistics, and the setup that was ridden, on its wheel.

    `channel`, `lever` and `rest` [m], the travel of the unloaded wheel, are what the statistics follow from.
    """

    seat: Seat
    channel: Channel
    lever: LeverageCurve
    rest: float
    log: Log
    found: Statistics


class Logged(NamedTuple):
    """An analysed log: its name, its channels, and how two of them move together.

    `skipped` are the names of the channels of a wheel that the job does not have, `date` is that of the ride
    where file or name say one.
    """

    name: str
    channels: tuple[Ridden, ...]
    together: Together | None
    skipped: tuple[str, ...] = ()
    date: str = ""


def logged(
    bike: JobAnswer,
    recorded: Recorded,
    progress: Progress | None = None,
    before: Sequence[Ridden] = (),
) -> Logged:
    """Return the statistics of a log on the bike it was ridden on; raises `UnusableReadings` in words.

    `progress` is called with the fraction done and may raise to cancel. Of what was found `before`, for
    another answer, that which still holds is not calculated again.
    """
    tell = progress or (lambda share: None)
    fitting = [channel for channel in recorded.channels if _wheel_of(bike, channel) is not None]
    skipped = tuple(channel.role.name for channel in recorded.channels if channel not in fitting)
    if not fitting:
        has = "no fork" if recorded.channels[0].is_front else "no rear shock"
        raise UnusableReadings(f"the log has {' and '.join(skipped)}, the job has {has}; use a job with one")
    count, found = len(fitting), []
    for place, channel in enumerate(fitting):
        known = next((one for one in before if one.channel is channel), None)
        found.append(_ridden(bike, recorded, channel, partial(_told_of_part, tell, place, count), known))
    both = None
    if len(found) > 1:
        try:
            both = together(found[1].log, found[0].log)
        except Unusable:
            both = None
    return Logged(recorded.name, tuple(found), both, skipped, date_of(recorded.name, recorded.data))


def _wheel_of(bike: JobAnswer, channel: Channel) -> Wheel | None:
    """Return the wheel of a job that a channel is of, None if the job has none such."""
    wheel: Wheel = "front" if channel.is_front and bike.front is not None else "rear"
    there = bike.at(wheel)
    return wheel if there is not None and there.answer.frame.fork is channel.is_front else None


def _told_of_part(tell: Progress, place: int, count: int, share: float) -> None:
    tell((place + share) / count)


def _ridden(
    bike: JobAnswer, recorded: Recorded, channel: Channel, tell: Progress, known: Ridden | None
) -> Ridden:
    wheel = _wheel_of(bike, channel) or "rear"
    there = bike.at(wheel)
    assert there is not None
    if not there.answer.setups:
        raise UnusableReadings("the job has no setup yet; add the one that was ridden")
    lever, place = stand(there.case).lever, setup_on_bike(there.job)
    setup, rest = there.answer.setups[place], 0.0
    if setup.air is not None and math.isfinite(stroke := float(setup.air.rest_stroke)):
        rest = float(np.interp(stroke, setup.curve.stroke, setup.curve.wheel_travel))
    if known is not None and known.lever is lever and known.rest == rest:
        return known._replace(seat=Seat(wheel, there, place))
    try:
        lengths = channel.lengths(float(lever.stroke), float(lever.wheel_travel))
        log = read_log(recorded.time, lengths, lever, "wheel" if channel.of_wheel else "stroke")
    except Unusable as unusable:
        raise UnusableReadings(f"{channel.role.name}: {why_text(unusable)}") from unusable
    return Ridden(Seat(wheel, there, place), channel, lever, rest, log, statistics(log, rest, tell))


def why_text(unusable: Unusable, units: ShopUnits = USUAL) -> str:
    """Return why a log cannot be used, with its numbers."""
    said = {}
    for name, value in unusable.values.items():
        measure = _WHY_MEASURES.get(name, Measure.COUNT)
        is_rate = unusable.code == "too_slow"
        said[name] = f"{value:.3g}" if is_rate else units.show(value, measure)
    return WHY[unusable.code].format(**said)


# --- words -----------------------------------------------------------------------------------


class Ground(NamedTuple):
    """Results of the other setups on the same ground: the first lines, and the figures behind them."""

    lead: Sequence[Block]
    numbers: Sequence[Block]


def document(
    found: Logged, units: ShopUnits, other: Logged | None = None, again: Sequence[Ground] = ()
) -> Document:
    """Return the analysis of a log: the verdict of each channel, then the statistics of each.

    The `other` ride stands beside it where there is one. `again` has for each channel what the same ground
    does to the other setups, if that is worked out; it follows the verdict.
    """
    above, channels, below = _page(found, units, other, again)
    each = (block for head, said, tables in channels for block in (*head, *said, *tables))
    return Document((*above, Drawing(CHART), *each, *below))


def documents_apart(
    found: Logged, units: ShopUnits, other: Logged | None = None, again: Sequence[Ground] = ()
) -> tuple[Document, Document, Document]:
    """Return the same in three parts: what comes first, the chart with what is said of it, the statistics."""
    above, channels, below = _page(found, units, other, again)
    said = (block for head, some, _ in channels for block in (*head, *some))
    tables = (block for head, _, some in channels for block in (*head, *some))
    return Document(above), Document((Drawing(CHART), *said)), Document((*tables, *below))


_Channel = tuple[Sequence[Block], Sequence[Block], Sequence[Block]]
"""Heading of a channel, what is said of it, and its statistics."""


def _page(
    found: Logged, units: ShopUnits, other: Logged | None, again: Sequence[Ground]
) -> tuple[tuple[Block, ...], Sequence[_Channel], tuple[Block, ...]]:
    """Return what stands above the chart, each channel, and what stands below all."""
    blocks: list[Block] = []
    for place, ridden in enumerate(found.channels):
        blocks.append(Paragraph(verdict(found, ridden, units), Role.STRONG, verbatim=True))
        against = _same_wheel(ridden, other)
        if other is not None and against is not None:
            beside = f"Beside it {verdict(other, against, units)}"
            blocks.append(Paragraph(beside, Role.STRONG, verbatim=True))
        blocks += again[place].lead if place < len(again) else ()
    blocks += [caution(CAUTION), Drawing(TAKES)]
    channels: list[_Channel] = []
    for place, ridden in enumerate(found.channels):
        wheel = ridden.seat.wheel.capitalize()
        head = [Heading(wheel, f"{wheel}:")] if len(found.channels) > 1 else []
        said: list[Block] = [Paragraph(text) for text in _readings(ridden, units)]
        said += again[place].numbers if place < len(again) else ()
        tables = [*_tables(ridden, _same_wheel(ridden, other), other, units), *_hits(ridden, units)]
        channels.append((head, said, [*tables, *_what_is_left_out(ridden, units)]))
    below: list[Block] = []
    if found.skipped:
        names = " and ".join(found.skipped)
        below.append(Paragraph(f"Left out: {names}; this job has no such wheel.", Role.CAUTION))
    if found.together is not None:
        below += _together(found.together, units)
    basis = (
        "Intervals from 5 to 95 %, by resampling the log in blocks of 3 s: two rides differ only where their "
        "intervals do not overlap. Half a minute of log says little about the end of the travel."
    )
    return tuple(blocks), channels, (*below, Paragraph(basis, Role.QUIET, gap=True))


def verdict(found: Logged, ridden: Ridden, units: ShopUnits) -> str:
    """Return in a sentence how far the wheel went, how often it bottomed out, and how deep it rode."""
    which = f"{brief(found.name)}, {ridden.seat.wheel}" if len(found.channels) > 1 else brief(found.name)
    return f"{which}: {used_text(ridden, units)}."


def used_text(ridden: Ridden, units: ShopUnits) -> str:
    """Return how far a wheel went, how often it bottomed out in what time, and how deep it rode."""
    stats, log = ridden.found, ridden.log
    deep = band_text(scaled(stats.travel_95, 1 / log.wheel_travel), Measure.FRACTION, units)
    sag = units.show(stats.mean_moving.value / log.wheel_travel, Measure.FRACTION)
    static = units.show(static_sag(ridden.seat.answer), Measure.FRACTION)
    most = units.show(stats.deepest / log.wheel_travel, Measure.FRACTION)
    met = f"{met_text(stats.stop_count)} in {clock_text(stats.time)}"
    most_time = f"95 % of the time below {deep}"
    return f"used {most} of its travel, {most_time}, {met}, dynamic sag {sag}, static {static} as calculated"


def met_text(count: int) -> str:
    """Return "never bottoms out", "bottoms out 11 times"."""
    return f"bottoms out {times_text(count)}" if count else "never bottoms out"


def times_text(count: int) -> str:
    """Return "never", "once", "twice", "11 times"."""
    return {0: "never", 1: "once", 2: "twice"}.get(count, f"{count} times")


def clock_text(seconds: float) -> str:
    """Return "14 s", "11 min 40 s"."""
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes} min {rest:02d} s" if minutes else f"{seconds:.0f} s"


def band_text(one: Estimate, measure: Measure, units: ShopUnits) -> str:
    """Return "78.2 % (72.0 to 84.1)"."""
    low, high = units.plain(one.low, measure), units.plain(one.high, measure)
    value = units.show(one.value, measure)
    return value if ABSENT in (low, high) else f"{value} ({low} to {high})"


def _readings(ridden: Ridden, units: ShopUnits) -> Iterator[str]:
    """Yield a sentence for each statistic whose interval leaves out the expected value."""
    for figure in LOG_FIGURES:
        one, expected = figure.of(ridden.found, ridden.log), figure.expected(ridden.seat.answer)
        if not math.isfinite(expected) or not math.isfinite(one.value):
            continue
        shown, value = units.show(expected, figure.measure), units.show(one.value, figure.measure)
        lead = f"{figure.label[:1].upper()}{figure.label[1:]} {value}"
        if abs(one.value - expected) <= figure.apart * expected:
            continue
        if one.low > expected:
            yield f"{lead}, above the {figure.beside} of {shown}. {figure.more}"
        elif one.high < expected:
            yield f"{lead}, below the {figure.beside} of {shown}. {figure.less}"


def _same_wheel(ridden: Ridden, other: Logged | None) -> Ridden | None:
    return (
        next((one for one in other.channels if one.seat.wheel == ridden.seat.wheel), None) if other else None
    )


def _tables(
    ridden: Ridden, against: Ridden | None, other: Logged | None, units: ShopUnits
) -> Iterator[Block]:
    """Yield every statistic: with its interval and the expected value, or of two rides side by side."""
    rows, plain = list[TableRow](), list[str]()
    for figure in LOG_FIGURES:
        one = figure.of(ridden.found, ridden.log)
        if not math.isfinite(one.value):
            continue
        label, unit = figure.label, units.unit(figure.measure)
        head = heading_of(label, unit)
        if against is None:
            expected = figure.expected(ridden.seat.answer)
            beside = f"{figure.beside} {units.plain(expected, figure.measure)}" if figure.beside else ""
            rows.append((head, units.plain(one.value, figure.measure), _ends(one, figure, units), beside))
            said = f", {figure.beside} {units.show(expected, figure.measure)}" if figure.beside else ""
            plain.append(f"  {label}: {band_text(one, figure.measure, units)}{said}")
        else:
            two = figure.of(against.found, against.log)
            differs = "differs" if part(one, two) else ""
            numbers = (units.plain(each.value, figure.measure) for each in (one, two))
            rows.append((head, *numbers, differs, *(_ends(each, figure, units) for each in (one, two))))
            bands = (band_text(each, figure.measure, units) for each in (one, two))
            plain.append(f"  {label}: {' against '.join(bands)}{': differs' if differs else ''}")
    if against is None:
        yield Table((("", "ride", "5 to 95 %", "setup"), *rows), plain=tuple(plain), last_from=60)
        return
    name = brief(other.name) if other else ""
    yield Heading(f"Against {name}", f"Against {name}:")
    # Where the intervals have no room the numbers and what differs stay.
    first, second = looks((ridden, against))
    marked = SetupName("1st", first), SetupName("2nd", second)
    heads: tuple[TableRow, TableRow] = (
        ("", *marked, "", *marked), ("", "", "", "", "5 to 95 %", "5 to 95 %")
    )  # fmt: skip
    yield Table((*heads, *rows), plain=tuple(plain), heads=len(heads))
    if not any(row[3] for row in rows):
        yield Paragraph("All intervals overlap: the log shows no difference between the two rides.")


def looks(rides: Sequence[Ridden]) -> list[int]:
    """Return colour and marker of each ride: those of its setup, of a second ride on it those of no setup."""
    places, count = [ridden.seat.place for ridden in rides], len(rides[0].seat.there.answer.setups)
    return [count + at if place in places[:at] else place for at, place in enumerate(places)]


def _ends(one: Estimate, figure: LogFigure, units: ShopUnits) -> str:
    low, high = units.plain(one.low, figure.measure), units.plain(one.high, figure.measure)
    return "" if ABSENT in (low, high) else f"{low} to {high}"


_OF_HIT = (Measure.TIME, Measure.FRACTION, Measure.SHAFT_SPEED, Measure.SHAFT_SPEED)
"""Measures of the columns of a hit."""


def _hits(ridden: Ridden, units: ShopUnits) -> Iterator[Block]:
    """Yield the hardest hits: when, how deep, how fast."""
    hits, full = ridden.found.hits, ridden.log.wheel_travel
    if not hits:
        return
    rows, plain = [], []
    for hit in hits:
        numbers = (hit.time, hit.travel / full, hit.wheel_speed, hit.shaft_speed)
        rows.append(tuple(map(units.plain, numbers, _OF_HIT)))
        at, travel, wheel, shaft = map(units.show, numbers, _OF_HIT)
        plain.append(f"  at {at}: {travel} of travel, wheel {wheel}, shaft {shaft}")
    yield Heading("Hardest hits", "Hardest hits:")
    head, shown = ("at", "travel", "wheel speed", "shaft speed"), tuple(map(units.unit, _OF_HIT))
    yield Table((head, *rows), plain=tuple(plain), units=shown, last_from=48)


def _what_is_left_out(ridden: Ridden, units: ShopUnits) -> Iterator[Block]:
    log = ridden.log
    if not log.left_out:
        return
    counts = Counter(one.reason for one in log.left_out)
    said = ", ".join(f"{LEFT_OUT[reason]} ({times_text(count)})" for reason, count in counts.items())
    first = units.show(log.left_out[0].start, Measure.TIME)
    kept, of = units.show(log.kept, Measure.TIME), units.show(log.logged, Measure.TIME)
    yield Paragraph(f"Left out, from {first} on: {said}. {kept} of {of} are used.", Role.CAUTION, gap=True)


def _together(found: Together, units: ShopUnits) -> Iterator[Block]:
    slope = band_text(found.slope, Measure.RATIO, units)
    lag = band_text(found.lag, Measure.TIME, units)
    scatter = units.show(found.scatter.value, Measure.FRACTION)
    yield Heading("Front against rear", "Front against rear:")
    yield Paragraph(
        f"Fork travel over rear travel, each in % of its own: {slope}; the rear lags by {lag}; "
        f"scatter about that line {scatter}."
    )


def numbers(found: Logged, units: ShopUnits) -> Rows:
    """Return every statistic for a spreadsheet, unrounded: a row each, with its interval."""
    rows: list[Sequence[str | float]] = [["wheel", "figure", "value", "5 %", "95 %", "of the setup"]]
    for ridden in found.channels:
        for figure in LOG_FIGURES:
            one, expected = figure.of(ridden.found, ridden.log), figure.expected(ridden.seat.answer)
            cells = (one.value, one.low, one.high, expected)
            label = heading_of(figure.label, units.unit(figure.measure))
            rows.append([ridden.seat.wheel, label, *(units.scale(cell, figure.measure) for cell in cells)])
    return rows


# --- JSON and command ------------------------------------------------------------------------


def json_object(bike: JobAnswer, found: Logged, other: Logged | None = None) -> dict[str, Any]:
    """Return a log as plain data: every statistic with its interval, in the unit of its key."""
    told = {
        "format": 1,
        "title": bike.job.title,
        "log": found.name,
        "date": found.date or None,
        "channels": [_channel_object(ridden, _same_wheel(ridden, other)) for ridden in found.channels],
        "together": None if found.together is None else _together_object(found.together),
        "caution": CAUTION,
    }
    return told if other is None else {**told, "against": other.name}


def _channel_object(ridden: Ridden, against: Ridden | None) -> dict[str, Any]:
    log, found = ridden.log, ridden.found
    figures = {}
    for figure in LOG_FIGURES:
        one, expected = figure.of(found, log), figure.expected(ridden.seat.answer)
        figures[figure.key] = _estimate_object(figure.key, one)
        figures[figure.key]["expected"] = in_unit_of(figure.key, expected)
        if against is not None:
            two = figure.of(against.found, against.log)
            figures[figure.key] |= {"other": _estimate_object(figure.key, two), "differs": part(one, two)}
    return {
        "wheel": ridden.seat.wheel,
        "of": log.of,
        "setup": ridden.seat.name,
        **keyed(rate_hz=log.rate, logged_s=log.logged, kept_s=log.kept, bandwidth_hz=found.bandwidth),
        "left_out": [
            {"reason": one.reason, **keyed(start_s=one.start, end_s=one.end), "samples": one.samples}
            for one in log.left_out
        ],
        "figures": figures,
        "stop_meetings": found.stop_count,
        "last_tenth_entries": found.last_tenth_count,
        **keyed(deepest_mm=found.deepest),
        "travel_histogram": _histogram_object(found.travel, "fraction"),
        "wheel_speed_histogram": _histogram_object(found.wheel.histogram, "m_per_s"),
        "shaft_speed_histogram": _histogram_object(found.shaft.histogram, "m_per_s"),
        "spectrum": keyed(frequency_hz=found.spectrum.frequency, density_m2_per_hz=found.spectrum.density),
        "flights": [
            keyed(
                start_s=one.start, duration_s=one.duration, landing_mm=one.travel, landing_m_per_s=one.speed
            )
            for one in found.flights
        ],
        "hits": [
            keyed(
                time_s=hit.time,
                wheel_mm=hit.travel,
                wheel_m_per_s=hit.wheel_speed,
                shaft_m_per_s=hit.shaft_speed,
            )
            for hit in found.hits
        ],
    }


def _estimate_object(key: str, one: Estimate) -> dict[str, Any]:
    ends = {
        name: keyed(**{key: value})[key]
        for name, value in zip(("value", "low", "high"), _three(one), strict=True)
    }
    return dict(ends)


def _three(one: Estimate) -> tuple[float, float, float]:
    return one.value, one.low, one.high


def _histogram_object(found: Histogram, unit: str) -> dict[str, Any]:
    return {f"edges_{unit}": [number(edge) for edge in found.edges],
            **keyed(share=found.share, low=found.low, high=found.high)}  # fmt: skip


def _together_object(found: Together) -> dict[str, Any]:
    return {
        name: _estimate_object(key, getattr(found, name))
        for name, key in (
            *(("slope", "slope"), ("offset", "offset_fraction"), ("scatter", "scatter_fraction")),
            *(("lag", "lag_s"), ("correlation", "correlation")),
        )
    }


def options_told(columns: str, units: str, prefix: str = "") -> Told:
    """Return columns and units of a log from two options, empty where not given; raises `Unanswered`.

    `prefix` is what the names of the options begin with.
    """
    told = Told()
    for option, asked in (("columns", (columns, "")), ("units", ("", units))):
        try:
            found = log_told(*asked)
        except UnusableReadings as unusable:
            raise refused(f"{prefix}{option}", *str(unusable).split("; ", 1)) from unusable
        told = replace(told, columns={**told.columns, **found.columns}, units={**told.units, **found.units})
    return told


def logged_file(bike: JobAnswer, file: str, told: Told, prefix: str = "") -> Logged:
    """Return the log in a file on the bike it was ridden on; raises `Unanswered`."""
    try:
        return logged(bike, LogFile.at(Path(file), told).read())
    except UnusableReadings as unusable:
        lines = lines_of(unusable, prefix)
        raise Unanswered(tuple(f"log: {file}: {line}" for line in lines)) from unusable
