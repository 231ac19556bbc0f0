"""A new job for a customer: whose bike, which ends, which springs and what size, one short question each."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from physics.frozen import NamedTuple
from tui.bench.files import Then, if_not_needed
from tui.bench.state import open_at_sag, select_field
from tui.job.job import History, Job
from tui.job.wheels import Wheel
from tui.kit.dialogs import Dialog, Question, Reply, ReplyLine
from tui.kit.look import Glyphs
from tui.kit.prompts import Prompt, Refused
from tui.subjects.new_job import Kind, NewEnd, eyes_first, is_ticket, missing, new_job, typed_size

if TYPE_CHECKING:
    from tui.bench.screen import BenchScreen

_WHOSE = "Customer's name or ticket number, one of the two; Enter alone skips it"
_FIRST = "Customer's name or ticket number, one of the two; arrows choose something else"
NEW, DEMO, FILE, RECORDS = "new", "demo", "open", "records"
_STARTS = {
    NEW: "new job; customer or ticket may be left empty",
    DEMO: "the invented demo job, to look around",
    FILE: "a job file",
    RECORDS: "the records: saved jobs, frames, shocks",
}
"""Choices at the first start and their labels; a file and the records are actions of the bench."""
_SIZE = {
    "rear": "Shock: eye to eye x stroke, e.g. 230 x 60 or 8.5 x 2.5 in; Enter alone if not known",
    "front": "Fork: travel, e.g. 160 or 6.3 in; Enter alone if not known",
}
_WRONG = {
    "rear": "use eye to eye x stroke in mm or in, e.g. 230 x 60",
    "front": "use the fork travel in mm or in, e.g. 160",
}
_WHEELS: Mapping[str, tuple[Wheel, ...]] = {
    "rear": ("rear",),
    "front": ("front",),
    "both": ("rear", "front"),
}
_SPRINGS: Mapping[str, tuple[Kind, ...]] = {"both": ("coil", "air"), "coil": ("coil",), "air": ("air",)}
_TYPICAL = "Typical chambers and springs: measure yours. Marked until typed or confirmed."


class _Whose(Prompt[str]):
    """A prompt for the customer; may stay empty."""

    TITLE, HINT = "New job", _WHOSE

    def read(self, text: str) -> str:
        """Return the name, which may be any text."""
        return text.strip()


class _Start(Prompt[tuple[str, str]]):
    """First start: choose what to open; the line takes the customer of a new job."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "choose(-1)", "Up", show=False, priority=True),
        Binding("down,tab", "choose(1)", "Down", show=False, priority=True),
    ]
    DEFAULT_CSS = "_Start ReplyLine { width: 1fr; }"
    TITLE, HINT, KEYS = "What to open?", _FIRST, "Up Down  choose   "

    def __init__(self, glyphs: Glyphs, whose: str = "") -> None:
        super().__init__(whose, glyphs)
        self._here = 0

    def body(self) -> Sequence[Widget]:
        """Return the line and, below it, the choices."""
        starts = (ReplyLine(self._start(place), place) for place in range(len(_STARTS)))
        return (*super().body()[:2], Vertical(*starts, classes="replies"), Static(classes="note"))

    def _start(self, place: int) -> Content:
        mark = self.glyphs.selected if place == self._here else " "
        return self.words(f"{mark} {tuple(_STARTS.values())[place]}")

    def action_choose(self, steps: int) -> None:
        """Select the next or previous choice, wrapping around."""
        self._here = (self._here + steps) % len(_STARTS)
        for line in self.query(ReplyLine):
            line.update(self._start(line.place))

    def on_reply_line_chosen(self, event: ReplyLine.Chosen) -> None:
        """Open what was clicked."""
        self._here = event.place
        self.close_with(self.read(self.line.value))

    def read(self, text: str) -> tuple[str, str]:
        """Return the selected choice and the typed text."""
        return tuple(_STARTS)[self._here], text.strip()


class _Size(Prompt[str]):
    """A prompt for the size of a shock or a fork."""

    def __init__(self, wheel: Wheel, screen: BenchScreen, text: str = "") -> None:
        super().__init__(text, screen.glyphs, "New job", _SIZE[wheel])
        self._wheel: Wheel = wheel
        self.left_with = text
        """What stood on the line when it was left by Escape."""

    def action_back(self) -> None:
        """Go back; what is typed so far is kept."""
        self.left_with = self.line.value
        super().action_back()

    def unit_of(self, text: str) -> str:
        """Return the unit of bare sizes, empty once a unit is typed."""
        return "" if text[-1:].isalpha() and not text.lower().endswith("x") else "mm"

    def read(self, text: str) -> str:
        """Return the size as typed, possibly empty; refuses anything else."""
        size = text.strip()
        if self._wheel == "rear" and (other_way := eyes_first(size)):
            raise Refused(f"Eye to eye first: {other_way}.")
        if size and typed_size(size, self._wheel) is None:
            raise Refused(f"{size[:20]} is not a size: {_WRONG[self._wheel]}.")
        return size


