"""Figures over ranges of inputs such as `rider_mass=50kg..120kg:15`, and their results."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from physics.answer import Answer, SetupAnswer
from physics.arrays import Marks, Values, values
from physics.case import Air, Case, Fork
from physics.frozen import NamedTuple
from physics.inputs import BY_NAME, Input, inputs_of
from physics.shock import coil_of
from physics.solve import solved_case
from physics.sweep import IMPOSSIBLE, Axis, Swept, swept
from tui.job.answer import JobAnswer, answer_job
from tui.job.choices import STATES, StateWords
from tui.job.faults import Findings, JobFault, Spelling, UnusableJob
from tui.job.fields import INPUTS, TOTAL_MASS, Amount, Bare, Share, field_of_input
from tui.job.figures import (
    SWEPT,
    Figure,
    as_read,
    figure_called,
    figure_named,
    figure_read,
    figure_text,
    input_text,
    no_estimate_text,
    not_estimated,
    peak_of,
    peak_text,
    why_not,
)
from tui.job.job import Job
from tui.job.quantities import fraction_unseen, is_fraction, with_unit
from tui.job.reading import read_fields
from tui.job.tree import Raw, Tree, TreePath, brief
from tui.job.typed import LONGEST_WHOLE, typed_into
from tui.job.wheels import Wheel
from tui.kit.document import (
    TAKES,
    Cell,
    Document,
    Drawing,
    Heading,
    Paragraph,
    Rows,
    SetupName,
    Table,
    Take,
    csv_text,
    heading_of,
    plain_lines,
)
from tui.kit.roles import Role
from tui.saying import nearest
from tui.shop_units import ABSENT, KEY_UNITS, USUAL, Measure, ShopUnits, gauge, number
from tui.subjects.asked import job_faults_told, job_of, printed

CHART, MAP = "chart", "map"
"""What a view draws in the documents of a sweep and of a map."""
OVER, FIGURE = "over", "figure"
FEWEST, USUALLY, MOST = 2, 8, 1000
_FORM = re.compile(r"\s*(\w+)\s*=\s*(.+?)\s*\.\.\s*(.+?)\s*(?::\s*(\d+)\s*)?")
_ACCEPTED = "use NAME=FROM..TO or NAME=FROM..TO:COUNT, such as rider_mass=50kg..120kg:15"


_SAID = {
    "start": "leverage_start",
    "middle": "leverage_middle",
    "end": "leverage_end",
    "rod": "damper_rod",
    "body": "damper_body",
    "port": "port_position",
    "slope": "ground_slope",
    "stiffness": "tyre_stiffness",
    "damping": "tyre_damping",
    "radius": "wheel_radius",
}
"""What an input is called whose key in the file says nothing without its table; the key is read as well."""
_READ_AS = {said: name for name, said in _SAID.items()}


class Ranged(NamedTuple):
    """A range as typed: input, first and last number, and how many numbers, empty where not given."""

    said: str
    low: str
    high: str
    many: str

    @property
    def name(self) -> str:
        """The name of the input that it is of, if it is of one."""
        return _READ_AS.get(self.said, self.said)

    def number(self, usually: int = USUALLY) -> int:
        """Return how many numbers; raises `UnusableJob`."""
        number = int(self.many or usually) if len(self.many) <= LONGEST_WHOLE else 0
        if not FEWEST <= number <= MOST:
            raise _fault((OVER, self.said), f"{brief(self.many)} is out of range", f"use {FEWEST} to {MOST}")
        return number

    def rising(self, low: float, high: float) -> tuple[float, float]:
        """Return both ends as they were read; raises `UnusableJob` if they do not rise."""
        if not low < high:
            raise _fault(
                (OVER, self.said), f"{self.low} is not below {self.high}", "give the lower end first"
            )
        return low, high


def range_typed(text: str, accepted: str = _ACCEPTED) -> Ranged:
    """Return a range as typed; raises `UnusableJob`."""
    form = _FORM.fullmatch(text)
    if form is None:
        raise _fault((OVER,), f'"{brief(text)}" cannot be read', accepted)
    return Ranged(*(part or "" for part in form.groups()))


def said_of(name: str) -> str:
    """Return the name of an input on the command line."""
    return _SAID.get(name, name)


def axis_asked(text: str, case: Case) -> Axis:
    """Return the axis that was asked for; `case` has every rate and pressure known. Raises `UnusableJob`."""
    asked = range_typed(text)
    one = BY_NAME.get(asked.name)
    if one is None and asked.name in INPUTS:
        what = "no figure of a sweep depends on it"
        raise _fault(
            (OVER, asked.said), what, "use springwright ride JOB --event drop --over for rides over it"
        )
    if one is None or one.read(case) is None:
        known = ", ".join(said_of(there.name) for there in inputs_of(case))
        raise _fault((OVER, asked.said), "not an input of this job", f"use one of {known}")
    return axis_of(one, asked, case)


def axis_of(one: Input, asked: Ranged, case: Case, usually: int = USUALLY) -> Axis:
    """Return an input over a range as typed; raises `UnusableJob`."""
    number = asked.number(usually)
    ends = [left_off(one, case) + _number(one.name, raw, asked.said) for raw in (asked.low, asked.high)]
    return Axis(one, one.along(*asked.rising(*ends), number))


def figure_asked(name: str) -> str:
    """Return a figure that can be swept by its name or its key in the answer; else raises `UnusableJob`."""
    named = figure_called(name, SWEPT)
    if named is not None:
        return named.figure
    near = nearest(name, SWEPT)
    accepted = f"use {f'{near}, the nearest, or ' if near else ''}one of {', '.join(SWEPT)}"
    raise _fault((FIGURE,), f'"{brief(name)}" is not a figure', accepted)


def _number(name: str, text: str, said: str) -> float:
    """Read one end as a job file is read."""
    field = field_of_input(name)
    raw: Raw = text
    if isinstance(field.kind, Share) and is_fraction(text):
        raise _fault((OVER, said), *fraction_unseen(text).split(": ", 1))
    if isinstance(field.kind, Amount | Share):
        raw = with_unit(text, USUAL.unit(INPUTS[name][1]))
    else:
        with suppress(ValueError):
            raw = float(text)
    found = Findings(Spelling(Tree({}), {}))
    read = read_fields({said: raw}, {said: field}, (OVER,), found)
    if found.faults:
        raise UnusableJob(tuple(found.faults))
    return float(str(read[said]))


def _fault(path: tuple[str, ...], what: str, accepted: str) -> UnusableJob:
    return UnusableJob((JobFault(path, what, accepted),))


MOST_CASES = 250_000
STATES_SWEPT: Mapping[str, StateWords] = {
    **STATES,
    IMPOSSIBLE: StateWords("not possible", "not possible", "x"),
}
"""How a setup may stand in a case of a sweep, with the words for it."""
MAP_POINTS = 60
"""Numbers along each side of a map."""
_NEAR = 0.8
"""Share of the label's limit from which a chart of set pressures shows it."""
_ROWS = 8
"""Rows of numbers below the chart."""
_SWEEP_HOW = (
    "Solved rates and pressures are solved again at each point, typed ones stay. On another field Space, "
    "then w, sweeps that one. < and >: another figure. Left and Right: the value read. Enter: use it."
)
_EVERY = "Applied to every setup that has it."
_MAP_HOW = (
    "Each shade covers an equal part of the map. Solved values are solved again in each cell. On a field "
    "Space, then w, puts it on the x axis, Space, then m, on the y axis. < and >: another figure. Arrows: "
    "the cell read. Enter: use its values."
)


