"""What stands on a setup sheet, as data: groups of sections of lines; the three forms only dress it."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from tui.job.wheels import spoken

if TYPE_CHECKING:
    from tui.charts.series import ChartData, Point
    from tui.shop_units import ShopUnits


class SheetLine(NamedTuple):
    """A value with what it is."""

    label: str
    value: str


class Said(NamedTuple):
    """A sentence."""

    text: str


class Warned(NamedTuple):
    """A caution, for the place just above what the hand is about to do."""

    text: str


class Box(NamedTuple):
    """Something to tick once it is done."""

    text: str


class Blank(NamedTuple):
    """A line to fill in by hand; `hint` says what is expected there."""

    label: str
    hint: str = ""


class Chart(NamedTuple):
    """A chart, for the form that can draw: what it shows in SI, and where on it each setup settles.

    `lines` say the same in numbers, one a setup.
    """

    title: str
    data: ChartData
    sags: tuple[Point, ...]
    lines: tuple[SheetLine, ...]


Part = SheetLine | Said | Warned | Box | Blank | Chart


class Section(NamedTuple):
    """Parts about one thing; of a `dense` one a page has no room to give each part a line."""

    title: str
    parts: tuple[Part, ...]
    dense: bool = False


class Group(NamedTuple):
    """Sections that belong together, such as those of one wheel."""

    title: str
    sections: tuple[Section, ...]


class Sheet(NamedTuple):
    """All of a setup sheet; an empty `shop` is one that nobody has named."""

    shop: str
    title: str
    about: tuple[SheetLine | Blank, ...]
    groups: tuple[Group, ...]
    units: ShopUnits


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
