"""Commands of the linkage screen that do more than change its state."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from tui.bench.commands import LOOK_COMMANDS, find_in_front
from tui.bench.export import picture_look
from tui.bench.screen import BenchScreen
from tui.bench.state import BenchState, select_field, with_job
from tui.job.job import Job
from tui.job.quantities import plain
from tui.job.tree import TreePath
from tui.kit.dialogs import Question, Reply
from tui.kit.screen import suspend
from tui.linkage import state as edit
from tui.linkage.overlays import OVERLAYS
from tui.linkage.screen import LinkageScreen, Shop
from tui.linkage.sketch import EXAMPLES, LEVERAGE, has_unconfirmed_points
from tui.linkage.state import LinkageState, open_linkage, take_example, typed_length
from tui.linkage.taking import copy_line, copy_value, copy_view, export_view
from tui.linkage.words import eyes_doubt
from tui.shop_units import Measure
from tui.subjects.leverage import pair_columns

ADOPT, DISCARD, TAKE, KEEP = "adopt", "discard", "take", "keep"
TRAVEL: TreePath = ("frame", "wheel_travel")
MEASURED_WITHIN = 0.02
"""Accuracy of pivots measured by hand, as a fraction of a length. Common practice, no source."""


def adopt(screen: LinkageScreen) -> None:
    """Close with the linkage; ask first if it does not move or its shock is doubtful."""
    state = screen.state
    if state.faults:
        why = (f"{state.faults[0].what}.", "No new results until that is fixed.")
        reply = Reply("a", "use it unfinished and continue later", ADOPT)
        question = Question("This linkage cannot be used yet", why, (reply,), "stay here", screen.glyphs)
        screen.ask(question, lambda _adopt: screen.close_with(screen.state.job))
        return
    if doubt := eyes_doubt(state, MEASURED_WITHIN):
        reply = Reply("a", "use it as drawn", ADOPT)
        question = Question("Is the shock drawn right?", (doubt,), (reply,), "stay here", screen.glyphs)
        screen.ask(question, lambda _adopt: _adopt_travel(screen))
        return
    _adopt_travel(screen)


def _adopt_travel(screen: LinkageScreen) -> None:
    """Close with the linkage; ask first which wheel travel to use if it gives another one."""
    state = screen.state
    job, offered = state.job, offered_travel(state)
    if not offered or _is_same_as_measured(state):
        screen.close_with(job)
        return

    def replied(reply: str) -> None:
        # A travel from the linkage is only as certain as its points.
        put = job.with_invented if has_unconfirmed_points(job) else job.with_value
        screen.close_with(put(TRAVEL, offered) if reply == TAKE else job)

    if job.get(TRAVEL) is None or job.is_unconfirmed(TRAVEL):
        replied(TAKE)
        return

    typed = plain(job.get(TRAVEL)) or "nothing"
    replies = (Reply("t", f"take {offered}", TAKE), Reply("k", f"keep {typed}", KEEP))
    text = (
        f"The linkage gives {offered} wheel travel over the full stroke; the job says {typed}.",
        "A difference of up to 5 % is scaled, with a caution; a larger one is refused.",
    )
    screen.ask(Question("Wheel travel", text, replies, "stay here", screen.glyphs), replied)


def _is_same_as_measured(state: LinkageState) -> bool:
    """Return whether the linkage gives the typed wheel travel within the accuracy of measured pivots."""
    typed = typed_length(state.job, TRAVEL)
    if typed is None or state.answer is None or state.job.is_unconfirmed(TRAVEL):
        return False
    return abs(float(state.answer.motion.wheel[-1]) / typed - 1) <= MEASURED_WITHIN


def offered_travel(state: LinkageState) -> str:
    """Return the wheel travel of the linkage, empty if that of the job is the same as shown."""
    if state.answer is None or state.is_outdated:
        return ""
    given = state.units.show(float(state.answer.motion.wheel[-1]), Measure.TRAVEL)
    length = typed_length(state.job, TRAVEL)
    return "" if length is not None and state.units.show(length, Measure.TRAVEL) == given else given


def leave(screen: LinkageScreen) -> None:
    """Go back to the bench; ask before discarding changes."""
    state = screen.state
    if not state.changed:
        screen.close_with(None)
        return
    replies = (Reply("a", "use it in the job", ADOPT), Reply("d", "discard the changes", DISCARD))
    text = ("The open job does not have it.",)
    question = Question("This linkage is not in the job yet", text, replies, "stay here", screen.glyphs)
    screen.ask(question, lambda reply: adopt(screen) if reply == ADOPT else screen.close_with(None))


def choose_example(screen: LinkageScreen) -> None:
    """Offer the invented examples."""
    replies = tuple(Reply(str(n + 1), example.title, str(n)) for n, example in enumerate(EXAMPLES))
    text = ("These points belong to no real frame. Undo restores the present ones.",)
    title, back = "Start from an invented example", "keep this one"
    question = Question(title, text, replies, back, screen.glyphs, enter=True)
    screen.ask(question, lambda reply: screen.take(take_example(screen.state, EXAMPLES[int(reply)])))


def step_back(screen: LinkageScreen) -> None:
    """Go one step back on the screen, and from its tables to the bench."""
    after = edit.step_back(screen.state)
    if after == screen.state:
        leave(screen)
    else:
        screen.take(after)


def copy_or_leave(screen: LinkageScreen) -> None:
    """Copy the text selected with the mouse, or leave without one."""
    if not screen.copy_selection():
        leave(screen)


def _with(step: Callable[[LinkageState], LinkageState]) -> Callable[[LinkageScreen], None]:
    return lambda screen: screen.take(step(screen.state))


COMMANDS: Mapping[str, Callable[[LinkageScreen], None]] = {
    **LOOK_COMMANDS,
    "adopt": adopt,
    "take_drawn": adopt,
    "leave": leave,
    "step_back": step_back,
    "examples": choose_example,
    "find": find_in_front,
    "menu": _with(OVERLAYS.open_menu),
    "help": _with(edit.switch_help),
    "copy_value": copy_value,
    "copy_line": copy_line,
    "copy_view": copy_view,
    "export": export_view,
    "copy_or_quit": copy_or_leave,
    "suspend": suspend,
}
"""Commands by the id of their action."""


def show_linkage(screen: BenchScreen) -> None:
    """Open the linkage of the job, or an example; adopting it is one edit that undo reverts."""
    state = screen.commit()

    def keep(linkage: LinkageState) -> str:
        # So that a dropped connection loses nothing, the draft is the job with the linkage adopted.
        adopted = with_job(screen.state, with_adopted(state.job, linkage.job))
        screen.at_work = adopted.history if linkage.changed else None
        screen.keep()
        return screen.session.trouble

    def closed(adopted: Job | None) -> None:
        screen.at_work = None
        after = screen.state
        if adopted is not None:
            after = select_field(with_job(after, with_adopted(after.job, adopted)), (*LEVERAGE, "kind"))
            after = replace(after, note=adopted_words(state.job, after))
        screen.take(after)
        if linkage.after is not None:
            screen.go_found(linkage.after.id)

    shop = Shop(screen.session.folder, lambda: picture_look(screen.themes[screen.app.theme]))
    linkage = LinkageScreen(open_linkage(state.job, state.units), screen.look, keep, COMMANDS, shop)
    screen.app.push_screen(linkage, closed)


def adopted_words(before: Job, after: BenchState) -> str:
    """Return the message that the linkage is in the job, with the resulting wheel travel."""
    travel, count = after.job.get(TRAVEL), len(pair_columns(before)[0])
    lost = f", in place of {count} measured pairs" if count else ""
    if travel != before.get(TRAVEL):
        return f"Linkage and its wheel travel of {plain(travel)} are in the job{lost}; u undoes both."
    from physics.leverage import SILENT_CLOSURE

    answer = None if after.is_outdated else after.answer
    if answer is not None and abs(float(answer.answer.frame.closure_error)) > SILENT_CLOSURE:
        return f"The linkage is in the job, scaled to the typed travel of {plain(travel)}{lost}; u undoes it."
    return f"The linkage is in the job{lost}; u undoes it."


def with_adopted(job: Job, adopted: Job) -> Job:
    """Return a job with the leverage and wheel travel of another; an unchanged travel keeps its state."""
    leverage, travel = adopted.get(LEVERAGE), adopted.get(TRAVEL)
    job = job if leverage is None else job.with_value(LEVERAGE, leverage)
    if travel is None or travel == job.get(TRAVEL):
        return job
    return (job.with_invented if adopted.is_unconfirmed(TRAVEL) else job.with_value)(TRAVEL, travel)
