"""A coil spring as wire: its dimensions and stress with their limits, and the wire to order for a rate."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from typing import Any

from physics.answer import SetupAnswer, WireAnswer
from physics.arrays import Values
from physics.case import Coil, Setup, Wire
from physics.frozen import dataclass
from physics.typical import between_collars, shock_size
from physics.wire import WireOrder, compared_materials, inner_diameter, order_for
from physics.wire_stock import TITANIUM, USUAL_MATERIAL
from tui.job.answer import JobAnswer
from tui.job.cautions import caution_texts
from tui.job.choices import END_WORDS, LIMIT_WORDS, MATERIAL_WORDS, NO_WIRE
from tui.job.tree import Raw
from tui.kit.document import (
    TAKES,
    Block,
    Document,
    Drawing,
    Heading,
    Paragraph,
    SetupName,
    Table,
    TableRow,
    Take,
)
from tui.kit.roles import Role
from tui.shop_units import ABSENT, METRIC, OVER, USUAL, Measure, ShopUnits, keyed

_STAGES = "A progressive coil is not one helix: no single wire can be calculated."
_UNSOLVED = "No rate reaches the target sag, so there is no wire to order for it."
_MEASURE = (
    "To check this coil by its wire set the field 'wire' to measured: wire diameter, inside or outside "
    "diameter, total coils, with the spring loose."
)

_TAKING_OFF = (
    "A coil on its shock holds energy: back off the collar before taking it out to measure. Eye protection; "
    "if in doubt, a qualified technician."
)
_LIMITS = (
    "'Wound' is the handbook stress limit for a coil as wound, 'pre-set' for one "
    "compressed solid beforehand (unverified value). Wire to order assumes a pre-set coil, ends closed and "
    "ground; weight before grinding. The spring maker has the last word."
)
_BEYOND = "Wire above the strength table's range: stress limits are a guess."
_MEMORY = "Titanium: material values unverified."
"""From memory."""
_CLOSED = "Compressed solid, {} {} above the limit of a pre-set coil and may take a set: ask the maker."
_UNCHECKED = (
    "Neither the free length of the present coil nor eye to eye is entered: whether these springs go on the "
    "shock is not checked."
)
NONE_FITS = "None of these fits the shock"
_HAIR = 5e-5
"""Lengths [m] closer than this are shown alike."""
_CODES = ("wire_stress", "wire_not_set", "wire_rate", "coil_bind", "buckling", "surge")


MODULUS = "G 79.5 GPa (EN 13906-1); 77.2 GPa (handbook), also in use, is within the rate tolerance"


def modulus_text(material: str) -> str:
    """Return the remark on the shear modulus of a material, empty if its sources agree."""
    return f"{MATERIAL_WORDS[material].capitalize()}: {MODULUS}." if material == USUAL_MATERIAL else ""


def closed_text(material: str, order: WireOrder, units: ShopUnits) -> str:
    """Return that the stress of a wire to order exceeds its limit at solid length."""
    closed, limit = units.shows(Measure.STRESS, order.solid_stress, order.allowed)
    carries = f"At solid the {MATERIAL_WORDS[material]} is at {closed}, above the {limit}"
    return f"{carries} of a pre-set coil: compressed solid it may take a set. Ask the maker."


def wire_lines(setup: SetupAnswer, units: ShopUnits) -> Iterator[str]:
    """Yield rate, stress and weight of a measured coil from its wire; nothing for other springs."""
    coil, found = setup.setup.spring, None if setup.coil is None else setup.coil.wire
    if not isinstance(coil, Coil) or found is None:
        return
    rate, band = units.show(found.rate, Measure.SPRING_RATE), units.show(found.band, Measure.FRACTION)
    stress, closed, wound, by_maker = units.shows(
        Measure.STRESS, found.stress, found.solid_stress, found.allowed, found.allowed_set
    )
    solid, gap, due = units.shows(Measure.TRAVEL, found.solid_length, found.gap, found.gap_due)
    mass, surge = units.show(found.mass, Measure.SPRING_MASS), units.show(found.surge, Measure.SURGE)
    yield f"From wire: {rate} ± {band}; {mass}; surge frequency {surge}"
    yield f"Stress at full stroke: {stress}; limit {wound} as wound, {by_maker} pre-set"
    if closed != ABSENT:
        yield f"Stress at solid: {closed}"
    if found.beyond_table:
        yield _BEYOND.removesuffix(".")
    if coil.wire is not None and (modulus := modulus_text(coil.wire.material)):
        yield modulus.removesuffix(".")
    clearance = "" if gap == ABSENT else f", coil-bind clearance {gap} at full stroke, minimum {due}"
    yield f"Solid length {solid}{clearance}"


def order_lines(answered: JobAnswer, index: int, units: ShopUnits) -> Iterator[str]:
    """Yield the wires to order for a solved coil, none if progressive.

    Only if the inner diameter is known: the report contains no guesses.
    """
    coil, stroke = answered.answer.setups[index].setup.spring, float(answered.answer.frame.stroke)
    room = room_of(answered, index)
    if not isinstance(coil, Coil) or coil.rate is None or coil.inner_diameter is None:
        return
    for material in compared_materials(coil) if coil.rate == coil.rate else ():
        order = order_for(coil, stroke, material)
        if not order.found:
            yield f"No {MATERIAL_WORDS[material]} wire: {NO_WIRE[str(order.limit)]}"
            continue
        yield f"Wire to order, {MATERIAL_WORDS[material]}: {_ordered(order, units)}"
        if order.closed_beyond:
            yield closed_text(material, order, units).removesuffix(".")
        if why := room.too_long(coil, order, units) if room else "":
            yield f"The {MATERIAL_WORDS[material]} coil does not go on the shock: {why}"


def _ordered(order: WireOrder, units: ShopUnits) -> str:
    wire, free = units.shows(Measure.TRAVEL, order.diameter, order.free_length)
    total, band = units.show(order.total_coils, Measure.RATIO), units.show(order.band, Measure.FRACTION)
    stress, closed, limit = units.shows(Measure.STRESS, order.stress, order.solid_stress, order.allowed)
    size = f"diameter {wire}, {total} total coils, free length {free}, rate ± {band}"
    return f"{size}; stress {stress} at full stroke, {closed} at solid; limit {limit} pre-set"


def _measured(setup: Setup, coil: Coil, wire: Wire, found: WireAnswer, units: ShopUnits) -> Table:
    def plain(number: Values | float | None, measure: Measure) -> str:
        return units.plain(math.nan if number is None else float(number), measure)

    rate, length, stress, mass = Measure.SPRING_RATE, Measure.TRAVEL, Measure.STRESS, Measure.SPRING_MASS
    rows = (
        ("rate", found.rate, rate, f"wanted {plain(coil.rate, rate)}"),
        ("tolerance ±", found.band, Measure.FRACTION, f"grade {wire.grade}"),
        ("load", found.force, Measure.FORCE, ""),
        ("stress", found.stress, stress, f"wound {plain(found.allowed, stress)}"),
        ("at solid", found.solid_stress, stress, f"tensile {plain(found.strength, stress)}"),
        ("clearance", found.gap, length, f"min {plain(found.gap_due, length)}"),
        ("solid", found.solid_length, length, ""),
        ("free", coil.free_length, length, f"buckles {plain(found.buckling_length, length)}"),
        ("surge", found.surge, Measure.SURGE, ""),
        ("weight", found.mass, mass, "" if setup.mass is None else f"typed {plain(setup.mass, mass)}"),
    )
    told = [(f"{label} {units.unit(of)}", plain(is_, of), against) for label, is_, of, against in rows]
    told.insert(4, ("", "", f"pre-set {plain(found.allowed_set, stress)}"))
    return Table((("", "coil", "limit"), *told))


_ORDERED = (
    ("wire diameter", "diameter", Measure.TRAVEL), ("total coils", "total_coils", Measure.RATIO),
    ("active coils", "active_coils", Measure.RATIO), ("free", "free_length", Measure.TRAVEL),
    ("solid", "solid_length", Measure.TRAVEL), ("stress", "stress", Measure.STRESS),
    ("at solid", "solid_stress", Measure.STRESS), ("limit, pre-set", "allowed", Measure.STRESS),
    ("limit, wound", "as_wound", Measure.STRESS), ("rate tolerance ±", "band", Measure.FRACTION),
    ("surge", "surge", Measure.SURGE), ("weight", "mass", Measure.SPRING_MASS),
)  # fmt: skip


def document(answered: JobAnswer, index: int, units: ShopUnits) -> Document:
    """Return the wire of a setup's coil and the wire to order; `index` is that of a coil."""
    answer = answered.answer
    found, coil = answer.setups[index], answer.setups[index].setup.spring
    here, room = SetupName(found.name, index), room_of(answered, index)
    if not isinstance(coil, Coil) or coil.stage_rate is not None:
        return Document((Paragraph(_STAGES, Role.STRONG, of=here),))
    # The wire of a measured coil comes first; if it is not measured, the wire to order does.
    stroke, blocks = float(answer.frame.stroke), list[Block]()
    if coil.wire is not None:
        blocks += [*_as_it_is(answered, index, coil, units, here), Heading("Wire to order")]
        blocks += _to_order(found, coil, stroke, units, room)
    else:
        blocks += [
            *_to_order(found, coil, stroke, units, room, here),
            *_as_it_is(answered, index, coil, units),
        ]
    return Document((*blocks, Paragraph(_LIMITS, Role.QUIET, gap=True)), answer.frame.fork)


