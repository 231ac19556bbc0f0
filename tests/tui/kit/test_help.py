"""What help says a change does is what the figures do: every direction is tried on invented bikes."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any, NamedTuple

import numpy as np
import pytest

from physics.answer import SetupAnswer
from physics.bench import answer
from physics.case import Coil, Setup
from tests.physics.test_cautions import AIRED, falling
from tui.job.answer import answer_job
from tui.job.cautions import _SENTENCES
from tui.job.demo import demo_job
from tui.job.figures import every_figure
from tui.job.job import Job
from tui.job.panels import panels
from tui.job.tree import Raw
from tui.job.wheels import wheel_job
from tui.shop_units import gauge

_SAME = 1e-6
"""Share below which a figure counts as unmoved."""


def _solved(job: Job) -> Job:
    return job


def _held(job: Job) -> Job:
    """Return the job with every pressure and rate typed as it was solved."""
    found = answer_job(job).answer
    for index, setup in enumerate(found.setups):
        if setup.air is not None:
            bar = gauge(float(setup.air.set_pressure), float(found.shop.pressure)) / 1e5
            job = job.with_value(("setup", index, "pressure"), f"{bar:.6f} bar")
        elif setup.coil is not None:
            job = job.with_value(("setup", index, "rate"), f"{float(setup.coil.rate) / 1e3:.6f} N/mm")
    return job


def _without(job: Job, setup: int, *keys: str) -> Job:
    for key in keys:
        job = job.without(("setup", setup, key))
    return job


def _bare(job: Job) -> Job:
    """Return the job without its bumpers."""
    for index in range(len(job.setups)):
        job = _without(job, index, "bumper_length", "bumper_force")
    return job


def _two_valves(job: Job, pressure: str) -> Job:
    for index, setup in enumerate(job.setups):
        if setup.get("kind") == "air":
            job = job.with_value(("setup", index, "negative"), "separate")
            job = _without(job, index, "port").with_value(("setup", index, "negative_pressure"), pressure)
    return job


REAR, FRONT = (wheel_job(demo_job(), end) for end in ("rear", "front"))
COIL, AIR, FORK = (REAR, 0), (REAR, 1), (FRONT, 0)
REAR_VALVES = (_two_valves(REAR, "150 psi"), 1)
FORK_VALVES = (_two_valves(FRONT, "50 psi"), 0)
BARE_AIR, BARE_FORK = (_bare(REAR), 1), (_bare(FRONT), 0)

Read = Callable[[SetupAnswer], float]


class Claim(NamedTuple):
    """Words of the help of `of` (the key of a figure or of a field), and what holds if they are true.

    On each of the bikes the key of the setup that `change` names goes from its first value to the second,
    pressures and rates solved for the sag or held as they were; `figure` then moves up (1), down (-1) or
    stays (0).
    """

    of: str
    words: str
    bikes: tuple[tuple[Job, int], ...]
    change: tuple[str, Raw, Raw]
    figure: Read
    moves: int
    how: Callable[[Job], Job] = _held


def _sag(found: SetupAnswer) -> float:
    return float(found.sag.wheel)


def _start(found: SetupAnswer) -> float:
    return float(found.figures.starting_shaft)


def _end(found: SetupAnswer) -> float:
    return float(found.riding.bottom_wheel_force)


def _ramp(found: SetupAnswer) -> float:
    return float(found.riding.end_ramp)


def _dip(found: SetupAnswer) -> float:
    return float(found.riding.chord_deviation)


def _gap(found: SetupAnswer) -> float:
    return float(found.sag.band_high - found.sag.band_low)


def _load(found: SetupAnswer) -> float:
    return float(found.sag.shaft_force)


def _pressure(found: SetupAnswer) -> float:
    return float(math.nan if found.air is None else found.air.set_pressure)


def _rest(found: SetupAnswer) -> float:
    return float(math.nan if found.air is None else found.air.rest_stroke)


def _pull_in(found: SetupAnswer) -> float:
    """Return how hard the negative side pulls a quarter of the stroke in."""
    return -float(np.interp(0.25 * found.curve.stroke[-1], found.curve.stroke, found.curve.negative))


def _air(name: str) -> Read:
    def read(found: SetupAnswer) -> float:
        return float(getattr(found.air, name))

    return read


def _ride(name: str) -> Read:
    def read(found: SetupAnswer) -> float:
        ride = found.ride
        assert ride is not None
        if name == "gauge":
            return float(ride.set_pressure - ride.ambient.pressure)
        return float(getattr(ride, name))

    return read


_PORTED, _VALVES = (AIR, FORK), (REAR_VALVES, FORK_VALVES)
_EVERY = (*_PORTED, *_VALVES)
_SPACERS = (0, 2)
_WIDER = ("negative_volume", "20 cm3", "30 cm3")
_FILLED = ("negative_spacers", *_SPACERS)
_PUMPED = ("negative_pressure", "130 psi", "170 psi")
_LET_OUT = ("negative_pressure", "90 psi", "70 psi")
_WOUND = ("preload_turns", 0.5, 2.5)
_STIFFER = ("rate", "430 lbf/in", "480 lbf/in")
_HARDER = ("pressure", "210 psi", "235 psi")
_PLUS = ("positive_spacers", *_SPACERS)
_ROOMIER = ("positive_volume", "112 cm3", "130 cm3")
_BUMPER = ("bumper_force", "600 N", "1500 N")
_RAISED = "rate, pressure, spacers and bumper raise it"

CLAIMS = (
    # Negative chamber, however it is filled.
    Claim("negative_volume", "More adds sag at the same pressure", _EVERY, _WIDER, _sag, 1),
    Claim("negative", "more negative volume acts deeper", _EVERY, _WIDER, _pull_in, 1),
    Claim("negative_volume", "the same sag: more pressure", _EVERY, _WIDER, _pressure, 1, _solved),
    Claim("negative_volume", "higher breakaway", (AIR, *_VALVES), _WIDER, _start, 1, _solved),
    Claim("negative_spacers", "Less sag; for the same sag", _EVERY, _FILLED, _sag, -1),
    Claim("negative_spacers", "the same sag: less pressure", _EVERY, _FILLED, _pressure, -1, _solved),
    Claim("negative_spacers", "lower breakaway", (AIR, REAR_VALVES), _FILLED, _start, -1, _solved),
    Claim("negative", "More lowers breakaway", (REAR_VALVES,), _PUMPED, _start, -1),
    Claim("starting_shaft", "negative force lowers it", (REAR_VALVES,), _PUMPED, _start, -1),
    Claim("rest_stroke", "An earlier port", (FORK,), ("port", "9 mm", "5 mm"), _rest, -1),
    Claim("rest_stroke", "less negative pressure lessens it", (FORK_VALVES,), _LET_OUT, _rest, -1),
    # Preload and rate.
    Claim("preload", "less sag", (COIL,), _WOUND, _sag, -1),
    Claim("preload", "More: higher breakaway", (COIL,), _WOUND, _start, 1),
    Claim("starting_shaft", "Preload raises it", (COIL,), _WOUND, _start, 1),
    Claim("rate", "Stiffer: less sag", (COIL,), _STIFFER, _sag, -1),
    Claim("rate", "most near bottom-out", (COIL,), _STIFFER, _end, 1),
    # Pressure, spacers, bumper.
    Claim("set_pressure", "More is stiffer all through", (AIR,), _HARDER, _sag, -1),
    Claim("bottom_wheel_force", _RAISED, (COIL,), _STIFFER, _end, 1),
    Claim("bottom_wheel_force", _RAISED, (AIR,), _HARDER, _end, 1),
    Claim("bottom_wheel_force", _RAISED, (AIR, FORK), _PLUS, _end, 1),
    Claim("bottom_wheel_force", _RAISED, (COIL, AIR, FORK), _BUMPER, _end, 1),
    Claim("positive_spacers", "Each raises the bottom-out force", (AIR, FORK), _PLUS, _end, 1, _solved),
    Claim("compression_ratio", "Higher is firmer near bottom-out", (AIR, FORK), _PLUS, _end, 1),
    Claim("compression_ratio", "spacers raise it", (AIR, FORK), _PLUS, _air("compression_ratio"), 1),
    Claim("compression_ratio", "a larger chamber lowers it", (AIR,), _ROOMIER, _air("compression_ratio"), -1),
    Claim("peak_pressure", "spacers raise it", (AIR, FORK), _PLUS, _air("peak_pressure"), 1),
    Claim("peak_pressure", "Set pressure and spacers raise it", (AIR,), _HARDER, _air("peak_pressure"), 1),
    Claim("fast_peak_pressure", "Spacers raise it", (AIR, FORK), _PLUS, _air("fast_peak_pressure"), 1),
    Claim("fast_peak_temperature", "spacers raise it", (AIR, FORK), _PLUS, _air("fast_peak_temperature"), 1),
    Claim("end_ramp", "a bumper raises it", (COIL, AIR, FORK), _BUMPER, _ramp, 1),
    Claim("end_ramp", "without one, spacers do", (BARE_AIR, BARE_FORK), _PLUS, _ramp, 1),
    Claim("chord_deviation", "Spacers deepen it", (AIR, FORK, BARE_AIR, BARE_FORK), _PLUS, _dip, -1),
    Claim("chord_deviation", "a bumper does not", (COIL, AIR, FORK), _BUMPER, _dip, 0),
    # Seals and load.
    Claim("sag_band_high", "service narrows it", (COIL, AIR, FORK), ("friction", "40 N", "10 N"), _gap, -1),
    Claim("shaft_force", "the spring rate does not", (AIR,), _PLUS, _load, 0, _solved),
)
_OF_THE_BIKE = (
    ("shaft_force", "Rider load", ("load", "rider_mass"), ("70 kg", "90 kg"), _load, 1),
    ("ride_set_pressure", "Cold lowers it", ("ride", "temperature"), ("20 degC", "-5 degC"),
     _ride("gauge"), -1),
    ("ride_set_pressure", "altitude raises it", ("ride", "altitude"), ("400 m", "2500 m"), _ride("gauge"), 1),
    ("ride_sag_fraction", "Cold adds sag to an air spring", ("ride", "temperature"), ("20 degC", "-5 degC"),
     _ride("sag_wheel_fraction"), 1),
)  # fmt: skip


def help_of(key: str) -> str:
    """Return the help of a field of a setup or of a figure, the field's first where both bear the name."""
    jobs = (REAR, FRONT, REAR_VALVES[0])
    fields = {row.path[-1]: row.meaning for job in jobs for panel in panels(job) for row in panel.rows}
    figures = {figure.name: figure.meaning for figure in every_figure()}
    return figures.get(key) or str(fields[key])


