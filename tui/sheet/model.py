"""The setup sheet as data: groups of sections of blocks; the three forms only render it.

A caution is just above the action it is about.
"""

from __future__ import annotations

from physics.frozen import NamedTuple
from tui.charts.series import ChartData, Point
from tui.kit.document import Document, Labelled, Paragraph
from tui.kit.roles import Role
from tui.shop_units import ShopUnits


class Box(NamedTuple):
    """A checkbox."""

    text: str


class Blank(NamedTuple):
    """A blank to fill in by hand; `hint` says what is expected."""

    label: str
    hint: str = ""


class Chart(NamedTuple):
    """A chart, for forms that can draw: its data in SI, and the sag of each setup.

    `lines` give the same in numbers, one per setup.
    """

    title: str
    data: ChartData
    sags: tuple[Point, ...]
    lines: tuple[Labelled, ...]


Part = Labelled | Paragraph | Box | Blank | Chart


def told(part: Part, rule: str, hint: str = " ({})") -> tuple[str, str]:
    """Return the label of a part, possibly empty, and its text; a blank is a `rule` and its `hint`."""
    match part:
        case Labelled(label, text):
            return label, text
        case Blank(label, expected):
            return label, rule + (hint.format(expected) if expected else "")
        case Paragraph(text, Role.CAUTION):
            return "Caution", text
        case Box(text):
            return "", f"[ ] {text}"
        case Paragraph(text) | Chart(title=text):
            return "", text


def one_line(part: Part, rule: str, hint: str = " ({})") -> str:
    """Return a part as one line."""
    label, text = told(part, rule, hint)
    return f"{label}: {text}" if label else text


class Section(NamedTuple):
    """Parts about one thing; those of a `dense` section do not get a line each."""

    title: str
    parts: tuple[Part, ...]
    dense: bool = False


class Group(NamedTuple):
    """Sections that belong together, such as those of one wheel."""

    title: str
    sections: tuple[Section, ...]


class Sheet(NamedTuple):
    """A setup sheet; `shop` is empty if not given.

    `groups` are the page for the customer, `workings` the appendix, if requested.
    """

    shop: str
    title: str
    about: tuple[Labelled | Blank, ...]
    groups: tuple[Group, ...]
    units: ShopUnits
    workings: tuple[Group, ...] = ()


_CARE = (
    "Springs and air pressure store energy: never above max pressure, all air out before opening, back off "
    "the collar before removing a coil, wear eye protection."
)
_START = (
    "These figures are calculated, not tested: a starting point. The label on the shock or fork, the maker's "
    "manual, local rules and a qualified technician come first."
)
CARE = Document((Paragraph(_CARE, Role.CAUTION), Paragraph(_START)))
"""Text above every sheet."""
TO_TICK = "Checklist (rule of thumb)"
BOXES = (
    Box("fasteners to the torque of the maker's manual"),
    Box("no leak: pressure holds after cycling and a wait"),
    Box("nothing rubs or binds through the whole travel"),
    Box("sag checked with the rider in riding kit"),
    Box("rebound and compression clicks written down"),
    Box("tyre pressures set and written down"),
    Box("cautions and max pressure shown to the rider"),
    Box("test ride done, sag and fasteners re-checked"),
)
"""Checkboxes for the mechanic: common practice, no source."""