def _as_it_is(
    answered: JobAnswer, index: int, coil: Coil, units: ShopUnits, of: SetupName | None = None
) -> Iterator[Block]:
    found = answered.answer.setups[index]
    wire = found.coil.wire if found.coil is not None else None
    if coil.wire is None or wire is None:
        yield Paragraph(_MEASURE, gap=True)
    else:
        material = MATERIAL_WORDS[coil.wire.material].capitalize()
        thick, mean = units.shows(Measure.TRAVEL, coil.wire.diameter, coil.wire.mean_diameter)
        working, total = units.shows(Measure.RATIO, coil.wire.active_coils, coil.wire.total_coils)
        wound = f"{working} of {total} coils active; ends {END_WORDS[coil.wire.ends]}"
        rate, band = units.show(wire.rate, Measure.SPRING_RATE), units.show(wire.band, Measure.FRACTION)
        stress, limit = units.shows(Measure.STRESS, wire.stress, wire.allowed_set)
        said = f"{rate} ± {band}. {stress} at full stroke, limit {limit} pre-set."
        yield Paragraph(said, Role.STRONG, of=of)
        told = (one for one in found.cautions if one.code in _CODES)
        for text in caution_texts(told, answered.answer, units, answered.job.setups[index]):
            yield Paragraph(text, Role.CAUTION)
        yield Heading("This coil at full stroke")
        yield Paragraph(f"{material}, {thick} wire, mean diameter {mean}; {wound}.")
        yield _measured(found.setup, coil, coil.wire, wire, units)
        yield Paragraph(modulus_text(coil.wire.material), Role.QUIET)
        yield from _doubts([coil.wire.material], wire.beyond_table)
    yield Paragraph(_TAKING_OFF, Role.CAUTION)


