"""What is offered over random jobs: within every limit, and what it promises is what its settings give."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from dataclasses import fields
from typing import Any

import numpy as np
import pytest

from physics.answer import SetupAnswer
from physics.case import Air, EqualisedNegative, SeparateNegative
from physics.cautions import usual_reach
from physics.faults import Reason
from physics.limits import HIGHEST_PRESSURE
from physics.match import Match
from physics.wants import Want, Wished
from tui.job.answer import JobAnswer, answer_job
from tui.job.demo import demo_job
from tui.job.faults import UnusableJob
from tui.job.job import Job
from tui.job.tree import Raw, Tree
from tui.job.wheels import wheel_job
from tui.shop_units import ALL, USUAL, ShopUnits
from tui.subjects.answers import answer_object
from tui.subjects.match import Offer, caution_texts, matched_job, wished_job

SEEDS, JOBS = range(10), 50
"""Parts that can run side by side, and the random jobs of each."""
REAR = wheel_job(demo_job(), "rear")
FIGURES = ("support_50", "support_75", "bottom_ratio", "slow_support_50", "end_ramp", "starting_wheel")


def random_job(rng: np.random.Generator) -> Job:
    """Return a coil and an air spring on a bike; some of it can never ride."""
    travel = rng.uniform(100, 200)
    stroke = travel / rng.uniform(2.1, 3.1)
    bore, rod = rng.uniform(28, 50), rng.uniform(8, 13)
    swept = math.pi / 4 * (bore**2 - rod**2) * stroke / 1e3
    ratio = travel / stroke
    fall = rng.uniform(-0.05, 0.15)
    air: dict[str, Raw] = {
        "name": "air",
        "kind": "air",
        "pressure": "solve",
        "bore": f"{bore:.1f} mm",
        "rod": f"{rod:.1f} mm",
        "body": f"{bore * rng.uniform(0.4, 0.9):.1f} mm",
        "positive_volume": f"{swept * rng.uniform(1.25, 2.2):.1f} cm3",
        "positive_spacers": int(rng.integers(0, 2)),
        "positive_spacer_volume": f"{swept * rng.uniform(0.02, 0.08):.2f} cm3",
        "friction": "25 N",
        **negative(rng, swept, stroke),
    }
    if rng.random() < 0.5:
        air["max_pressure"] = f"{rng.uniform(8, 28):.1f} bar" if rng.random() < 0.5 else "300 psi"
    if rng.random() < 0.3:
        air |= {"gas_pressure": "200 psi", "gas_volume": f"{swept * 0.3:.1f} cm3"}
    coil: dict[str, Raw] = {"name": "coil", "kind": "coil", "rate": "solve", "friction": "10 N"}
    coil |= {"preload_turns": 1.2, "thread_pitch": "1.5 mm"} if rng.random() < 0.5 else {"preload": "1 mm"}
    if rng.random() < 0.3:
        coil |= {"bumper_length": f"{stroke * 0.15:.1f} mm", "bumper_force": "1500 N"}
    return (
        REAR.with_value(("load", "rider_mass"), f"{rng.uniform(35, 125):.1f} kg")
        .with_value(("frame", "wheel_travel"), f"{travel:.1f} mm")
        .with_value(("frame", "stroke"), f"{stroke:.2f} mm")
        .with_value(
            ("frame", "leverage"),
            {"kind": "ends", "start": round(ratio * (1 + fall), 3), "end": round(ratio * (1 - fall), 3)},
        )
        .with_value(("target", "sag"), f"{rng.uniform(18, 36):.1f} %")
        .with_value(("setup",), (Tree(coil), Tree(air)))
    )


def negative(rng: np.random.Generator, swept: float, stroke: float) -> Mapping[str, Raw]:
    """Return one of the four negative springs."""
    kind = str(rng.choice(["equalised", "equalised", "separate", "mechanical", "none"]))
    chamber: dict[str, Raw] = {
        "negative": kind,
        "negative_volume": f"{swept * rng.uniform(0.1, 0.6):.1f} cm3",
        "negative_spacers": int(rng.integers(0, 2)),
        "negative_spacer_volume": f"{swept * rng.uniform(0.01, 0.04):.2f} cm3",
    }
    match kind:
        case "equalised":
            return {**chamber, "port": f"{stroke * rng.uniform(0.05, 0.3):.1f} mm"}
        case "separate":
            return {**chamber, "negative_pressure": f"{rng.uniform(50, 200):.0f} psi"}
        case "mechanical":
            return {"negative": kind, "negative_rate": "60 N/mm", "negative_length": f"{stroke * 0.2:.1f} mm"}
    return {"negative": kind}


def answered(job: Job) -> JobAnswer | None:
    try:
        return answer_job(job)
    except UnusableJob:
        return None


def offer_of(
    bike: JobAnswer, number: int, units: ShopUnits, rng: np.random.Generator
) -> tuple[int, Offer[Match] | Offer[Wished] | Reason]:
    """Return the setup that is set and what is offered of it, by turns in each of the ways there are."""
    match number % 10:
        case 0 | 1:
            return 0, matched_job(bike, 1, 0, units)
        case 2:
            return 0, wished_job(
                bike, 0, (Want("bottom_ratio", "just", float(rng.uniform(3.0, 6.0))),), units
            )
        case 3:
            return 1, matched_job(bike, 0, 1, units, volumes=True)
        case 4 | 5 | 6:
            return 1, matched_job(bike, 0, 1, units)
    want = Want(str(rng.choice(FIGURES)), "at least", float(rng.uniform(1.0, 12.0)))
    return 1, wished_job(bike, 1, (want,), units)


def assert_within_limits(setup: SetupAnswer, outside: float, reach: float) -> None:
    spring = setup.setup.spring
    if setup.air is None or not isinstance(spring, Air):
        return
    limit = outside + reach if spring.max_pressure is None else spring.max_pressure
    limit *= 1 + 1e-12  # a number as text may come back a digit off in the sixteenth
    assert float(setup.air.set_pressure) <= limit
    assert float(setup.air.peak_pressure) <= HIGHEST_PRESSURE
    assert float(setup.air.highest_extended) <= HIGHEST_PRESSURE
    assert float(setup.air.rest_stroke) <= 1e-3 + 1e-9
    if isinstance(spring.negative, SeparateNegative):
        assert outside <= spring.negative.pressure <= limit
    if isinstance(spring.negative, EqualisedNegative):
        assert setup.air.rest_stroke < setup.curve.stroke[-1]
    codes = {caution.code for caution in setup.cautions}
    assert not codes & {"over_label", "negative_over_label", "beyond_pumps", "no_pressure"}


def fresh(bike: JobAnswer, using: int, offer: Offer[Match] | Offer[Wished]) -> JobAnswer:
    """Return the job answered anew with the offer in the place of the setup."""
    tables = (*bike.job.setups[:using], offer.table, *bike.job.setups[using + 1 :])
    return answer_job(bike.job.with_value(("setup",), tables))


def assert_promised(bike: JobAnswer, using: int, offer: Offer[Match] | Offer[Wished]) -> None:
    again = fresh(bike, using, offer)
    new, promised = again.answer.setups[using], offer.setup
    assert new.state == promised.state == "ok"
    for name in ("sag", "figures", "riding"):
        for part in fields(getattr(new, name)):
            told, found = (float(getattr(getattr(one, name), part.name)) for one in (promised, new))
            assert told == found or (math.isnan(told) and math.isnan(found))
    assert new.cautions == promised.cautions
    assert again.answer.cautions == offer.tried.answer.cautions
    if isinstance(offer.found, Wished):
        for each in offer.found.judged:
            name = each.want.figure
            slow = name.startswith("slow_") or name == "starting_wheel"
            figure = getattr(new.figures if slow else new.riding, name.removeprefix("slow_"))
            assert each.found == pytest.approx(float(figure), rel=1e-9, nan_ok=True)
        return
    target = again.answer.setups[1 - using]
    for force, setup in ((offer.found.found_force, new), (offer.found.target_force, target)):
        at = np.interp(setup.curve.wheel_travel, offer.found.wheel, force)
        assert at == pytest.approx(setup.curve.riding_wheel_force, abs=1e-2 * float(force[-1]))
        assert float(force[-1]) == pytest.approx(float(setup.riding.bottom_wheel_force), rel=1e-9)
    assert float(new.sag.wheel_fraction) == pytest.approx(float(target.sag.wheel_fraction), abs=0.01)


@pytest.mark.slow
@pytest.mark.slow
@pytest.mark.parametrize("seed", SEEDS)
def test_no_offer_is_beyond_a_limit_and_what_it_promises_is_what_its_settings_give(seed: int) -> None:
    rng = np.random.default_rng(seed)
    became: Counter[str] = Counter()
    for number in range(JOBS):
        bike, units = None, ALL[number % len(ALL)]
        while bike is None:
            bike = answered(random_job(rng))
        using, offer = offer_of(bike, number, units, rng)
        if isinstance(offer, str):
            became[offer] += 1
            continue
        became["offered"] += 1
        assert_within_limits(offer.setup, float(bike.answer.shop.pressure), usual_reach(bike.case))
        assert_promised(bike, using, offer)
    assert became["offered"] > JOBS / 2
    assert set(became) & {"label", "pumps", "rest", "gas_law"}


def test_the_offer_says_what_solve_says_of_it() -> None:
    bike = answer_job(REAR)
    offer = matched_job(bike, 0, 1, USUAL)
    assert not isinstance(offer, str)
    again: dict[str, Any] = answer_object(fresh(bike, 1, offer))["setups"][1]
    assert caution_texts(offer, USUAL) == [caution["text"] for caution in again["cautions"]]
    assert "drawn_in" in {caution.code for caution in offer.cautions}


@pytest.mark.parametrize("units", ALL)
def test_settings_are_written_as_they_are_shown(units: ShopUnits) -> None:
    offer = matched_job(answer_job(REAR), 0, 1, units, volumes=True)
    assert not isinstance(offer, str)
    for key in ("pressure", "positive_volume", "negative_volume", "port"):
        number, _, unit = str(offer.table[key]).partition(" ")
        digits = number.partition(".")[2]
        assert unit
        assert len(digits) <= 2


def test_spacers_and_measures_that_were_not_searched_stay_as_typed() -> None:
    job = REAR.with_value(("setup", 1, "positive_volume"), "112.345 cm3")
    offer = matched_job(answer_job(job), 0, 1, USUAL)
    assert not isinstance(offer, str)
    assert offer.table["positive_volume"] == "112.345 cm3"
    free = matched_job(answer_job(job), 0, 1, USUAL, volumes=True)
    assert not isinstance(free, str)
    assert free.table["positive_spacers"] == job.setups[1]["positive_spacers"]
