"""How to fill an air spring: the cautions, the steps, and what surprises people afterwards."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from physics.case import Air
from physics.faults import NOT_TYPED
from tui.bench.dialogs_page import STALE, Page, Paragraph, Tone, setup_title
from tui.bench.filling_steps import steps
from tui.glyphs import Glyphs
from tui.jobs.doubt_words import limit_text
from tui.jobs.fork_words import spoken
from tui.jobs.pumped import Filling
from tui.jobs.settling_words import expect_text
from tui.jobs.tree import Raw
from tui.jobs.words import NOTHING_TYPED, STATES, caution_text
from tui.shop_units import ShopUnits

if TYPE_CHECKING:
    from physics.answer import Answer, SetupAnswer
    from physics.faults import Caution

_OVER = ("over_label", "negative_over_label")
_BEFORE = ("pressurised", "beyond_pumps", "never_holds", *_OVER)
_AFTER = ("drawn_in", "sag_gas_range", *NOT_TYPED)


def filling_page(
    answer: Answer,
    setup: int,
    units: ShopUnits,
    glyphs: Glyphs,
    *,
    stale: bool = False,
    typed: Mapping[str, Raw] = NOTHING_TYPED,
) -> Page:
    """Return the page that tells how to fill a setup, `typed` as it stands in the job."""
    old = (Paragraph(STALE, Tone.CAUTION),) if stale else ()
    title = setup_title("Pumping", answer, setup)
    return Page(title, (*old, *filling(answer, setup, units, typed)), glyphs)


def filling(
    answer: Answer, setup: int, units: ShopUnits, typed: Mapping[str, Raw] = NOTHING_TYPED
) -> tuple[Paragraph, ...]:
    """Return what to do with the pump, the cautions first; above the label's limit no step is given."""
    told, fork = _filling(answer, setup, units, typed), answer.frame.fork
    return tuple(replace(part, text=spoken(part.text, fork)) for part in told)


def _filling(answer: Answer, setup: int, units: ShopUnits, typed: Mapping[str, Raw]) -> tuple[Paragraph, ...]:
    found = answer.setups[setup]
    spring, air = found.setup.spring, found.air
    if not isinstance(spring, Air) or air is None:
        return (Paragraph("A coil has nothing to pump: see the page for ordering its spring."),)
    if not np.isfinite(air.set_pressure):
        return (Paragraph(f"Nothing to pump yet: {STATES[found.state]}."),)
    task = Filling(spring, air, units, float(answer.shop.pressure))
    before = (Paragraph("Before the pump goes on", Tone.HEAD), *_cautions(task, found.cautions, typed))
    if any(caution.code in _OVER for caution in found.cautions):
        return (*before, Paragraph("No steps are given above the label's limit.", Tone.STRONG))
    then = _sag(found, answer.target.of, units)
    return (*before, *steps(task, typed), *then, *_afterwards(task, found.cautions, typed))


def _sag(found: SetupAnswer, of: str, units: ShopUnits) -> tuple[Paragraph, ...]:
    """Return the step that reads the sag, none where the wheel does not settle."""
    told = expect_text(found, of, units)
    if not told:
        return ()
    where = "wheel" if of == "travel" else "shock"
    return (Paragraph(f"Then sag at the {where}", Tone.HEAD), Paragraph(told, Tone.STRONG))


def _cautions(task: Filling, cautions: Sequence[Caution], typed: Mapping[str, Raw]) -> list[Paragraph]:
    limit = task.spring.max_pressure
    if limit is None:
        label = "This job holds no limit: read the shock's label before pumping, and stay below it."
    else:
        reading = task.reading(limit)
        label = limit_text(typed, reading) or (
            f"This job's limit is {reading}; where the label says another, the label is right."
        )
    manual = "The maker's manual goes before this page."
    told = [*_told(task, cautions, _BEFORE, typed), label, manual]
    return [Paragraph(line, Tone.CAUTION) for line in told]


def _afterwards(task: Filling, cautions: Sequence[Caution], typed: Mapping[str, Raw]) -> list[Paragraph]:
    hose = (
        "Putting the pump back on fills its hose from the chamber: the gauge then reads less than the "
        "chamber held. Taking it off loses only what is in the hose: do not chase that reading."
    )
    lines = [hose, *_told(task, cautions, _AFTER, typed)]
    if task.air.rest_stroke > 0:
        lines.append(f"Only pulled to full length does it read {task.target}.")
    return [Paragraph("Afterwards", Tone.HEAD), *map(Paragraph, lines)]


def _told(
    task: Filling, cautions: Sequence[Caution], codes: Sequence[str], typed: Mapping[str, Raw]
) -> list[str]:
    told = (caution for caution in cautions if caution.code in codes)
    return [caution_text(caution, task.units, task.ambient, typed=typed) for caution in told]
