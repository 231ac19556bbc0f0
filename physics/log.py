"""Logged rides: recordings of a travel sensor, cleaned, and their statistics with uncertainty.

A log consists of evenly sampled pieces. It is cut where samples are missing, times repeat, or the reading
jumps faster than a shock can move, and what was left out is reported. Nothing is smoothed or filled in.

Every estimate has a 5 to 95 % interval from a block bootstrap: blocks of about 3 s are resampled with
replacement, because neighbouring samples are not independent. Two runs differ only where their intervals do
not overlap.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from physics.arrays import NONE, Marks, Values, values
from physics.cubic import Cubic
from physics.frozen import dataclass
from physics.leverage import LeverageCurve

Progress = Callable[[float], None]
"""Called with the fraction done, 0 to 1; an exception it raises ends the work."""
Of = Literal["stroke", "wheel"]
"""What a channel measures: the stroke of the shock or fork, or vertical wheel travel."""

SLOWEST_RATE = 100.0
"""Lowest sampling rate [Hz] of a log that is read."""
SHORTEST = 1.0
"""Shortest piece [s] that is kept."""
LEAST = 6.0
"""Minimum time [s] left after cleaning: two blocks of the bootstrap."""
FASTEST_WHEEL = 15.0
"""Wheel speed [m/s] that no shock reaches: riding over a square edge at 12 m/s stays below (an estimate)."""
FASTEST_REVERSAL = 6.0
"""A sample that differs from both neighbours by more than this wheel speed [m/s], to one side, is a spike."""
OUTSIDE = 0.05
"""Readings beyond either end of the travel by more than this fraction of it are left out."""

UNUSABLE: Mapping[str, tuple[str, ...]] = {
    "too_few_samples": ("samples",),
    "too_slow": ("rate", "least"),
    "too_short": ("kept", "least", "logged"),
    "same_reading": ("first",),
    "no_movement": ("range",),
}
"""Reasons why a log cannot be used: codes and the names of their values (SI)."""


class Unusable(ValueError):
    """A log that cannot be used: `code` is one of `UNUSABLE`, `values` are SI numbers.

    >>> str(Unusable("too_slow", rate=50.0, least=100.0))
    "too_slow {'rate': 50.0, 'least': 100.0}"
    """

    def __init__(self, code: str, **numbers: float) -> None:
        """Keep the reason."""
        self.code = code
        self.values: Mapping[str, float] = numbers
        super().__init__(f"{code} {numbers}")


# --- from readings to a log ------------------------------------------------------------------


def of_counts(counts: Values, extended: float, compressed: float, full: float) -> Values:
    """Return lengths [m] from raw counts (samples,), given the counts at full extension and at `full` [m].

    Raises `Unusable` if both counts are the same.

    >>> of_counts(values([100.0, 500.0, 900.0]), 900.0, 100.0, 0.060).round(3).tolist()[:2]
    [0.06, 0.03]
    """
    if extended == compressed:
        raise Unusable("same_reading", first=extended)
    return values((counts - extended) * (full / (compressed - extended)))


@dataclass(frozen=True, slots=True)
class Piece:
    """Contiguous samples: `start` [s], wheel travel and shock stroke [m], both (samples,)."""

    start: float
    wheel: Values
    stroke: Values


Reason = Literal["missing", "repeated", "gap", "jump", "spike", "outside", "short"]
"""Why something was left out: not a number; a time not later than the one before; no samples for a while; a
step faster than any shock; isolated outliers; beyond the travel; a piece too short between other breaks."""


@dataclass(frozen=True, slots=True)
class LeftOut:
    """One stretch left out: reason, start and end [s], and number of samples dropped (0: only a break)."""

    reason: Reason
    start: float
    end: float
    samples: int


@dataclass(frozen=True, slots=True)
class Log:
    """A cleaned channel: evenly sampled pieces at `rate` [Hz], and what was left out.

    `wheel_travel` and `full_stroke` [m] are full travel and stroke; `logged` [s] is the time from first to
    last sample, `of` what the sensor measured, `quantum` [m] the resolution of the wheel travel.
    """

    rate: float
    pieces: tuple[Piece, ...]
    left_out: tuple[LeftOut, ...]
    wheel_travel: float
    full_stroke: float
    logged: float
    of: Of
    quantum: float

    @property
    def samples(self) -> int:
        """Return the number of samples kept."""
        return sum(len(piece.wheel) for piece in self.pieces)

    @property
    def kept(self) -> float:
        """Return the time kept [s]."""
        return self.samples / self.rate


def read_log(time: Values, length: Values, lever: LeverageCurve, of: Of = "stroke") -> Log:
    """Return the cleaned log from times [s] and lengths [m], both (samples,), of a sensor on stroke or wheel.

    The lever is that of a single case. Raises `Unusable` for a log sampled below 100 Hz, without movement, or
    with less than 6 s left.

    >>> from physics.case import Frame, LeverageEnds
    >>> from physics.leverage import leverage_curve
    >>> lever = leverage_curve(Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)))
    >>> time = values(np.arange(5000) / 500)
    >>> log = read_log(time, values(0.020 + 0.010 * np.sin(12.0 * time)), lever)
    >>> round(log.rate), len(log.pieces), round(float(log.pieces[0].wheel.max()), 4)
    (500, 1, 0.075)
    """
    time, length = values(time), values(length)
    if len(time) < 2:
        raise Unusable("too_few_samples", samples=float(len(time)))
    dropped: list[tuple[Reason, Marks]] = []
    finite = np.isfinite(time) & np.isfinite(length)
    dropped.append(("missing", ~finite))
    latest = np.maximum.accumulate(np.where(np.isfinite(time), time, -np.inf))
    later = np.concatenate([[True], time[1:] > latest[:-1]])
    dropped.append(("repeated", finite & ~later))
    good = finite & later
    if good.sum() < 2:
        raise Unusable("too_few_samples", samples=float(good.sum()))
    clock = time[good]
    period, longest_step = _clock(clock)
    if period > 1.0001 / SLOWEST_RATE:
        raise Unusable("too_slow", rate=1 / period, least=SLOWEST_RATE)
    wheel, full = _wheel_of(length, lever, of), float(lever.wheel_travel)
    outside = good & ((wheel < -OUTSIDE * full) | (wheel > (1 + OUTSIDE) * full))
    dropped.append(("outside", outside))
    good &= ~outside
    spikes = _spikes(wheel, good, period)
    dropped.append(("spike", spikes))
    good &= ~spikes
    index = np.flatnonzero(good)
    if len(index) < 2:
        raise Unusable("too_few_samples", samples=float(len(index)))
    left_out = [one for reason, marks in dropped for one in _stretches(reason, marks, time)]
    steps, rises = np.diff(time[index]), np.abs(np.diff(wheel[index]))
    gap = steps > longest_step
    jump = ~gap & (rises > FASTEST_WHEEL * np.maximum(steps, period))
    # Dropped samples are reported already.
    left_out += _breaks("gap", gap & (np.diff(index) == 1), time[index]) + _breaks("jump", jump, time[index])
    pieces, short = _pieces(time, wheel, length, index, gap | jump, period, lever, of)
    left_out += short
    kept, logged = sum(len(piece.wheel) for piece in pieces) * period, float(clock[-1] - clock[0])
    if kept < LEAST:
        raise Unusable("too_short", kept=kept, least=LEAST, logged=logged)
    highest = max(float(piece.wheel.max()) for piece in pieces)
    lowest = min(float(piece.wheel.min()) for piece in pieces)
    if highest - lowest < 0.01 * full:
        raise Unusable("no_movement", range=highest - lowest)
    in_order = tuple(sorted(left_out, key=lambda one: one.start))
    stroke = float(lever.stroke)
    return Log(1 / period, pieces, in_order, full, stroke, logged, of, _quantum(pieces))


def _clock(clock: Values) -> tuple[float, float]:
    """Return the sampling period [s] and the longest step that is not a gap.

    A clock printed in whole milliseconds steps by 1 and 2 ms at 800 Hz. So the usual deviation of the steps
    from their median is allowed for, and the period is their mean.
    """
    steps = np.diff(clock)
    usual = float(np.median(steps))
    uneven = float(np.quantile(np.abs(steps - usual), 0.8))
    period = float(steps[steps <= 1.5 * usual + uneven].mean())
    return period, 1.5 * period + uneven


def _wheel_of(length: Values, lever: LeverageCurve, of: Of) -> Values:
    """Return wheel travel [m] from logged lengths, extrapolated linearly beyond the ends."""
    if of == "wheel":
        return length
    full = float(lever.stroke)
    inside = np.clip(length, 0.0, full)
    first, last = float(lever.nodes.ratio[..., 0]), float(lever.nodes.ratio[..., -1])
    nodes = lever.nodes
    found, _ = Cubic(nodes.stroke, nodes.wheel, nodes.ratio).at(np.nan_to_num(inside))
    beyond = np.where(length < 0, first * length, np.where(length > full, last * (length - full), 0.0))
    return values(found + beyond)


def _stroke_of(wheel: Values, lever: LeverageCurve) -> Values:
    full = float(lever.wheel_travel)
    first, last = float(lever.nodes.ratio[..., 0]), float(lever.nodes.ratio[..., -1])
    found = lever.at(wheel).stroke
    return values(found + np.minimum(wheel, 0.0) / first + np.maximum(wheel - full, 0.0) / last)


def _spikes(wheel: Values, good: Marks, period: float) -> Marks:
    """Mark outliers of one or two samples that leave and return faster than a wheel can move."""
    index = np.flatnonzero(good)
    reading, found = wheel[index], np.zeros(len(wheel), bool)
    reach = FASTEST_REVERSAL * period
    for width in (1, 2):
        if len(reading) < width + 2:
            break
        up, down = reading[1:-width] - reading[: -width - 1], reading[width:-1] - reading[width + 1 :]
        back = np.abs(reading[width + 1 :] - reading[: -width - 1]) < reach
        off = (np.sign(up) == np.sign(down)) & (np.minimum(np.abs(up), np.abs(down)) > 2 * reach) & back
        for shift in range(width):
            found[index[1 + shift : len(reading) - width + shift][off]] = True
    return found


def _stretches(reason: Reason, marks: Marks, time: Values) -> list[LeftOut]:
    """Return the runs of marked samples."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], marks, [False]])))
    found = []
    for first, last in zip(edges[::2], edges[1::2] - 1, strict=True):
        ends = time[max(first - 1, 0)], time[min(last + 1, len(time) - 1)]
        inside = time[first : last + 1]
        start = float(np.nanmin(np.append(inside, ends[0])))
        end = float(np.nanmax(np.append(inside, ends[1])))
        found.append(LeftOut(reason, start, end, int(last - first + 1)))
    return found