_BEYOND = "Peak above {}, far outside the tested air model: no estimate is shown ({} of {})."


def with_peaks(names: Sequence[str]) -> list[str]:
    """Return figures to sweep, with the peak pressures that tell where they are estimated."""
    peaks = (peak for name in names if (peak := peak_of(name)) is not None)
    return list(dict.fromkeys((*names, *peaks)))


def beyond_estimate(name: str, found: Swept) -> Marks:
    """Return where (setups, n, …) a figure that was swept `with_peaks` is not estimated."""
    peak = peak_of(name)
    if peak is None:
        return np.zeros(found.state.shape, dtype=bool)
    return not_estimated(found.figures[peak])


def as_estimated(name: str, found: Swept) -> Values:
    """Return a figure as it is read, NaN where it is not estimated."""
    return values(np.where(beyond_estimate(name, found), np.nan, as_read(name, found)))


def beyond_texts(name: str, found: Swept, known: Case, units: ShopUnits) -> Iterator[str]:
    """Yield why a figure is not estimated somewhere, nothing if it is everywhere."""
    beyond = beyond_estimate(name, found)
    if beyond.any():
        outside = float(values(known.shop.pressure))
        most = f"{peak_text(math.inf, outside, units).removeprefix('>')} {units.unit(Measure.PRESSURE)}"
        yield _BEYOND.format(most, int(beyond.sum()), beyond.size)


