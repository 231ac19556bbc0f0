"""An event over a range of its size or of a number of the job, for every setup; or a map of two ranges."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any, cast

import numpy as np

from physics.answer import Answer
from physics.arrays import Values, values
from physics.bench import answer
from physics.case import Case
from physics.faults import Refused
from physics.frozen import NamedTuple, dataclass
from physics.inputs import Input, inputs_of
from physics.response import Response, response
from physics.ride import Ride
from physics.ride_search import RIDE_INPUTS, ride_map
from physics.solve import solved_case
from physics.sweep import Axis, with_numbers
from tui.job.answer import JobAnswer
from tui.job.fault_words import job_fault
from tui.job.faults import JobFault, UnusableJob
from tui.job.fields import INPUTS, Amount, Bare, Field
from tui.job.figures import input_text
from tui.job.job import Job
from tui.job.tree import Raw, TreePath, brief
from tui.job.wheels import Wheel, spoken
from tui.kit.document import (
    Block,
    Cell,
    Document,
    Drawing,
    Heading,
    Paragraph,
    Rows,
    SetupName,
    Table,
    TableRow,
    caution,
    csv_text,
    heading_of,
    plain_lines,
)
from tui.kit.roles import Role
from tui.ride.events import (
    CAUTION,
    DESCENT,
    EVENTS,
    EventName,
    event_in,
    event_text,
    event_with,
    number_asked,
    size_now,
    sizes_asked,
    sizes_object,
)
from tui.ride.riding import (
    CHART,
    KNOBS,
    RIDE_FIGURES,
    Progress,
    Ridden,
    RideFigure,
    alone,
    assumptions,
    conditions_text,
    goes_on,
    units_named,
)
from tui.shop_units import USUAL, Measure, ShopUnits
from tui.subjects.asked import answered_file, job_faults_told, printed, refused
from tui.subjects.sweep import (
    OVER,
    axis_of,
    left_off,
    named_numbers,
    number_now,
    number_typed,
    range_typed,
    said_of,
)

ALONE, ACROSS = 19, 5
"""Numbers along the one side of a range, and along the second of a map; along its first there are `DOWN`."""
DOWN = 10
MOST_RIDES = 3000
"""Rides at most of a map: a minute or two of work."""
_FROM, _TO = 0.2, 2.0
"""Multiples of a size between which it is ridden where no range is typed."""
_ANSWERS = 0.2
"""Share of the work that answering the cases is."""
_NONE = frozenset(("max_pressure",))
"""Figures that no range changes."""
FIGURES: Mapping[str, RideFigure] = {one.name: one for one in RIDE_FIGURES if one.name not in _NONE}
"""By its name every figure that can be shown over a range; the first is shown at first."""
FIRST = next(iter(FIGURES))
_FIXED = ("seed", DESCENT)
"""Sizes along which no range is worth riding: the name of a road, and the time on it."""
_MET = "stop_meetings"
_STOP = "!"
_ACCEPTED = "use NAME=FROM..TO or NAME=FROM..TO:COUNT, such as height=0.2m..1m:9"


class Side(NamedTuple):
    """One side of a map: what changes along it, by the name it has on the command line, and its numbers (n,).

    A size of the event by its `key`, else an `input` of the case. The numbers are in SI, pressures absolute.
    """

    name: str
    label: str
    measure: Measure
    numbers: Values
    key: str = ""
    input: Input | None = None

    def read(self, case: Case) -> Values:
        """Return the numbers as a person reads them: pressures as on a gauge."""
        return self.numbers if self.input is None else self.numbers - left_off(self.input, case)


def sizes_of(event: EventName) -> dict[str, Field]:
    """Return the sizes of an event that can change along a range, by key."""
    fields = EVENTS[event].fields
    return {
        key: field
        for key, field in fields.items()
        if field.measure is not None and key not in _FIXED and isinstance(field.kind, Amount | Bare)
    }


def names_of(answered: JobAnswer, event: EventName) -> tuple[str, ...]:
    """Return the names of all that can change along a range: sizes, what counts in a ride alone, the rest."""
    return (*sizes_of(event), *(said_of(one.name) for one in _inputs(solved_case(answered.case))))


_SOON = ("rate", "preload", "pressure", "positive_spacers", "rider_mass")
"""Inputs of the job that are asked for most: they come before the tyre, the port and the others."""


def _inputs(known: Case) -> tuple[Input, ...]:
    there = (*(one for one in RIDE_INPUTS if one.read(known) is not None), *inputs_of(known))
    of_damper = [one for one in there if one.name.startswith(("rebound", "compression"))]
    soon = [one for name in _SOON for one in there if one.name == name]
    return tuple(dict.fromkeys((*of_damper, *soon, *there)))


def label_of(answered: JobAnswer, event: EventName, name: str) -> str:
    """Return the label of a name of `names_of`."""
    size, one = sizes_of(event).get(name), _input(name, solved_case(answered.case))
    if size is not None or one is None:
        return name if size is None else size.label
    return input_text(one.name, answered.answer.frame.fork)


def setup_shown(found: Mapped, wanted: int) -> int:
    """Return the place of the setup that a map shows: the one wanted, if it has the numbers that change."""
    case, places = found.answered.case, range(len(found.names))
    of_case = [side.input for side in found.sides if side.input is not None]

    def has_all(place: int) -> bool:
        one = replace(case, setups=(case.setups[place],))
        return all(side.read(solved_case(one)) is not None for side in of_case)

    first = min(wanted, len(places) - 1)
    return next((place for place in (first, *places) if has_all(place)), first)


def _input(name: str, known: Case) -> Input | None:
    return next((one for one in _inputs(known) if name in (one.name, said_of(one.name))), None)


def usual_side(answered: JobAnswer, event: EventName, sizes: Job, name: str, count: int) -> Side:
    """Return a range around the present value of the event or job; if there is none, the first size."""
    size, known = sizes_of(event).get(name), solved_case(answered.case)
    one = _input(name, known) if size is None else None
    if one is not None:
        return _of_input(Axis(one, one.along(*one.reach(known), count)), answered)
    name = name if size is not None else next(iter(sizes_of(event)))
    size = sizes_of(event)[name]
    kind, now = cast("Amount | Bare", size.kind), size_now(event, sizes, name)
    low, high = max(_FROM * now, kind.low), min(_TO * now if now else 1.0, kind.high or math.inf)
    return _of_size(name, size, low, high, count)


def _of_input(axis: Axis, answered: JobAnswer) -> Side:
    name, measure = INPUTS[axis.input.name]
    label = spoken(name, answered.answer.frame.fork)
    return Side(said_of(axis.input.name), label, measure, axis.numbers, input=axis.input)


def _of_size(key: str, size: Field, low: float, high: float, count: int) -> Side:
    numbers = values(np.linspace(low, high, count))
    if isinstance(size.kind, Bare):
        numbers = values(np.unique(np.round(numbers)))
    return Side(key, size.label, cast(Measure, size.measure), numbers, key)


def side_asked(text: str, answered: JobAnswer, event: EventName, count: int) -> Side:
    """Return a side as typed on the command line, of `count` numbers where it says none.

    Raises `UnusableJob`.
    """
    asked, known = range_typed(text, _ACCEPTED), solved_case(answered.case)
    size = sizes_of(event).get(asked.said)
    if size is not None:
        ends = (number_asked(event, asked.said, raw) for raw in (asked.low, asked.high))
        low, high = asked.rising(*ends)
        return _of_size(asked.said, size, low, high, asked.number(count))
    one = _input(asked.said, known)
    if one is None:
        listed = ", ".join(names_of(answered, event))
        raise UnusableJob(
            (JobFault((OVER, asked.said), "does not change such a ride", f"use one of {listed}"),)
        )
    return _of_input(axis_of(one, asked, known, count), answered)


@dataclass(frozen=True, slots=True, eq=False)
class Mapped:
    """An event ridden along one side or two: every figure by its name, (setups, n) or (setups, n, m).

    NaN if a setup does not settle or a case is not possible; `impossible` says in words why one is not.
    """

    answered: JobAnswer
    event: EventName
    sizes: Job
    sides: tuple[Side, ...]
    figures: Mapping[str, Values]
    impossible: tuple[str, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """The names of the setups."""
        return tuple(one.name for one in self.answered.answer.setups)


def mapped(
    answered: JobAnswer,
    event: EventName,
    sizes: Job,
    sides: Sequence[Side],
    progress: Progress | None = None,
) -> Mapped:
    """Return every setup of a wheel through an event along its sides; raises `UnusableJob`.

    Rates and pressures that the job says to solve are solved for each case. `progress` is called with the
    fraction done and may raise to cancel.
    """
    event_in(event, sizes)
    count = int(np.prod([side.numbers.size for side in sides]))
    if count > MOST_RIDES:
        raise UnusableJob((JobFault((OVER,), f"{count} rides are too many", f"use at most {MOST_RIDES}"),))
    of_case = [side for side in sides if side.input is not None]
    of_event = [side for side in sides if side.input is None]
    tell: Progress = progress or (lambda share: None)
    cases, reasons = _answered_cases(answered, of_case, tell)
    there = {
        id(case): (replace(answered, case=case, answer=found), response(case, found))
        for case, found in filter(None, cases)
    }
    try:
        events = [
            event_with(event, sizes, dict(zip((side.key for side in of_event), each, strict=True)))
            for each in _combined(of_event)
        ]
        rode = ride_map(
            [one for one in cases if one is not None],
            events,
            lambda case, found, ride: _figures(event, sizes, ride, *there[id(case)]),
            progress=goes_on(lambda share: tell(_ANSWERS + (1 - _ANSWERS) * share)),
        )
    except ValueError as refused:
        raise UnusableJob((JobFault((event,), str(refused), "use another range"),)) from refused
    found = np.full((len(cases), *rode.shape[1:]), np.nan)
    found[[one is not None for one in cases]] = rode
    shape = [side.numbers.size for side in (*of_case, *of_event)]
    grid = np.moveaxis(found, (2, 3), (0, 1)).reshape(*found.shape[2:], *shape)
    if of_case and of_event and sides[0].input is None:
        grid = np.swapaxes(grid, 2, 3)
    kept = {name: values(part) for name, part in zip(FIGURES, grid, strict=True)}
    return Mapped(answered, event, sizes, tuple(sides), kept, tuple(reasons))


def _combined(sides: Sequence[Side]) -> list[tuple[float, ...]]:
    """Return every combination of the numbers of sides, of none a single empty one."""
    grids = np.meshgrid(*(side.numbers for side in sides), indexing="ij")
    return list(zip(*(grid.ravel().tolist() for grid in grids), strict=True)) if sides else [()]


def _answered_cases(
    answered: JobAnswer, sides: Sequence[Side], tell: Progress
) -> tuple[list[tuple[Case, Answer] | None], list[str]]:
    """Return each case along sides with its answer, None if it is not possible, and why, a reason once."""
    if not sides:
        return [(answered.case, answered.answer)], []
    axes = [Axis(side.input, side.numbers) for side in sides if side.input is not None]
    found: list[tuple[Case, Answer] | None] = []
    reasons = dict[str, int]()
    combined = _combined(sides)
    for place, numbers in enumerate(combined):
        try:
            case = with_numbers(answered.case, axes, numbers)
            found.append((case, answer(case)))
        except Refused as refused:
            found.append(None)
            why = job_fault(refused.faults[0]).what
            reasons[why] = reasons.get(why, 0) + 1
        tell(_ANSWERS * (place + 1) / len(combined))
    told = [f"{count} of {len(combined)} not possible: {why}." for why, count in reasons.items()]
    if not any(found):
        raise UnusableJob((JobFault((OVER,), told[0].rstrip("."), "use another range"),))
    return found, told


def _figures(event: EventName, sizes: Job, ride: Ride, there: JobAnswer, waves: Response) -> Values:
    """Return every figure of a ride, (figures, setups)."""
    one = Ridden(there, event, sizes, ride, waves)
    places = range(len(ride.names))
    return values([[figure.read(one, place) for place in places] for figure in FIGURES.values()])


# --- words -------------------------------------------------------------------------------------


def of_figure(found: Mapped, figure: RideFigure, setup: int) -> Values:
    """Return a figure of a setup along the one side (n,)."""
    return values(found.figures[figure.name][setup])


def text_at(side: Side, place: int, case: Case, units: ShopUnits) -> str:
    """Return a number of a side with its unit."""
    return units.show(side.read(case)[place], side.measure)


def place_now(found: Mapped, setup: int) -> tuple[int, ...]:
    """Return the place of a range or map nearest to where event and job stand, of the setup at a place."""
    known = _of_setup(found, setup)
    return tuple(
        int(np.argmin(np.abs(side.numbers - np.nan_to_num(_number_now(found, side, known)))))
        for side in found.sides
    )


def _of_setup(found: Mapped, setup: int) -> Case:
    """Return the case of the setup at a place alone, every rate and pressure as it was solved."""
    known = solved_case(found.answered.case)
    return replace(known, setups=(known.setups[setup],))


def _number_now(found: Mapped, side: Side, known: Case) -> float:
    if side.input is None:
        return size_now(found.event, found.sizes, side.key)
    return number_now(side.input, known)


class Place(NamedTuple):
    """A place of a range: in words with its figure, and what it is typed as.

    `text` are the numbers along the sides, `figure` that of the setup there. `sizes` are the sizes of the
    event as text, by key, and `typed` the values in the job; `whole` is whether every number can be typed.
    """

    text: str
    figure: str
    sizes: Mapping[str, str]
    typed: tuple[tuple[TreePath, Raw | None], ...]
    whole: bool


def place_read(
    found: Mapped, figure: RideFigure, setup: int, place: tuple[int, ...], units: ShopUnits
) -> Place:
    """Return a place of a range or map of the setup at a place of the job, as what it types."""
    case, known, job = found.answered.case, _of_setup(found, setup), found.answered.job
    sizes, typed, whole = dict[str, str](), list[tuple[TreePath, Raw | None]](), True
    for side, at in zip(found.sides, place, strict=True):
        if side.input is None:
            sizes[side.key] = text_at(side, at, case, units)
            continue
        values_of = number_typed(job, setup, side.input, float(side.numbers[at]), known, units)
        typed += values_of
        whole = whole and bool(values_of)
    text = ", ".join(
        f"{side.label} {text_at(side, at, case, units)}" for side, at in zip(found.sides, place, strict=True)
    )
    number = found.figures[figure.name][(setup, *place)]
    return Place(text, units.show(number, figure.measure), sizes, tuple(typed), whole)


def document(
    found: Mapped,
    figure: RideFigure,
    units: ShopUnits,
    setup: int = 0,
    *,
    every: bool = False,
    read: tuple[int, ...] | None = None,
) -> Document:
    """Return the result of a range: verdict, caution, then chart or map and numbers.

    A map is that of the setup at a place of the job, with `every` one map for each setup. `read` is the place
    under the cursor.
    """
    fork = found.answered.answer.frame.fork
    shown = range(len(found.names)) if every else (setup_shown(found, setup),)
    air = conditions_text(found.answered, units)
    first: list[Block] = [
        Paragraph(verdict(found, units), Role.STRONG, verbatim=True),
        *([Paragraph(air)] if air else []),
        *(Paragraph(why, Role.CAUTION) for why in found.impossible),
        caution(CAUTION),
        Drawing(KNOBS),
    ]
    unit = units.unit(figure.measure)
    if len(found.sides) == 1:
        title = heading_of(figure.label, unit)
        here = None if read is None else (shown[0], *read)
        parts: list[Block] = [Drawing(CHART), Heading(title, f"{title}:"), _table(found, figure, units, here)]
    else:
        parts = [block for place in shown for block in _map(found, figure, place, units, read)]
    if _met(found):
        parts.append(Paragraph(f"{_STOP} bottoms out", Role.QUIET, f"  {_STOP} bottoms out"))
    told = (Paragraph(text, plain=f"  {text}") for text in assumptions(_at_first(found), units))
    how: list[Block] = [Paragraph(_HOW, Role.QUIET, gap=True)]
    how += [Heading("Assumed", "Assumed:"), *told]
    return Document((*first, *parts, *how), fork)


def _at_first(found: Mapped) -> Case:
    """Return the case at the first number of each side: a value that changes along a side is not assumed."""
    axes = [Axis(side.input, side.numbers) for side in found.sides if side.input is not None]
    return with_numbers(found.answered.case, axes, [axis.numbers[0] for axis in axes])


_HOW = (
    "Solved rates and pressures are solved again at each number, typed ones stay. A number of the setup is "
    "applied to every setup that has it."
)


def _met(found: Mapped) -> bool:
    return bool((found.figures[_MET] > 0).any())


def what_rode(found: Mapped, units: ShopUnits) -> str:
    """Return the event at the beginning of a sentence, with the sizes that do not change."""
    what = event_text(found.event, found.sizes, units, but={DESCENT, *(side.key for side in found.sides)})
    return f"{what[:1].upper()}{what[1:]}"


def verdict(found: Mapped, units: ShopUnits) -> str:
    """Return in a sentence what changes, and where each setup bottoms out."""
    over = " and ".join(f"{side.label} {_ends(found, side, units)}" for side in found.sides)
    told = [f"{brief(name)} {_told(found, place, units)}" for place, name in enumerate(found.names)]
    return f"{what_rode(found, units)}, over {over}: {'; '.join(told)}."


def _ends(found: Mapped, side: Side, units: ShopUnits) -> str:
    read = side.read(found.answered.case)
    return f"{units.plain(read[0], side.measure)} to {units.show(read[-1], side.measure)}"


def _told(found: Mapped, setup: int, units: ShopUnits) -> str:
    """Return where a setup bottoms out, else how far it goes."""
    met, used = found.figures[_MET][setup].ravel(), found.figures[FIRST][setup].ravel()
    rides = np.isfinite(used)
    if not rides.any():
        return "cannot ride: it has no sag"
    hits, count = met > 0, int(rides.sum())
    if not hits.any():
        low, high = np.nanmin(used), np.nanmax(used)
        between = f"{units.plain(low, Measure.FRACTION)} to {units.show(high, Measure.FRACTION)}"
        return f"uses {between} of travel, no bottom-out"
    if hits[rides].all():
        return "bottoms out everywhere"
    if len(found.sides) == 1:
        edges = np.flatnonzero(np.diff(hits.astype(int)))
        if edges.size == 1:
            side, case = found.sides[0], found.answered.case
            at, way = (edges[0] + 1, "from") if hits[-1] else (edges[0], "up to")
            return f"bottoms out {way} {text_at(side, int(at), case, units)}"
    return f"bottoms out at {int(hits.sum())} of {count}"


def _cell(
    found: Mapped,
    figure: RideFigure,
    place: tuple[int, ...],
    units: ShopUnits,
    read: tuple[int, ...] | None = None,
) -> Cell:
    """Return a figure at a place (setup, n[, m]), marked where the stop is met and where it is `read`."""
    met = found.figures[_MET][place] > 0
    text = units.plain(found.figures[figure.name][place], figure.measure)
    role = Role.CURSOR if place == read else Role.CAUTION if met else Role.BASE
    return Cell(f"{_STOP} {text}" if met else text, role)


def _table(found: Mapped, figure: RideFigure, units: ShopUnits, read: tuple[int, ...] | None = None) -> Table:
    side, case, names = found.sides[0], found.answered.case, found.names
    heads = (SetupName(name, place) for place, name in enumerate(names))
    rows, plain = list[TableRow](), list[str]()
    for at, number in enumerate(side.read(case)):
        cells = [_cell(found, figure, (setup, at), units, read) for setup in range(len(names))]
        rows.append((units.plain(number, side.measure), *cells))
        told = ", ".join(f"{brief(name)} {cell.text}" for name, cell in zip(names, cells, strict=True))
        plain.append(f"  {text_at(side, at, case, units)}: {told}")
    return Table(((heading_of(side.label, units.unit(side.measure)), *heads), *rows), plain=tuple(plain))


def _map(
    found: Mapped, figure: RideFigure, setup: int, units: ShopUnits, read: tuple[int, ...] | None = None
) -> Iterator[Block]:
    """Yield the map of a setup: a row for each number of the first side, a column for each of the second."""
    (down, across), case = found.sides, found.answered.case
    unit = units.unit(figure.measure)
    head = f"{brief(found.names[setup])}: {heading_of(figure.label, unit)}, {across.label} across"
    yield Heading(head, f"{head}:")
    rows, plain = list[TableRow](), list[str]()
    for at, number in enumerate(down.read(case)):
        here = None if read is None else (setup, *read)
        cells = [_cell(found, figure, (setup, at, to), units, here) for to in range(across.numbers.size)]
        rows.append((units.plain(number, down.measure), *cells))
        told = ", ".join(f"{text_at(across, to, case, units)} {cell.text}" for to, cell in enumerate(cells))
        plain.append(f"  {text_at(down, at, case, units)}: {told}")
    heads = (units.show(number, across.measure) for number in across.read(case))
    yield Table(((heading_of(down.label, units.unit(down.measure)), *heads), *rows), plain=tuple(plain))


def numbers_of(found: Mapped, units: ShopUnits) -> Rows:
    """Return every figure for a spreadsheet, unrounded: a row for each place, a column for each setup's."""
    case = found.answered.case
    grids = np.meshgrid(*(side.read(case) for side in found.sides), indexing="ij")
    heads = [heading_of(side.label, units.unit(side.measure)) for side in found.sides]
    columns = [
        units.scale(values(grid.ravel()), side.measure) for grid, side in zip(grids, found.sides, strict=True)
    ]
    for name, figure in FIGURES.items():
        for place, setup in enumerate(found.names):
            heads.append(heading_of(f"{setup}: {figure.label}", units.unit(figure.measure)))
            columns.append(units.scale(values(found.figures[name][place].ravel()), figure.measure))
    return [heads, *(list(row) for row in np.column_stack(columns).tolist())]