def _breaks(reason: Reason, marks: Marks, time: Values) -> list[LeftOut]:
    """Return the marked steps between neighbouring samples as breaks."""
    return [LeftOut(reason, float(time[at]), float(time[at + 1]), 0) for at in np.flatnonzero(marks)]


def _pieces(
    time: Values,
    wheel: Values,
    length: Values,
    index: NDArray[np.intp],
    cut: Marks,
    period: float,
    lever: LeverageCurve,
    of: Of,
) -> tuple[tuple[Piece, ...], list[LeftOut]]:
    """Return the pieces between the cuts, resampled evenly, and those too short to keep."""
    found, short = [], []
    for part in np.split(index, np.flatnonzero(cut) + 1):
        clock = time[part]
        if len(part) * period < SHORTEST:
            short.append(LeftOut("short", float(clock[0]), float(clock[-1]), len(part)))
            continue
        travel = _evenly(clock, wheel[part], period)
        stroke = _stroke_of(travel, lever) if of == "wheel" else _evenly(clock, length[part], period)
        found.append(Piece(float(clock[0]), travel, stroke))
    return tuple(found), short


def _evenly(clock: Values, reading: Values, period: float) -> Values:
    """Return readings on an even clock, unchanged if all are within 3/4 of a period of it."""
    due = clock[0] + period * np.arange(len(clock))
    # The period of this piece may differ slightly from that of the log.
    due += (clock[-1] - due[-1]) * np.arange(len(clock)) / max(len(clock) - 1, 1)
    if abs(clock[-1] - clock[0] - period * (len(clock) - 1)) < period and (
        np.abs(clock - due).max() < 0.75 * period
    ):
        return reading
    count = int(np.floor((clock[-1] - clock[0]) / period)) + 1
    return values(np.interp(clock[0] + period * np.arange(count), clock, reading))


