"""A job's answer, the shop's settings and a date to the sheet that is handed over."""

from __future__ import annotations

import datetime
from collections.abc import Iterator

from physics.answer import Answer
from tui.jobs.answering import JobAnswer
from tui.jobs.clean import brief
from tui.jobs.ends import ENDS, End
from tui.jobs.fork_words import spoken
from tui.jobs.job import Job
from tui.jobs.left_out import left_out
from tui.jobs.likely import doubts
from tui.jobs.words import caution_text
from tui.report_bands import conditions_lines
from tui.settings import Settings
from tui.sheet.curves import curves_section
from tui.sheet.handover import BOXES, TO_TICK, care
from tui.sheet.inputs import UNVERIFIED, setup_inputs, shared_inputs, wheel_inputs
from tui.sheet.measuring import measured_section
from tui.sheet.model import Blank, Group, Line, Part, Said, Section, Sheet, Warned
from tui.sheet.riding import riding_section
from tui.sheet.setting import setup_section, shared_cautions
from tui.shop_units import Measure, ShopUnits
from tui.unverified import by_part, counted, left_out_text, unverified

_TITLES: dict[End, str] = {"rear": "Rear wheel", "front": "Front wheel"}
_UNTITLED = "Job without a title"
_CHECK_IT = "Check it, type it or confirm it before this sheet goes out."


def sheet_of(answered: JobAnswer, settings: Settings, date: datetime.date, units: ShopUnits) -> Sheet:
    """Return the setup sheet of a job, of both its wheels where it has two.

    First what goes before the sheet, then what to do, last what it was worked out from.
    """
    job = answered.job
    ends = [end for end in (ENDS if answered.front is not None else ENDS[:1]) if end != left_out(job)]
    found = [(end, there) for end in ends if (there := answered.at(end)) is not None]
    fork = all(there.answer.frame.fork for _, there in found)
    titles = _TITLES if answered.front is not None else {"rear": "The wheel"}
    typed = [Section("Rider, bike and air", shared_inputs(job, units), dense=True)]
    for end, there in found:
        typed += _typed(there, end, units)
    return Sheet(
        shop=brief(settings.shop),
        title=brief(job.title) or _UNTITLED,
        about=tuple(_about(job, settings, date)),
        groups=(
            *_unverified(job, units),
            Group("Before anything else", (Section("", care(fork)),)),
            *(Group(titles[end], tuple(_wheel(there, units))) for end, there in found),
            Group("Handing over", (Section(TO_TICK, BOXES),)),
            Group(_worked_out_from(job), tuple(typed)),
        ),
        units=units,
    )


def _unverified(job: Job, units: ShopUnits) -> Iterator[Group]:
    """Return what nobody has typed or confirmed, and which end is left out; nothing without either."""
    values, out = unverified(job, units), left_out_text(job)
    parts: list[Part] = []
    if values:
        check = "Check them, type them or confirm them before this sheet goes out."
        parts.append(Warned(f"{counted(len(values))} {check if len(values) > 1 else _CHECK_IT}"))
        parts += [Line(part, told) for part, told in by_part(values)]
    if out:
        parts.append(Said(out))
    if parts:
        yield Group("Unverified", (Section("", tuple(parts), dense=True),))


def _worked_out_from(job: Job) -> str:
    title = "Worked out from, as typed"
    return f"{title}; {UNVERIFIED} unverified" if unverified(job) else title


def _about(job: Job, settings: Settings, date: datetime.date) -> Iterator[Line | Blank]:
    """Return whose bike it is; what is not known is a line to fill in."""
    told = [
        ("Customer", job.get(("record", "customer"))),
        ("Ticket", job.get(("record", "ticket"))),
        ("Bike", job.get(("record", "bike"))),
        ("Mechanic", settings.mechanic),
    ]
    yield Line("Date", date.isoformat())
    for label, text in told:
        yield Line(label, brief(text)) if isinstance(text, str) and text.strip() else Blank(label)


def _wheel(there: JobAnswer, units: ShopUnits) -> Iterator[Section]:
    setups = there.answer.setups
    above = shared_cautions(there, units)
    unlikely = (Warned(doubt.text(units)) for doubt in doubts(there.job))
    yield Section("Load and target", (*unlikely, *_load(there.answer, units)), dense=True)
    if above:
        yield Section("For every setup below", above)
    for index in range(len(setups)):
        yield setup_section(there, index, units, above)
    yield measured_section(there, units)
    yield riding_section(setups, units)
    yield curves_section(there.answer, units)
    yield from _conditions(there, units)


def _load(answer: Answer, units: ShopUnits) -> Iterator[Part]:
    load, target = answer.load, answer.target
    outside = float(answer.shop.pressure)
    yield from (
        Warned(caution_text(caution, units, outside, answer.frame.fork)) for caution in answer.cautions
    )
    of = spoken(target.of, answer.frame.fork)
    yield Line("Target sag", f"{units.show(float(target.sag), Measure.FRACTION)} of {of}")
    yield Line("Rests on this wheel", units.show(float(load.ground_reaction), Measure.FORCE))
    yield Line("The spring carries at the axle", units.show(float(load.static_wheel_force), Measure.FORCE))


def _typed(there: JobAnswer, end: End, units: ShopUnits) -> Iterator[Section]:
    lines = (*wheel_inputs(there.job, end, units), Line("leverage as used", _leverage(there.answer, units)))
    yield Section(f"{_TITLES[end]}", lines, dense=True)
    for index, setup in enumerate(there.answer.setups):
        yield Section(f"Hardware of {brief(setup.name)}", setup_inputs(there.job, index, units), dense=True)


def _leverage(answer: Answer, units: ShopUnits) -> str:
    frame = answer.frame
    start, end = (units.plain(float(r), Measure.RATIO) for r in (frame.leverage_start, frame.leverage_end))
    progression = units.show(float(frame.progression), Measure.FRACTION)
    return f"{start} : 1 to {end} : 1, progression {progression}"


def _conditions(there: JobAnswer, units: ShopUnits) -> Iterator[Section]:
    """Return what the gauge of each air setup reads in the cold, in the heat and on the mountain."""
    for index, setup in enumerate(there.answer.setups):
        if setup.kind == "air" and setup.state != "unsolved":
            lines = (
                Said(f"{line[:1].upper()}{line[1:]}.") for line in conditions_lines(there.case, index, units)
            )
            yield Section(f"{brief(setup.name)} set here, ridden there", tuple(lines), dense=True)
