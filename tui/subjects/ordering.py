"""What to order: coils on either side of the target with their preload, and volume spacers."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from functools import lru_cache

import numpy as np

from physics import gas
from physics.answer import Answer, BuyableCoil, SetupAnswer, SpacerRow
from physics.arrays import Values, values
from physics.bench import answer as bench_answer
from physics.buyable import by_preference
from physics.case import Air, EqualisedNegative, SeparateNegative
from physics.faults import Refused
from physics.frozen import NamedTuple
from physics.limits import HIGHEST_PRESSURE
from physics.spacer_table import SpacerTable, spacer_table
from tui.job.answer import JobAnswer
from tui.job.case import setup_of
from tui.job.cautions import caution_texts, reason_text, solved_text
from tui.job.faults import Findings, Spelling
from tui.job.figures import NO_ESTIMATE, figure_named, is_estimated, peak_text
from tui.job.reading import read_setups
from tui.job.tree import Raw, Tree, TreePath
from tui.job.typed import SOLVE
from tui.job.wheels import spoken
from tui.kit.document import (
    TAKES,
    Block,
    Cell,
    Document,
    Drawing,
    Heading,
    Labelled,
    Paragraph,
    SetupName,
    Table,
    Take,
)
from tui.kit.roles import Role
from tui.shop_units import ABSENT, OVER, Measure, ShopUnits, both, gauge
from tui.subjects.pumping import Filling, filling_of

_NO_PRELOAD_NOW = (
    "No preload as it is set now: the coil must not rattle at full extension. Set the preload of the rate "
    "chosen, at least until snug, as the maker's manual says."
)
_CHECK = "Check free length, solid length and inner diameter of the new spring against the shock."
_COILS_NONE = "No rate to buy near the target: there is no single rate for it, or none in stock."
_WIDTHS = (7, 8, 8, 8)
_SPACERS_NONE = (
    "The volume of one spacer is not entered. Measure one, in water or with a caliper, enter it, and every "
    "count is listed here."
)
_GAS = (
    "Damper gas is not entered. With a usual charge (rule of thumb) {} are about {} too {}: enter it before "
    "{}."
)
_NOTES = (
    "Peak: gauge pressure of the positive chamber at full travel in a fast hit from sag.",
    "Bottom-out: force at the wheel at full travel in the same hit. More is harder to bottom.",
    "Estimate: the peak is outside the range of the tested air model.",
)


def document(answered: JobAnswer, index: int, units: ShopUnits) -> Document:
    """Return what to order for a setup to meet the target of the answer."""
    answer = answered.answer
    task = filling_of(answer, index, units, answered.job.setups[index])
    if task is None:
        blocks = _coils(answered, index, units)
    else:
        blocks = _spacers(answer, index, f"{_target(answer, units)}{_of(answer)}", task)
    return Document((*_gas(answer.setups[index], units), *blocks), answer.frame.fork)


def _target(answer: Answer, units: ShopUnits) -> str:
    return units.show(answer.target.sag, Measure.FRACTION)


def _of(answer: Answer) -> str:
    """Return " of travel" or " of stroke", whichever the target is of."""
    return f" of {spoken(answer.target.of, answer.frame.fork)}"


def _gas(found: SetupAnswer, units: ShopUnits) -> Iterator[Paragraph]:
    """Yield how far off everything to order is without the damper gas."""
    words = (
        ("these pressures", "high", "pumping") if found.coil is None else ("these rates", "stiff", "ordering")
    )
    for one in found.cautions:
        if one.code == "gas_not_typed":
            share = units.show(one.values["share"], Measure.FRACTION)
            yield Paragraph(_GAS.format(words[0], share, *words[1:]), Role.CAUTION, plain="")


def _coils(answered: JobAnswer, index: int, units: ShopUnits) -> Iterator[Block]:
    answer, typed = answered.answer, answered.job.setups[index]
    found, of = answer.setups[index], _of(answer)
    if found.coil is None or not found.coil.buyable:
        yield Paragraph(_COILS_NONE, plain="")
        return

    def cautions(*codes: str) -> Iterator[Paragraph]:
        texts = caution_texts((one for one in found.cautions if one.code in codes), answer, units, typed)
        return (Paragraph(text, Role.CAUTION, plain="") for text in texts)

    yield from cautions("preloaded_coil")
    if any(one.code == "no_preload" for one in found.cautions):
        yield Paragraph(_NO_PRELOAD_NOW, Role.CAUTION, plain="")
    yield Paragraph(_CHECK, plain="")
    yield Heading("Nearest rates", "Nearest rates to buy (pick one)")
    if any(
        math.isfinite(float(one.preload_for_target)) and math.isnan(float(one.preload_turns))
        for one in found.coil.buyable
    ):
        yield Paragraph(NO_PITCH, Role.QUIET, plain="")
    for choice in by_preference(found.coil.buyable):
        rate = units.show(choice.rate, Measure.SPRING_RATE)
        sag = units.show(choice.sag_fraction, Measure.FRACTION)
        wound = _preload(choice.preload_for_target, choice.preload_turns, units)
        sags = f"sag {sag}{of}" if sag != ABSENT else "no sag"
        plain = f" now; preload {wound} gives the target"
        if wound == ABSENT:
            plain = " now; too stiff for the target even without preload"
            fits = f"Too stiff for {_target(answer, units)}{of}, even without preload."
        else:
            fits = f"Preload {wound}: sag {_sags_as_taken(answered, index, units)[float(choice.rate)]}{of}."
        told = f"  {rate}: {sags}{plain}"
        yield Paragraph(f"{rate}. {fits}", Role.STRONG, plain=told, gap=True)
        yield Paragraph(f"With the preload as it is now: {sags}.", plain="", lead="  ", verbatim=True)
        for said in caution_texts(choice.cautions, answer, units, typed):
            yield Paragraph(said, Role.CAUTION, plain=f"    Caution: {said}", lead="  ")
    yield from cautions("bumper_not_typed", "legs_not_typed")


class _AsTaken(NamedTuple):
    """A rate with its preload as they are typed into the job, and the preload in words."""

    values: tuple[tuple[TreePath, Raw], ...]
    preload: str


def _as_taken(choice: BuyableCoil, index: int, units: ShopUnits, typed: Mapping[str, Raw]) -> _AsTaken:
    """Return a rate with the preload for the target, in turns where the setup has turns."""
    length, turns = float(choice.preload_for_target), float(choice.preload_turns)
    rate = units.show(float(choice.rate), Measure.SPRING_RATE)
    told, key = units.show(length, Measure.TRAVEL), "preload"
    raw: Raw = told
    if "preload_turns" in typed and math.isfinite(turns):
        told, key, raw = units.show(turns, Measure.TURNS), "preload_turns", round(turns, 1)
    return _AsTaken(((("setup", index, "rate"), rate), (("setup", index, key), raw)), told)


@lru_cache(maxsize=4)
def _sags_as_taken(answered: JobAnswer, index: int, units: ShopUnits) -> Mapping[float, str]:
    """Return the sag that each rate [N/m] gives once it is typed into the job with its preload.

    In the measure of the target, which the steps in which a preload is written miss by a little.
    """
    job, case, coil = answered.job, answered.case, answered.answer.setups[index].coil
    typed, tables = job.setups[index], dict[float, Tree]()
    for choice in () if coil is None else coil.buyable:
        if np.isfinite(choice.preload_for_target):
            taken = _as_taken(choice, index, units, typed).values
            tables[float(choice.rate)] = Tree({**typed, **{str(path[-1]): raw for path, raw in taken}})
    target, found = _target(answered.answer, units), Findings(Spelling(Tree({}), {}))
    sections = read_setups(tuple(tables.values()), str(job.get(("frame", "leverage", "kind"))), found)
    if found.faults:
        return dict.fromkeys(tables, target)
    setups = tuple(setup_of(section, float(values(case.shop.pressure))) for section in sections)
    try:
        sags = [one.sag for one in bench_answer(replace(case, setups=setups, ride=None)).setups]
    except Refused:
        return dict.fromkeys(tables, target)
    shares = (one.wheel_fraction if case.target.of == "travel" else one.stroke_fraction for one in sags)
    shown = (units.show(share, Measure.FRACTION) for share in shares)
    return dict(zip(tables, shown, strict=True))


NONE_FITS = "None of these may be fitted"
"""Stands above the rates to buy where each is beyond a limit."""
NO_PITCH = "Type the thread pitch to see turns."
"""Said where a preload has no turns."""


def _preload(length: Values, turns: Values, units: ShopUnits, of: str = "") -> str:
    """Return a preload with its turns, if known, followed by `of`."""
    told, in_turns = units.show(length, Measure.TRAVEL), units.show(turns, Measure.TURNS)
    return told if in_turns == ABSENT else f"{told}, {in_turns}{of}"


def _spacers(answer: Answer, index: int, target: str, task: Filling) -> Iterator[Block]:
    units = task.units
    if not task.air.spacers:
        yield Paragraph(_SPACERS_NONE, plain="")
        return
    yield Paragraph(task.limit, Role.CAUTION, plain="")
    told = (one for one in answer.setups[index].cautions if one.code == "pressurised")
    for text in caution_texts(told, answer, units):
        yield Paragraph(text, Role.CAUTION, plain="")
    checked = [row for row in task.air.spacers if not float(row.peak_pressure) > gas.HIGHEST]
    yield Heading(f"Every count, sag {target}", "Volume spacers, each count with the pressure for target sag")
    pressure, force = units.unit(Measure.PRESSURE), units.unit(Measure.FORCE)
    yield Paragraph(_line("spacers", "set", "peak", "bottom"), Role.STRONG, plain="")
    yield Paragraph(_line("", pressure, pressure, force), Role.QUIET, plain="")
    yield from (_row(row, task) for row in checked)
    if len(checked) < len(task.air.spacers):
        beyond = f"exceed {task.reading(gas.HIGHEST)}, outside the tested air model"
        yield Paragraph(f"More spacers {beyond}.", Role.QUIET, plain=f"  More {beyond}")
    yield from (Paragraph(note, Role.QUIET, plain="") for note in _NOTES)


def _row(row: SpacerRow, task: Filling) -> Paragraph:
    units, spring = task.units, task.spring
    needed, peak = task.reading(row.set_pressure), float(row.fast_peak_pressure)
    unit = units.unit(Measure.PRESSURE)
    most = f"{peak_text(gauge(peak, task.ambient), task.ambient, units)} {unit}"
    end = units.show(row.bottom_wheel_force, Measure.FORCE) if is_estimated(peak) else NO_ESTIMATE
    fitted = row.spacers == float(spring.positive_spacers)
    rough = peak > gas.HIGHEST
    remarks = {
        "fitted now": fitted,
        "does not reach the target": needed == ABSENT,
        "ABOVE MAX PRESSURE, do not pump": float(row.set_pressure) > (spring.max_pressure or math.inf),
        "estimate": rough,
    }
    numbers = (text.partition(" ")[0] for text in (needed, most, end))
    told = ", ".join(remark for remark, holds in remarks.items() if holds)
    text = f"{_line(str(row.spacers), *numbers)}  {told}".rstrip()
    doubt = ", outside the tested air model" if rough else ""
    plain = f"  {row.spacers}: set {needed}, peak {most}, bottom-out {end} at the wheel{doubt}"
    return Paragraph(text, Role.STRONG if fitted else Role.BASE, plain=plain)


def _line(*texts: str) -> str:
    return "".join(text.rjust(width) for text, width in zip(texts, _WIDTHS, strict=True))


RATE_TO_BUY, SPRING_RATE, PRELOAD = "Nearest rate to buy", "Spring rate", "Preload"
"""Labels of the settings of a coil."""


def setting_document(
    answer: Answer, index: int, units: ShopUnits, typed: Mapping[str, Raw], *, order: bool
) -> Document:
    """Return the settings of a coil; with `order`, for a solved one, the rate to buy with its preload.

    Nothing for an air spring.
    """
    coil = answer.setups[index].coil
    if coil is None:
        return Document(())
    rate = float(coil.rate)
    if order and (choice := _to_order(coil.buyable, typed)) is not None:
        cautions = caution_texts(choice.cautions, answer, units, typed)
        lengths = units.shows(Measure.TRAVEL, coil.preload, choice.preload_for_target)
        turns = units.shows(Measure.TURNS, coil.preload_turns, choice.preload_turns)
        stiff = lengths[1] == ABSENT
        fits = ": too stiff for the target even without preload" if stiff else ""
        to_buy = Labelled(RATE_TO_BUY, both(choice.rate, Measure.SPRING_RATE) + fits)
        told = ", ".join(_changed(*pair) for pair in (lengths, turns) if pair[1] != ABSENT)
        collar = "" if turns[1] == ABSENT else " of the collar"
        preload = () if stiff else (Labelled(PRELOAD, f"{told}{collar}"),)
        return Document(
            (*(Paragraph(said, Role.CAUTION, verbatim=True) for said in cautions), to_buy, *preload)
        )
    known = f"{both(rate, Measure.SPRING_RATE)}, {solved_text(typed.get('rate'))}"
    spring = Labelled(SPRING_RATE, "progressive, as typed" if "stages" in typed else known)
    wound = _preload(coil.preload, coil.preload_turns, units, " of the collar")
    return Document((spring, Labelled(PRELOAD, wound)))


def _to_order(choices: Iterable[BuyableCoil], typed: Mapping[str, Raw]) -> BuyableCoil | None:
    """Return the rate to order for a coil that is solved, None for others and where there is none."""
    return next(iter(by_preference(choices)), None) if typed.get("rate") == SOLVE else None


def coil_settings(
    answer: Answer, index: int, units: ShopUnits, typed: Mapping[str, Raw]
) -> tuple[str, str, bool]:
    """Return rate and preload of a coil, and whether both are those to order.

    The preload is empty for a rate to order that is too stiff without any.
    """
    coil = answer.setups[index].coil
    assert coil is not None
    if (choice := _to_order(coil.buyable, typed)) is not None:
        rate = units.show(choice.rate, Measure.SPRING_RATE)
        wound = _preload(choice.preload_for_target, choice.preload_turns, units)
        return rate, "" if wound == ABSENT else wound, True
    rate = "progressive spring" if "stages" in typed else units.show(coil.rate, Measure.SPRING_RATE)
    return rate, _preload(coil.preload, coil.preload_turns, units), False


def not_to_fit(answer: Answer, index: int, units: ShopUnits, typed: Mapping[str, Raw]) -> str:
    """Return why a coil must not be fitted, as it is or as it is to be ordered; empty if it may be."""
    found = answer.setups[index]
    cautions = found.not_to_be_fitted
    if not cautions and found.coil is not None and (choice := _to_order(found.coil.buyable, typed)):
        cautions += choice.cautions
    return reason_text(cautions, units)


def _changed(before: str, after: str) -> str:
    """Return "1.9 → 1.6 mm", the value alone if it is unchanged or new."""
    was, is_now = before.rpartition(" "), after.rpartition(" ")
    if ABSENT in (before, after) or before == after:
        return after
    lead = was[0] if was[2] == is_now[2] else before
    return f"{lead} \N{RIGHTWARDS ARROW} {after}"


_SAYS = (
    "Positive spacers down, negative spacers across. Each pressure gives the target sag. [ ] fitted now, "
    "! above max pressure: never pump that."
)
_OPENING = "Let all air out before opening a shock: the maker's manual says how."
_NO_VOLUME = (
    "Enter the volume of one positive or negative spacer to see other counts than the one fitted now."
)
_BEYOND = "? estimate: peak above {limit}, outside the tested air model; {far}."
_FAR = {"fast_peak_pressure": "> far beyond", "bottom_ratio": "? alone: far beyond"}
"""What is shown far outside the air model, where figures at full travel grow without bound."""
_FIGURES = ("set_pressure", "fast_peak_pressure", "support_50", "bottom_ratio")


@lru_cache(maxsize=4)
def _table_of(answered: JobAnswer, index: int) -> SpacerTable:
    return spacer_table(answered.case, index)


@lru_cache(maxsize=4)
def spacer_takes(answered: JobAnswer, index: int, units: ShopUnits) -> tuple[tuple[Take, ...], ...]:
    """Return all spacer counts, by rows of the table, as lines to take; those over a limit have no values."""
    case, typed = answered.case, answered.job.setups[index]
    spring = case.setups[index].spring
    assert isinstance(spring, Air)
    found, outside = _table_of(answered, index), float(values(case.shop.pressure))

    def take(row: int, column: int) -> Take:
        positive, negative = round(float(found.positive[row])), round(float(found.negative[column]))
        pressure = float(found.set_pressure[row, column])
        shown = units.show(gauge(pressure, outside), Measure.PRESSURE)
        counts = f"{positive} positive, {negative} negative"
        if not isinstance(spring.negative, SeparateNegative | EqualisedNegative):
            counts = f"{positive} spacer{'' if positive == 1 else 's'}"
        beyond = ""
        if shown == ABSENT:
            beyond = "does not reach the target"
        elif found.over_label[row, column]:
            beyond = f"{shown} is above max pressure"
        elif found.beyond_law[row, column]:
            beyond = "peak outside the tested air model"
        if beyond:
            return Take(f"{counts}: {beyond}", (), done=f"{counts}, {beyond}")
        setup = ("setup", index)
        wanted: dict[TreePath, Raw | None] = {
            (*setup, "positive_spacers"): positive,
            (*setup, "negative_spacers"): negative,
            (*setup, "pressure"): SOLVE if typed.get("pressure") == SOLVE else shown,
        }
        # Always include the pressure: a line without values would be one that cannot be set.
        changed = {
            path: raw
            for path, raw in wanted.items()
            if path[-1] == "pressure" or raw != typed.get(str(path[-1]), 0)
        }
        peak = units.show(gauge(float(found.fast_peak_pressure[row, column]), outside), Measure.PRESSURE)
        end = units.show(float(found.bottom_ratio[row, column]), Measure.RATIO)
        told = f"{counts}: {shown}, peak {peak}, bottom-out {end} x static"
        return Take(told, tuple(changed.items()))

    rows, columns = range(found.positive.size), range(found.negative.size)
    return tuple(tuple(take(row, column) for column in columns) for row in rows)


def spacers_fitted(answered: JobAnswer, index: int) -> tuple[int, int]:
    """Return row and column of the table for the spacers fitted now, the first ones if not in the table."""
    found, spring = _table_of(answered, index), answered.case.setups[index].spring
    assert isinstance(spring, Air)
    row, column = found.positive == spring.positive_spacers, found.negative == _negative_now(spring)
    return int(np.argmax(row)), int(np.argmax(column))


def _negative_now(spring: Air) -> float:
    second = spring.negative
    return float(second.spacers) if isinstance(second, SeparateNegative | EqualisedNegative) else 0.0


def spacer_document(
    answered: JobAnswer, index: int, units: ShopUnits, chosen: tuple[int, int] | None = None
) -> Document:
    """Return all spacer counts on both sides of the air spring at `index`, set for the target sag.

    `chosen` is the cell under the cursor, by row and column.
    """
    found, case = _table_of(answered, index), answered.case
    spring = case.setups[index].spring
    assert isinstance(spring, Air)
    outside = float(values(case.shop.pressure))
    blocks: list[Block] = [Drawing(TAKES), Paragraph(_OPENING, Role.CAUTION)]
    blocks.append(Paragraph(_SAYS, verbatim=True, of=SetupName(case.setups[index].name, index)))
    if found.set_pressure.size == 1:
        blocks.append(Paragraph(_NO_VOLUME))
    limit = units.show(gauge(HIGHEST_PRESSURE, outside), Measure.PRESSURE)
    for name in _FIGURES:
        heading, table = _counts(name, found, spring, outside, units, chosen)
        marked = name in _FAR and found.beyond_law.any()
        beyond = _BEYOND.format(limit=limit, far=_FAR[name]) if marked else ""
        blocks += [heading, Paragraph(beyond, Role.QUIET), table]
    return Document(tuple(blocks), answered.answer.frame.fork)


def _counts(
    name: str,
    table: SpacerTable,
    spring: Air,
    outside: float,
    units: ShopUnits,
    chosen: tuple[int, int] | None,
) -> tuple[Heading, Table]:
    figure, negative = figure_named(name), _negative_now(spring)
    found: Values = getattr(table, name)
    if figure.measure is Measure.PRESSURE:
        found = gauge(found, outside)

    def cell(row: int, column: int) -> Cell:
        over = name == "set_pressure" and bool(table.over_label[row, column])
        beyond = name in _FAR and bool(table.beyond_law[row, column])
        now = table.positive[row] == spring.positive_spacers and table.negative[column] == negative
        mark = OVER if over else NO_ESTIMATE if beyond else ""
        peak = float(table.fast_peak_pressure[row, column])
        number = f"{mark}{units.plain(found[row, column], figure.measure)}"
        if beyond and not is_estimated(peak):
            number = NO_ESTIMATE
            if figure.measure is Measure.PRESSURE:
                number = peak_text(gauge(peak, outside), outside, units)
        role = Role.CAUTION if mark else Role.STRONG if now else Role.BASE
        role = Role.CURSOR if (row, column) == chosen else role
        return Cell(f"[{number}]" if now else f"{number} ", role)

    columns = range(table.negative.size)
    counts = (Cell(f"{count:.0f}", Role.STRONG) for count in table.positive)
    rows = ((count, *(cell(row, column) for column in columns)) for row, count in enumerate(counts))
    heads = ("", *(f"{count:.0f} " for count in table.negative))
    return Heading(f"{figure.label}, {figure.unit(units)}"), Table((heads, *rows))


def order_takes(answered: JobAnswer, index: int, units: ShopUnits) -> tuple[Take, ...]:
    """Return what can be ordered for a setup to meet the target; the answer includes the spacer tables."""
    if answered.answer.setups[index].coil is not None:
        return tuple(_springs_taken(answered, index, units))
    return tuple(_spacers_taken(answered.answer, index, units, answered.job.setups[index]))


def _springs_taken(answered: JobAnswer, index: int, units: ShopUnits) -> Iterator[Take]:
    answer, typed = answered.answer, answered.job.setups[index]
    coil = answer.setups[index].coil
    choices = by_preference(coil.buyable if coil is not None else ())
    fitting = sum(choice.may_be_fitted for choice in choices)
    head = "" if fitting else NONE_FITS
    for place, choice in enumerate(choices):
        rate = units.show(float(choice.rate), Measure.SPRING_RATE)
        if not math.isfinite(float(choice.preload_for_target)):
            stiff = f"too stiff for {_target(answer, units)} sag even without preload"
            yield Take(f"{OVER} {rate}: {stiff}", (), head=head, done=f"{rate}, {stiff}")
            continue
        typed_values, told = _as_taken(choice, index, units, typed)
        if why := reason_text(choice.cautions, units):
            yield Take(f"{OVER} {rate}, preload {told}: {why}", (), head=head, done=f"{rate}, {why}")
            continue
        nearest = ""
        if not place and fitting > 1:
            nearest = f", nearest to the exact {units.show(choice.ideal, Measure.SPRING_RATE)}"
        sag = _sags_as_taken(answered, index, units)[float(choice.rate)]
        yield Take(f"{rate}, preload {told}: sag {sag}{nearest}", typed_values)


def _spacers_taken(answer: Answer, index: int, units: ShopUnits, typed: Mapping[str, Raw]) -> Iterator[Take]:
    found, outside = answer.setups[index], float(answer.shop.pressure)
    spring = found.setup.spring
    if found.air is None or not isinstance(spring, Air):
        return
    limit = spring.max_pressure or math.inf
    on_bench = units.show(gauge(float(found.air.set_pressure), outside), Measure.PRESSURE)
    head = f"Pressure for {units.show(answer.target.sag, Measure.FRACTION)} sag"
    for row in found.air.spacers:
        pressure = float(row.set_pressure)
        rough = float(row.fast_peak_pressure) > gas.HIGHEST
        if not math.isfinite(pressure) or pressure > limit or rough:
            continue
        shown = units.show(gauge(pressure, outside), Measure.PRESSURE)
        end = units.show(float(row.bottom_wheel_force), Measure.FORCE)
        count = f"{row.spacers} spacer{'' if row.spacers == 1 else 's'}"
        now = ""
        if row.spacers == float(spring.positive_spacers):
            now = " (now)" if shown == on_bench else f" (fitted now, at {on_bench})"
        set_to: Raw = SOLVE if typed.get("pressure") == SOLVE else shown
        text = f"{count}: {shown}, bottom-out {end}{now}"
        setup = ("setup", index)
        values = ((*setup, "positive_spacers"), row.spacers), ((*setup, "pressure"), set_to)
        yield Take(text, values, head=head)