def _quantum(pieces: tuple[Piece, ...]) -> float:
    """Return the typical smallest difference [m] between readings that differ."""
    longest = max(pieces, key=lambda piece: len(piece.wheel)).wheel
    steps = np.diff(np.unique(np.round(longest[:50_000], 9)))
    return float(np.median(steps)) if len(steps) else 0.0


# --- statistics ------------------------------------------------------------------------------

BLOCK = 3.0
"""Length of a block of the bootstrap [s]."""
MOVING = 0.020
"""Wheel speed [m/s] from which the wheel counts as moving."""
LAST_TENTH, REARMED_TENTH = 0.90, 0.85
STOP, REARMED_STOP = 0.995, 0.98
"""Fractions of the travel at which a stop contact is counted, and below which the next one can be: readings
at the stop scatter by sensor noise."""
BANDWIDTH = 40.0
"""Minimum bandwidth [Hz] of the speeds (−3 dB of the differentiating filter), as far as the rate allows."""
EXTENDED, STILL, AIRTIME = 0.03, 0.15, 0.12
"""The wheel is in the air if travel stays below this fraction, or within it of the rest position, and wheel
speed below this [m/s], for at least this time [s]: anything shorter may be light contact (estimates)."""
HITS = 10
_DRAWS = 400
_FINE = 1100
_FINEST_SPEED = 0.01
_SEED = 20_240
_LOW, _HIGH = 0.05, 0.95
_SEGMENT = 4.0
_HIGHEST = 50.0
_BODY = 0.8, 6.0


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value with its 5 to 95 % interval, NaN if it does not exist."""

    value: float
    low: float
    high: float


NO_ESTIMATE = Estimate(float("nan"), float("nan"), float("nan"))


def part(one: Estimate, other: Estimate) -> bool:
    """Return whether two estimates differ: their intervals do not overlap.

    >>> part(Estimate(0.30, 0.28, 0.32), Estimate(0.35, 0.33, 0.37)), part(NO_ESTIMATE, NO_ESTIMATE)
    (True, False)
    """
    return bool(one.high < other.low or other.high < one.low)


@dataclass(frozen=True, slots=True)
class Histogram:
    """Fractions of time in bins between `edges` (bins + 1,), each with its 5 and 95 % limits (bins,)."""

    edges: Values
    share: Values
    low: Values
    high: Values


@dataclass(frozen=True, slots=True)
class Spectrum:
    """Power spectral density of wheel travel [m²/Hz] over frequency [Hz], both (points,), by Welch's method.

    `body_peak` [Hz] is the frequency of the body peak. On a road whose slope is white noise it is the
    undamped natural frequency, whatever the damping.
    """

    frequency: Values
    density: Values
    body_peak: Estimate


@dataclass(frozen=True, slots=True)
class Flight:
    """A time in the air: start and duration [s], and the landing after it.

    `travel` [m] is the deepest travel and `speed` [m/s] the largest wheel speed within half a second after
    landing, NaN where the log breaks off.
    """

    start: float
    duration: float
    travel: float
    speed: float


@dataclass(frozen=True, slots=True)
class Hit:
    """One compression stroke: end time [s], travel there [m], peak wheel and shaft speed [m/s]."""

    time: float
    travel: float
    wheel_speed: float
    shaft_speed: float


@dataclass(frozen=True, slots=True)
class Speeds:
    """Speeds of shaft or wheel [m/s]: 95 % quantile in each direction while moving, and histogram.

    `rebound_over_compression` is the ratio of the two quantiles.
    """

    compression_95: Estimate
    rebound_95: Estimate
    rebound_over_compression: Estimate
    histogram: Histogram


@dataclass(frozen=True, slots=True)
class Statistics:
    """The statistics of one channel over all its pieces. Travel is wheel travel [m], counts are per minute.

    `time` [s] is the evaluated time, `moving_share` the fraction of it in which the wheel moves.
    `mean_moving` is the dynamic sag, `bandwidth` [Hz] that of the speeds. `*_count` are absolute counts.
    """

    time: float
    moving_share: Estimate
    mean: Estimate
    median: Estimate
    mean_moving: Estimate
    travel_95: Estimate
    travel_99: Estimate
    deepest: float
    last_tenth_share: Estimate
    last_tenth_entries: Estimate
    last_tenth_count: int
    stop_meetings: Estimate
    stop_count: int
    travel: Histogram
    bandwidth: float
    wheel: Speeds
    shaft: Speeds
    spectrum: Spectrum
    airtime_share: Estimate
    flights: tuple[Flight, ...]
    hits: tuple[Hit, ...]

    def estimates(self) -> Mapping[str, Estimate]:
        """Return every estimate by name; those of speeds and spectrum as in "wheel.compression"."""
        found = {}
        for group, prefix in ((self, ""), (self.wheel, "wheel."), (self.shaft, "shaft.")):
            for one in fields(group):
                if isinstance(number := getattr(group, one.name), Estimate):
                    found[prefix + one.name] = number
        return found | {"spectrum.body_peak": self.spectrum.body_peak}


@dataclass(frozen=True, slots=True)
class Difference:
    """One statistic of two runs, by its name in `Statistics.estimates`; `differs` without overlap."""

    name: str
    one: Estimate
    other: Estimate
    differs: bool


def compared(one: Statistics, other: Statistics) -> tuple[Difference, ...]:
    """Return every estimate of two runs side by side."""
    theirs = other.estimates()
    return tuple(Difference(name, mine, theirs[name], part(mine, theirs[name]))
                 for name, mine in one.estimates().items())  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Blocks:
    """Blocks of the bootstrap: first sample of each, its number of samples, and its count in each draw.

    `starts` (blocks,), `samples` (blocks,), `weights` (draws, blocks).
    """

    starts: NDArray[np.intp]
    samples: Values
    weights: Values

    def sums(self, samples: Values | Marks) -> Values:
        """Return the sum of a series (samples,) over each block."""
        return values(np.add.reduceat(samples.astype(np.float64, copy=False), self.starts))

    def mean(self, series: Values | Marks, of: Values | Marks | None = None) -> Estimate:
        """Return the mean of a series over the samples marked in `of`; the series must be zero elsewhere."""
        return self.ratio(self.sums(series), self.samples if of is None else self.sums(of))

    def ratio(self, top: Values, bottom: Values) -> Estimate:
        with np.errstate(invalid="ignore", divide="ignore"):
            drawn = (self.weights @ top) / (self.weights @ bottom)
            return _estimate(float(top.sum() / bottom.sum()) if bottom.sum() else np.nan, drawn)

    def table(self, bins: NDArray[np.intp], count: int, weight: Values | None = None) -> Values:
        """Return the number of samples of each block in each bin, (blocks, count)."""
        found = np.empty((len(self.starts), count))
        ends = np.append(self.starts[1:], len(bins))
        for block, (first, end) in enumerate(zip(self.starts, ends, strict=True)):
            some = None if weight is None else weight[first:end]
            found[block] = np.bincount(bins[first:end], some, minlength=count)[:count]
        return found


def _estimate(value: float, drawn: Values) -> Estimate:
    drawn = drawn[np.isfinite(drawn)]
    if not len(drawn) or not np.isfinite(value):
        return Estimate(value, float("nan"), float("nan"))
    low, high = np.quantile(drawn, [_LOW, _HIGH])
    return Estimate(value, min(float(low), value), max(float(high), value))


def _blocks(log: Log) -> _Blocks:
    size, starts, first = round(BLOCK * log.rate), [], 0
    for piece in log.pieces:
        count = max(1, round(len(piece.wheel) / size))
        edges = np.linspace(0, len(piece.wheel), count + 1).round().astype(np.intp)
        starts.append(first + edges[:-1])
        first += len(piece.wheel)
    joined = np.concatenate(starts)
    samples = values(np.diff(np.append(joined, first)))
    return _Blocks(joined, samples, _draws(len(joined)))


def _draws(blocks: int) -> Values:
    """Return the count of each block in each draw with replacement, (draws, blocks)."""
    rng = np.random.default_rng(_SEED)
    return values(rng.multinomial(blocks, np.full(blocks, 1 / blocks), size=_DRAWS))


@lru_cache(maxsize=8)
def differentiator(rate: float) -> tuple[int, float]:
    """Return window [samples] and bandwidth [Hz] of the Savitzky-Golay filter for speeds at `rate` [Hz].

    Third degree. The bandwidth is the frequency at which the gain is 3 dB below that of a true derivative.
    The window is the longest with at least 40 Hz, or else the shortest possible.

    >>> window, bandwidth = differentiator(500.0)
    >>> window, round(bandwidth)
    (15, 42)
    """
    window = 5
    bandwidth = _bandwidth(window, rate)
    while (wider := _bandwidth(window + 2, rate)) >= BANDWIDTH:
        window, bandwidth = window + 2, wider
    return window, bandwidth


def _bandwidth(window: int, rate: float) -> float:
    from scipy.signal import savgol_coeffs

    after = np.arange(1, window // 2 + 1)
    weights = savgol_coeffs(window, 3, deriv=1, use="dot")[window // 2 + 1 :]
    frequency = np.linspace(1e-3, 0.5, 500)
    gain = 2 * np.sin(2 * np.pi * np.outer(frequency, after)) @ weights / (2 * np.pi * frequency)
    last = int(np.argmax(gain < np.sqrt(0.5)))
    return float(np.interp(-np.sqrt(0.5), -gain[last - 1 : last + 1], frequency[last - 1 : last + 1]) * rate)


def speed_of(length: Values, rate: float) -> Values:
    """Return the speed [m/s] of lengths (samples,) [m] sampled at `rate` [Hz]; bandwidth: `differentiator`.

    >>> time = values(np.arange(1000) / 500)
    >>> round(float(speed_of(values(0.05 * np.sin(20 * time)), 500.0).max()), 3)
    1.0
    """
    from scipy.signal import savgol_filter

    window = differentiator(rate)[0]
    return values(savgol_filter(length, window, 3, deriv=1, delta=1 / rate))


def statistics(log: Log, rest: float = 0.0, progress: Progress | None = None) -> Statistics:
    """Return the statistics of a log; `rest` [m] is the wheel travel of the unloaded shock.

    >>> from physics.case import Frame, LeverageEnds
    >>> from physics.leverage import leverage_curve
    >>> lever = leverage_curve(Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)))
    >>> time = values(np.arange(30_000) / 500)
    >>> length = values(0.020 + 0.010 * np.sin(2 * np.pi * 2.0 * time))
    >>> found = statistics(read_log(time, length, lever))
    >>> round(found.mean.value, 4), round(found.deepest, 4), round(found.spectrum.body_peak.value, 1)
    (0.05, 0.075, 2.0)
    """
    tell = progress or (lambda share: None)
    blocks, full = _blocks(log), log.wheel_travel
    wheel = _joined([piece.wheel for piece in log.pieces])
    # Differentiate the measured length; the other speed follows from the leverage.
    wheel_speed = _joined([speed_of(piece.wheel, log.rate) for piece in log.pieces])
    tell(0.2)
    shaft_speed = _joined([speed_of(piece.stroke, log.rate) for piece in log.pieces])
    tell(0.4)
    moving = np.abs(wheel_speed) > MOVING
    fine = blocks.table(_bins(wheel / full, -OUTSIDE, 1 + OUTSIDE, _FINE), _FINE)
    entries, meetings = (
        _entries(log, *shares) for shares in ((LAST_TENTH, REARMED_TENTH), (STOP, REARMED_STOP))
    )
    tell(0.6)
    flights, in_air = _flights(log, wheel_speed, rest)
    spectrum = _spectrum(log)
    tell(0.8)
    travel_speeds, shaft_speeds = (_speeds(one, moving, blocks) for one in (wheel_speed, shaft_speed))
    found = Statistics(
        time=log.kept,
        moving_share=blocks.mean(moving),
        mean=blocks.mean(wheel),
        median=_quantile(fine, 0.50, blocks, wheel, full),
        mean_moving=blocks.mean(values(wheel * moving), moving),
        travel_95=_quantile(fine, 0.95, blocks, wheel, full),
        travel_99=_quantile(fine, 0.99, blocks, wheel, full),
        deepest=float(wheel.max()),
        last_tenth_share=blocks.mean(wheel >= LAST_TENTH * full),
        last_tenth_entries=_rate(entries, blocks, log.rate),
        last_tenth_count=int(entries.sum()),
        stop_meetings=_rate(meetings, blocks, log.rate),
        stop_count=int(meetings.sum()),
        travel=_histogram(blocks.table(_bins(wheel / full, 0.0, 1.0, 10), 10), np.linspace(0, 1, 11), blocks),
        bandwidth=differentiator(log.rate)[1],
        wheel=travel_speeds,
        shaft=shaft_speeds,
        spectrum=spectrum,
        airtime_share=blocks.mean(in_air),
        flights=flights,
        hits=_hits(log, wheel_speed, shaft_speed),
    )
    tell(1.0)
    return found


def _joined(parts: list[Values]) -> Values:
    return parts[0] if len(parts) == 1 else values(np.concatenate(parts))


def _bins(numbers: Values, low: float, high: float, count: int) -> NDArray[np.intp]:
    """Return the bin of each number; numbers beyond the range go into the end bins."""
    place = (numbers - low) * (count / (high - low))
    return np.clip(place, 0, count - 1).astype(np.intp)


def _quantile(table: Values, share: float, blocks: _Blocks, wheel: Values, full: float) -> Estimate:
    """Return a quantile of the travel [m]: exact value, interval from a fine histogram per block."""
    width = (1 + 2 * OUTSIDE) / table.shape[1]
    drawn = _quantiles(blocks.weights @ table, share) * width - OUTSIDE
    return _estimate(float(np.quantile(wheel, share)), values(drawn * full))


def _quantiles(counts: Values, share: float | Values) -> Values:
    """Return the position [bins] of a quantile in histograms (draws, bins), linear within a bin."""
    total = np.cumsum(counts, axis=1)
    due = total[:, -1] * share
    at = np.minimum((total < due[:, None]).sum(axis=1), counts.shape[1] - 1)
    rows = np.arange(len(counts))
    inside = counts[rows, at]
    with np.errstate(invalid="ignore", divide="ignore"):
        part_of = 1 - (total[rows, at] - due) / inside
    return values(np.where(total[:, -1] > 0, at + np.clip(np.nan_to_num(part_of), 0, 1), np.nan))


def _entries(log: Log, enter: float, leave: float) -> Marks:
    """Mark the samples at which travel first exceeds the fraction `enter`, re-armed below `leave`."""
    return _joined_marks([entered(piece.wheel / log.wheel_travel, enter, leave) for piece in log.pieces])


def _joined_marks(parts: list[Marks]) -> Marks:
    return np.concatenate(parts)


def entered(share: Values, enter: float, leave: float) -> Marks:
    """Mark where a series exceeds `enter` for the first time since it was below `leave`."""
    beyond, below = share >= enter, share < leave
    known = np.flatnonzero(beyond | below)
    found = np.zeros(len(share), bool)
    if len(known):
        state = beyond[known]
        first = state & np.concatenate([[True], ~state[:-1]])
        found[known[first]] = True
    return found


def _rate(marks: Marks, blocks: _Blocks, rate: float) -> Estimate:
    """Return events per minute; the interval is at least that of a Poisson count."""
    from scipy.special import gammaincinv

    count, minutes = int(marks.sum()), float(blocks.samples.sum()) / rate / 60
    drawn = blocks.ratio(blocks.sums(marks), blocks.samples)
    scale = rate * 60
    low = 0.0 if count == 0 else float(gammaincinv(count, _LOW)) / minutes
    high = float(gammaincinv(count + 1, _HIGH)) / minutes
    return Estimate(count / minutes, min(drawn.low * scale, low), max(drawn.high * scale, high))


def _histogram(table: Values, edges: Values, blocks: _Blocks) -> Histogram:
    drawn = blocks.weights @ table
    drawn /= np.maximum(drawn.sum(axis=1, keepdims=True), 1.0)
    low, high = np.quantile(drawn, [_LOW, _HIGH], axis=0)
    total = table.sum(axis=0)
    return Histogram(values(edges), values(total / max(total.sum(), 1.0)), values(low), values(high))


_SPEED_EDGES = np.array([-8.0, -4.0, -3.0, -2.0, -1.5, -1.0, -0.75, -0.5, -0.25, -0.1])
_SPEED_BINS = values(np.concatenate([_SPEED_EDGES, [0.0], -_SPEED_EDGES[::-1]]))
"""Edges of the speed histograms [m/s], rebound negative; values beyond the ends go into the end bins."""


def _speeds(speed: Values, moving: Marks, blocks: _Blocks) -> Speeds:
    fastest = max(float(np.abs(speed).max()), _FINEST_SPEED)
    count = 500
    ways, exact, drawn = {}, {}, {}
    for way, sign in (("compression", 1.0), ("rebound", -1.0)):
        going = moving & (sign * speed > 0)
        table = blocks.table(_bins(np.abs(speed), 0.0, fastest, count), count, going.astype(np.float64))
        drawn[way] = values(_quantiles(blocks.weights @ table, 0.95) * (fastest / count))
        exact[way] = float(np.quantile(np.abs(speed[going]), 0.95)) if going.any() else float("nan")
        ways[way] = _estimate(exact[way], drawn[way])
    with np.errstate(invalid="ignore", divide="ignore"):
        ratio = values(drawn["rebound"] / drawn["compression"])
    edges = _SPEED_BINS
    bins = np.clip(np.searchsorted(edges, speed, side="right") - 1, 0, len(edges) - 2)
    return Speeds(
        ways["compression"],
        ways["rebound"],
        _estimate(exact["rebound"] / exact["compression"], ratio),
        _histogram(blocks.table(bins, len(edges) - 1), edges, blocks),
    )


def _spectrum(log: Log) -> Spectrum:
    """Return Welch's estimate from 4 s segments with 50 % overlap, and its body peak."""
    from scipy.signal import spectrogram

    size = round(_SEGMENT * log.rate)
    found, frequency = [], NONE
    for piece in log.pieces:
        if len(piece.wheel) < size:
            continue
        frequency, _, density = spectrogram(
            piece.wheel, log.rate, "hann", size, size // 2, detrend="constant", scaling="density"
        )
        keep = frequency <= _HIGHEST
        frequency = values(frequency[keep])
        found.append(values(density[keep].T))
    if not found:
        empty = values(np.empty(0))
        return Spectrum(empty, empty, NO_ESTIMATE)
    segments = np.concatenate(found)
    weights = _draws(len(segments)) / len(segments)
    mean = values(segments.mean(axis=0))
    peak = _body_peak(frequency, mean[None])[0]
    return Spectrum(
        frequency, mean, _estimate(float(peak), _body_peak(frequency, values(weights @ segments)))
    )


