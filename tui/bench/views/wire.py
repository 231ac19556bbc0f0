"""The tables of a coil as wire: what is beside what it is held against, and wires to order side by side."""

from __future__ import annotations

import math
from collections.abc import Sequence

from physics.answer import CoilAnswer, SetupAnswer, WireAnswer
from physics.arrays import Values
from physics.case import Coil, Wire
from physics.wire import WireOrder, compared_materials, inner_diameter, order_for
from physics.wire_stock import TITANIUM
from tui.bench.state import BenchState
from tui.job.cautions import NOTHING_TYPED, caution_text
from tui.job.choices import END_WORDS, LIMIT_WORDS, MATERIAL_WORDS, NO_WIRE
from tui.job.wheels import has_front, spoken
from tui.kit.cells import CellRow
from tui.kit.document import Role
from tui.kit.dressing import columns, heading, setup_name, told
from tui.kit.glyphs import Glyphs
from tui.kit.look import ChartLook
from tui.shop_units import Measure, ShopUnits
from tui.subjects.wire import closed_text, modulus_text

Line = tuple[str, ...]

_LENGTH, _RATE, _STRESS, _COUNT = Measure.TRAVEL, Measure.SPRING_RATE, Measure.STRESS, Measure.RATIO


def described(wire: Wire, units: ShopUnits) -> str:
    """Say what a coil is wound from."""
    thick, mean = (units.show(float(size), _LENGTH) for size in (wire.diameter, wire.mean_diameter))
    working, total = (units.plain(float(count), _COUNT) for count in (wire.active_coils, wire.total_coils))
    return (
        f"{MATERIAL_WORDS[wire.material].capitalize()}, {thick} wire on a mean diameter of {mean}; {working} "
        f"of {total} coils work; ends {END_WORDS[wire.ends]}."
    )


def measured(coil: Coil, wire: Wire, found: WireAnswer, units: ShopUnits) -> list[Line]:
    """Return rows of what the coil does and what that is held against."""

    def plain(number: Values | float | None, measure: Measure) -> str:
        return units.plain(math.nan if number is None else float(number), measure)

    mass, force = Measure.SPRING_MASS, Measure.FORCE
    return [
        ("", "is", "against"),
        (f"rate {units.unit(_RATE)}", plain(found.rate, _RATE), f"asked {plain(coil.rate, _RATE)}"),
        ("may stray by %", plain(found.band, Measure.FRACTION), f"grade {wire.grade}"),
        (f"load {units.unit(force)}", plain(found.force, force), ""),
        (
            f"stress {units.unit(_STRESS)}",
            plain(found.stress, _STRESS),
            f"wound {plain(found.allowed, _STRESS)}",
        ),
        ("", "", f"set {plain(found.allowed_set, _STRESS)}"),
        (
            f"if solid {units.unit(_STRESS)}",
            plain(found.solid_stress, _STRESS),
            f"tensile {plain(found.strength, _STRESS)}",
        ),
        (
            f"gap left {units.unit(_LENGTH)}",
            plain(found.gap, _LENGTH),
            f"due {plain(found.gap_due, _LENGTH)}",
        ),
        (f"solid {units.unit(_LENGTH)}", plain(found.solid_length, _LENGTH), ""),
        (
            f"free {units.unit(_LENGTH)}",
            plain(coil.free_length, _LENGTH),
            f"bows {plain(found.buckling_length, _LENGTH)}",
        ),
        (f"surge {units.unit(Measure.SURGE)}", plain(found.surge, Measure.SURGE), ""),
        (f"weight {units.unit(mass)}", plain(found.mass, mass), ""),
    ]


def ordered(orders: Sequence[WireOrder], names: Sequence[str], units: ShopUnits) -> list[Line]:
    """Return wires to order side by side, a dash throughout for one that does not exist."""

    def line(label: str, field: str, measure: Measure) -> Line:
        unit = units.unit(measure)
        numbers = (units.plain(float(getattr(order, field)), measure) for order in orders)
        return (f"{label} {unit}".rstrip(), *numbers)

    return [
        ("", *names),
        line("wire", "diameter", _LENGTH),
        line("coils in all", "total_coils", _COUNT),
        line("that work", "active_coils", _COUNT),
        line("free", "free_length", _LENGTH),
        line("solid", "solid_length", _LENGTH),
        line("stress", "stress", _STRESS),
        line("closed", "solid_stress", _STRESS),
        line("limit, set", "allowed", _STRESS),
        line("limit, wound", "as_wound", _STRESS),
        line("rate strays", "band", Measure.FRACTION),
        line("surge", "surge", Measure.SURGE),
        line("weight", "mass", Measure.SPRING_MASS),
        ("thinner fails", *(LIMIT_WORDS[str(order.limit)] if order.found else "-" for order in orders)),
    ]


