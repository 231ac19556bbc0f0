"""The records from the bench: work on them beside the screen, a job put on the bench from them."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, TypeVar

from tui.bench.state_view import fresh
from tui.jobs.faults import UnusableJob
from tui.jobs.history import History

if TYPE_CHECKING:
    from tui.bench.screen import BenchScreen
    from tui.jobs.job import Job
    from tui.store.kept import Revision
    from tui.store.store import Store

Result = TypeVar("Result")


def beside(
    screen: BenchScreen,
    work: Callable[[], Result],
    then: Callable[[Result], object],
    failed: Callable[[str], object],
) -> None:
    """Work on the records in a thread, so that a slow disk or server holds up no key.

    Then `then` is given the result, or `failed` the reason why there is none.
    """

    def run() -> None:
        from tui.store.trouble import StoreTrouble

        try:
            found = work()
        except StoreTrouble as trouble:
            screen.call_later(failed, str(trouble))
        else:
            screen.call_later(then, found)

    screen.run_worker(run, thread=True, group="records")


def open_revision(screen: BenchScreen, store: Store, revision: Revision, note: str = "") -> None:
    """Put a saved revision on the bench, to go on from it; what cannot be shown there is told instead."""
    from tui.bench.screen_jobs import if_not_needed

    job = _shown_job(screen, revision)
    if job is None:
        return
    before = screen.state.history

    def found(latest: int) -> None:
        if screen.state.history is before:
            put(latest)
        else:  # something was typed while a slow server was asked
            if_not_needed(screen, partial(put, latest))

    def put(latest: int) -> None:
        beside_it = f"; {latest} is the newest: what is saved from here stands beside it"
        old = beside_it if latest > revision.number else ""
        put_on_bench(screen, job, note or f"Revision {revision.number} is open{old}.")
        screen.desk.lives_in_records(store.entry_of(revision, latest), job, revision.text)

    beside(screen, lambda: store.latest(revision.job_uid), found, screen.say)


def _shown_job(screen: BenchScreen, revision: Revision) -> Job | None:
    """Return the job of a revision; what the bench cannot show is told, and None returned."""
    from tui.bench.dialogs_faults import faults_page
    from tui.bench.screen_jobs import refuse_what_cannot_be_shown

    try:
        refuse_what_cannot_be_shown(revision.job)
    except UnusableJob as unusable:
        screen.app.push_screen(faults_page(f"revision {revision.number}", unusable.faults, screen.glyphs))
        return None
    return revision.job


def put_on_bench(screen: BenchScreen, job: Job, note: str) -> None:
    """Put a job that lives nowhere on the bench; what was there before is saved or not wanted."""
    screen.desk.opened(None)
    screen.take(fresh(History.starting_at(job), screen.state.units, note))