def _body_peak(frequency: Values, density: Values) -> Values:
    """Return the frequency [Hz] of the body peak in spectra (draws, points).

    A sprung mass on a road with white-noise slope has the travel spectrum
    S = A ω²/((ω₀² − ω²)² + (2ζω₀ω)²), with its peak at ω₀ whatever the damping. So ω²/S is a parabola in ω²;
    it is fitted around the maximum with weights for equal relative error of S.
    """
    inside = (frequency >= _BODY[0]) & (frequency <= _BODY[1])
    f, some = frequency[inside], density[:, inside]
    highest = f[np.argmax(some, axis=1)]
    near = (f > 0.5 * highest[:, None]) & (f < 1.8 * highest[:, None])
    # Scaled to the maximum, the three basis functions have similar magnitudes.
    pace = f / highest[:, None]
    laws = np.stack([pace**2, np.ones_like(pace), pace**-2.0], axis=-1) * (some * near)[..., None]
    due = (laws * near[..., None]).sum(axis=1)
    squares = np.einsum("dfi,dfj->dij", laws, laws)
    scale = np.trace(squares, axis1=1, axis2=2)[:, None, None] + 1e-300
    a, _, c = np.linalg.solve(squares / scale + 1e-9 * np.eye(3), (due / scale[..., 0])[..., None])[..., 0].T
    with np.errstate(invalid="ignore", divide="ignore"):
        shift = np.abs(c / a) ** 0.25
    usable = (a > 0) & (c > 0) & (shift > 0.6) & (shift < 1.7) & (near.sum(axis=1) >= 4)
    return values(highest * np.where(usable, shift, 1.0))