_NO_COIL = "No coil in this job: c adds one."
_NO_COIL_HERE = "No coil at this end of the bike: c adds one, e goes to the other end."
_STAGES = "A coil in stages is more than one helix: it has no one wire to work out."
_UNSOLVED = "No rate reaches the target sag, so there is no wire to order for it."
_MEASURE = (
    "To see the coil on the bench as wire, turn 'wire' in its panel to measured: wire thickness and inside "
    "or outside with a caliper, all its turns counted, the spring lying loose."
)
_AIR_SELECTED = "The selected setup is an air spring, which has no wire: go to a coil."
_TAKING_OFF = (
    "A coil on its shock holds energy: back the collar off before taking it out to measure, eye protection "
    "on, and leave what is in doubt to a qualified technician."
)
_LIMITS = (
    "'Wound' is the handbook's limit of stress for a coil as wound, 'set' for one its maker pressed solid "
    "beforehand (that share from memory); wire to order is for a set coil, ends closed and ground. Grinding "
    "is not taken off the weight. The spring's maker has the last word."
)
_BEYOND = "Thicker than the table of strengths goes: take the limits of stress as a guess."
_MEMORY = "Titanium: every figure of the metal is from memory."
_CODES = ("wire_stress", "wire_not_set", "wire_rate", "coil_bind", "buckling", "surge")


def lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the view for the selected coil of the last good answer."""
    if state.answer is None:
        return told("Nothing to say yet: put right what is marked in the panels.", width, look.glyphs)
    answer = state.answer.answer
    coils = [index for index, setup in enumerate(answer.setups) if setup.coil is not None]
    if not coils:
        return told(_NO_COIL_HERE if has_front(state.bike) else _NO_COIL, width, look.glyphs)
    index = state.setup
    if index not in coils:
        return told(_AIR_SELECTED, width, look.glyphs)
    found = answer.setups[index]
    rows, coil = [setup_name(found.name, index, look)], found.setup.spring
    if found.coil is None or not isinstance(coil, Coil) or coil.stage_rate is not None:
        return rows + told(_STAGES, width, look.glyphs)
    rows += _as_it_is(found, found.coil, coil, state, width, look.glyphs)
    rows += _to_order(coil, float(answer.frame.stroke), state, width, look.glyphs)
    return [*rows, [], *told(_LIMITS, width, look.glyphs, Role.QUIET)]


def _as_it_is(
    found: SetupAnswer, answer: CoilAnswer, coil: Coil, state: BenchState, width: int, glyphs: Glyphs
) -> list[CellRow]:
    fork = state.answer is not None and state.answer.answer.frame.fork
    taking_off = told(spoken(_TAKING_OFF, fork), width, glyphs, Role.CAUTION)
    if coil.wire is None or answer.wire is None:
        return told(_MEASURE, width, glyphs) + taking_off
    rows = told(described(coil.wire, state.units), width, glyphs)
    rows += heading(spoken("As it is, at full stroke", fork))
    rows += columns(measured(coil, coil.wire, answer.wire, state.units))
    typed = state.answer.job.setups[state.setup] if state.answer is not None else NOTHING_TYPED
    for caution in found.cautions:
        if caution.code in _CODES:
            rows += told(caution_text(caution, state.units, 0.0, fork, typed), width, glyphs, Role.CAUTION)
    rows += told(modulus_text(coil.wire.material), width, glyphs, Role.QUIET)
    return rows + _doubts([coil.wire.material], answer.wire.beyond_table, width, glyphs) + taking_off


def _to_order(coil: Coil, stroke: float, state: BenchState, width: int, glyphs: Glyphs) -> list[CellRow]:
    """Return the wire that makes the coil's rate, in steel and in titanium."""
    rate = math.nan if coil.rate is None else float(coil.rate)
    if math.isnan(rate):
        return [[], *told(_UNSOLVED, width, glyphs)]
    inside = state.units.show(float(inner_diameter(coil)), Measure.TRAVEL)
    how = (
        "" if coil.inner_diameter is not None else ", common practice and from memory, as it is not measured"
    )
    names = compared_materials(coil)
    orders = [order_for(coil, stroke, name) for name in names]
    rows, asked = heading("Wire to order"), state.units.show(rate, Measure.SPRING_RATE)
    metals = " and ".join(MATERIAL_WORDS[name] for name in names)
    rows += told(f"For {asked}: {metals}; inside {inside}{how}.", width, glyphs)
    if any(order.found for order in orders):
        rows += columns(ordered(orders, ("steel", "titanium"), state.units))
    for name, order in zip(names, orders, strict=True):
        if not order.found:
            why = NO_WIRE[str(order.limit)]
            rows += told(f"No {MATERIAL_WORDS[name]} does it: {why}.", width, glyphs, Role.CAUTION)
        elif order.closed_beyond:
            said = closed_text(name, order, state.units)
            rows += told(said, width, glyphs, Role.CAUTION)
    if coil.wire is None:
        rows += told(modulus_text(names[0]), width, glyphs, Role.QUIET)
    return rows + _doubts(names, any(bool(order.beyond_table) for order in orders), width, glyphs)


def _doubts(materials: Sequence[str], beyond: bool, width: int, glyphs: Glyphs) -> list[CellRow]:
    rows = told(_BEYOND, width, glyphs, Role.QUIET) if beyond else []
    if TITANIUM in materials:
        rows += told(_MEMORY, width, glyphs, Role.QUIET)
    return rows
