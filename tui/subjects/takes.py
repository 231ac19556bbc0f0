"""What can be taken as it is shown: springs one can buy with their preload, and counts of volume spacers."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from physics import gas
from physics.answer import Answer
from physics.case import Air
from tui.job.job import Job
from tui.job.tree import Raw
from tui.job.typed import SOLVE
from tui.shop_units import Measure, ShopUnits, gauge


class Take(NamedTuple):
    """One line that can be taken: its text, and the values of the setup by key."""

    text: str
    values: tuple[tuple[str, Raw], ...]


def order_takes(answer: Answer, index: int, units: ShopUnits, typed: Mapping[str, Raw]) -> tuple[Take, ...]:
    """Return what can be ordered for a setup so that it meets the target, `typed` as it stands in the job."""
    found = answer.setups[index]
    made = (
        _springs(answer, index, units, typed)
        if found.coil is not None
        else _spacers(answer, index, units, typed)
    )
    return tuple(made)


def _springs(answer: Answer, index: int, units: ShopUnits, typed: Mapping[str, Raw]) -> Iterator[Take]:
    coil = answer.setups[index].coil
    for choice in coil.buyable if coil is not None else ():
        length, turns = float(choice.preload_for_target), float(choice.preload_turns)
        rate = units.show(float(choice.rate), Measure.SPRING_RATE)
        if not math.isfinite(length):
            continue
        if "preload_turns" in typed and math.isfinite(turns):
            preload: tuple[str, Raw] = ("preload_turns", round(turns, 1))
            told = units.show(turns, Measure.TURNS)
        else:
            preload, told = (
                ("preload", units.show(length, Measure.TRAVEL)),
                units.show(length, Measure.TRAVEL),
            )
        sag = units.show(answer.target.sag, Measure.FRACTION)
        yield Take(f"{rate}, preload {told}: sag {sag}", (("rate", rate), preload))


def _spacers(answer: Answer, index: int, units: ShopUnits, typed: Mapping[str, Raw]) -> Iterator[Take]:
    found, outside = answer.setups[index], float(answer.shop.pressure)
    spring = found.setup.spring
    if found.air is None or not isinstance(spring, Air):
        return
    limit = spring.max_pressure or math.inf
    for row in found.air.spacers:
        pressure = float(row.set_pressure)
        if not math.isfinite(pressure) or pressure > min(limit, gas.HIGHEST):
            continue
        shown = units.show(gauge(pressure, outside), Measure.PRESSURE)
        end = units.show(float(row.bottom_wheel_force), Measure.FORCE)
        count = f"{row.spacers} spacer{'' if row.spacers == 1 else 's'}"
        now = ", fitted now" if row.spacers == float(spring.positive_spacers) else ""
        set_to: Raw = SOLVE if typed.get("pressure") == SOLVE else shown
        text = f"{count}, {shown}: bottom-out force {end}, fast{now}"
        yield Take(text, (("positive_spacers", row.spacers), ("pressure", set_to)))


def taken(job: Job, index: int, take: Take) -> Job:
    """Return the job of a wheel with what was taken typed into a setup."""
    for key, value in take.values:
        job = job.with_value(("setup", index, key), value)
    return job
