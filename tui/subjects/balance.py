"""Balance of the two wheels of a bike, and the changes that make one match the other."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from functools import lru_cache
from itertools import product
from typing import Any

import numpy as np

from physics import balance as law
from physics.advise import SAG_NEAR
from physics.arrays import values
from physics.balance import Balance, Change, Stance, WheelBalance
from physics.case import Air, Coil
from physics.frozen import NamedTuple
from physics.offered import Bar
from physics.stand import stand
from tui.job.answer import JobAnswer
from tui.job.figures import Figure, figure_named
from tui.job.tree import Raw, TreePath, brief
from tui.job.wheels import Wheel, left_out, spoken
from tui.kit.document import (
    TAKES,
    Block,
    Document,
    Drawing,
    Heading,
    Paragraph,
    Table,
    Take,
    plain_lines,
)
from tui.kit.look import UTF8, Glyphs
from tui.kit.roles import Role
from tui.shop_units import ABSENT, Measure, ShopUnits, gauge, keyed
from tui.subjects.advice import grain_of, target_text

_EXAMPLE = "The {} is still the invented example: no value of it is typed. Type its values, or remove it."
AGREES = "Already within 2 % of the other end in everything adjustable."
PRACTICE = (
    "Natural frequency, mid-stroke support and bottom-out force are of the riding curve: slow up to sag, "
    "then fast. Which of these to match is the rider's choice. Rule of thumb: similar natural frequencies "
    "keep the bike level over bumps; the usual sags alone make the front up to 41 % firmer."
)
_SAG_ASIDE = "Stiffness balanced, sag outside the usual range"
"""Of a balanced bike at least one of whose wheels has an unusual sag."""
_LEANINGS: Mapping[law.Leaning, str] = {
    "balanced": "Balanced",
    "front_firmer": "Not balanced, front firmer than rear",
    "front_softer": "Not balanced, front softer than rear",
}
_NO_SAG = "Balance unknown: solve rate or pressure for the target sag at both ends first."
_OFF_TARGET = "Matching takes an end off its own target sag; each line says how far."
_CAUTIONS = {
    Measure.PRESSURE: "Never above max pressure. Eye protection; maker's manual first.",
    Measure.SPRING_RATE: "Rates are calculated: the order view has the nearest to buy. Back off the collar "
    "before changing the spring. Eye protection; maker's manual first.",
}
_OVER: Mapping[Bar, str] = {
    "label": "above max pressure",
    "gas_law": "above 120 bar at full stroke, slow, outside the tested air model",
    "rest": "above a rest position of 1 mm",
}
_NEAREST = "Nearest only: no spacer count matches the other end at this sag."
_COMPARED = "A setting beyond a limit is for comparison only: do not set it."
_BEYOND = "Settings marked {mark} are {over}: for comparison only, do not set them."
_ON_TARGET = "on target"
_LEFT = "Both wheels left as they are."
"""The message after the line that changes nothing."""
_WIDE = 46
"""Width in cells from which the last column of each table fits."""


class _Compared(NamedTuple):
    """A measure of balance: its label in a narrow table, its column head in two lines, and its figure."""

    label: str
    head: tuple[str, str]
    figure: Figure


_MEASURES: Mapping[law.Measure, _Compared] = {
    "sag_fraction": _Compared("sag", ("sag", "%"), replace(figure_named("sag_fraction"), label="sag")),
    "frequency": _Compared("nat. freq.", ("freq.", "Hz"), figure_named("natural_frequency")),
    "support": _Compared("50 % x static", ("50 %", "x static"), figure_named("support_50")),
    "bottom_ratio": _Compared("bottom-out", ("bottom", "x static"), figure_named("bottom_ratio")),
}
_THEN: tuple[law.Measure, ...] = ("sag_fraction", "frequency", "bottom_ratio", "support")
"""The columns for a wheel after a change, the least important last."""


class _Seat(NamedTuple):
    """One wheel: its name, its answer, the selected setup, and its comparison with the other wheel."""

    wheel: Wheel
    there: JobAnswer
    setup: int
    found: WheelBalance

    @property
    def name(self) -> str:
        return self.there.answer.setups[self.setup].name

    @property
    def measure(self) -> Measure:
        """The measure of what is set at this wheel."""
        spring = self.there.case.setups[self.setup].spring
        return Measure.PRESSURE if isinstance(spring, Air) else Measure.SPRING_RATE

    def setting(self, change: Change) -> float:
        """Return the setting of a change [SI], pressure as gauge reading."""
        outside = float(self.there.answer.shop.pressure) if self.measure is Measure.PRESSURE else 0.0
        return gauge(float(change.setting), outside)


def document(
    bike: JobAnswer, at_rear: int, at_front: int, units: ShopUnits, glyphs: Glyphs = UTF8
) -> Document:
    """Return the balance of a rear and a front setup."""
    found, (rear, front) = _seats(bike, at_rear, at_front, units)
    names = f"Rear {brief(rear.name)}, front {brief(front.name)}"
    example = f"{glyphs.unconfirmed} {_EXAMPLE.format(out)}" if (out := left_out(bike.job)) else ""
    first: tuple[Block, ...] = (
        Paragraph("", plain=names, verbatim=True),
        *(Paragraph(text, role, plain=f"  {text}") for text, role in _verdict(found, units)),
        # A mark is that of a setup at its own wheel: both wheels have the same ones.
        Paragraph(f"{names}.", plain="", verbatim=True),
        Paragraph(example, Role.CAUTION, plain=""),
        Paragraph(
            _OFF_TARGET if _leaves_target(bike, at_rear, at_front, units) else "", Role.CAUTION, plain=""
        ),
    )
    advice = (*_advice(front, units, glyphs), *_advice(rear, units, glyphs))
    practice = Paragraph(PRACTICE, Role.QUIET, plain="", gap=True)
    table = (Heading("Front and rear"), _side_by_side(found, units))
    unmatched = (Paragraph(text, plain="") for seat in (front, rear) if (text := _unmatched(seat)))
    return Document((*first, Drawing(TAKES), *unmatched, *table, *advice, practice))


def _verdict(found: Balance, units: ShopUnits) -> Iterator[tuple[str, Role]]:
    """Say whether the bike is balanced and by how much it is not, then the sags and what is usual."""
    if found.leaning == "unknown":
        yield _NO_SAG, Role.STRONG
        return
    frequency, support = (
        f"{(float(ratio) - 1) * 100:+.0f} %" for ratio in (found.ratio.frequency, found.ratio.support)
    )
    usual = " to ".join(f"{(end - 1) * 100:+.0f}" for end in law.LEVEL)
    sags, usual_sags, outside = [], [], []
    for wheel, (low, high) in law.USUAL_SAG.items():
        sag = float(getattr(found, wheel).now.sag_fraction)
        sags.append(f"{wheel} {units.show(sag, Measure.FRACTION)}")
        usual_sags.append(f"{wheel} {low * 100:.0f} to {high * 100:.0f} %")
        if not low - _ROUNDING <= sag <= high + _ROUNDING:
            outside.append(f"{wheel} {'less' if sag < low else 'more'} than usual")
    lead = _SAG_ASIDE if outside and found.leaning == "balanced" else _LEANINGS[found.leaning]
    yield (
        f"{lead}: front natural frequency {frequency} (usual {usual} %), mid-stroke support {support} "
        "against the rear.",
        Role.STRONG,
    )
    said = f" ({', '.join(outside)})" if outside else ""
    yield f"Sag {', '.join(sags)}{said}. Rule of thumb: {', '.join(usual_sags)}.", Role.BASE


_ROUNDING = 0.0005
"""Half of the last digit of a sag as shown."""


def _off_target(seat: _Seat, then: Stance) -> bool:
    """Return whether a wheel that stands so is off its target sag."""
    target, sag = seat.there.answer.target, then.sag_fraction
    if target.of == "stroke":
        lever = stand(seat.there.case).lever
        sag = lever.at(values(then.sag)).stroke / lever.stroke
    return not abs(float(np.ravel(sag)[0]) - float(target.sag)) <= SAG_NEAR


def _aim_text(seat: _Seat, then: Stance) -> str:
    """Return whether a wheel that stands so has its target sag, in words."""
    return (
        f"off its target of {target_text(seat.there.answer.target)}"
        if _off_target(seat, then)
        else _ON_TARGET
    )


def _leaves_target(bike: JobAnswer, at_rear: int, at_front: int, units: ShopUnits) -> bool:
    """Return whether any offered change takes a wheel off its target."""
    _, seats = _seats(bike, at_rear, at_front, units)
    return any(
        _off_target(seat, change.then) for seat in seats for change in seat.found.changes if _is_match(change)
    )


def match_takes(bike: JobAnswer, at_rear: int, at_front: int, units: ShopUnits) -> tuple[Take, ...]:
    """Return the changes within all limits that match one wheel to the other in each measure.

    Those that keep the target sag come first at each wheel, and the wheel that has one before the other. If
    none does, the first line leaves both wheels as they are: what takes a wheel off its target is chosen.
    """
    _, (rear, front) = _seats(bike, at_rear, at_front, units)
    ranked = [
        (
            seat,
            sorted(filter(_is_match, seat.found.changes), key=lambda change: _off_target(seat, change.then)),
        )
        for seat in (front, rear)
    ]
    ranked.sort(key=lambda one: not one[1] or _off_target(one[0], one[1][0].then))
    found = [(seat, change) for seat, changes in ranked for change in changes]
    takes = tuple(_take(seat, change, units) for seat, change in found)
    if not found or not _off_target(found[0][0], found[0][1].then):
        return takes
    return _as_they_are((front, rear), units), *takes


def _as_they_are(seats: tuple[_Seat, _Seat], units: ShopUnits) -> Take:
    """Return the line that leaves both wheels as they are, with their sags."""
    aims = [_aim_text(seat, seat.found.now) for seat in seats]
    sags = [f"{seat.wheel} {units.show(seat.found.now.sag_fraction, Measure.FRACTION)}" for seat in seats]
    if set(aims) == {_ON_TARGET}:
        told = f"{', '.join(sags)}, {_ON_TARGET}"
    else:
        told = ", ".join(f"{sag} ({aim})" for sag, aim in zip(sags, aims, strict=True))
    return Take(f"Leave both as they are: sag {told}", (), leaves=_LEFT)


def _is_match(change: Change) -> bool:
    return math.isfinite(change.setting) and change.agrees and not change.over


def _other(seat: _Seat) -> Wheel:
    return "rear" if seat.wheel == "front" else "front"


def _take(seat: _Seat, change: Change, units: ShopUnits) -> Take:
    setup, setting = ("setup", seat.setup), units.show(seat.setting(change), seat.measure)
    typed: list[tuple[TreePath, Raw | None]] = []
    if math.isfinite(change.spacers):
        typed.append(((*setup, "positive_spacers"), round(float(change.spacers))))
    typed.append(((*setup, "pressure" if seat.measure is Measure.PRESSURE else "rate"), setting))
    settings = f"{setting}{_spacers_text(change, ', ')}"
    label = _MEASURES[change.measure].figure.label
    sag = units.show(change.then.sag_fraction, Measure.FRACTION)
    then = f"sag {sag}" if change.measure == "sag_fraction" else f"{label}; sag {sag}"
    text = f"{settings}: {then}, {_aim_text(seat, change.then)}"
    fork = seat.there.answer.frame.fork
    head = f"To match the {_other(seat)}, set the {seat.wheel} to"
    return Take(spoken(text, fork), tuple(typed), seat.wheel, head, f"{seat.wheel.capitalize()} {settings}")


def _unmatched(seat: _Seat) -> str:
    """Return why nothing is set at one wheel, empty if something is."""
    if any(map(_is_match, seat.found.changes)):
        return ""
    if not seat.found.changes:
        return f"The {seat.wheel} matches the {_other(seat)}."
    return f"No {seat.wheel} setting within limits matches the {_other(seat)}."


@lru_cache(maxsize=4)
def _seats(
    bike: JobAnswer, at_rear: int, at_front: int, units: ShopUnits | None = None
) -> tuple[Balance, tuple[_Seat, _Seat]]:
    """Return the balance of two setups, cached for keys that only move the selection.

    With `units` every change is rounded to what these write, so that it has the figures that are told of it.
    """
    assert bike.front is not None
    grain = None if units is None else grain_of(units, float(bike.answer.shop.pressure))
    found = law.balance(bike.case, at_rear, bike.front.case, at_front, grain)
    rear = _Seat("rear", bike, at_rear, found.rear)
    return found, (rear, _Seat("front", bike.front, at_front, found.front))


def _side_by_side(found: Balance, units: ShopUnits) -> Table:
    rows, plain = [("", "rear", "front", "front - rear", "front/rear")], []

    def row(label: str, name: str, measure: Measure) -> None:
        rear, front = (getattr(end.now, name) for end in (found.rear, found.front))
        apart, ratio = units.difference(front, rear, measure), getattr(found.ratio, name)
        numbers = units.plain(rear, measure), units.plain(front, measure), apart or ABSENT
        rows.append((
            f"{label} {units.unit(measure)}".rstrip(), *numbers, units.plain(ratio, Measure.RATIO)
        ))  # fmt: skip

    for name, (label, _, figure) in _MEASURES.items():
        row("bottom-out x static" if name == "bottom_ratio" else label, name, figure.measure)
        rear, front = (figure.show(getattr(at.now, name), units) for at in (found.rear, found.front))
        over = "" if (ratio := rows[-1][-1]) == ABSENT else f", front over rear {ratio}"
        plain.append(f"  {figure.label.capitalize()}: rear {rear}, front {front}{over}")
        if name == "sag_fraction":
            row(label, "sag", Measure.TRAVEL)
    return Table(tuple(rows), plain=tuple(plain), last_from=_WIDE)


def _advice(seat: _Seat, units: ShopUnits, glyphs: Glyphs) -> Iterator[Block]:
    """Yield the changes at one wheel, each with the figures it results in."""
    spring, changes = seat.there.case.setups[seat.setup].spring, seat.found.changes
    yield Heading(f"At the {seat.wheel}, to match in" if changes else f"At the {seat.wheel}")
    if not changes:
        in_stages = isinstance(spring, Coil) and spring.stage_rate is not None
        said = "A progressive coil has no single rate to set." if in_stages else AGREES
        yield Paragraph(said, plain=f"  The {seat.wheel}: {AGREES[0].lower()}{AGREES[1:]}")
        return
    fork, measure = seat.there.answer.frame.fork, seat.measure
    plain = tuple(f"  {spoken(_change_text(seat, change, units), fork)}" for change in changes)
    ranked = sorted((change for change in changes if math.isfinite(change.setting)), key=_is_nearest)
    nearest = sum(map(_is_nearest, ranked))
    names, units_below = zip(*(_MEASURES[name].head for name in _THEN), strict=True)
    heads = ("", "set", *names), ("", units.unit(measure), *units_below)
    rows = (*heads, *(_change_row(seat, change, units, glyphs) for change in ranked))
    note = (len(rows) - nearest, _NEAREST) if nearest else None
    shown = Table(rows, plain=plain, heads=len(heads), last_from=_WIDE, note=note)
    yield shown if ranked else replace(shown, rows=())
    for change in changes:
        if not math.isfinite(change.setting):
            yield Paragraph(_none_text(seat, change), plain="")
    caution = spoken(_CAUTIONS[measure], fork)
    if over := _over_text(changes):
        beyond = spoken(_BEYOND.format(mark=glyphs.caution, over=over), fork)
        yield Paragraph(beyond, Role.CAUTION, plain=f"  Caution: {spoken(_COMPARED, fork)}")
    yield Paragraph(caution, Role.CAUTION, plain=f"  Caution: {caution}")
    target = target_text(seat.there.answer.target)
    yield Paragraph(f"Its target sag is {target}: a match may change the sag.", plain="")


def _change_row(seat: _Seat, change: Change, units: ShopUnits, glyphs: Glyphs) -> tuple[str, ...]:
    label, spacers = _MEASURES[change.measure].label, _spacers_text(change, ", ")
    then = (units.plain(getattr(change.then, name), _MEASURES[name].figure.measure) for name in _THEN)
    setting = units.plain(seat.setting(change), seat.measure)
    return (label + spacers, f"{glyphs.caution if change.over else ''}{setting}", *then)


def _change_text(seat: _Seat, change: Change, units: ShopUnits) -> str:
    setting = units.show(seat.setting(change), seat.measure)
    label, over = _MEASURES[change.measure].figure.label, _over_text((change,))
    if setting == ABSENT:
        return _none_text(seat, change)
    aim = f"Nearest in {label}, no match:" if _is_nearest(change) else f"To match {label},"
    figures = ((of.figure, getattr(change.then, name)) for name, of in _MEASURES.items())
    then = ", ".join(f"{figure.label} {figure.show(number, units)}" for figure, number in figures)
    settings = f"{setting}{_spacers_text(change, ' with ')}{f', {over}' if over else ''}"
    return f"{aim} set the {seat.wheel} to {settings}: {then}"


def _none_text(seat: _Seat, change: Change) -> str:
    """Return that no rate or pressure matches the other wheel in a measure, and the range of sag searched."""
    what = "pressure" if seat.measure is Measure.PRESSURE else "rate"
    searched = " to ".join(f"{end * 100:.0f}" for end in law.SAGS)
    label = _MEASURES[change.measure].figure.label
    return f"No {seat.wheel} {what} with {searched} % sag matches the {_other(seat)} in {label}."


def _is_nearest(change: Change) -> bool:
    """Return whether a change is only the closest possible to the other wheel, not a match."""
    return not change.agrees and math.isfinite(change.setting)


def _spacers_text(change: Change, lead: str) -> str:
    count = float(change.spacers)
    return "" if math.isnan(count) else f"{lead}{count:.0f} spacer{'' if count == 1 else 's'}"


def _over_text(changes: Iterable[Change]) -> str:
    """Return the limits that some of the changes exceed, empty if none does."""
    found = {bar for change in changes for bar in change.over}
    return " or ".join(text for bar, text in _OVER.items() if bar in found)


def _pairs(bike: JobAnswer) -> Iterable[tuple[int, int]]:
    assert bike.front is not None
    return product(range(len(bike.answer.setups)), range(len(bike.front.answer.setups)))


def balance_lines(bike: JobAnswer, units: ShopUnits) -> list[str]:
    """Return a statement for every pair of rear and front setup."""
    pairs = (plain_lines(document(bike, *pair, units)) for pair in _pairs(bike))
    return ["Front and rear", *(line for lines in pairs for line in lines), f"  {PRACTICE}"]


def json_object(bike: JobAnswer) -> dict[str, Any]:
    """Return the balance of every rear setup with every front setup."""
    return {"curve": "riding", "pairs": [_pair_object(bike, *pair) for pair in _pairs(bike)]}


def _pair_object(bike: JobAnswer, at_rear: int, at_front: int) -> dict[str, Any]:
    found, (rear, front) = _seats(bike, at_rear, at_front)
    return {
        "rear": {"name": rear.name, **_stance(found.rear.now)},
        "front": {"name": front.name, **_stance(found.front.now)},
        "balance": found.leaning,
        "front_over_rear": keyed(**{_key(name): getattr(found.ratio, name) for name in _MEASURES}),
        "changes": [_change_object(seat, change) for seat in (front, rear) for change in seat.found.changes],
    }


def _key(name: law.Measure) -> str:
    figure = _MEASURES[name].figure
    return f"{figure.name}{figure.ends[0]}"


def _stance(stance: Stance) -> dict[str, Any]:
    return keyed(sag_mm=stance.sag, **{_key(name): getattr(stance, name) for name in _MEASURES})


def _change_object(seat: _Seat, change: Change) -> dict[str, Any]:
    setting = seat.setting(change)
    settings = keyed(rate_n_per_mm=setting, rate_lbf_per_in=setting)
    if seat.measure is Measure.PRESSURE:
        settings = keyed(set_pressure_psi=setting, set_pressure_bar=setting, spacers=change.spacers)
        settings |= {"over_label": change.over_label, "over": sorted(change.over)}
    return {
        "end": seat.wheel,
        "agree_in": _key(change.measure),
        **settings,
        "agrees": change.agrees,
        "then": _stance(change.then),
    }