@lru_cache(maxsize=4)
def swept_over(answered: JobAnswer, name: str, span: tuple[float, float], count: int, figure: str) -> Swept:
    """Return a figure of every setup over `count` numbers of an input, cached for keys that only move."""
    one = BY_NAME[name]
    return swept(answered.case, [Axis(one, one.along(*span, count))], with_peaks([figure]))


def left_off(one: Input, case: Case) -> float:
    """Return the offset of a number as typed: the ambient pressure for a pressure, else zero."""
    return float(values(case.shop.pressure)) if INPUTS[one.name][1] is Measure.PRESSURE else 0.0


def read_off(number: float, one: Input, case: Case, units: ShopUnits) -> str:
    """Write a number of an input with its unit, pressures as a gauge in the shop shows them."""
    return units.show(number - left_off(one, case), INPUTS[one.name][1])


def number_now(one: Input, known: Case) -> float:
    """Return the number of an input as the job stands, NaN if it has none."""
    here = one.read(known)
    return float(values(np.nan if here is None else here))


def number_typed(
    job: Job, setup: int, one: Input, number: float, known: Case, units: ShopUnits
) -> tuple[tuple[TreePath, Raw | None], ...]:
    """Return the field and text that put a number of an input into a job, of the setup at `setup`.

    `known` is the case with every rate and pressure known, this setup first. Nothing if no single field
    holds the number.
    """
    in_setup = known.setups and one.read(replace(known, setups=())) is None
    first = replace(known, setups=known.setups[:1])
    if one.name == TOTAL_MASS or one.read(first) is None:
        return ()
    field = field_of_input(one.name)
    path = ("setup", setup, *field.path[1:]) if in_setup else field.path
    if one.name == "preload" and job.get(("setup", setup, "preload_turns")) is not None:
        pitch = coil_of(known.setups[0]).thread_pitch
        return ((("setup", setup, "preload_turns"), round(number / pitch, 2)),) if pitch else ()
    row, text = field._replace(path=path), read_off(number, one, known, units)
    typed = typed_into(job, row, text.partition(" ")[0] if isinstance(field.kind, Bare) else text, units)
    drops = [("load", "posture")] if one.name == "rider_share" else []
    found: list[tuple[TreePath, Raw | None]] = [(path, typed.get(path))]
    return (*found, *((drop, None) for drop in drops if job.get(drop) is not None))


def now_text(
    over: Sequence[Input],
    name: str,
    known: Case,
    answer: Answer,
    setups: Sequence[SetupAnswer],
    units: ShopUnits,
) -> str:
    """Return a figure of `setups` as the job stands, with the inputs of a sweep or map."""
    fork = isinstance(known.frame.leverage, Fork)
    here = [(one, number_now(one, known)) for one in over]
    inputs = (
        f"{input_text(one.name, fork)} {read_off(number, one, known, units)}"
        for one, number in here
        if not math.isnan(number)
    )
    figure = figure_named(name, fork)
    figures = (_figure_now(figure, setup, answer, units) for setup in setups)
    return f"{', '.join(('Now', *inputs))}: {', '.join(figures)}"


