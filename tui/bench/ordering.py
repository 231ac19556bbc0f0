"""What to order: for a coil the springs on either side of the target, for air the spacers."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from physics.case import Coil
from tui.bench.dialogs_page import STALE, Page, Paragraph, Tone, setup_title
from tui.bench.ordering_coils import coils
from tui.bench.ordering_spacers import spacers
from tui.glyphs import Glyphs
from tui.jobs.tree import Raw
from tui.jobs.words import NOTHING_TYPED
from tui.shop_units import ShopUnits

if TYPE_CHECKING:
    from physics.answer import Answer


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
