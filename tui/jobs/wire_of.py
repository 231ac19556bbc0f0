"""The wire of a coil setup, where the job says enough about it."""

from __future__ import annotations

import math

from physics.case import Wire
from physics.wire_stock import COIL_ENDS, USUAL_ENDS, USUAL_GRADE, USUAL_MATERIAL
from tui.jobs.fields import Section
from tui.jobs.values import due, maybe, number
from tui.jobs.wire_words import COIL_DIAMETERS

_COILS = ("active_coils", "total_coils")


def wire_of(section: Section) -> Wire | None:
    """Build the wire; None without its thickness, a diameter of the coil and a count of coils.

    Whichever count is left out follows from the other by the coils that lie dead at the ends.
    """
    width = next((key for key in COIL_DIAMETERS if key in section), None)
    if width is None or "wire_diameter" not in section or not any(key in section for key in _COILS):
        return None
    ends, d = str(section.get("ends", USUAL_ENDS)), due(section, "wire_diameter")
    dead = COIL_ENDS[ends].dead_coils
    grade = number(section, "grade", USUAL_GRADE)
    active = number(section, "active_coils", due(section, "total_coils") - dead)
    return Wire(
        material=str(section.get("material", USUAL_MATERIAL)),
        diameter=d,
        mean_diameter=due(section, width) + {"inner_diameter": d, "outer_diameter": -d}.get(width, 0.0),
        active_coils=active,
        total_coils=number(section, "total_coils", active + dead),
        ends=ends,
        # A grade that cannot be used is a fault already.
        grade=USUAL_GRADE if math.isnan(grade) else int(grade),
    )


def inner_diameter_of(section: Section) -> float | None:
    """Return the inner diameter [m], None where the job does not say enough to know it."""
    d = maybe(section, "wire_diameter")
    if "inner_diameter" in section or d is None:
        return maybe(section, "inner_diameter")
    for key, wires in (("outer_diameter", 2.0), ("mean_diameter", 1.0)):
        if key in section:
            return due(section, key) - wires * d
    return None
