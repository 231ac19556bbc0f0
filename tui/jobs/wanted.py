"""Figures asked for in a line of text, and what became of them, in words."""

from __future__ import annotations

import re
from functools import lru_cache

from physics.unmatched import Reason, Unmatched
from physics.wants import FIGURES, Judged, Relation, Want, Wished, wished
from tui.jobs.answering import JobAnswer
from tui.jobs.clean import brief, clean

EXAMPLE = "support_50>=1.7; bottom_ratio=4.3"
_WANT = re.compile(r"\s*([a-z_0-9]+)\s*(>=|<=|=)\s*([+-]?[\d.,]+)\s*(%?)\s*")
_RELATIONS: dict[str, Relation] = {">=": "at least", "<=": "at most", "=": "just"}
_UNITS = {
    "starting_shaft": "N", "starting_wheel": "N", "bottom_wheel_force": "N", "fast_bottom_shaft": "N",
    "softest_wheel_rate": "N/m", "wheel_rate_at_sag": "N/m", "rate_at_sag": "N/m", "fast_rate_at_sag": "N/m",
    "softest_at_wheel": "m", "drop_height": "m", "energy_total": "J", "energy_from_sag": "J",
    "natural_frequency": "Hz", "fast_natural_frequency": "Hz", "critical_damping": "N s/m",
}  # fmt: skip
"""SI unit of each figure that is no bare ratio."""


class UnusableWant(Exception):
    """Something asked for that cannot be: what is wrong, and what is accepted."""

    def __init__(self, what: str, accepted: str) -> None:
        """Keep both."""
        self.what, self.accepted = what, accepted
        super().__init__(f"{what}; {accepted}")


def wants_of(line: str) -> tuple[Want, ...]:
    """Return what a line asks for, one after another with a semicolon between; raises `UnusableWant`."""
    return tuple(want_of(part) for part in line.split(";") if part.strip())


def want_of(text: str) -> Want:
    """Return what is asked for by a text such as "support_50>=1.7"; raises `UnusableWant`."""
    match = _WANT.fullmatch(clean(text))
    accepted = '"support_50>=1.7", "bottom_ratio=4.3" or "end_ramp<=2" is accepted, the number in SI'
    if match is None:
        raise UnusableWant(f'"{brief(text)}" cannot be read', accepted)
    name, sign, digits, percent = match.groups()
    if name not in FIGURES:
        raise UnusableWant(f'no figure is called "{brief(name)}"', f"one of {', '.join(FIGURES)} is accepted")
    try:
        wanted = float(digits.replace(",", "."))
    except ValueError:
        raise UnusableWant(f'"{brief(digits)}" is no number', accepted) from None
    return Want(name, _RELATIONS[sign], wanted / 100 if percent else wanted)


@lru_cache(maxsize=8)
def wished_job(answered: JobAnswer, using: int, wants: tuple[Want, ...]) -> Wished | Reason:
    """Return the settings of one setup that come closest to what is wanted, or why there are none."""
    try:
        return wished(answered.case, using, wants)
    except Unmatched as unmatched:
        return unmatched.reason


def judged_text(each: Judged) -> str:
    """Return what became of one want."""
    want = each.want
    asked = f"{want.figure} {want.relation} {_shown(want, want.number)}: {_shown(want, each.found)}"
    if each.met:
        return f"{asked}, met"
    if each.reachable:
        return f"{asked}, not met beside the others; alone it can be"
    return f"{asked}, not met; no setting gets nearer than {_shown(want, each.alone)}"


def _shown(want: Want, here: float) -> str:
    return f"{here:.4g} {_UNITS.get(want.figure, '')}".rstrip()


def binds_text(found: Wished) -> str:
    """Return which want decides."""
    binding = found.judged[found.binds].want.figure
    if all(each.met for each in found.judged):
        return f"All met; {binding} has the least to spare."
    return f"In the way: {binding}."
