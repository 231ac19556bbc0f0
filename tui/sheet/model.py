"""What stands on a setup sheet, as data: groups of sections of lines; the three forms only dress it."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from tui.charts.series import ChartData, Point
    from tui.shop_units import ShopUnits


class Line(NamedTuple):
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
    lines: tuple[Line, ...]


Part = Line | Said | Warned | Box | Blank | Chart


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
    about: tuple[Line | Blank, ...]
    groups: tuple[Group, ...]
    units: ShopUnits
