"""What is ticked before the bike goes out, and who knows better than this sheet."""

from __future__ import annotations

from tui.jobs.fork_words import spoken
from tui.sheet.model import Box, Said, Warned

_CARE = (
    "Springs and air under pressure store energy: never above the limit on the label, all air out before "
    "a shock or fork is opened, collar backed off before a coil comes off, eye protection on."
)
_START = (
    "The figures are worked out and not tried: a starting point. The label on the shock or fork, the maker's "
    "manual, local rules and a qualified technician come before anything on this sheet."
)


def care(fork: bool) -> tuple[Warned, Said]:
    """Return what goes before a sheet; `fork` where it is about a fork alone."""
    return Warned(spoken(_CARE, fork)), Said(spoken(_START, fork))


TO_TICK = "To tick (common practice, no source)"
BOXES = (
    Box("fasteners to the torque of the maker's manual"),
    Box("no leak: pressure holds after cycling and a wait"),
    Box("nothing rubs or binds through the whole travel"),
    Box("sag checked with the rider in riding kit"),
    Box("rebound and compression clicks written down"),
    Box("tyre pressures set and written down"),
    Box("cautions and the label's limit shown to the rider"),
    Box("test ride done, sag and fasteners checked after it"),
)
"""What the mechanic ticks: common practice, no source."""
