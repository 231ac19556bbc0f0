"""From the bench to the linkage screen and back with what was adopted."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from tui.bench.state import selected, with_job
from tui.jobs.job import Job
from tui.linkage.acts import ACTS, TRAVEL
from tui.linkage.screen import LinkageScreen
from tui.linkage.sketch import LEVERAGE
from tui.linkage.state import LinkageState, opened

if TYPE_CHECKING:
    from tui.bench.screen import BenchScreen


def show_linkage(screen: BenchScreen) -> None:
    """Open the linkage of the job, or an invented one; what is adopted is one edit, which undo takes back."""
    state = screen.commit()

    def keep(linkage: LinkageState) -> str:
        # A line that drops loses neither: the draft is the job as if the linkage were adopted.
        changed = linkage.changed
        screen.at_work = (
            with_job(screen.state, with_adopted(state.job, linkage.job)).history if changed else None
        )
        screen.keep()
        return screen.desk.trouble

    def closed(adopted: Job | None) -> None:
        screen.at_work = None
        after = screen.state
        if adopted is not None:
            after = selected(with_job(after, with_adopted(after.job, adopted)), (*LEVERAGE, "kind"))
            after = replace(after, note="The linkage is in the job: u takes it back.")
        screen.take(after)

    screen.app.push_screen(LinkageScreen(opened(state.job, state.units), screen.look, keep, ACTS), closed)


def with_adopted(job: Job, adopted: Job) -> Job:
    """Return a job with the leverage and the wheel travel of another; a travel left alone is as it was."""
    leverage, travel = adopted.get(LEVERAGE), adopted.get(TRAVEL)
    job = job if leverage is None else job.with_value(LEVERAGE, leverage)
    if travel is None or travel == job.get(TRAVEL):
        return job
    return (job.with_invented if adopted.is_unconfirmed(TRAVEL) else job.with_value)(TRAVEL, travel)