def _flights(log: Log, speed: Values, rest: float) -> tuple[tuple[Flight, ...], Marks]:
    """Return every time in the air, and the marks of its samples (samples,)."""
    highest = rest + EXTENDED * log.wheel_travel
    least, after = round(AIRTIME * log.rate), round(0.5 * log.rate)
    flights, marks, first = [], np.zeros(len(speed), bool), 0
    for piece in log.pieces:
        here = speed[first : first + len(piece.wheel)]
        light = (piece.wheel <= highest) & (np.abs(here) < STILL)
        edges = np.flatnonzero(np.diff(np.concatenate([[False], light, [False]])))
        for start, end in zip(edges[::2], edges[1::2], strict=True):
            if end - start < least:
                continue
            marks[first + start : first + end] = True
            landing = slice(end, end + after)
            landed = end + after <= len(piece.wheel)
            flights.append(
                Flight(
                    piece.start + float(start) / log.rate,
                    float(end - start) / log.rate,
                    float(piece.wheel[landing].max()) if landed else float("nan"),
                    float(here[landing].max()) if landed else float("nan"),
                )
            )
        first += len(piece.wheel)
    return tuple(flights), marks


_HARDEST = 0.05
"""Fraction of the travel by which the wheel must come back to end a hit."""
_APART = 0.05
"""Minimum time [s] between hits, so that equal readings around one peak count once."""