def json_object(title: str | None, wheel: Wheel, found: Mapped) -> dict[str, Any]:
    """Return a range or a map as plain data: every figure of every setup as a list, or a list of lists."""
    case = found.answered.case
    setups = []
    for place, name in enumerate(found.names):
        one: dict[str, Any] = {"name": name}
        for key, figure in FIGURES.items():
            one |= named_numbers(key, figure.measure, found.figures[key][place])
        setups.append(one)
    sizes = sizes_object(found.event, found.sizes, but={side.key for side in found.sides})
    return {
        "format": 1,
        "title": title,
        "wheel": wheel,
        "event": found.event,
        "conditions": conditions_text(found.answered, USUAL) or None,
        "sizes": sizes,
        "over": [named_numbers(side.name, side.measure, side.read(case)) for side in found.sides],
        "setups": setups,
        "impossible": list(found.impossible),
        "assumed": list(assumptions(_at_first(found), USUAL)),
        "caution": CAUTION,
    }


class MapAsked(NamedTuple):
    """The options of the command: event, its sizes as text, one or two ranges, figures, wheel and setup.

    Without figures it is the first of them.
    """

    event: EventName
    sizes: Mapping[str, str]
    over: Sequence[str]
    figures: Sequence[str] = ()
    wheel: Wheel = "rear"
    setup: str = ""
    units: str = ""