def _moved(before: float, after: float) -> int:
    apart = after - before
    return 0 if abs(apart) <= _SAME * max(abs(before), abs(after)) else (1 if apart > 0 else -1)


@pytest.mark.fast_cases(2)
@pytest.mark.parametrize("claim", CLAIMS, ids=lambda claim: f"{claim.of}: {claim.words}")
def test_help_says_what_the_figures_do(claim: Claim) -> None:
    assert claim.words in help_of(claim.of)
    for job, setup in claim.bikes:
        held, (key, *raws) = claim.how(job), claim.change
        tried = (held.with_value(("setup", setup, key), raw) for raw in raws)
        before, after = (claim.figure(answer_job(one).answer.setups[setup]) for one in tried)
        assert math.isfinite(before)
        assert math.isfinite(after)
        assert _moved(before, after) == claim.moves, (job.setups[setup].get("name"), before, after)


@pytest.mark.parametrize("row", _OF_THE_BIKE, ids=lambda row: f"{row[0]}: {row[1]}")
def test_help_says_what_load_and_weather_do(row: tuple[Any, ...]) -> None:
    key, words, path, change, read, moves = row
    assert words in help_of(key)
    held = _held(REAR)
    before, after = (float(read(answer_job(held.with_value(path, raw)).answer.setups[1])) for raw in change)
    assert _moved(before, after) == moves