def _to_order(
    found: SetupAnswer,
    coil: Coil,
    stroke: float,
    units: ShopUnits,
    room: Room | None,
    of: SetupName | None = None,
) -> Iterator[Block]:
    rate = math.nan if coil.rate is None else float(coil.rate)
    if math.isnan(rate):
        yield Paragraph(_UNSOLVED, Role.STRONG, of=of)
        return
    inside = units.show(inner_diameter(coil), Measure.TRAVEL)
    guessed = ", assumed (not measured)"
    how = guessed if coil.inner_diameter is None else ""
    names = compared_materials(coil)
    orders = [order_for(coil, stroke, name) for name in names]
    metals = " and ".join(MATERIAL_WORDS[name] for name in names)
    yield Drawing(TAKES)
    if room is None:
        yield Paragraph(_UNCHECKED, Role.CAUTION)
    for name, order in zip(names, orders, strict=True):
        if not order.found:
            yield Paragraph(f"No {MATERIAL_WORDS[name]} wire: {NO_WIRE[str(order.limit)]}.", Role.CAUTION)
    if over := [
        MATERIAL_WORDS[name] for name, order in zip(names, orders, strict=True) if order.closed_beyond
    ]:
        yield Paragraph(_CLOSED.format(" and ".join(over), "are" if len(over) > 1 else "is"), Role.CAUTION)
    yield Paragraph(f"For {units.show(rate, Measure.SPRING_RATE)}: {metals}; inside {inside}{how}.", of=of)
    if any(order.found for order in orders):
        # Dashes throughout for a wire that does not exist.
        rows: list[TableRow] = [("", "steel", "titanium")]
        for label, field, measure in _ORDERED:
            shown = (_order_cell(order, field, measure, units) for order in orders)
            rows.append((f"{label} {units.unit(measure)}".rstrip(), *shown))
        fails = (LIMIT_WORDS[str(order.limit)] if order.found else "-" for order in orders)
        yield Table((*rows, ("limited by", *fails)))
        yield Paragraph(_typed_weight(found, units))
    if coil.wire is None:
        yield Paragraph(modulus_text(names[0]), Role.QUIET)
    yield from _doubts(names, any(bool(order.beyond_table) for order in orders))


