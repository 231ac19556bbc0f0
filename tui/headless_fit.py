"""A job file and readings of one of its setups to what they say, with no screen anywhere."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

from physics.faults import Unfit
from tui.bare_numbers import with_unit
from tui.headless import Unanswered, job_of
from tui.jobs.answering import answer_job
from tui.jobs.ends import ENDS, End, end_of, has_front
from tui.jobs.faults import UnusableJob, printable
from tui.jobs.files import FileTrouble
from tui.jobs.job import Job
from tui.jobs.likely import CODE, doubts
from tui.readings.finding import finding
from tui.readings.friction import friction_in
from tui.readings.kinds import Readings, UnusableReadings
from tui.readings.loop_file import read_loop
from tui.readings.questions import lines_of, told_in
from tui.readings.roles import LOOP
from tui.readings.typed import TypedUnits, cycling, sag
from tui.readings.unlikely import unlikely_in
from tui.readings.words import COMMAND_WORDS, why_text
from tui.report_fit import finding_object, finding_report
from tui.shop_units import USUAL


class FitAsked(NamedTuple):
    """What stands on the command line beside the job; empty where it does not."""

    setup: str = ""
    readings: str = ""
    units: str = ""
    before: str = ""
    after: str = ""
    pressure: str = ""
    sag: str = ""
    columns: str = ""
    friction: str = ""


def fit_text(source: str, asked: FitAsked, *, as_json: bool) -> str:
    """Return what readings say of a setup of the job file `source`; raises `Unanswered`."""
    try:
        bike = job_of(source)
        # The job first: what is wrong with it may be why the setup is not found.
        answer_job(bike)
        end, index = _setup(bike, asked.setup)
        job = end_of(bike, end)
        if asked.pressure:
            job = job.with_value(
                ("setup", index, "pressure"), with_unit(asked.pressure, TypedUnits.of(USUAL).pressure)
            )
        answered = answer_job(job)
        read = _readings(asked)
        found = finding(answered, index, read)
    except UnusableJob as unusable:
        raise Unanswered(tuple(map(str, unusable.faults))) from unusable
    except FileTrouble as trouble:
        raise Unanswered((str(trouble.fault),)) from trouble
    except UnusableReadings as unusable:
        where = f"readings: {asked.readings}: " if asked.readings else "readings: "
        raise Unanswered(tuple(where + line for line in lines_of(unusable))) from unusable
    except Unfit as unfit:
        why = COMMAND_WORDS.get(unfit.why.code) or why_text(unfit.why, USUAL)
        raise Unanswered((f"readings: {why}",)) from unfit
    name = answered.answer.setups[index].name
    cautions = [doubt.text(USUAL) for doubt in (*doubts(job), *unlikely_in(read, USUAL))]
    if as_json:
        told = {
            **finding_object(name, found),
            "cautions": [{"code": CODE, "text": text} for text in cautions],
        }
        return json.dumps(told, allow_nan=False) + "\n"
    return finding_report(name, found, USUAL) + "".join(f"  Caution: {text}\n" for text in cautions)


def _setup(bike: Job, name: str) -> tuple[End, int]:
    """Return the end and the place of a setup by its name; the only one needs no name."""
    ends = ENDS if has_front(bike) else ENDS[:1]
    there = [
        (end, index, str(setup.get("name")))
        for end in ends
        for index, setup in enumerate(end_of(bike, end).setups)
    ]
    found = [(end, index) for end, index, own in there if own == name or (not name and len(there) == 1)]
    if not found:
        names = ", ".join(f'"{own}"' for _end, _index, own in there)
        what = f'no setup is named "{name}"' if name else "the job has more than one setup"
        raise Unanswered((printable(f"setup: {what}; --setup with one of {names} is accepted"),))
    return found[0]


def _readings(asked: FitAsked) -> Readings:
    """Return the one kind of readings that is given."""
    given = [bool(asked.readings), bool(asked.before or asked.after), bool(asked.sag)]
    if sum(given) != 1 or bool(asked.before) != bool(asked.after):
        raise UnusableReadings(
            "not one kind of them; --readings FILE, or --before and --after, or --sag is accepted"
        )
    if asked.readings:
        read = read_loop(Path(asked.readings), told_in(asked.columns, asked.units, LOOP))
        return (
            replace(read, friction=friction_in(asked.friction, TypedUnits.of(USUAL).force))
            if asked.friction
            else read
        )
    if asked.friction:
        raise UnusableReadings("friction belongs to readings of force; use --friction with --readings FILE")
    units = TypedUnits.of(USUAL)
    if asked.sag:
        return sag(asked.sag, units.length)
    return cycling(asked.before, asked.after, units.pressure)
