"""Readings outside of what is usual: asked about in the prompt, a caution without a screen."""

from __future__ import annotations

from tui.jobs.likely import LIKELY, Doubt, unlikely
from tui.readings.kinds import CyclingRead, LoopRead, Readings, SagRead
from tui.shop_units import ShopUnits


def unlikely_in(read: Readings, units: ShopUnits) -> tuple[Doubt, ...]:
    """Return what is unlikely in a sag or in gauge pressures, values in a shop's units."""
    match read:
        case LoopRead():
            told: tuple[tuple[str, float], ...] = ()
        case CyclingRead(before=before, after=after):
            told = (("measured.gauge", before), ("measured.gauge", after))
        case SagRead(sag=sag, is_share=is_share):
            told = (("target.sag" if is_share else "measured.sag", sag),)
    found = (unlikely(key, si, units.show(si, LIKELY[key].measure)) for key, si in told)
    return tuple(doubt for doubt in found if doubt is not None)
