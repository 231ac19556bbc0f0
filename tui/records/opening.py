"""From the bench to the records and back with what was chosen there."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tui.bench.screen_jobs import if_not_needed
from tui.bench.screen_store import open_revision, put_on_bench
from tui.bench.state import BenchState, selected
from tui.records.comparing import compare_on_bench
from tui.records.screen import OnBench
from tui.records.starting import for_next_rider
from tui.records.taking import frame_taken, shock_taken

if TYPE_CHECKING:
    from tui.bench.screen import BenchScreen
    from tui.jobs.job import Job
    from tui.store.kept import Part, Revision
    from tui.store.store import Store

_SCALE = ("load", "scale_mass")


def opens(store: Store, revision: Revision) -> OnBench:
    """Return what puts a revision on the bench, what is there saved or let go first."""

    def on_bench(screen: BenchScreen) -> None:
        if_not_needed(screen, lambda: open_revision(screen, store, revision))

    return on_bench


def begins(job: Job) -> OnBench:
    """Return what puts a new job for the next rider on the bench, the cursor on the rider's mass."""

    def put(screen: BenchScreen) -> None:
        note = "A new job for the next rider, not saved yet: type the rider's mass over."
        put_on_bench(screen, for_next_rider(job), note)
        if job.get(_SCALE) is not None:
            screen.take(selected(screen.state, _SCALE))

    return lambda screen: if_not_needed(screen, lambda: put(screen))


def compares(one: Revision, other: Revision) -> OnBench:
    """Return what puts two revisions on the bench as setups beside each other."""
    return lambda screen: compare_on_bench(screen, one, other)


def takes(part: Part) -> OnBench:
    """Return what takes a part into the job on the bench, which undo takes back."""

    def on_bench(screen: BenchScreen) -> None:
        taken: BenchState = (frame_taken if part.kind == "frame" else shock_taken)(screen.commit(), part)
        screen.take(taken)

    return on_bench
