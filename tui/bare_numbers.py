"""Numbers typed without a unit: they take the unit shown beside them, and no fraction is read unseen."""

from __future__ import annotations

import re
from collections.abc import Mapping

_BARE = re.compile(r"[+-]?(?:\d+[.,]?\d*|[.,]\d+)")
_LENGTHS: Mapping[str, str] = {"in": "1.8 in"}
"""A length near the sag of a bike in units other than mm."""


def is_bare(text: str) -> bool:
    """Return whether a text is a number alone."""
    return _BARE.fullmatch(text.strip().replace("−", "-")) is not None


def with_unit(text: str, unit: str) -> str:
    """Return the text with the unit that was shown if it is a number alone, else as it is."""
    return f"{text.strip()} {unit}".strip() if is_bare(text) else text


def is_fraction(text: str) -> bool:
    """Return whether a text is a number alone between 0 and 1, which may be meant as a share of the whole."""
    return is_bare(text) and 0 < abs(_number(text)) < 1


def fraction_unseen(text: str, length: str = "") -> str:
    """Return what to write in place of a fraction: per cent, or a length where one is taken as well."""
    share = f"{float(f'{_number(text) * 100:.6g}'):g} %"
    write = f"{share} or {length}" if length else share
    return f'"{text.strip()}" may be a share of the whole: write {write}'


def sag_length(unit: str) -> str:
    """Return the length of a usual sag as an example, in `unit`."""
    return _LENGTHS.get(unit, f"45 {unit}")


def _number(text: str) -> float:
    return float(text.strip().replace("−", "-").replace(",", "."))
