"""The spacers of an air spring: for each count the pressure for the target, the peak and the end force."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from physics import gas
from physics.case import Air
from tui.bench.dialogs_page import Paragraph, Tone
from tui.jobs.doubt_words import limit_text
from tui.jobs.fork_words import spoken
from tui.jobs.tree import Raw
from tui.jobs.words import NOTHING_TYPED, caution_text
from tui.shop_units import ABSENT, Measure, ShopUnits, gauge

if TYPE_CHECKING:
    from physics.answer import Answer, SetupAnswer, SpacerRow

_WIDTHS = (7, 8, 8, 8)
_NONE = (
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
        return (Paragraph(_NONE),)
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
