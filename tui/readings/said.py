"""What readings say, in sentences: of a cycling, of a sag, and what was taken into the job."""

from __future__ import annotations

import math

from physics.carried import Carried
from physics.cycled import Cycled
from physics.fit import MOST_FRICTION, Fit
from tui.readings.finding import Finding
from tui.readings.words import NAMES
from tui.shop_units import Measure, ShopUnits

NO_PLACE = "There is no such rider: look at the sag, the pressure and the load panel."


def taken_words(found: Finding) -> str:
    """Return what was taken into the job, in a few words."""
    match found:
        case Fit():
            names = [NAMES[one.name] for one in found.estimates]
            return f"{', '.join(names).capitalize()} taken"
        case Cycled():
            return "Negative volume taken"
        case _:
            return "Load taken: it holds for every setup"


def cycled_words(found: Cycled, units: ShopUnits) -> tuple[str, ...]:
    """Return what a cycling says, a sentence each."""
    ratio = f"{found.ratio:.3f}"
    error = f" ± {found.error:.3f}, one standard error of the gauge" if found.error > 0 else ""
    return (
        f"Negative over positive volume: {ratio}{error}.",
        f"With the positive volume of the setup the negative chamber holds "
        f"{units.show(found.volume, Measure.VOLUME)} without spacers.",
        "The negative chamber was empty at first, the shock at full extension for both readings.",
    )


def carried_words(found: Carried, units: ShopUnits) -> tuple[str, ...]:
    """Return what a sag says of the rider, a sentence each."""
    load, low, high, entered = (
        units.show(force, Measure.FORCE) for force in (found.load, found.low, found.high, found.entered)
    )
    wheel, stroke = (units.show(length, Measure.TRAVEL) for length in (found.wheel, found.stroke))
    most = units.show(MOST_FRICTION, Measure.FORCE)
    unknown = f"the setup has no seal friction: 0 to {most} of it (rule of thumb)"
    friction = "seal friction" if found.friction_known else unknown
    more = found.load / found.entered - 1
    which = "more" if more > 0 else "less"
    once = units.show(found.at_once, Measure.FORCE)
    early = f"Read at once, while the air is still warm, it would be {once}: sit still, then read."
    taken = (
        ()
        if math.isnan(found.gauge)
        else (
            f"The pressure of the setup is solved: {units.show(found.gauge, Measure.PRESSURE)}, the gauge "
            "reading of the record, is taken as that at full length.",
        )
    )
    texts = (
        *taken,
        f"At {wheel} of wheel travel, {stroke} of stroke, the spring carries {load} at the axle; "
        f"{friction} may make that {low} to {high}.",
        *((early,) if once != load else ()),
        f"The load panel comes to {entered}: the rider puts {abs(more):.1%} {which} there.",
        f"A scale under the wheel would show {units.show(found.scale_mass, Measure.MASS)}.",
    )
    if math.isnan(found.share):
        return texts
    share = units.show(found.share, Measure.FRACTION)
    what = f"That is {share} of the rider on this wheel."
    return (*texts, what if 0 < found.share < 1 else f"{what} No rider does that: look at sag and pressure.")