def _hits(log: Log, wheel_speed: Values, shaft_speed: Values) -> tuple[Hit, ...]:
    """Return the ten deepest compression strokes, sorted by depth in whole per cent, then by speed."""
    from scipy.signal import find_peaks

    found, first = [], 0
    for piece in log.pieces:
        # At the stop the reading is a plateau: its middle is the peak.
        peaks, _ = find_peaks(
            piece.wheel,
            prominence=_HARDEST * log.wheel_travel,
            plateau_size=(1, None),
            distance=max(round(_APART * log.rate), 1),
        )
        for peak in sorted(peaks, key=lambda at: -piece.wheel[at])[: 4 * HITS]:
            start = max(0, peak - round(0.25 * log.rate))
            stroke = piece.wheel[start : peak + 1]
            begin = start + int(np.argmin(stroke))
            span = slice(first + begin, first + peak + 1)
            found.append(
                Hit(
                    piece.start + float(peak) / log.rate,
                    float(piece.wheel[peak]),
                    float(wheel_speed[span].max()),
                    float(shaft_speed[span].max()),
                )
            )
        first += len(piece.wheel)
    return tuple(sorted(found, key=lambda hit: _hardness(hit, log.wheel_travel), reverse=True)[:HITS])


def _hardness(hit: Hit, full: float) -> tuple[int, float]:
    return round(100 * min(hit.travel / full, 1.0)), hit.wheel_speed