def _figure_now(figure: Figure, setup: SetupAnswer, answer: Answer, units: ShopUnits) -> str:
    """Return the name of a setup with its figure, or why it has none."""
    text, number = figure_read(figure, setup, answer, units)
    if not math.isnan(number):
        text = figure.show(number, units)
    elif text.startswith(">"):
        text = no_estimate_text(figure, float(answer.shop.pressure), units)
    elif setup.state != "ok":
        text = STATES_SWEPT[setup.state].short
    return f"{brief(setup.name)} {text}"


def _none_text(
    place: tuple[int, ...],
    name: str,
    found: Swept,
    units: ShopUnits,
    absent: str = ABSENT,
    *,
    bare: bool = False,
) -> str:
    """Return why a setup has no number at a place (setup, n, …) of a sweep; `bare` without unit."""
    if beyond_estimate(name, found)[place]:
        return no_estimate_text(figure_named(name), float(found.outside[place[1:]]), units, bare=bare)
    state = str(found.state[place])
    return absent if state == "ok" else STATES_SWEPT[state].short


def place_take(
    found: Swept, place: tuple[int, ...], name: str, asked: tuple[Job, int, Case], units: ShopUnits
) -> Take:
    """Return a place of a sweep or map with its figures, and the values it puts into a job.

    `asked` are the job, the place of the selected setup in it, and the case with that setup first.
    """
    job, setup, known = asked
    fork, figure = isinstance(known.frame.leverage, Fork), figure_named(name)
    typed: list[tuple[TreePath, Raw | None]] = []
    inputs, settable = list[str](), True
    for axis, at in zip(found.axes, place, strict=True):
        number = float(axis.numbers[at])
        values_of = number_typed(job, setup, axis.input, number, known, units)
        settable = settable and bool(values_of)
        typed += values_of
        inputs.append(f"{input_text(axis.input.name, fork)} {read_off(number, axis.input, known, units)}")
    figures = []
    for index, (row, of) in enumerate(zip(as_estimated(name, found), found.names, strict=True)):
        number, here = float(row[place]), (index, *place)
        text = _none_text(here, name, found, units) if math.isnan(number) else figure.show(number, units)
        figures.append(f"{brief(of)} {text}")
        settable = settable and str(found.state[here]) in ("ok", "topped_out", "bottomed_out")
    said = ", ".join(inputs)
    return Take(f"{said}: {', '.join(figures)}", tuple(typed) if settable else (), done=said)


def document(found: Swept, name: str, known: Case, units: ShopUnits, *, every: bool = False) -> Document:
    """Return a figure over its inputs: with `every` case a line each, else as a chart over one input.

    `known` is the case with every rate and pressure as it was found.
    """
    fork, over = isinstance(known.frame.leverage, Fork), [axis.input for axis in found.axes]
    head = f"{figure_text(name, fork)} over {' and '.join(input_text(one.name, fork) for one in over)}"
    if every:
        return Document((Paragraph(head), Table((), plain=tuple(_case_lines(found, name, known, units)))))
    one = over[0]
    unit = units.unit(figure_named(name).measure)
    read = f"{figure_text(name, fork)} ({unit})" if unit else figure_text(name, fork)
    in_setups = len(known.setups) > 1 and one.read(replace(known, setups=())) is None
    numbers = Heading(f"In numbers, {unit}" if unit else "In numbers"), _table(found, name, known, units)
    why = (*beyond_texts(name, found, known, units), *why_not(found))
    cautions = (Paragraph(text, Role.CAUTION) for text in why)
    how = Paragraph(f"{_SWEEP_HOW} {_EVERY}" if in_setups else _SWEEP_HOW, Role.QUIET, gap=True)
    title = Paragraph(f"{read} over {input_text(one.name, fork)}")
    return Document((Drawing(TAKES), title, Drawing(CHART), *numbers, *cautions, how))