def test_more_pressure_and_a_stiffer_coil_add_most_at_the_end() -> None:
    changes = ((1, "pressure", "210 psi", "235 psi"), (0, "rate", "430 lbf/in", "480 lbf/in"))
    for setup, key, low, high in changes:
        soft, hard = (
            answer_job(REAR.with_value(("setup", setup, key), raw)).answer.setups[setup].curve.wheel_force
            for raw in (low, high)
        )
        added = hard - soft
        assert (added > 0).all()
        assert added.argmax() == added.size - 1


def test_preload_gains_little_at_the_end() -> None:
    # A damper's charge starts the shaft as well, whatever the preload.
    held = _held(_without(REAR, 0, "gas_pressure", "gas_volume"))
    before, after = (
        answer_job(held.with_value(("setup", 0, "preload_turns"), turns)).answer.setups[0]
        for turns in (0.5, 2.5)
    )
    assert "little change at bottom-out" in help_of("preload")
    assert 0 < _end(after) / _end(before) - 1 < 0.05
    assert _start(after) / _start(before) > 3


def test_spacers_leave_the_start_much_the_same() -> None:
    assert "breakaway changes little" in help_of("positive_spacers")
    for job, setup in (AIR, FORK):
        before, after = (
            float(
                _start(
                    answer_job(job.with_value(("setup", setup, "positive_spacers"), n)).answer.setups[setup]
                )
            )
            for n in _SPACERS
        )
        assert after == pytest.approx(before, rel=0.1)