def _order_cell(order: WireOrder, field: str, measure: Measure, units: ShopUnits) -> str:
    """Return a number of a wire to order, marked where it is beyond its limit."""
    mark = OVER if field == "solid_stress" and order.closed_beyond else ""
    return f"{mark}{units.plain(getattr(order, field), measure)}"


def _typed_weight(found: SetupAnswer, units: ShopUnits) -> str:
    """Return why the weight of a wire to order is not that of the setup, empty if none is typed."""
    if found.setup.mass is None:
        return ""
    typed = units.show(found.setup.mass, Measure.SPRING_MASS)
    return (
        f"Every other view shows the typed spring weight, {typed}; the weights here are calculated for a new "
        "spring."
    )


@dataclass(frozen=True, slots=True)
class Room:
    """The longest coil [m], as it stands between the collars, known to go on a shock; `of` says whence."""

    length: float
    of: str

    def too_long(self, coil: Coil, order: WireOrder, units: ShopUnits) -> str:
        """Return why a wire to order with the preload of `coil` does not go on the shock, or nothing."""
        if float(order.free_length) - float(coil.preload) <= self.length + _HAIR:
            return ""
        free, preload, room = units.shows(Measure.TRAVEL, order.free_length, coil.preload, self.length)
        return f"too long, free {free} less {preload} preload; the shock takes {room} ({self.of})"


def room_of(answered: JobAnswer, index: int) -> Room | None:
    """Return the room for a coil on its shock, None if neither its free length nor eye to eye is in the job.

    The present coil goes on with its collar backed off, so that its free length is known to fit; a longer
    one does if there is room between the collars of a usual shock of this eye to eye.
    """
    coil, frame, rooms = answered.answer.setups[index].setup.spring, answered.answer.frame, list[Room]()
    eyes, stroke = answered.case.frame.eye_to_eye, float(frame.stroke)
    if isinstance(coil, Coil) and coil.free_length is not None:
        rooms.append(Room(float(coil.free_length), "present coil"))
    if not frame.fork and eyes is not None and eyes > stroke:
        usual = between_collars(shock_size(eyes, stroke))
        rooms.append(Room(usual, "rule of thumb"))
    return max(rooms, key=lambda room: room.length, default=None)


@lru_cache(maxsize=4)
def wire_takes(answered: JobAnswer, index: int) -> tuple[Take, ...]:
    """Return the wires to order, each to be taken as the measured wire; empty without a single rate.

    Those too long for the shock come last and cannot be taken. Wire is written in millimetres whatever the
    shop's units: the others show too few digits.
    """
    coil = answered.answer.setups[index].setup.spring
    if not isinstance(coil, Coil) or coil.rate is None or coil.rate != coil.rate:
        return ()
    room, fitting, others = room_of(answered, index), list[Take](), list[Take]()
    for name in compared_materials(coil):
        order = order_for(coil, float(answered.answer.frame.stroke), name)
        if not order.found:
            continue
        take = _wire_take(index, name, order, answered.job.setups[index])
        if why := room.too_long(coil, order, METRIC) if room else "":
            what = take.text.partition(":")[0]
            others.append(Take(f"{OVER} {what}: {why}", (), done=f"{take.told}, {why}"))
        else:
            fitting.append(take)
    if fitting:
        return (*fitting, *others)
    return tuple(take._replace(head=NONE_FITS) for take in others)


