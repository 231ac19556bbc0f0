"""The springs one can order on either side of the target, and the preload that would hit it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from physics import gas
from physics.case import Air, Coil
from physics.faults import NOT_TYPED
from tui.job.cautions import NOTHING_TYPED, caution_text, limit_text
from tui.job.tree import Raw
from tui.job.wheels import spoken
from tui.kit.dialogs import STALE, Page, Paragraph, Tone, setup_title
from tui.kit.glyphs import Glyphs
from tui.shop_units import ABSENT, Measure, ShopUnits, gauge

if TYPE_CHECKING:
    from physics.answer import Answer, BuyableCoil, SetupAnswer, SpacerRow

_BEFORE = ("preloaded_coil", "no_preload")
_CHECK = "Check free length, solid length and inner diameter of the new spring against the shock."
_COILS_NONE = (
    "No rate one can order stands beside the target: there is no single rate for it, or none on the list."
)


def coils(
    answer: Answer, found: SetupAnswer, units: ShopUnits, typed: Mapping[str, Raw] = NOTHING_TYPED
) -> tuple[Paragraph, ...]:
    """Return the choices of a coil with their sag, preload and cautions of fit."""
    choices = found.coil.buyable if found.coil else ()
    if not choices:
        return (Paragraph(_COILS_NONE),)
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


_WIDTHS = (7, 8, 8, 8)
_SPACERS_NONE = (
    "No volume of one spacer is typed in this job. Measure one, in water or with a caliper, type it, and "
    "every count is listed here."
)
_MORE = "More spacers squeeze the chamber beyond {law}, where the gas law is not checked."
_NOTES = (
    "Peak: gauge pressure of the positive chamber at full travel in a hit from sag, before the air can cool.",
    "End: force at the wheel at full travel in the same hit. More is harder to bottom.",
    "A rough guess: the peak is beyond the pressures that the law for air was checked on.",
)


def spacers(
    answer: Answer,
    found: SetupAnswer,
    spring: Air,
    units: ShopUnits,
    typed: Mapping[str, Raw] = NOTHING_TYPED,
) -> tuple[Paragraph, ...]:
    """Return the table of spacers with the label's limit marked."""
    rows = found.air.spacers if found.air else ()
    if not rows:
        return (Paragraph(_SPACERS_NONE),)
    ambient, fork = float(answer.shop.pressure), answer.frame.fork
    checked = [row for row in rows if not float(row.peak_pressure) > gas.HIGHEST]
    law = units.show(gauge(gas.HIGHEST, ambient), Measure.PRESSURE)
    more = (Paragraph(_MORE.format(law=law), Tone.QUIET),) if len(checked) < len(rows) else ()
    of = spoken(answer.target.of, fork)
    target = f"{units.show(float(answer.target.sag), Measure.FRACTION)} of {of}"
    pressure, force = units.unit(Measure.PRESSURE), units.unit(Measure.FORCE)
    told = (caution for caution in found.cautions if caution.code == "pressurised")
    return (
        Paragraph(f"What to pump for a sag of {target}, and what it does to the end:", Tone.QUIET),
        Paragraph(_line("spacers", "pump", "peak", "end"), Tone.HEAD),
        Paragraph(_line("", pressure, pressure, force), Tone.QUIET),
        *(_row(row, spring, units, ambient) for row in checked),
        *more,
        Paragraph("What it means", Tone.HEAD),
        *(Paragraph(spoken(note, fork)) for note in _NOTES),
        Paragraph(spoken(_limit(spring, typed, units, ambient), fork), Tone.CAUTION),
        *(Paragraph(caution_text(caution, units, ambient, fork), Tone.CAUTION) for caution in told),
    )


def _row(row: SpacerRow, spring: Air, units: ShopUnits, ambient: float) -> Paragraph:
    pump, peak = (
        units.plain(gauge(float(pressure), ambient), Measure.PRESSURE)
        for pressure in (row.set_pressure, row.fast_peak_pressure)
    )
    end = units.plain(float(row.bottom_wheel_force), Measure.FORCE)
    fitted = row.spacers == float(spring.positive_spacers)
    remarks = ["now"] if fitted else []
    if pump == ABSENT:
        remarks.append("does not reach the target")
    if spring.max_pressure is not None and float(row.set_pressure) > spring.max_pressure:
        remarks.append("OVER THE LABEL, do not pump")
    if float(row.fast_peak_pressure) > gas.HIGHEST:
        remarks.append("a rough guess")
    text = f"{_line(str(row.spacers), pump, peak, end)}  {', '.join(remarks)}"
    return Paragraph(text.rstrip(), Tone.STRONG if fitted else Tone.PLAIN)


def _limit(spring: Air, typed: Mapping[str, Raw], units: ShopUnits, ambient: float) -> str:
    if spring.max_pressure is None:
        return "This job holds no limit: read the shock's label, and pump nothing above it."
    limit = units.show(gauge(spring.max_pressure, ambient), Measure.PRESSURE)
    said = f"This job's limit for pumping is {limit}; where the label says another, the label is right."
    return limit_text(typed, limit) or said


def _line(*texts: str) -> str:
    return "".join(text.rjust(width) for text, width in zip(texts, _WIDTHS, strict=True))


def ordering_page(
    answer: Answer,
    setup: int,
    units: ShopUnits,
    glyphs: Glyphs,
    *,
    stale: bool = False,
    typed: Mapping[str, Raw] = NOTHING_TYPED,
) -> Page:
    """Return the page that tells what to order for a setup, `typed` as it stands in the job."""
    old = (Paragraph(STALE, Tone.CAUTION),) if stale else ()
    what = "A spring for" if answer.setups[setup].kind == "coil" else "Spacers for"
    return Page(setup_title(what, answer, setup), (*old, *ordering(answer, setup, units, typed)), glyphs)


def ordering(
    answer: Answer, setup: int, units: ShopUnits, typed: Mapping[str, Raw] = NOTHING_TYPED
) -> tuple[Paragraph, ...]:
    """Return what to order for a setup to meet the target of the answer."""
    found = answer.setups[setup]
    if isinstance(found.setup.spring, Coil):
        return coils(answer, found, units, typed)
    return spacers(answer, found, found.setup.spring, units, typed)
