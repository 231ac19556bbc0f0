"""How long a logged ride takes: ten minutes at 500 Hz, and how much memory."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from physics import bench
from physics.arrays import values
from physics.case import Case
from physics.ground import Road, course
from physics.log import Log, read_log, statistics
from physics.motion import Start, stepped
from physics.ride import lanes_of, tyre_radius
from physics.same_ground import same_ground
from physics.stand import stand
from tests.physics.examples import SETUPS, case_of
from tests.physics.logged_pairs import LEVEL

RATE, SECONDS, STEP = 500.0, 600.0, 1e-3


def two_setups() -> Case:
    return case_of(SETUPS["coil with gas and bumper"], SETUPS["equalised"])


def ten_minutes(case: Case) -> Log:
    """Return the log of the first setup over a random road: 10 bits, 0.1 mm of noise."""
    lane = lanes_of(case, bench.answer(case), LEVEL)[0]
    assert lane is not None
    track = course(Road("C", 6.0, 5), tyre_radius(case), STEP, SECONDS)
    kept = stepped([lane], [Start()], [(track.height, track.rise)], STEP, columns=1, every=2)
    lever, rng = stand(case).lever, np.random.default_rng(2)
    wheel = kept[0, 0, : round(RATE * SECONDS)]
    stroke = np.interp(wheel, lever.nodes.wheel, lever.nodes.stroke) + rng.normal(0.0, 0.04e-3, len(wheel))
    full = float(lever.stroke)
    read = np.round(np.clip(stroke / full, 0.0, 1.0) * 1023) / 1023 * full
    return read_log(values(np.arange(len(read)) / RATE), values(read), lever)


def swaying() -> Log:
    """Return ten minutes of a body that sways in noise of its own frequency, at random."""
    rng, count = np.random.default_rng(1), round(RATE * SECONDS)
    turn = 2 * np.pi * np.fft.rfftfreq(count, 1 / RATE)
    slope = np.fft.rfft(rng.normal(size=count))
    pace = 2 * np.pi * 2.5
    travel = np.fft.irfft(slope * 1j * turn / (pace**2 - turn**2 + 0.6j * pace * turn), count)
    wheel = np.clip(0.050 + 0.025 * travel / travel.std(), 0.0, 0.150)
    return read_log(values(np.arange(count) / RATE), values(wheel), stand(two_setups()).lever, "wheel")


def test_the_statistics_of_ten_minutes(benchmark: BenchmarkFixture) -> None:
    log = swaying()
    found = benchmark(statistics, log)
    assert found.time == pytest.approx(SECONDS)
    if benchmark.stats is not None:
        assert benchmark.stats.stats.median <= 1.0


@pytest.mark.slow
def test_the_same_ground_of_ten_minutes_on_two_setups(benchmark: BenchmarkFixture) -> None:
    case = two_setups()
    log, answer = ten_minutes(case), bench.answer(case)
    found = benchmark.pedantic(same_ground, args=(case, answer, log, 0), rounds=3, iterations=1)
    assert found.given_back.whole
    assert found.time > 0.98 * SECONDS
    if benchmark.stats is not None:
        assert benchmark.stats.stats.min <= 6.0


_MEASURED = """
from pathlib import Path
from tests.benchmarks.test_log import bench, same_ground, statistics, ten_minutes, two_setups
case = two_setups()
log = ten_minutes(case)
statistics(log)
same_ground(case, bench.answer(case), log, 0)
status = dict(line.split(":", 1) for line in Path("/proc/self/status").read_text().splitlines())
print(int(status["VmHWM"].split()[0]) / 1024)
"""


@pytest.mark.slow
@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="tells its memory elsewhere")
def test_the_memory_of_ten_minutes() -> None:
    told = subprocess.run(
        [sys.executable, "-c", _MEASURED], capture_output=True, text=True, check=True, env=dict(os.environ)
    )
    assert float(told.stdout) <= 300.0
