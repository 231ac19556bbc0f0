"""Statistics of known signals have their closed forms; what is left out of a log is named."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.random import Generator

from physics.arrays import Values, values
from physics.case import Fork, Frame, LeverageEnds
from physics.leverage import LeverageCurve, leverage_curve
from physics.log import (
    UNUSABLE,
    Estimate,
    Log,
    Reason,
    Unusable,
    compared,
    differentiator,
    of_counts,
    part,
    read_log,
    speed_of,
    statistics,
    together,
)

STRAIGHT = leverage_curve(Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)))
FALLING = leverage_curve(Frame(0.150, 0.060, LeverageEnds(2.8, 2.2)))
RATE = 500.0


def clock(seconds: float, rate: float = RATE) -> Values:
    return values(np.arange(round(seconds * rate)) / rate)


def of_wheel(travel: Values, rate: float = RATE, lever: LeverageCurve = STRAIGHT) -> Log:
    return read_log(values(np.arange(len(travel)) / rate), travel, lever, "wheel")


def inside(found: Estimate, due: float, within: float) -> bool:
    return abs(found.value - due) <= within and found.low <= found.value <= found.high


def noise(rng: Generator, seconds: float, low: float, high: float, rate: float = RATE) -> Values:
    """Return noise of mean 0 and expected variance 1 with a flat band between two frequencies [Hz]."""
    count = round(seconds * rate)
    spectrum = np.zeros(count // 2 + 1, complex)
    frequency = np.fft.rfftfreq(count, 1 / rate)
    band = (frequency >= low) & (frequency <= high)
    spectrum[band] = rng.normal(size=band.sum()) + 1j * rng.normal(size=band.sum())
    return values(np.fft.irfft(spectrum, count) * count / np.sqrt(4 * band.sum()))


# --- closed forms ----------------------------------------------------------------------------


def test_of_a_sine() -> None:
    # 121 whole periods that no sample of another repeats.
    middle, size, pace = 0.060, 0.040, 2 * np.pi * 121 / 60
    found = statistics(of_wheel(values(middle + size * np.sin(pace * clock(60.0)))))
    assert inside(found.mean, middle, 1e-5)
    assert inside(found.median, middle, 3e-4)
    # Below a share q of the time a sine stays below sin(π (q − 1/2)) of its amplitude.
    assert inside(found.travel_95, middle + size * np.sin(np.pi * 0.45), 3e-5)
    assert inside(found.travel_99, middle + size * np.sin(np.pi * 0.49), 3e-5)
    assert found.deepest == pytest.approx(middle + size, abs=1e-6)
    # Of half a cosine, too, 95 % are below sin(π/2 · 0.95); slower than 20 mm/s does not count.
    still = 2 / np.pi * np.arcsin(0.020 / (size * pace))
    fast = size * pace * np.sin(np.pi / 2 * (still + 0.95 * (1 - still)))
    assert inside(found.wheel.compression_95, fast, 2e-3)
    assert inside(found.wheel.rebound_95, fast, 2e-3)
    assert inside(found.shaft.compression_95, fast / 2.5, 1e-3)
    assert inside(found.wheel.rebound_over_compression, 1.0, 2e-3)
    assert inside(found.moving_share, 1 - still, 2e-3)
    assert found.spectrum.body_peak.value == pytest.approx(121 / 60, abs=0.05)
    # Parseval: the spectrum holds the variance of the sine.
    power = found.spectrum.density.sum() * found.spectrum.frequency[1]
    assert power == pytest.approx(size**2 / 2, rel=1e-3)


def test_the_tenths_of_a_sine() -> None:
    travel = values(0.075 + 0.075 * np.sin(2 * np.pi * 121 / 60 * clock(60.0)))
    found = statistics(of_wheel(travel))
    edges = np.linspace(0.0, 1.0, 11)
    due = np.diff(np.arcsin(np.clip(2 * edges - 1, -1, 1))) / np.pi
    np.testing.assert_allclose(found.travel.share, due, atol=3e-4)
    assert (found.travel.low <= found.travel.share + 1e-12).all()
    assert (found.travel.share <= found.travel.high + 1e-12).all()
    assert inside(found.last_tenth_share, float(due[-1]), 3e-4)
    assert found.last_tenth_count == found.stop_count == 121
    assert inside(found.last_tenth_entries, 121.0, 0.01)
    assert inside(found.stop_meetings, 121.0, 0.01)


def test_of_a_sawtooth_that_comes_in_fast_and_goes_out_slowly() -> None:
    # 100 mm in 60 ms, out again in 340 ms; a third-degree filter overshoots by a tenth at the corners.
    turns, levels = [0.0, 0.060, 0.400], [0.03, 0.13, 0.03]
    found = statistics(of_wheel(values(np.interp(clock(60.0) % 0.4, turns, levels)))).wheel
    into, out = 0.1 / 0.060, 0.1 / 0.340
    assert inside(found.compression_95, into, 0.1 * into)
    assert inside(found.rebound_95, out, 0.1 * out)
    assert inside(found.rebound_over_compression, out / into, 0.1 * out / into)
    edges, share = found.histogram.edges[:-1], found.histogram.share
    assert share[edges == 1.5] == pytest.approx(0.060 / 0.4, abs=0.04)
    assert share[edges == -0.5] == pytest.approx(0.340 / 0.4, abs=0.04)


def test_speeds_beyond_the_histogram_count_in_its_last_bins() -> None:
    # Out 60 mm in 12 ms, faster than 4 m/s.
    travel = values(np.interp(clock(60.0, 2000.0) % 0.4, [0.0, 0.012, 0.400], [0.09, 0.03, 0.09]))
    histogram = statistics(of_wheel(travel, 2000.0)).wheel.histogram
    assert 0.005 < histogram.share[0] < 0.02
    assert histogram.share[1] < histogram.share[0]


def test_of_a_square_wave() -> None:
    # Three quarters of every second at 31 mm, one quarter at 91 mm, each change within 20 ms.
    turns, levels = [0.0, 0.01, 0.74, 0.76, 0.99, 1.0], [0.061, 0.031, 0.031, 0.091, 0.091, 0.061]
    found = statistics(of_wheel(values(np.interp(clock(60.0) % 1.0, turns, levels))))
    assert inside(found.mean, 0.046, 1e-5)
    assert inside(found.median, 0.031, 1e-9)
    assert inside(found.travel_95, 0.091, 1e-9)
    # Of the 40 ms of changing, the tenths from 30 to 45 mm and from 90 to 105 mm hold 14/60 and 1/60.
    shares = [0.73 + 0.04 * 14 / 60, 0.01, 0.01, 0.01, 0.23 + 0.04 / 60]
    assert found.travel.share[2:7].tolist() == pytest.approx(shares, abs=3e-3)
    # A third-degree filter overshoots by a tenth at the corners of so short a ramp.
    assert inside(found.wheel.compression_95, 3.0, 0.3)
    assert found.last_tenth_count == found.stop_count == 0
    assert found.last_tenth_entries.low == 0.0
    # Nothing in a minute still allows three a minute: −ln 0.05.
    assert found.last_tenth_entries.high == pytest.approx(2.996, abs=1e-3)


@pytest.mark.slow
def test_of_band_limited_noise() -> None:
    low, high, size = 1.0, 3.0, 0.015
    travel = values(0.070 + size * noise(np.random.default_rng(3), 600.0, low, high))
    found = statistics(of_wheel(travel))
    assert inside(found.mean, 0.070, 1e-3)
    assert inside(found.travel_95, 0.070 + 1.6449 * size, 1.5e-3)
    assert found.travel_95.low < 0.070 + 1.6449 * size < found.travel_95.high
    # The rms speed of a flat band is 2π √((f₂³ − f₁³)/3/(f₂ − f₁)) of the rms travel, and half of a
    # normal distribution has 95 % below 1.96 of it.
    pace = 2 * np.pi * np.sqrt((high**3 - low**3) / 3 / (high - low))
    assert inside(found.wheel.compression_95, 1.96 * size * pace, 0.02)
    band = (found.spectrum.frequency > low + 0.4) & (found.spectrum.frequency < high - 0.4)
    assert found.spectrum.density[band].mean() == pytest.approx(size**2 / (high - low), rel=0.06)


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("ratio", [0.15, 0.3, 0.5])
def test_the_body_peak_of_a_mass_on_a_spring_is_its_natural_frequency(ratio: float) -> None:
    pace, count = 2 * np.pi * 2.5, round(600 * RATE)
    turn = 2 * np.pi * np.fft.rfftfreq(count, 1 / RATE)
    slope = np.fft.rfft(np.random.default_rng(5).normal(size=count))
    travel = np.fft.irfft(slope * 1j * turn / (pace**2 - turn**2 + 2j * ratio * pace * turn), count)
    found = statistics(of_wheel(values(0.060 + 0.015 * travel / travel.std())))
    peak = found.spectrum.body_peak
    assert peak.low < 2.5 < peak.high
    assert abs(peak.value - 2.5) < 0.12


@pytest.mark.slow
def test_the_intervals_hold_what_they_promise() -> None:
    # Of many runs over the same trail, nine in ten intervals hold the true 95 % travel.
    held, widths = 0, []
    for seed in range(25):
        travel = 0.070 + 0.015 * noise(np.random.default_rng(seed), 60.0, 0.5, 3.0, 100.0)
        estimate = statistics(of_wheel(values(travel), 100.0)).travel_95
        held += estimate.low <= 0.070 + 1.6449 * 0.015 <= estimate.high
        widths.append(estimate.high - estimate.low)
    assert 19 <= held <= 25
    assert 0.002 < float(np.median(widths)) < 0.006


# --- speeds ----------------------------------------------------------------------------------


@pytest.mark.parametrize("rate", [100.0, 200.0, 500.0, 1000.0])
def test_the_speed_of_a_sine_loses_three_decibels_at_the_stated_bandwidth(rate: float) -> None:
    _, bandwidth = differentiator(rate)
    gains = []
    for frequency in (2.0, bandwidth):
        turn = 2 * np.pi * frequency
        angle = turn * clock(8.0, rate) + 0.3
        speed, due = speed_of(values(np.sin(angle)), rate)[100:-100], turn * np.cos(angle)[100:-100]
        gains.append(speed @ due / (due @ due))
    assert gains[0] == pytest.approx(1.0, abs=1e-3)
    assert gains[1] == pytest.approx(np.sqrt(0.5), abs=2e-3)
    assert bandwidth >= min(40.0, rate / 6)


# --- flights and hits ------------------------------------------------------------------------


def test_a_flight_and_its_landing() -> None:
    time = clock(20.0)
    travel = np.full(len(time), 0.045) + 0.001 * np.sin(9.0 * time)
    travel[(time >= 5.0) & (time < 5.4)] = 0.001
    landing = (time >= 5.4) & (time < 5.5)
    travel[landing] = 0.001 + 0.119 * np.sin(np.pi / 2 * (time[landing] - 5.4) / 0.1)
    after = time >= 5.5
    travel[after] = 0.045 + 0.075 * np.exp(-(time[after] - 5.5) / 0.2)
    found = statistics(of_wheel(values(travel)))
    assert len(found.flights) == 1
    flight = found.flights[0]
    assert flight.start == pytest.approx(5.0, abs=0.02)
    assert flight.duration == pytest.approx(0.4, abs=0.03)
    assert flight.travel == pytest.approx(0.120, abs=1e-3)
    assert flight.speed == pytest.approx(0.119 * np.pi / 2 / 0.1, rel=0.15)
    assert found.airtime_share.value == pytest.approx(0.4 / 20.0, abs=2e-3)
    assert found.hits[0].travel == pytest.approx(0.120, abs=1e-3)
    assert found.hits[0].time == pytest.approx(5.5, abs=0.01)


def test_the_rest_position_of_a_drawn_in_shock_is_in_the_air_too() -> None:
    time = clock(20.0)
    travel = np.interp(time, [5.0, 5.05, 5.5, 5.55], [0.045, 0.012, 0.012, 0.045])
    travel += 0.002 * np.sin(8 * time) * (travel > 0.013)
    log = of_wheel(values(travel))
    assert len(statistics(log).flights) == 0
    assert len(statistics(log, rest=0.012).flights) == 1


def test_the_ten_hardest_hits_are_the_deepest_and_then_the_fastest() -> None:
    time = clock(60.0)
    travel = np.full(len(time), 0.030)
    for count in range(20):
        near = np.abs(time - 3.0 * count - 1.0) < 0.3
        width = 0.10 if count % 2 else 0.15
        travel[near] += (0.040 + 0.003 * count) * np.exp(-(((time[near] - 3.0 * count - 1.0) / width) ** 2))
    found = statistics(of_wheel(values(travel)))
    assert [round((hit.time - 1.0) / 3.0) for hit in found.hits] == list(range(19, 9, -1))
    assert found.hits[0].wheel_speed > found.hits[1].wheel_speed
    assert found.hits[0].shaft_speed == pytest.approx(found.hits[0].wheel_speed / 2.5, rel=1e-6)


def test_a_hit_that_the_sensor_reads_at_its_deepest_twice_counts_once() -> None:
    time = clock(30.0)
    travel = values(0.030 + 0.060 * np.exp(-(((time - 15.0) / 0.10) ** 2)))
    deepest = int(np.argmax(travel))
    travel[deepest - 2 : deepest + 3] = [0.0899, 0.0900, 0.0899, 0.0900, 0.0899]
    hits = statistics(of_wheel(travel)).hits
    assert [round(hit.time, 1) for hit in hits if hit.travel > 0.08] == [15.0]


# --- what is left out ------------------------------------------------------------------------


def reasons(log: Log) -> list[tuple[Reason, int]]:
    return [(one.reason, one.samples) for one in log.left_out]


def ride(seconds: float = 30.0) -> tuple[Values, Values]:
    time = clock(seconds)
    return time, values(0.020 + 0.010 * np.sin(11.0 * time))


def test_a_clean_log_leaves_nothing_out() -> None:
    time, stroke = ride()
    log = read_log(time, stroke, FALLING)
    assert reasons(log) == []
    assert log.kept == pytest.approx(30.0)
    np.testing.assert_array_equal(log.pieces[0].stroke, stroke)
    np.testing.assert_allclose(log.pieces[0].wheel, FALLING.at_stroke(stroke).wheel, atol=1e-8)


def test_a_gap_cuts_the_log_and_is_named() -> None:
    time, stroke = ride()
    keep = (time < 10.0) | (time >= 10.5)
    log = read_log(time[keep], stroke[keep], FALLING)
    assert reasons(log) == [("gap", 0)]
    assert log.left_out[0].start == pytest.approx(9.998)
    assert log.left_out[0].end == pytest.approx(10.5)
    assert [len(piece.wheel) for piece in log.pieces] == [5000, 9750]


def test_readings_of_an_uneven_clock_after_a_gap_are_kept_as_they_are() -> None:
    time, stroke = ride()
    keep = (time < 10.0) | (time >= 10.5)
    uneven = time + 0.3 / RATE * np.sin(1e3 * time)
    log = read_log(values(uneven[keep]), stroke[keep], FALLING)
    np.testing.assert_array_equal(log.pieces[1].stroke, stroke[time >= 10.5])


def test_repeated_times_and_missing_readings_are_dropped_and_named() -> None:
    time, stroke = ride()
    time[4000:4003] = time[3999]
    stroke[9000:9010] = np.nan
    log = read_log(time, stroke, FALLING)
    assert reasons(log) == [("repeated", 3), ("missing", 10)]
    assert [len(piece.wheel) for piece in log.pieces] == [4000, 4997, 5990]


def test_a_spike_a_jump_and_a_reading_beyond_the_travel_are_named() -> None:
    time, stroke = ride()
    stroke[2500] += 0.020
    stroke[5000] = 0.080
    stroke[7500:] += 0.015
    log = read_log(time, stroke, FALLING)
    assert reasons(log) == [("spike", 1), ("outside", 1), ("jump", 0)]
    assert len(log.pieces) == 4
    assert max(piece.wheel.max() for piece in log.pieces) < 0.12


def test_a_hard_stroke_is_no_spike() -> None:
    # 8 m/s at the wheel into the stop, and back within a fiftieth of a second.
    time = clock(20.0)
    near = np.abs(time - 10.0) < 0.019
    travel = np.where(near, 0.150 - 8.0 * np.abs(time - 10.0), 0.0) + 0.001
    log = read_log(time, values(np.minimum(travel, 0.150)), STRAIGHT, "wheel")
    assert reasons(log) == []


@pytest.mark.parametrize("rate", [100.0, 200.0, 800.0, 1000.0])
def test_a_clock_of_whole_milliseconds_is_no_gap(rate: float) -> None:
    time = clock(30.0, rate)
    log = read_log(values(np.round(time, 3)), values(0.02 + 0.01 * np.sin(9 * time)), FALLING)
    assert reasons(log) == []
    assert log.rate == pytest.approx(rate, rel=1e-4)


def test_pieces_too_short_to_keep_are_named() -> None:
    time, stroke = ride()
    keep = (time < 10.0) | ((time >= 10.5) & (time < 11.0)) | (time >= 11.5)
    log = read_log(time[keep], stroke[keep], FALLING)
    assert reasons(log) == [("gap", 0), ("short", 250), ("gap", 0)]
    assert len(log.pieces) == 2


@pytest.mark.parametrize(
    ("code", "time", "stroke"),
    [
        ("too_few_samples", values([0.0]), values([0.0])),
        ("too_few_samples", values([0.0, 0.0, np.nan]), values([0.0, 0.01, 0.02])),
        ("too_slow", clock(30.0, 50.0), values(0.02 + 0.01 * np.sin(clock(30.0, 50.0)))),
        ("too_short", clock(4.0), values(0.02 + 0.01 * np.sin(9 * clock(4.0)))),
        ("no_movement", clock(30.0), np.full(15_000, 0.02)),
    ],
)
def test_a_log_of_no_use_is_refused(code: str, time: Values, stroke: Values) -> None:
    with pytest.raises(Unusable) as caught:
        read_log(time, stroke, FALLING)
    assert caught.value.code == code
    assert set(caught.value.values) == set(UNUSABLE[code])


def test_raw_counts_run_either_way() -> None:
    counts = values([3800.0, 2100.0, 400.0])
    assert of_counts(counts, 3800.0, 400.0, 0.060).tolist() == pytest.approx([0.0, 0.030, 0.060])
    assert of_counts(counts, 400.0, 3800.0, 0.060).tolist() == pytest.approx([0.060, 0.030, 0.0])
    with pytest.raises(Unusable, match="same_reading"):
        of_counts(counts, 400.0, 400.0, 0.060)


@pytest.mark.slow
def test_fork_and_wheel_channels_agree() -> None:
    fork = leverage_curve(Frame(0.150, 0.1625, Fork(np.radians(67.4))))
    time, stroke = clock(30.0), values(0.05 + 0.03 * np.sin(9 * clock(30.0)))
    along = statistics(read_log(time, stroke, fork))
    upright = statistics(read_log(time, fork.at_stroke(stroke).wheel, fork, "wheel"))
    for name, one in along.estimates().items():
        other = upright.estimates()[name]
        np.testing.assert_allclose([one.value, one.low], [other.value, other.low], rtol=1e-6, err_msg=name)


# --- runs and channels side by side ----------------------------------------------------------


def test_two_runs_differ_only_where_their_intervals_part() -> None:
    rng = np.random.default_rng(11)
    first, second, deeper = (
        statistics(of_wheel(values(middle + 0.015 * noise(rng, 120.0, 0.5, 3.0))))
        for middle in (0.060, 0.060, 0.075)
    )
    same = compared(first, second)
    assert [one.name for one in same] == list(first.estimates())
    assert sum(one.differs for one in same) <= 2
    named = {one.name for one in compared(first, deeper) if one.differs}
    assert {"mean", "median", "travel_95"} <= named
    assert "wheel.compression_95" not in named


def test_estimates_that_touch_do_not_part() -> None:
    assert not part(Estimate(1.0, 0.9, 1.1), Estimate(1.2, 1.1, 1.3))
    assert part(Estimate(1.0, 0.9, 1.1), Estimate(1.2, 1.11, 1.3))


@pytest.mark.parametrize("lag", [-0.11, 0.0, 0.11, 0.4])
def test_front_and_rear_of_a_known_slope_and_lag(lag: float) -> None:
    rng, count = np.random.default_rng(2), round(120 * RATE)
    base, shift = noise(rng, 122.0, 0.5, 4.0), round(lag * RATE)
    ahead = base[500 + shift : 500 + shift + count]
    rear = values(0.045 + 0.0225 * base[500 : 500 + count] + 0.003 * rng.normal(size=count))
    front = values(0.045 + 0.0180 * ahead + 0.003 * rng.normal(size=count))
    found = together(of_wheel(front), of_wheel(rear))
    assert inside(found.lag, lag, 0.003)
    # In shares of 150 mm: equal scatter of 2 % in both leaves the slope of total least squares as it is.
    assert inside(found.slope, 0.8, 0.01)
    assert found.slope.low < 0.8 < found.slope.high
    assert inside(found.offset, 0.06, 0.005)
    assert found.scatter.value == pytest.approx(0.02 * np.hypot(1.0, 0.8), rel=0.03)


def test_a_lag_between_two_samples_is_told() -> None:
    time, lag = clock(120.0), 0.1113  # 55.65 samples
    parts = [(0.7, 0.3), (1.3, 1.1), (1.9, 2.0), (2.6, 0.9), (3.3, 2.5)]

    def at(when: Values) -> Values:
        swing = sum(np.sin(2 * np.pi * pace * when + phase) for pace, phase in parts)
        return values(0.060 + 0.008 * swing)

    found = together(of_wheel(at(values(time + lag))), of_wheel(at(time)))
    assert inside(found.lag, lag, 2e-4)


def test_channels_that_share_no_time_are_refused() -> None:
    time, stroke = ride()
    with pytest.raises(Unusable, match="too_short"):
        together(read_log(time, stroke, FALLING), read_log(time + 27.0, stroke, FALLING))


def test_progress_is_told_and_can_stop_the_work() -> None:
    time, stroke = ride()
    log, heard = read_log(time, stroke, FALLING), list[float]()
    statistics(log, progress=heard.append)
    assert heard == sorted(heard)
    assert heard[-1] == 1.0

    def stop(share: float) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        statistics(log, progress=stop)
