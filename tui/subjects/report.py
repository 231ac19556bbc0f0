"""The plain text report: load, frame, and each setup with its settings, pumping and parts to buy."""

from __future__ import annotations

from physics.answer import Answer
from tui.job.answer import JobAnswer
from tui.job.case import turned_by
from tui.job.cautions import caution_texts, posture_text
from tui.job.choices import STATES
from tui.job.figures import IN_SAG, NO_ESTIMATE, Figure, change, figure_read, figures_for
from tui.job.quantities import doubts
from tui.job.tree import brief
from tui.job.wheels import spoken
from tui.kit.document import plain_lines
from tui.shop_units import ABSENT, USUAL, Measure, ShopUnits
from tui.subjects import conditions, measurements, ordering, pumping, tolerance, unverified, wire
from tui.subjects.asked import answered_file
from tui.subjects.balance import balance_lines
from tui.subjects.measurements import record_lines


def setup_lines(answered: JobAnswer, index: int, units: ShopUnits) -> list[str]:
    """Return the lines of one setup: its settings, its cautions and the steps at the bike."""
    answer, typed = answered.answer, answered.job.setups[index]
    setup, fork = answer.setups[index], answer.frame.fork
    place = f"Setup {index + 1} of {len(answer.setups)}"
    lines = [STATES[setup.state].sentence.capitalize()]
    task = pumping.filling_of(answer, index, units, typed)
    lines += plain_lines(ordering.setting_document(answer, index, units, typed, order=False), "")
    lines += wire.wire_lines(setup, units)
    if task is not None:
        lines += pumping.set_lines(task)
    if (sag := pumping.sag_texts(setup, units, fork)) is not None:
        lines += [f"Sag at the wheel: {sag.wheel}", spoken("Sag at the shock: ", fork) + sag.spring]
        lines += [f"Measured at once: {sag.early}"] if sag.early else []
        lines += ["Wheel rests within seal friction: {} to {}".format(*sag.held)] if sag.held else []
    lines += (f"Caution: {text}" for text in caution_texts(setup.cautions, answer, units, typed))
    if task is not None:
        lines += pumping.fill_lines(task)
    lines += plain_lines(ordering.document(answered, index, units), "")
    lines += wire.order_lines(answered, index, units)
    return [f"{place}: {brief(setup.name)}, {setup.kind} spring", *(f"  {line}" for line in lines)]


def report_text(source: str) -> str:
    """Return the report on the job file `source`, or on standard input for `-`; raises `Unanswered`."""
    return report(answered_file(source, spacers=True))


def report(answered: JobAnswer, units: ShopUnits = USUAL) -> str:
    """Return the plain report of an answer."""
    blocks = [[answered.job.heading, *record_lines(answered.job)]]
    values, ends = unverified.unverified(answered.job, units), unverified.ends_told(answered)
    # The number of unverified values, and the wheel left out.
    listed = f"{'It is' if len(values) == 1 else 'They are'} listed at the end."
    first = (
        f"{unverified.counted(len(values))} {listed}" if values else "",
        unverified.left_out_text(answered.job),
    )
    blocks.append([line for line in first if line])
    for end, there in ends:
        blocks += [[f"{end.capitalize()} wheel"] if answered.front is not None else [], *_wheel(there, units)]
    blocks.append(balance_lines(answered, units) if len(ends) > 1 else [])
    blocks.append(plain_lines(unverified.document(answered.job, units), ""))
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _wheel(answered: JobAnswer, units: ShopUnits) -> list[list[str]]:
    answer, job, load = answered.answer, answered.job, answered.answer.load
    posture = job.get(("load", "posture"))
    told = [
        "Load",
        f"  Load on this wheel (ground): {units.show(load.ground_reaction, Measure.FORCE)}",
        f"  Sprung load at the axle: {units.show(load.static_wheel_force, Measure.FORCE)}",
        *([f"  {posture_text(posture)}"] if isinstance(posture, str) else []),
    ]
    unlikely = [f"Caution: {doubt.text(units)}" for doubt in doubts(job)]
    blocks = [unlikely, told, _frame(answer, turned_by(job), units)]
    for index, setup in enumerate(answer.setups):
        lines = [*setup_lines(answered, index, units), *tolerance.setup_lines(answered, index, units)]
        if setup.air is not None:
            there = plain_lines(conditions.document(answered, index, units), "    ")
            lines += ["  Riding conditions", *there]
        if measured := plain_lines(measurements.document(answered, index, units), "    "):
            lines += ["  Measured on the bike", *measured]
        blocks.append(lines)
    return [*blocks, _figures(answer, units)]


def _frame(answer: Answer, turned: float | None, units: ShopUnits) -> list[str]:
    frame, target = answer.frame, answer.target
    travel, stroke = units.shows(Measure.TRAVEL, frame.wheel_travel, frame.stroke)
    start, end = units.shows(Measure.RATIO, frame.leverage_start, frame.leverage_end)
    progression = units.show(frame.progression, Measure.FRACTION)
    lines = [
        "Frame",
        spoken(f"  Wheel travel {travel}, shock stroke {stroke}", frame.fork),
        f"  Leverage {start} at the start, {end} at the end, progression {progression}",
    ]
    if (linkage := frame.linkage) is not None:
        moved, eyes = units.shows(Measure.TRAVEL, linkage.wheel_travel, linkage.eye_to_eye)
        told = f"  Linkage: {eyes} eye to eye, {moved} wheel travel over the stroke"
        level = "" if turned is None else f"; rotated by {units.show(turned, Measure.ANGLE)} to level"
        lines.append(told + level)
    deviation = units.show(frame.deviation, Measure.MISFIT)
    if deviation != ABSENT:
        lines.append(f"  Measured pairs scatter about the curve by {deviation} (standard deviation)")
    of = spoken(target.of, frame.fork)
    lines.append(f"  Target sag: {units.show(target.sag, Measure.FRACTION)} of {of}")
    return lines + [f"  Caution: {text}" for text in caution_texts(answer.cautions, answer, units)]


def _figures(answer: Answer, units: ShopUnits) -> list[str]:
    several = len(answer.setups) > 1
    lines = ["Figures, each setup against the baseline" if several else "Figures"]
    part = None
    for figure in figures_for(answer.setups, answer.frame.fork):
        if figure.part is not part:
            part = figure.part
            lines.append(f"  {part.value.capitalize()}")
        lines.append(f"    {figure.label}: {_compared(figure, answer, units)}")
    return lines


def _compared(figure: Figure, answer: Answer, units: ShopUnits) -> str:
    _, first = figure_read(figure, answer.setups[0], answer, units)
    told, unit = list[str](), figure.unit(units)
    for setup in answer.setups:
        text, number = figure_read(figure, setup, answer, units)
        per = f" {unit}" if text not in (ABSENT, NO_ESTIMATE, IN_SAG) and unit else ""
        name = f"{brief(setup.name)} " if len(answer.setups) > 1 else ""
        difference = change(figure, units, first, number) if told else ABSENT
        told.append(f"{name}{text}{per}" + ("" if difference == ABSENT else f" ({difference})"))
    return "; ".join(told)
