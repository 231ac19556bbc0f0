"""Names that a person may give a figure: its own, or that of its key in the answer, with its unit."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from tui.jobs.sweep_words import FIGURE_KEYS, figure_named
from tui.shop_units import IMPERIAL, METRIC, USUAL, Measure, ShopUnits, Writing

_KEY_UNITS: Mapping[Measure, Mapping[str, ShopUnits]] = {
    Measure.TRAVEL: {"_mm": METRIC},
    Measure.FORCE: {"_n": METRIC},
    Measure.SPRING_RATE: {"_n_per_mm": METRIC, "_lbf_per_in": IMPERIAL},
    Measure.WHEEL_RATE: {"_n_per_mm": METRIC},
    Measure.PRESSURE: {"_psi": USUAL, "_bar": METRIC},
    Measure.TEMPERATURE: {"_c": METRIC},
    Measure.ENERGY: {"_j": METRIC},
    Measure.FREQUENCY: {"_hz": METRIC},
    Measure.DAMPING: {"_n_s_per_m": METRIC},
}
"""By measure the units that end a key of the answer, and who writes in them."""
_SETS: Mapping[str, str] = {"riding.": "", "figures.": "slow_", "sag.": "sag_"}
"""By the table of the answer what a figure out of it begins with here, where it is called anything else."""
_IN_SAG: Mapping[str, str] = {
    "sag_wheel_fraction": "sag_fraction",
    "sag_shaft_force": "shaft_force",
}


class Named(NamedTuple):
    """A figure by its own name, and how its key in the answer writes it; None where no unit is named."""

    figure: str
    writing: Writing | None = None


def figure_called(text: str, known: Iterable[str]) -> Named | None:
    """Return the figure among `known` that a text names, such as "natural_frequency_hz"; None for none.

    The table of the answer may stand before it: "riding.support_50".
    """
    names = frozenset(known)
    table = next((table for table in _SETS if text.startswith(table)), "")
    rest = text.removeprefix(table)
    for start in dict.fromkeys((_SETS.get(table, ""), "")):
        found = _with_unit(start + rest, names)
        if found is not None:
            return found
    return None


def _with_unit(text: str, names: frozenset[str]) -> Named | None:
    own = _IN_SAG.get(text, text)
    if own in names:
        return Named(own)
    for measure, units in _KEY_UNITS.items():
        for end, shop in units.items():
            name = text.removesuffix(end)
            name = _IN_SAG.get(name, name)
            if text.endswith(end) and name in names and measure_of(name) is measure:
                return Named(name, shop.writings[measure])
    return None


def measure_of(figure: str) -> Measure | None:
    """Return what a figure measures, None for one that is not in the table of figures."""
    return figure_named(figure).measure if figure in FIGURE_KEYS else None