def numbers_of(found: Swept, names: Sequence[str], known: Case, units: ShopUnits) -> Rows:
    """Return figures over their inputs, not rounded: a row for each case, pressures as on a gauge.

    Where a setup has no figure its state stands.
    """
    fork, over = isinstance(known.frame.leverage, Fork), [axis.input for axis in found.axes]
    measures = [INPUTS[one.name][1] for one in over]
    heads = [
        heading_of(input_text(one.name, fork), units.unit(measure))
        for one, measure in zip(over, measures, strict=True)
    ]
    columns: list[Sequence[str | float]] = [
        units.scale(values(grid - left_off(one, known)), measure).ravel().tolist()
        for grid, one, measure in zip(
            np.meshgrid(*(axis.numbers for axis in found.axes), indexing="ij"), over, measures, strict=True
        )
    ]
    for name in names:
        figure = figure_named(name, fork)
        drawn = units.scale(as_read(name, found), figure.measure)
        for setup, row, states in zip(found.names, drawn, found.state, strict=True):
            label = f"{setup}: {figure.label}"
            heads.append(heading_of(label, figure.unit(units)))
            columns.append(
                [
                    STATES_SWEPT[state].short if math.isnan(one) and state != "ok" else one
                    for one, state in zip(row.ravel().tolist(), states.ravel().tolist(), strict=True)
                ]
            )
    return [heads, *map(list, zip(*columns, strict=True))]


def _table(found: Swept, name: str, known: Case, units: ShopUnits) -> Table:
    axis, drawn = found.axes[0], as_estimated(name, found)
    measure, off = INPUTS[axis.input.name][1], left_off(axis.input, known)
    fork = isinstance(known.frame.leverage, Fork)
    names = (SetupName(setup, place) for place, setup in enumerate(found.names))

    def row(place: int) -> tuple[str | Cell, ...]:
        cells = [Cell(units.plain(figure, figure_named(name).measure)) for figure in drawn[:, place]]
        for setup in np.flatnonzero(np.isnan(drawn[:, place])):
            cells[setup] = Cell(_none_text((int(setup), place), name, found, units, bare=True), Role.QUIET)
        return units.plain(float(axis.numbers[place]) - off, measure), *cells

    shown = np.unique(np.linspace(0, axis.numbers.size - 1, _ROWS).round().astype(int))
    return Table(((units.unit(measure) or input_text(axis.input.name, fork), *names), *map(row, shown)))


def _case_lines(found: Swept, name: str, known: Case, units: ShopUnits) -> Iterator[str]:
    drawn, measure = as_estimated(name, found), figure_named(name).measure
    for place in np.ndindex(found.outside.shape):
        along = zip(found.axes, place, strict=True)
        at = (read_off(float(axis.numbers[index]), axis.input, known, units) for axis, index in along)
        here = []
        for row, setup in enumerate(found.names):
            figure = float(drawn[row, *place])
            none = _none_text((row, *place), name, found, units, "has none")
            here.append(f"{brief(setup)} {none if np.isnan(figure) else units.show(figure, measure)}")
        yield f"  {', '.join(at)}: {', '.join(here)}"


class MapAsked(NamedTuple):
    """A map to draw: a case of one setup, the same as it was answered, both inputs and the figure."""

    case: Case
    known: Case
    over: Input
    against: Input
    figure: str

    def work(self, progress: Callable[[float], None]) -> Swept:
        """Return the figure over both inputs; `progress` is called with the fraction done."""
        axes = [Axis(one, one.along(*one.reach(self.known), MAP_POINTS)) for one in (self.over, self.against)]
        return swept(self.case, axes, with_peaks([self.figure, "set_pressure"]), progress)

    def above_label(self, found: Swept) -> NDArray[np.bool_]:
        """Return where the set pressure is above the max pressure on the label."""
        # A label's limit is a gauge reading: it moves with the air around it.
        return np.asarray(found.figures["set_pressure"][0] - found.outside > _label(self.known))


def _label(known: Case) -> float:
    """Return the gauge reading [Pa] that the label of the first setup allows, infinite without one."""
    spring = known.setups[0].spring
    if not isinstance(spring, Air) or spring.max_pressure is None:
        return math.inf
    return float(gauge(spring.max_pressure, float(values(known.shop.pressure))))


def label_near(found: Swept, name: str, known: Case) -> float | None:
    """Return the label's limit of the selected setup where set pressures come near it, as a gauge reads."""
    limit = _label(known) if name == "set_pressure" else math.inf
    return limit if np.nanmax(as_read(name, found), initial=0.0) > _NEAR * limit else None


