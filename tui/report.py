"""Answer → a linear report: one statement a line, units on every number, fit to be read aloud or searched."""

from __future__ import annotations

import json

from physics.answer import Answer, LinkageAnswer
from tui.bench.figures_words import Figure, figures_for, read_figure
from tui.bench.table_rows import change
from tui.headless import answered_file
from tui.jobs.answer_json import answer_object
from tui.jobs.answering import JobAnswer
from tui.jobs.clean import brief
from tui.jobs.ends import End
from tui.jobs.fork_words import spoken
from tui.jobs.job import Job
from tui.jobs.left_out import left_out
from tui.jobs.levelled import turned_by
from tui.jobs.likely import doubts
from tui.jobs.words import posture_text
from tui.report_balance import balance_lines
from tui.report_bands import range_lines
from tui.report_measured import measured_lines, record_lines
from tui.report_setup import caution_lines, setup_lines
from tui.shop_units import ABSENT, USUAL, Measure, ShopUnits
from tui.unverified import counted, left_out_text, unverified


def answer_text(source: str, *, as_json: bool) -> str:
    """Return the answer to the job file `source`, or to standard input for `-`; raises `Unanswered`."""
    answered = answered_file(source, spacers=True)
    if as_json:
        return json.dumps(answer_object(answered), allow_nan=False) + "\n"
    return report(answered)


def report(answered: JobAnswer, units: ShopUnits = USUAL) -> str:
    """Return the plain report of an answer."""
    blocks = [[brief(answered.job.title) or "Job without a title", *record_lines(answered.job)]]
    out = left_out(answered.job)
    values = unverified(answered.job, units)
    blocks += _said_first(answered.job, len(values))
    if answered.front is None:
        blocks += _wheel(answered, units)
    elif out is not None:
        end: End = "rear" if out == "front" else "front"
        there = answered.at(end)
        assert there is not None
        blocks += [[f"{end.capitalize()} wheel"], *_wheel(there, units)]
    else:
        blocks += [["Rear wheel"], *_wheel(answered, units), ["Front wheel"], *_wheel(answered.front, units)]
        blocks.append(balance_lines(answered, units))
    if values:
        blocks.append(["Unverified", *(f"  {one.part}: {one.label} {one.value}" for one in values)])
    return "\n\n".join("\n".join(block) for block in blocks) + "\n"


def _said_first(job: Job, count: int) -> list[list[str]]:
    """Say how much nobody has typed or confirmed, and which end is left out; nothing without either."""
    listed = "It is" if count == 1 else "They are"
    lines = [f"{counted(count)} {listed} listed at the end."] if count else []
    lines += [out] if (out := left_out_text(job)) else []
    return [lines] if lines else []


def _wheel(answered: JobAnswer, units: ShopUnits) -> list[list[str]]:
    answer, job = answered.answer, answered.job
    unlikely = [f"Caution: {doubt.text(units)}" for doubt in doubts(job)]
    blocks = [*([unlikely] if unlikely else []), _load(job, answer, units)]
    blocks.append(_frame(answer, turned_by(job), units))
    count = len(answer.setups)
    for index, setup in enumerate(answer.setups):
        place = f"Setup {index + 1} of {count}"
        lines = setup_lines(place, setup, job.setups[index], answer, units)
        measured = measured_lines(answered, index, units)
        blocks.append(lines + range_lines(answered.case, index, units) + measured)
    blocks.append(_figures(answer, units))
    return blocks


def _load(job: Job, answer: Answer, units: ShopUnits) -> list[str]:
    load = answer.load
    lines = [
        "Load",
        f"  Rests on this wheel: {units.show(float(load.ground_reaction), Measure.FORCE)}",
        f"  Carried by the spring at the axle: {units.show(float(load.static_wheel_force), Measure.FORCE)}",
    ]
    posture = job.get(("load", "posture"))
    return [*lines, f"  {posture_text(posture)}"] if isinstance(posture, str) else lines


def _frame(answer: Answer, turned: float | None, units: ShopUnits) -> list[str]:
    frame, target = answer.frame, answer.target
    travel, stroke = (
        units.show(float(length), Measure.TRAVEL) for length in (frame.wheel_travel, frame.stroke)
    )
    start, end = (
        units.show(float(ratio), Measure.RATIO) for ratio in (frame.leverage_start, frame.leverage_end)
    )
    progression = units.show(float(frame.progression), Measure.FRACTION)
    lines = [
        "Frame",
        spoken(f"  Wheel travel {travel}, shock stroke {stroke}", frame.fork),
        f"  Leverage {start} at the start, {end} at the end, progression {progression}",
    ]
    if frame.linkage is not None:
        lines.append(_linkage(frame.linkage, turned, units))
    deviation = units.show(float(frame.deviation), Measure.MISFIT)
    if deviation != ABSENT:
        lines.append(f"  The measured pairs scatter about their curve by {deviation} (standard deviation)")
    of = spoken(target.of, frame.fork)
    lines.append(f"  Target sag: {units.show(float(target.sag), Measure.FRACTION)} of {of}")
    return lines + caution_lines(answer.cautions, answer, units)


def _linkage(linkage: LinkageAnswer, turned: float | None, units: ShopUnits) -> str:
    travel, eyes = (
        units.show(float(length), Measure.TRAVEL) for length in (linkage.wheel_travel, linkage.eye_to_eye)
    )
    told = f"  The drawn linkage: {eyes} eye to eye, {travel} of wheel travel over the whole stroke"
    return told if turned is None else f"{told}; turned by {units.show(turned, Measure.ANGLE)} to lie level"


def _figures(answer: Answer, units: ShopUnits) -> list[str]:
    several = len(answer.setups) > 1
    lines = ["Figures, each setup against the first" if several else "Figures"]
    part = None
    for figure in figures_for(answer.setups, answer.frame.fork):
        if figure.part is not part:
            part = figure.part
            lines.append(f"  {part.value.capitalize()}")
        lines.append(f"    {figure.label}: {_compared(figure, answer, units)}")
    return lines


def _compared(figure: Figure, answer: Answer, units: ShopUnits) -> str:
    numbers = [read_figure(figure, setup, answer) for setup in answer.setups]
    spoken: list[str] = []
    for setup, number in zip(answer.setups, numbers, strict=True):
        text = units.show(number, figure.measure)
        if text != ABSENT and figure.per:
            text = f"{text} {figure.per}"
        difference = change(figure, units, numbers[0], number) if spoken else ABSENT
        spoken.append(_said(brief(setup.name) if len(numbers) > 1 else "", text, difference))
    return "; ".join(spoken)


def _said(name: str, text: str, difference: str) -> str:
    named = f"{name} {text}" if name else text
    return named if difference == ABSENT else f"{named} ({difference})"