def _wire_take(index: int, material: str, order: WireOrder, before: Mapping[str, Raw]) -> Take:
    wire, free, solid = METRIC.shows(Measure.TRAVEL, order.diameter, order.free_length, order.solid_length)
    inside = METRIC.show(order.mean_diameter - order.diameter, Measure.TRAVEL)
    total = round(float(order.total_coils), 2)
    typed: dict[str, Raw | None] = {
        **dict.fromkeys(("mass", "outer_diameter", "mean_diameter", "active_coils", "ends")),
        "wire_diameter": wire, "inner_diameter": inside, "total_coils": total, "material": material,
        "free_length": free, "solid_length": solid,
    }  # fmt: skip
    if "inner_diameter" in before:
        del typed["inner_diameter"]  # measured, and that of the wire to order too
    weight = METRIC.show(order.mass, Measure.SPRING_MASS)
    text = f"{wire} {MATERIAL_WORDS[material]} wire, {weight}"
    if order.closed_beyond:
        closed, limit = METRIC.shows(Measure.STRESS, order.solid_stress, order.allowed)
        text += f": {OVER}{closed} at solid, limit {limit}"
    values = tuple((("setup", index, key), value) for key, value in typed.items())
    done = f"{MATERIAL_WORDS[material]} {wire} wire".capitalize()
    return Take(text, values, done=done, calculated=True)


def _doubts(materials: Sequence[str], beyond: bool) -> Iterator[Paragraph]:
    doubts = {_BEYOND: beyond, _MEMORY: TITANIUM in materials}
    return (Paragraph(doubt, Role.QUIET) for doubt, holds in doubts.items() if holds)


_WIRE_KEYS = {
    "rate_n_per_mm": "rate", "rate_band": "band", "full_stroke_n": "force", "stress_mpa": "stress",
    "solid_stress_mpa": "solid_stress", "tensile_strength_mpa": "strength", "limit_as_wound_mpa": "allowed",
    "limit_set_mpa": "allowed_set", "solid_length_mm": "solid_length", "gap_mm": "gap",
    "gap_due_mm": "gap_due", "buckling_length_mm": "buckling_length", "surge_hz": "surge", "mass_kg": "mass",
}  # fmt: skip
_ORDER_KEYS = {
    "wire_diameter_mm": "diameter", "mean_diameter_mm": "mean_diameter", "active_coils": "active_coils",
    "total_coils": "total_coils", "free_length_mm": "free_length", "solid_length_mm": "solid_length",
    "stress_mpa": "stress", "solid_stress_mpa": "solid_stress", "limit_as_wound_mpa": "as_wound",
    "limit_set_mpa": "allowed", "rate_band": "band", "surge_hz": "surge", "mass_kg": "mass",
}  # fmt: skip


def json_object(answered: JobAnswer, index: int) -> dict[str, Any]:
    """Return the spring weight of a setup, its wire if measured, and the wires to order with their cautions.

    The latter only if the inner diameter is known: the headless answer contains no guesses.
    """
    setup, stroke = answered.answer.setups[index], float(answered.answer.frame.stroke)
    found = keyed(mass_kg=setup.mass)
    if setup.coil is not None and (wire := setup.coil.wire) is not None:
        numbers = {key: getattr(wire, field) for key, field in _WIRE_KEYS.items()}
        found["wire"] = keyed(**numbers, beyond_table=wire.beyond_table)
    coil = setup.setup.spring
    if isinstance(coil, Coil) and coil.rate is not None and coil.inner_diameter is not None:
        found["wire_to_order"], room = [], room_of(answered, index)
        for name in compared_materials(coil):
            order = order_for(coil, stroke, name)
            head = {"material": name, "found": bool(order.found), "limit": str(order.limit)}
            numbers = {key: getattr(order, field) for key, field in _ORDER_KEYS.items()}
            beyond = {
                "solid_beyond_limit": bool(order.closed_beyond),
                "beyond_table": bool(order.beyond_table),
            }
            cautions = {"cautions": _order_cautions(coil, order, name, room) if order.found else []}
            found["wire_to_order"].append(head | keyed(**numbers) | beyond | cautions)
    return found


def _order_cautions(coil: Coil, order: WireOrder, material: str, room: Room | None) -> list[dict[str, str]]:
    """Return the cautions of a wire to order as codes and texts."""
    said = {"room_unknown": _UNCHECKED if room is None else ""}
    if room is not None and (why := room.too_long(coil, order, USUAL)):
        said["too_long_for_shock"] = f"This coil does not go on the shock: {why}. Do not fit it."
    if order.closed_beyond:
        said["solid_beyond_limit"] = closed_text(material, order, USUAL)
    return [{"code": code, "text": text} for code, text in said.items() if text]
