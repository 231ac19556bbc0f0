"""The springs one can order on either side of the target, and the preload that would hit it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from physics.faults import NOT_TYPED
from tui.bench.dialogs_page import Paragraph, Tone
from tui.jobs.fork_words import spoken
from tui.jobs.tree import Raw
from tui.jobs.words import NOTHING_TYPED, caution_text
from tui.shop_units import Measure, ShopUnits

if TYPE_CHECKING:
    from physics.answer import Answer, BuyableCoil, SetupAnswer

_BEFORE = ("preloaded_coil", "no_preload")
_CHECK = "Check free length, solid length and inner diameter of the new spring against the shock."
_NONE = "No rate one can order stands beside the target: there is no single rate for it, or none on the list."


def coils(
    answer: Answer, found: SetupAnswer, units: ShopUnits, typed: Mapping[str, Raw] = NOTHING_TYPED
) -> tuple[Paragraph, ...]:
    """Return the choices of a coil with their sag, preload and cautions of fit."""
    choices = found.coil.buyable if found.coil else ()
    if not choices:
        return (Paragraph(_NONE),)
    ambient, fork = float(answer.shop.pressure), answer.frame.fork
    of = spoken(answer.target.of, fork)
    target = f"{units.show(float(answer.target.sag), Measure.FRACTION)} of {of}"
    lines = [Paragraph(f"Target sag {target}. To be had on either side of it:", Tone.QUIET)]
    for choice in choices:
        lines += [
            Paragraph(units.show(float(choice.rate), Measure.SPRING_RATE), Tone.HEAD),
            Paragraph(_settles(choice, of, units), indent=2),
            Paragraph(_preload(choice, target, units), Tone.STRONG, 2),
        ]
        fit = (caution_text(caution, units, ambient, fork, typed) for caution in choice.cautions)
        lines += [Paragraph(text, Tone.CAUTION, 2) for text in fit]
    told, left_out = (
        [caution_text(caution, units, ambient, fork) for caution in found.cautions if caution.code in codes]
        for codes in (_BEFORE, NOT_TYPED)
    )
    return (*lines, *_before_fitting(told, fork), *(Paragraph(text, Tone.CAUTION) for text in left_out))


def _settles(choice: BuyableCoil, of: str, units: ShopUnits) -> str:
    sag = float(choice.sag_fraction)
    if not np.isfinite(sag):
        return "Does not settle with the preload as it is now."
    return f"Sags {units.show(sag, Measure.FRACTION)} of {of} with the preload as it is now."


def _preload(choice: BuyableCoil, target: str, units: ShopUnits) -> str:
    preload, turns = float(choice.preload_for_target), float(choice.preload_turns)
    if not np.isfinite(preload):
        return f"Too stiff for {target}: it sags less than that with no preload at all."
    in_turns = f", {units.show(turns, Measure.TURNS)}" if np.isfinite(turns) else ""
    return f"Preload for {target}: {units.show(preload, Measure.TRAVEL)}{in_turns}."


def _before_fitting(told: Sequence[str], fork: bool) -> list[Paragraph]:
    cautions = (Paragraph(text, Tone.CAUTION) for text in told)
    return [Paragraph("Before the spring is touched", Tone.HEAD), *cautions, Paragraph(spoken(_CHECK, fork))]