class _Answers(NamedTuple):
    """What was replied so far: whose job it is, which ends and springs it has, and the sizes by wheel."""

    whose: str = ""
    ends: str = ""
    springs: str = ""
    sizes: Mapping[Wheel, str] = {}


def begin_new_job(screen: BenchScreen) -> None:
    """Ask for the data of a new job and open it, after saving or discarding present changes."""

    def ask(answers: _Answers) -> None:
        screen.ask(
            _Whose(answers.whose, screen.glyphs),
            lambda whose: _ask_ends(screen, ask, answers._replace(whose=whose)),
        )

    if_not_needed(screen, lambda: ask(_Answers()))


def begin_first_job(screen: BenchScreen) -> None:
    """At the first start, ask what to open; Escape keeps the demo."""

    def ask(answers: _Answers) -> None:
        def chosen(what: tuple[str, str]) -> None:
            start, whose = what
            if start == NEW:
                _ask_ends(screen, ask, answers._replace(whose=whose))
            elif start != DEMO:
                screen.act(start)

        screen.ask(_Start(screen.glyphs, answers.whose), chosen)

    ask(_Answers())


_Ask = Callable[[_Answers], None]
"""Asks a question, with what was replied so far: each one is followed by the next, or by the one before."""


def _ask_next(screen: BenchScreen, dialog: Dialog[str], then: Callable[[str], None], back: Then) -> None:
    """Ask; Escape goes back one question."""
    screen.app.push_screen(dialog, lambda reply: back() if reply is None else then(reply))


def _choice(screen: BenchScreen, title: str, replies: tuple[Reply, ...], before: str) -> Question:
    """Return a question with its last reply selected, the first one where there is none."""
    here = next((place for place, reply in enumerate(replies) if reply.result == before), 0)
    return Question(title, (), replies, "back", screen.glyphs, enter=True, here=here)


def _ask_ends(screen: BenchScreen, before: _Ask, answers: _Answers) -> None:
    replies = (Reply("r", "rear shock", "rear"), Reply("f", "fork", "front"), Reply("b", "both", "both"))
    question = _choice(screen, "New job: which wheel?", replies, answers.ends)
    again = partial(_ask_ends, screen, before)
    _ask_next(
        screen,
        question,
        lambda ends: _ask_springs(screen, again, answers._replace(ends=ends)),
        lambda: before(answers),
    )


def _ask_springs(screen: BenchScreen, before: _Ask, answers: _Answers) -> None:
    replies = (
        Reply("b", "coil and air, to compare", "both"),
        Reply("c", "coil", "coil"),
        Reply("a", "air", "air"),
    )
    question = _choice(screen, "New job: which springs?", replies, answers.springs)
    again, wheels = partial(_ask_springs, screen, before), _WHEELS[answers.ends]
    _ask_next(
        screen,
        question,
        lambda springs: _ask_sizes(screen, again, wheels, answers._replace(springs=springs)),
        lambda: before(answers),
    )


def _ask_sizes(screen: BenchScreen, before: _Ask, wheels: Sequence[Wheel], answers: _Answers) -> None:
    """Ask for the size at each wheel in turn; what stands on a line that is left is there again."""
    if not wheels:
        _put(screen, _made(answers))
        return
    wheel, *others = wheels
    dialog = _Size(wheel, screen, answers.sizes.get(wheel, ""))

    def sized(size: str) -> _Answers:
        return answers._replace(sizes={**answers.sizes, wheel: size})

    def again(later: _Answers) -> None:
        _ask_sizes(screen, before, wheels, later)

    _ask_next(
        screen,
        dialog,
        lambda size: _ask_sizes(screen, again, others, sized(size)),
        lambda: before(sized(dialog.left_with)),
    )


def _made(answers: _Answers) -> Job:
    """Return the job; `whose` is a ticket's number or a customer."""
    whose, springs = answers.whose, _SPRINGS[answers.springs]
    sizes = {wheel: answers.sizes.get(wheel, "") for wheel in _WHEELS[answers.ends]}
    ends = {
        wheel: NewEnd(springs, typed_size(text, wheel) if text else None, bool(text))
        for wheel, text in sizes.items()
    }
    ticket = whose if is_ticket(whose) else ""
    return new_job("" if ticket else whose, ticket, rear=ends.get("rear"), front=ends.get("front"))


def _put(screen: BenchScreen, job: Job) -> None:
    screen.session.opened(None)
    # Not saved anywhere yet, so it gets a draft at once.
    state = open_at_sag(screen.state, History(job, None))
    first = next(iter(missing(job)), None)
    there = state if first is None else select_field(state, first.path)
    screen.take(replace(there, note=_TYPICAL))