# --- two channels ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Together:
    """Two channels of one ride: the first as a function of the second, travel as a fraction.

    `slope` and `offset` are of the regression line after removing the lag (total least squares: both have
    scatter), `scatter` is the rms distance of the first from it. `lag` [s] is the delay of the second behind
    the first, `correlation` that after removing it. `time` [s] is the evaluated time.
    """

    time: float
    slope: Estimate
    offset: Estimate
    scatter: Estimate
    lag: Estimate
    correlation: Estimate


_LONGEST_LAG = 1.0


def together(one: Log, other: Log) -> Together:
    """Return the regression of two channels on one clock; raises `Unusable` if they share less than 6 s.

    >>> from physics.case import Frame, LeverageEnds
    >>> from physics.leverage import leverage_curve
    >>> lever = leverage_curve(Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)))
    >>> time, rng = values(np.arange(10_000) / 500), np.random.default_rng(1)
    >>> rear = np.convolve(rng.normal(size=10_000), np.hanning(80), "same")
    >>> rear = 0.02 + 0.005 * rear / rear.std()
    >>> front = read_log(time, values(0.8 * np.roll(rear, -50)), lever)  # 0.1 s before the rear
    >>> found = together(front, read_log(time, values(rear), lever))
    >>> round(found.slope.value, 2), round(found.lag.value, 3)
    (0.8, 0.1)
    """
    rate = min(one.rate, other.rate)
    spans = _shared(one, other, rate)
    shared = sum(len(first) for first, _ in spans)
    if shared / rate < LEAST:
        raise Unusable("too_short", kept=shared / rate, least=LEAST, logged=min(one.logged, other.logged))
    size, reach = round(BLOCK * rate), round(_LONGEST_LAG * rate)
    products, moments = [], []
    pieces = [(a, b) for a, b in spans if len(a) > reach]
    lengths = []
    for first, second in pieces:
        for start in range(0, max(len(first) - size // 2, 1), size):
            span = slice(start, min(start + size, len(first)))
            products.append(_correlations(first[span], second[span], reach))
            lengths.append(len(first[span]))
    weights = _draws(len(products))
    correlations = values(np.array(products))
    lags = _peaks(values(np.concatenate([correlations.sum(0)[None], weights @ correlations])), rate)
    shift = round(float(lags[0]) * rate)
    for first, second in pieces:
        a, b = (
            (first[: len(first) - shift], second[shift:]) if shift >= 0 else (first[-shift:], second[:shift])
        )
        for start in range(0, max(len(a) - size // 2, 1), size):
            x, y = b[start : start + size], a[start : start + size]
            moments.append([len(x), x.sum(), y.sum(), x @ x, x @ y, y @ y])
    table = values(np.array(moments))
    lines = _lines(values(np.concatenate([table.sum(0)[None], _draws(len(table)) @ table])))
    slope, offset, scatter, correlation = (_estimate(float(drawn[0]), drawn[1:]) for drawn in lines)
    return Together(shared / rate, slope, offset, scatter, _estimate(float(lags[0]), lags[1:]), correlation)


def _shared(one: Log, other: Log, rate: float) -> list[tuple[Values, Values]]:
    """Return the stretches that both channels cover, as fractions of travel, resampled to one clock."""
    found = []
    for a in one.pieces:
        for b in other.pieces:
            start = max(a.start, b.start)
            end = min(a.start + (len(a.wheel) - 1) / one.rate, b.start + (len(b.wheel) - 1) / other.rate)
            if end - start < SHORTEST:
                continue
            clock = start + np.arange(int((end - start) * rate) + 1) / rate
            found.append((_on(clock, a, one), _on(clock, b, other)))
    return found


def _on(clock: Values, piece: Piece, log: Log) -> Values:
    times = piece.start + np.arange(len(piece.wheel)) / log.rate
    return values(np.interp(clock, times, piece.wheel) / log.wheel_travel)


def _correlations(one: Values, other: Values, reach: int) -> Values:
    """Return the cross-covariance sums of two series at lags −reach…reach."""
    from scipy.signal import correlate

    a, b = one - one.mean(), other - other.mean()
    if len(a) <= reach:
        return np.zeros(2 * reach + 1)
    whole = correlate(b, a, "full", "fft")
    middle = len(a) - 1
    count = len(a) - np.abs(np.arange(-reach, reach + 1))
    return values(whole[middle - reach : middle + reach + 1] * (len(a) / count))


def _peaks(products: Values, rate: float) -> Values:
    """Return the lag [s] of the maximum of each row, refined by a parabola."""
    at = np.clip(np.argmax(products, axis=1), 1, products.shape[1] - 2)
    rows = np.arange(len(products))
    before, here, after = (products[rows, at + step] for step in (-1, 0, 1))
    bend = before - 2 * here + after
    fine = np.where(bend < 0, 0.5 * (before - after) / np.where(bend == 0, 1.0, bend), 0.0)
    middle = products.shape[1] // 2
    return values((at - middle + np.clip(fine, -0.5, 0.5)) / rate)


def _lines(sums: Values) -> tuple[Values, Values, Values, Values]:
    """Return slope, offset, scatter and correlation from sums (draws, 6) of n, x, y, x², xy, y²."""
    n, x, y, xx, xy, yy = sums.T
    mx, my = x / n, y / n
    sx, sxy, sy = xx / n - mx * mx, xy / n - mx * my, yy / n - my * my
    with np.errstate(invalid="ignore", divide="ignore"):
        slope = (sy - sx + np.sqrt((sy - sx) ** 2 + 4 * sxy**2)) / (2 * sxy)
        scatter = np.sqrt(np.maximum(sy - 2 * slope * sxy + slope**2 * sx, 0.0))
        correlation = sxy / np.sqrt(sx * sy)
    return values(slope), values(my - slope * mx), values(scatter), values(correlation)