def _over(what: str, accepted: str) -> UnusableJob:
    return UnusableJob((JobFault((OVER,), what, accepted),))


def figure_asked(name: str) -> RideFigure:
    """Return a figure of a ride by its name or its key in the JSON; raises `UnusableJob`."""
    one = next((figure for figure in FIGURES.values() if name in (figure.name, figure.key)), None)
    if one is None:
        accepted = f"use one of {', '.join(FIGURES)}"
        raise UnusableJob((JobFault(("figure",), f'"{brief(name)}" is not a figure of a ride', accepted),))
    return one


def command(source: str, asked: MapAsked, *, as_json: bool = False, as_csv: bool = False) -> str:
    """Return an event over one range or two for the job file `source`; raises `Unanswered`."""
    bike = answered_file(source)
    there = bike.at(asked.wheel)
    if there is None:
        raise refused("wheel", "this job has no front", "use rear")
    there, units = alone(there, asked.setup), units_named(asked.units)
    with job_faults_told():
        shown = [figure_asked(name) for name in asked.figures or (FIRST,)]
        sizes = sizes_asked(asked.event, asked.sizes)
        if not asked.over:
            raise _over("no range is given", "use --over NAME=FROM..TO with a figure")
        counts = (ALONE,) if len(asked.over) == 1 else (DOWN, ACROSS)
        pairs = zip(asked.over, counts, strict=False)
        sides = [side_asked(text, there, asked.event, count) for text, count in pairs]
        if len(asked.over) > len(counts) or len({side.name for side in sides}) < len(sides):
            raise _over("given too often", "use one or two different ranges")
        found = mapped(there, asked.event, sizes, sides)
    if as_json:
        return printed(json_object(bike.job.title, asked.wheel, found))
    if as_csv:
        return csv_text(numbers_of(found, units))
    lines = [bike.job.heading]
    for figure in shown:
        lines += plain_lines(document(found, figure, units, every=True), "")
    return printed(lines)
