"""What to order: coils on either side of the target with their preload, and volume spacers; and taking it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from physics import gas
from physics.answer import Answer, SpacerRow
from physics.arrays import Values, values
from physics.buyable import coil_to_order
from physics.case import Air, EqualisedNegative, SeparateNegative
from physics.faults import NOT_TYPED
from physics.limits import HIGHEST_PRESSURE
from physics.spacer_table import SpacerTable, spacer_table
from tui.job.answer import JobAnswer
from tui.job.cautions import NOTHING_TYPED, caution_texts, solved_text
from tui.job.figures import figure_named
from tui.job.job import Job
from tui.job.tree import Raw
from tui.job.typed import SOLVE
from tui.job.wheels import spoken
from tui.kit.document import Block, Cell, Document, Heading, Labelled, Paragraph, SetupName, Table
from tui.kit.roles import Role
from tui.shop_units import ABSENT, Measure, ShopUnits, both, gauge
from tui.subjects.pumping import Filling, filling_of

_BEFORE = ("preloaded_coil", "no_preload")
_CHECK = "Check free length, solid length and inner diameter of the new spring against the shock."
_COILS_NONE = (
    "No rate one can order stands beside the target: there is no single rate for it, or none on the list."
)
_WIDTHS = (7, 8, 8, 8)
_SPACERS_NONE = (
    "No volume of one spacer is typed in this job. Measure one, in water or with a caliper, type it, and "
    "every count is listed here."
)
_NOTES = (
    "Peak: gauge pressure of the positive chamber at full travel in a hit from sag, before the air can cool.",
    "End: force at the wheel at full travel in the same hit. More is harder to bottom.",
    "A rough guess: the peak is beyond the pressures that the law for air was checked on.",
)


def document(
    answer: Answer, index: int, units: ShopUnits, typed: Mapping[str, Raw] = NOTHING_TYPED
) -> Document:
    """Return what to order for a setup to meet the target of the answer, `typed` as it stands in the job."""
    task = filling_of(answer, index, units, typed)
    of = spoken(answer.target.of, answer.frame.fork)
    target = f"{units.show(answer.target.sag, Measure.FRACTION)} of {of}"
    at = answer, index, target
    blocks = _coils(*at, units, typed) if task is None else _spacers(*at, task)
    return Document(tuple(blocks), answer.frame.fork)


def _coils(
    answer: Answer, index: int, target: str, units: ShopUnits, typed: Mapping[str, Raw]
) -> Iterator[Block]:
    found = answer.setups[index]
    if found.coil is None or not found.coil.buyable:
        yield Paragraph(_COILS_NONE, plain="")
        return
    to_have = f"Target sag {target}. To be had on either side of it:"
    yield Paragraph(to_have, Role.QUIET, plain="Coils to buy on either side")
    for choice in found.coil.buyable:
        rate = units.show(choice.rate, Measure.SPRING_RATE)
        sag = units.show(choice.sag_fraction, Measure.FRACTION)
        wound = _preload(choice.preload_for_target, choice.preload_turns, units)
        of = spoken(answer.target.of, answer.frame.fork)
        sags = f"Sags {sag} of {of}" if sag != ABSENT else "Does not settle"
        by = f"{wound}," if ", " in wound else wound
        plain, fits = f" as it is; {by} of preload hits the target", f"Preload for {target}: {wound}."
        if wound == ABSENT:
            plain = "; too stiff for the target even without preload"
            fits = f"Too stiff for {target}: it sags less than that with no preload at all."
        told = f"  {rate}: sag {sag} of {answer.target.of}{plain}"
        yield Heading(rate)
        yield Paragraph(f"{sags} with the preload as it is now.", plain=told, lead="  ", verbatim=True)
        yield Paragraph(fits, Role.STRONG, plain="", lead="  ")
        for said in caution_texts(choice.cautions, answer, units, typed):
            yield Paragraph(said, Role.CAUTION, plain=f"    Caution: {said}", lead="  ")

    def cautions(codes: tuple[str, ...]) -> Iterator[Paragraph]:
        texts = caution_texts((one for one in found.cautions if one.code in codes), answer, units)
        return (Paragraph(text, Role.CAUTION, plain="") for text in texts)

    yield Heading("Before the spring is touched")
    yield from (*cautions(_BEFORE), Paragraph(_CHECK, plain=""), *cautions(NOT_TYPED))


def _preload(length: Values, turns: Values, units: ShopUnits, of: str = "") -> str:
    """Return a preload and, where they are known, its turns with an `of` behind them."""
    told, in_turns = units.show(length, Measure.TRAVEL), units.show(turns, Measure.TURNS)
    return told if in_turns == ABSENT else f"{told}, {in_turns}{of}"


def _spacers(answer: Answer, index: int, target: str, task: Filling) -> Iterator[Block]:
    units = task.units
    if not task.air.spacers:
        yield Paragraph(_SPACERS_NONE, plain="")
        return
    checked = [row for row in task.air.spacers if not float(row.peak_pressure) > gas.HIGHEST]
    plain = "Volume spacers, each count with the pressure for the target sag"
    yield Paragraph(f"What to pump for a sag of {target}, and what it does to the end:", Role.QUIET, plain)
    pressure, force = units.unit(Measure.PRESSURE), units.unit(Measure.FORCE)
    yield Heading(_line("spacers", "pump", "peak", "end"))
    yield Paragraph(_line("", pressure, pressure, force), Role.QUIET, plain="")
    yield from (_row(row, task) for row in checked)
    if len(checked) < len(task.air.spacers):
        beyond = f"squeeze the chamber beyond {task.reading(gas.HIGHEST)}, where the gas law is not checked"
        yield Paragraph(f"More spacers {beyond}.", Role.QUIET, plain=f"  More {beyond}")
    yield Heading("What it means")
    yield from (Paragraph(note, plain="") for note in _NOTES)
    limit = task.limit(
        "This job holds no limit: read the shock's label, and pump nothing above it.",
        "This job's limit for pumping is {}; where the label says another, the label is right.",
    )
    yield Paragraph(limit, Role.CAUTION, plain="")
    told = (one for one in answer.setups[index].cautions if one.code == "pressurised")
    for text in caution_texts(told, answer, units):
        yield Paragraph(text, Role.CAUTION, plain="")


def _row(row: SpacerRow, task: Filling) -> Paragraph:
    units, spring = task.units, task.spring
    needed, peak = task.reading(row.set_pressure), task.reading(row.fast_peak_pressure)
    end = units.show(row.bottom_wheel_force, Measure.FORCE)
    fitted = row.spacers == float(spring.positive_spacers)
    rough = float(row.fast_peak_pressure) > gas.HIGHEST
    remarks = {
        "now": fitted,
        "does not reach the target": needed == ABSENT,
        "OVER THE LABEL, do not pump": float(row.set_pressure) > (spring.max_pressure or math.inf),
        "a rough guess": rough,
    }
    numbers = (text.partition(" ")[0] for text in (needed, peak, end))
    told = ", ".join(remark for remark, holds in remarks.items() if holds)
    text = f"{_line(str(row.spacers), *numbers)}  {told}".rstrip()
    doubt = ", beyond what the law for air was checked on" if rough else ""
    plain = f"  {row.spacers}: set {needed}, peak {peak}, {end} at the wheel at the end{doubt}"
    return Paragraph(text, Role.STRONG if fitted else Role.BASE, plain=plain)


def _line(*texts: str) -> str:
    return "".join(text.rjust(width) for text, width in zip(texts, _WIDTHS, strict=True))


def setting_document(
    answer: Answer, index: int, units: ShopUnits, typed: Mapping[str, Raw], *, order: bool
) -> Document:
    """Return what a coil is set to, before that with `order` the one to order; nothing for an air spring."""
    coil = answer.setups[index].coil
    if coil is None:
        return Document(())
    rate, blocks, label = float(coil.rate), list[Block](), "Preload"
    choice = coil_to_order(rate, coil.buyable) if order and typed.get("rate") == "solve" else None
    if choice is not None:
        cautions = caution_texts(choice.cautions, answer, units, typed)
        wound = _preload(choice.preload_for_target, choice.preload_turns, units, " of the collar")
        stiff = wound == ABSENT
        fits = ": too stiff for the target even without preload" if stiff else f", with preload {wound}"
        blocks += (Paragraph(said, Role.CAUTION, verbatim=True) for said in cautions)
        blocks.append(Labelled("To order", both(choice.rate, Measure.SPRING_RATE) + fits))
        label = "Preload at that rate"
    known = f"{both(rate, Measure.SPRING_RATE)}, {solved_text(typed.get('rate'))}"
    blocks.append(Labelled("Spring rate", "in stages, as typed" if "stages" in typed else known))
    wound = _preload(coil.preload, coil.preload_turns, units, " of the collar")
    return Document((*blocks, Labelled(label, wound)))


_SAYS = (
    "Down: spacers in the positive chamber. Across: in the negative one. Each pressure gives the sag wanted. "
    "[ ] what the setup has now, ! above the label's limit: never pump that."
)
_OPENING = "Let all the air out before a shock is opened: the maker's manual says how."
_NO_VOLUME = "Enter what each spacer takes, positive or negative, to see more than the counts it has now."
_BEYOND = "? a rough guess: the peak is above {limit}, beyond what the law for air was checked on."
_AT_THE_END = ("fast_peak_pressure", "bottom_ratio")
_FIGURES = ("set_pressure", "fast_peak_pressure", "support_50", "bottom_ratio")


def spacer_document(answered: JobAnswer, index: int, units: ShopUnits) -> Document:
    """Return every count on both sides of an air spring, set for the sag wanted; `index` is that of one."""
    found, case = spacer_table(answered.case, index), answered.case
    spring = case.setups[index].spring
    assert isinstance(spring, Air)
    outside = float(values(case.shop.pressure))
    blocks: list[Block] = [SetupName(case.setups[index].name, index), Paragraph(_SAYS, verbatim=True)]
    if found.set_pressure.size == 1:
        blocks.append(Paragraph(_NO_VOLUME))
    for name in _FIGURES:
        blocks += _counts(name, found, spring, outside, units)
    if found.beyond_law.any():
        limit = units.show(gauge(HIGHEST_PRESSURE, outside), Measure.PRESSURE)
        blocks.append(Paragraph(_BEYOND.format(limit=limit), gap=True))
    opening = Paragraph(_OPENING, Role.CAUTION, gap=True)
    return Document((*blocks, opening), answered.answer.frame.fork)


def _counts(
    name: str, table: SpacerTable, spring: Air, outside: float, units: ShopUnits
) -> tuple[Heading, Table]:
    figure, second = figure_named(name), spring.negative
    found: Values = getattr(table, name)
    if figure.measure is Measure.PRESSURE:
        found = gauge(found, outside)
    negative = second.spacers if isinstance(second, SeparateNegative | EqualisedNegative) else 0.0

    def cell(row: int, column: int) -> Cell:
        over = name == "set_pressure" and bool(table.over_label[row, column])
        beyond = name in _AT_THE_END and bool(table.beyond_law[row, column])
        now = table.positive[row] == spring.positive_spacers and table.negative[column] == negative
        mark = "!" if over else "?" if beyond else ""
        number = f"{mark}{units.plain(found[row, column], figure.measure)}"
        role = Role.CAUTION if mark else Role.STRONG if now else Role.BASE
        return Cell(f"[{number}]" if now else f"{number} ", role)

    columns = range(table.negative.size)
    counts = (Cell(f"{count:.0f}", Role.STRONG) for count in table.positive)
    rows = ((count, *(cell(row, column) for column in columns)) for row, count in enumerate(counts))
    heads = ("", *(f"{count:.0f} " for count in table.negative))
    return Heading(f"{figure.label}, {units.unit(figure.measure) or figure.per}"), Table((heads, *rows))


class Take(NamedTuple):
    """One line that can be taken: its text, and the values of the setup by key."""

    text: str
    values: tuple[tuple[str, Raw], ...]


def order_takes(answer: Answer, index: int, units: ShopUnits, typed: Mapping[str, Raw]) -> tuple[Take, ...]:
    """Return what can be ordered for a setup so that it meets the target, `typed` as it stands in the job."""
    found = answer.setups[index]
    made = (
        _springs_taken(answer, index, units, typed)
        if found.coil is not None
        else _spacers_taken(answer, index, units, typed)
    )
    return tuple(made)


def _springs_taken(answer: Answer, index: int, units: ShopUnits, typed: Mapping[str, Raw]) -> Iterator[Take]:
    coil = answer.setups[index].coil
    for choice in coil.buyable if coil is not None else ():
        length, turns = float(choice.preload_for_target), float(choice.preload_turns)
        rate = units.show(float(choice.rate), Measure.SPRING_RATE)
        if not math.isfinite(length):
            continue
        if "preload_turns" in typed and math.isfinite(turns):
            preload: tuple[str, Raw] = ("preload_turns", round(turns, 1))
            told = units.show(turns, Measure.TURNS)
        else:
            preload, told = (
                ("preload", units.show(length, Measure.TRAVEL)),
                units.show(length, Measure.TRAVEL),
            )
        sag = units.show(answer.target.sag, Measure.FRACTION)
        yield Take(f"{rate}, preload {told}: sag {sag}", (("rate", rate), preload))


def _spacers_taken(answer: Answer, index: int, units: ShopUnits, typed: Mapping[str, Raw]) -> Iterator[Take]:
    found, outside = answer.setups[index], float(answer.shop.pressure)
    spring = found.setup.spring
    if found.air is None or not isinstance(spring, Air):
        return
    limit = spring.max_pressure or math.inf
    for row in found.air.spacers:
        pressure = float(row.set_pressure)
        rough = float(row.fast_peak_pressure) > gas.HIGHEST
        if not math.isfinite(pressure) or pressure > limit or rough:
            continue
        shown = units.show(gauge(pressure, outside), Measure.PRESSURE)
        end = units.show(float(row.bottom_wheel_force), Measure.FORCE)
        count = f"{row.spacers} spacer{'' if row.spacers == 1 else 's'}"
        now = " (now)" if row.spacers == float(spring.positive_spacers) else ""
        set_to: Raw = SOLVE if typed.get("pressure") == SOLVE else shown
        text = f"{count}: {shown}, ends at {end}{now}"
        yield Take(text, (("positive_spacers", row.spacers), ("pressure", set_to)))


def taken(job: Job, index: int, take: Take) -> Job:
    """Return the job of a wheel with what was taken typed into a setup."""
    for key, value in take.values:
        job = job.with_value(("setup", index, key), value)
    return job