def map_document(found: Swept | None, asked: MapAsked, of: SetupName, units: ShopUnits) -> Document:
    """Return a figure of a setup over two inputs as a map, `found` None while it is calculated."""
    fork = isinstance(asked.known.frame.leverage, Fork)
    across, up = (input_text(one.name, fork) for one in (asked.over, asked.against))
    title = Paragraph(f"{figure_text(asked.figure, fork)}; across {across}, up {up}", of=of)
    first = (Drawing(TAKES), title, Drawing(MAP))
    if found is None:
        return Document(first)
    why = (*beyond_texts(asked.figure, found, asked.known, units), *why_not(found))
    cautions = (Paragraph(text, Role.CAUTION) for text in why)
    return Document((*first, *cautions, Paragraph(_MAP_HOW, Role.QUIET, gap=True)))


class SweepAsked(NamedTuple):
    """The options of the command: one or two ranges, figures by name, the wheel of the bike."""

    over: Sequence[str]
    figures: Sequence[str]
    wheel: Wheel = "rear"


def command(source: str, asked: SweepAsked, *, as_json: bool = False, as_csv: bool = False) -> str:
    """Return figures over ranges of inputs for the job file `source`; raises `Unanswered`."""
    with job_faults_told():
        bike = answer_job(job_of(source))
        there = bike.at(asked.wheel)
        if there is None:
            raise _fault(("end",), "this job has no front", "use rear")
        known = solved_case(there.case)
        axes = [axis_asked(text, known) for text in asked.over]
        if len(axes) > 2 or len({axis.input.name for axis in axes}) < len(axes):
            raise _fault((OVER,), "given too often", "use one or two different inputs")
        if np.prod([axis.numbers.size for axis in axes]) > MOST_CASES:
            raise _fault((OVER,), "too many cases", f"use at most {MOST_CASES} cases in total")
        names = [figure_asked(name) for name in asked.figures]
    found = swept(there.case, axes, with_peaks(names))
    if as_json:
        return printed(json_object(bike, asked.wheel, found, names, known))
    if as_csv:
        return csv_text(numbers_of(found, names, known, USUAL))
    lines = [bike.job.heading]
    for name in names:
        lines += ["", *plain_lines(document(found, name, known, USUAL, every=True), "")]
        lines += [f"  {why}" for why in beyond_texts(name, found, known, USUAL)]
    return printed([*lines, *(f"  {why}" for why in why_not(found))])


def json_object(
    bike: JobAnswer, wheel: Wheel, found: Swept, names: Sequence[str], known: Case
) -> dict[str, Any]:
    """Return figures over inputs as plain data, each in the unit of its key; null if there is none."""
    states = found.state.tolist()
    setups = [{"name": setup, "state": state} for setup, state in zip(found.names, states, strict=True)]
    for name in names:
        for setup, drawn in zip(setups, as_read(name, found), strict=True):
            setup |= named_numbers(name, figure_named(name).measure, drawn)
    over = []
    for axis in found.axes:
        numbers = values(axis.numbers - left_off(axis.input, known))
        over.append(named_numbers(said_of(axis.input.name), INPUTS[axis.input.name][1], numbers))
    head = {"format": 1, "title": bike.job.title, "end": wheel}
    return head | {"over": over, "setups": setups, "impossible": list(why_not(found))}


def named_numbers(name: str, measure: Measure, numbers: Values) -> dict[str, Any]:
    """Return numbers under a key with their unit, those that do not exist as null."""
    unit, units = next(iter(KEY_UNITS.get(measure, {}).items()), ("", None))
    scaled = numbers if units is None else units.scale(numbers, measure)
    return {f"{name}{unit}": _listed(scaled, whole=measure is Measure.COUNT)}


def _listed(numbers: Values, *, whole: bool) -> list[Any]:
    return [_listed(part, whole=whole) if part.ndim else _plain(part, whole) for part in map(values, numbers)]


def _plain(value: Values, whole: bool) -> float | int | None:
    found = number(value)
    return found if found is None or not whole else int(found)
