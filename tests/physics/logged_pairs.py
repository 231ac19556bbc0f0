"""Invented rides for tests: random pairs of setups of one wheel over the same ground, and what a sensor logs.

Rear and fork, coil and air, dampers, friction, tyres and masses at random; the ground is a random road of an
ISO 8608 class with edges, bumps, hollows and drops on it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.random import Generator

from physics import bench
from physics.arrays import Values, values
from physics.case import (
    Air,
    Bumper,
    Case,
    Coil,
    Damper,
    DampingShare,
    EqualisedNegative,
    Fork,
    Frame,
    LeverageEnds,
    RiderAndBike,
    Setup,
    Target,
    Tyre,
)
from physics.ground import Bumps, Course, Road, RoadClass, SquareEdge, course
from physics.leverage import remembered_curve
from physics.log import Log, read_log
from physics.motion import Lane, Start, stepped
from physics.ride import lanes_of
from physics.same_ground import LoggedRide, SameGround, ridden_again
from tests.physics.examples import SHOP

TRUTH = 1000.0
"""Rate [Hz] at which the travel of a pair is known."""
STEP = 0.5e-3
LEVEL = Course(1e-3, values(np.zeros(2)), values(np.zeros(2)))


@dataclass(frozen=True)
class Pair:
    """A case of two setups, their lanes, and the travel (2, points) [m] of both over one ground."""

    case: Case
    lanes: tuple[Lane, Lane]
    travel: Values

    @property
    def full(self) -> float:
        return float(self.case.frame.wheel_travel)

    def log(self, rate: float, rng: Generator, noise: float = 0.1e-3, bits: int = 10) -> Log:
        """Return what a sensor on shock or fork records of the first setup: noise [m] of travel, rounded."""
        lever = remembered_curve(self.case.frame)
        wheel = self.travel[0, :: round(TRUTH / rate)]
        full = float(lever.stroke)
        stroke = np.interp(wheel, lever.nodes.wheel, lever.nodes.stroke)
        stroke += rng.normal(0.0, noise * full / self.full, len(stroke))
        steps = 2**bits - 1
        read = np.round(np.clip(stroke / full, 0.0, 1.0) * steps) / steps * full
        return read_log(values(np.arange(len(read)) / rate), values(read), lever)


def pairs(count: int, seconds: float, seed: int) -> list[Pair]:
    """Return random pairs, every setup ridden over its ground by the equations of `physics.motion`."""
    rng = np.random.default_rng(seed)
    found = list[tuple[Case, tuple[Lane, Lane]]]()
    lanes, grounds = list[Lane](), list[tuple[Values, Values]]()
    while len(found) < count:
        case = _case(rng, is_fork=len(found) % 3 == 2)
        answer = bench.answer(case)
        one, other = lanes_of(case, answer, LEVEL)
        if one is None or other is None:
            continue
        found.append((case, (one, other)))
        track = _track(rng, seconds)
        lanes += [one, other]
        grounds += [(track.height, track.rise)] * 2
    kept = stepped(lanes, [Start()] * len(lanes), grounds, STEP, columns=1, every=round(1 / STEP / TRUTH))
    travel = kept[:, 0].reshape(count, 2, -1)
    return [Pair(case, both, values(one)) for (case, both), one in zip(found, travel, strict=True)]


def _case(rng: Generator, is_fork: bool) -> Case:
    def between(low: float, high: float) -> float:
        return float(rng.uniform(low, high))

    travel = between(0.13, 0.18)
    if is_fork:
        load = RiderAndBike(between(60, 100), between(0.38, 0.46), between(13, 17), 0.5, between(2.0, 3.5))
        angle = np.radians(between(63, 66))
        frame = Frame(travel, travel / float(np.sin(angle)), Fork(float(angle)))
        target = Target(between(0.17, 0.23), "travel")
    else:
        load = RiderAndBike(between(60, 100), between(0.50, 0.62), between(13, 17), 0.5, between(3.0, 5.5))
        mean, progression = between(2.4, 2.9), between(0.02, 0.25)
        start, end = mean * (1 + progression / 2), mean * (1 - progression / 2)
        stroke = travel * float(np.log(start / end)) / (start - end)
        frame = Frame(travel, stroke, LeverageEnds(start, end))
        target = Target(between(0.25, 0.32), "travel")
    compression, rebound = between(0.15, 0.30), between(0.30, 0.55)
    made: list[Callable[[], Setup]] = [
        lambda: Setup("coil", Coil(None, 0.0, 4378.0), between(5, 20)),
        lambda: Setup("air", _air(between, float(frame.stroke), is_fork), between(10, 35)),
    ]
    # In seven of ten pairs one is a coil and the other air.
    kinds = rng.permutation(2) if rng.random() < 0.7 else rng.integers(0, 2, 2)
    setups = []
    for kind in kinds:
        bumper = Bumper(between(0.05, 0.12) * float(frame.stroke), between(800, 2500))
        damper = Damper(
            DampingShare(compression * between(0.9, 1.15)), DampingShare(rebound * between(0.9, 1.15))
        )
        setups.append(replace(made[kind](), bumper=bumper, damper=damper))
    tyre = Tyre(between(80e3, 140e3), between(60, 150))
    return Case(load, frame, target, SHOP, tuple(setups), tyre=tyre)


def _air(between: Callable[[float, float], float], stroke: float, is_fork: bool) -> Air:
    bore, rod, body = (
        (between(0.028, 0.034), 0.0, 0.010) if is_fork else (between(0.036, 0.042), 0.009, 0.027)
    )
    volume = np.pi / 4 * (bore**2 - rod**2) * stroke * between(1.5, 1.9)
    share = between(0.1, 0.3) if is_fork else between(0.3, 0.8)
    pulling = np.pi / 4 * (bore**2 - body**2) * stroke * share
    negative = EqualisedNegative(float(pulling), 0, 1e-6, between(0.09, 0.13) * stroke)
    return Air(None, bore, rod, body, float(volume), 0, 6e-6, negative)


def _track(rng: Generator, seconds: float) -> Course:
    """Return a random road with edges, bumps and drops on it."""
    roads: tuple[tuple[RoadClass, float], ...] = (("C", 9.0), ("D", 8.0), ("D", 6.0))
    road_class, fastest = roads[rng.integers(3)]
    speed = float(rng.uniform(4.0, fastest))
    height = course(Road(road_class, speed, int(rng.integers(10**6))), 0.35, STEP, seconds).height.copy()
    for _ in range(rng.integers(3, 8)):
        match rng.integers(3):
            case 0:
                added = course(SquareEdge(float(rng.uniform(0.04, 0.15)), speed), 0.35, STEP).height
            case 1:
                train = Bumps(
                    float(rng.uniform(0.05, 0.2)),
                    float(rng.uniform(1.0, 3.0)),
                    speed,
                    int(rng.integers(1, 6)),
                )
                added = course(train, 0.35, STEP).height
            case _:
                # A drop off an edge: the ground falls away within the wheel's length.
                edge = course(SquareEdge(0.30, speed), 0.35, STEP).height
                added = edge * (-float(rng.uniform(0.2, 1.0)) / 0.30)
        begin = int(rng.integers(round(1.5 / STEP), len(height) - round(1.5 / STEP)))
        count = min(len(added), len(height) - begin)
        height[begin : begin + count] += added[:count]
        height[begin + count :] += added[count - 1]
    return Course(STEP, values(height), values(np.gradient(height, STEP)))


def ridden(
    some: Sequence[Pair], rate: float, seed: int, known: Sequence[Sequence[Lane]] | None = None
) -> list[SameGround]:
    """Return the logs of the first setups, ridden again on both; `known` are the lanes as one knows them."""
    rides = [
        LoggedRide(
            tuple(pair.lanes if known is None else known[n]),
            0,
            pair.log(rate, np.random.default_rng([seed, n])),
        )
        for n, pair in enumerate(some)
    ]
    return ridden_again(rides)


def true_travel(pair: Pair, found: SameGround, setup: int) -> Values:
    """Return the true travel (stretches, points) [m] of a setup at the points of a ride."""
    times = found.starts[:, None] + found.step * np.arange(found.log.shape[1])
    return values(np.interp(times, np.arange(pair.travel.shape[1]) / TRUTH, pair.travel[setup]))