def test_a_coil_is_the_same_slow_and_fast_and_air_is_stiffer_fast() -> None:
    coil, air = answer_job(REAR).answer.setups
    assert "a coil is the same" in help_of("fast_bottom_shaft")
    assert float(coil.figures.fast_rate_at_sag) == pytest.approx(float(coil.figures.rate_at_sag))
    assert float(air.figures.fast_rate_at_sag) > float(air.figures.rate_at_sag)
    assert float(air.figures.fast_natural_frequency) > float(air.figures.natural_frequency)


def test_what_is_said_to_lessen_a_falling_wheel_force_does() -> None:
    assert "less preload or more spacers lessen it" in _SENTENCES["falling_force"]
    case = falling()
    [setup] = case.setups

    def lowest(tried: Setup) -> float:
        return float(answer(replace(case, setups=(tried,))).setups[0].figures.softest_wheel_rate)

    preloads = (0.010, 0.004, 0.0)
    spring = setup.spring
    assert isinstance(spring, Coil)
    coils = [lowest(replace(setup, spring=replace(spring, preload=preload))) for preload in preloads]
    assert coils[0] < 0
    assert coils == sorted(coils)
    airs = [lowest(Setup("air", replace(AIRED, positive_spacers=count))) for count in (0.0, 1.0, 2.0)]
    assert airs == sorted(airs)


_DIRECTION = re.compile(
    r"\b((raises?|lowers?|lessens?|cures?|deepens?|narrows?) it|(higher|lower|lowers) breakaway|"
    r"raises the bottom-out|(adds|[Ll]ess|more) sag|stiffer all through|firmer near|acts deeper)\b"
)


def test_every_help_that_tells_a_direction_is_tried() -> None:
    tried = {claim.of for claim in CLAIMS} | {row[0] for row in _OF_THE_BIKE}
    jobs = (REAR, FRONT, REAR_VALVES[0])
    fields = {str(row.path[-1]): row.meaning for job in jobs for panel in panels(job) for row in panel.rows}
    figures = {figure.name: figure.meaning for figure in every_figure()}
    meanings = (*fields.items(), *figures.items())
    telling = {key for key, meaning in meanings if _DIRECTION.search(meaning)}
    assert telling >= {"negative_volume", "negative_spacers", "preload", "compression_ratio", "rest_stroke"}
    assert telling - tried == set(), "what a help says of more or less is tried: a row of CLAIMS"
