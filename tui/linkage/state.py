"""All that the linkage screen is: the job with its linkage and history, cursor, edit, motion, faults.

Immutable and free of any screen, as the bench's own state is; every change of the job goes through
`with_sketch`.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from enum import Enum

from tui.bench.edit import Edit
from tui.jobs.faults import JobFault, UnusableJob
from tui.jobs.history import History
from tui.jobs.job import Job
from tui.linkage.examples import EXAMPLES, USUAL_LENGTH
from tui.linkage.moving import Moved, moved
from tui.linkage.sketch import Sketch, sketch_of, with_sketch
from tui.shop_units import USUAL, ShopUnits

STEPS = 100
"""Steps of the reading cursor from full extension to full stroke."""


class Part(Enum):
    """The tables of the screen, and the drawing where there is no room for it beside them."""

    POINTS = "points"
    BARS = "bars"
    KNOWN = "known length"
    LEVEL = "level"
    DRAWING = "drawing"


COLUMNS = {Part.POINTS: 4, Part.BARS: 2, Part.KNOWN: 3, Part.LEVEL: 2, Part.DRAWING: 1}
"""Columns of each part: name, x, y, what it is; from and to; from, to and length; from and to."""
NAME, X, Y, WHAT = range(4)
LENGTH = 2


@dataclass(frozen=True, slots=True)
class LinkageState:
    """One moment of the screen.

    `good` is the last motion there was, `faults` why there is none now; `cursor` is where the stroke is
    read, of `STEPS`; `start` the job the screen was opened on and `invented` the sketch that was put in for
    it; `wide` whether there is room for the drawing beside the tables.
    """

    history: History
    start: Job
    sketch: Sketch
    invented: Sketch | None = None
    part: Part = Part.POINTS
    row: int = 0
    column: int = X
    edit: Edit | None = None
    good: Moved | None = None
    faults: tuple[JobFault, ...] = ()
    cursor: int = 0
    units: ShopUnits = field(default=USUAL)
    note: str = ""
    wide: bool = True

    @property
    def job(self) -> Job:
        """The job with the linkage as typed."""
        return self.history.job

    @property
    def stale(self) -> bool:
        """Whether the motion on the screen is that of an older linkage."""
        return self.good is not None and self.good.job != self.job

    @property
    def changed(self) -> bool:
        """Whether there is anything to adopt that the bench does not have."""
        return self.job != self.start and self.sketch != self.invented

    @property
    def parts(self) -> tuple[Part, ...]:
        """The parts there are now, in the order Tab goes through them."""
        known = (Part.KNOWN,) if self.sketch.known is not None else ()
        level = (Part.LEVEL,) if self.sketch.level is not None else ()
        drawing = () if self.wide else (Part.DRAWING,)
        return (Part.POINTS, Part.BARS, *known, *level, *drawing)

    def rows(self, part: Part) -> int:
        """Return how many rows a part has."""
        match part:
            case Part.POINTS:
                return len(self.sketch.points)
            case Part.BARS:
                return len(self.sketch.bars)
            case _:
                return 1


def opened(job: Job, units: ShopUnits = USUAL) -> LinkageState:
    """Return the screen on a job: on its own linkage, else on an invented one to type over."""
    sketch = sketch_of(job)
    if sketch is not None:
        return answered(LinkageState(History.starting_at(job), job, sketch, units=units))
    invented = EXAMPLES[0].sketch(eye_to_eye(job))
    shown = with_sketch(job, invented, invented=True)
    return answered(LinkageState(History.starting_at(shown), job, invented, invented, units=units))


def eye_to_eye(job: Job) -> float:
    """Return the length of the job's shock [mm], the usual one where it does not say."""
    from tui.bench.fields_text import in_si
    from tui.shop_units import Measure

    typed = job.get(("frame", "eye_to_eye"))
    length = in_si(typed, Measure.TRAVEL) if isinstance(typed, str) else None
    return USUAL_LENGTH if length is None or length <= 0 else 1e3 * length


def quiet(state: LinkageState) -> LinkageState:
    """Return the state with nothing said."""
    return replace(state, note="") if state.note else state


def placed(state: LinkageState, part: Part, row: int, column: int) -> LinkageState:
    """Return the state with the cursor at a cell, counted into what there is."""
    part = part if part in state.parts else Part.POINTS
    row = min(max(row, 0), max(state.rows(part) - 1, 0))
    return replace(state, part=part, row=row, column=min(max(column, 0), COLUMNS[part] - 1))


def with_changed(state: LinkageState, sketch: Sketch, *, invented: bool = False) -> LinkageState:
    """Return the state after an edit of the linkage: in the history, and moved."""
    return with_history(state, state.history.then(with_sketch(state.job, sketch, invented=invented)))


def with_history(state: LinkageState, history: History) -> LinkageState:
    """Return the state on another linkage of its history, moved, the cursor where it was if that is there."""
    sketch = sketch_of(history.job)
    assert sketch is not None  # every job of this history was made with a sketch
    changed = replace(state, history=history, sketch=sketch)
    return answered(placed(changed, state.part, state.row, state.column))


def answered(state: LinkageState) -> LinkageState:
    """Return the state with its linkage moved; if it cannot be, the last good motion stays."""
    if state.good is not None and not state.stale:
        return replace(state, faults=state.good.faults)
    try:
        good = moved(state.job)
        return replace(state, good=good, faults=good.faults)
    except UnusableJob as unusable:
        return replace(state, faults=unusable.faults)
