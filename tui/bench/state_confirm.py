"""Values that nobody has typed or confirmed: which row shows one, and confirming it as it is."""

from __future__ import annotations

from dataclasses import replace

from tui.bench.fields import unconfirmed_at
from tui.bench.fields_frame import LEVERAGE
from tui.bench.fields_row import Choice, Pair, Row
from tui.bench.state import BenchState, quiet, with_job
from tui.jobs.job import Job
from tui.jobs.tree import Path

_MIDDLE: Path = (*LEVERAGE, "middle")
_ENDS: tuple[Path, ...] = ((*LEVERAGE, "start"), (*LEVERAGE, "end"))
DROPPED = "The mid-travel ratio was an unverified {}: it is removed; u undoes both."


def confirmed_here(state: BenchState) -> BenchState:
    """Confirm the value of the selected row as it is; on a row with nothing to confirm it says so."""
    row, job = state.row, state.job
    there = unconfirmed_at(job, row)
    if not there:
        also = "Enter goes to the next way" if isinstance(row.kind, Choice) else "digits type over it"
        return replace(state, note=f"{row.label}: nothing to confirm here; {also}.")
    for path in there:
        job = job.confirmed(path)
    what = "all pairs" if isinstance(row.kind, Pair) else row.label
    after = with_job(quiet(state), job)
    return after if after.note else replace(after, note=f"{what}: confirmed as it stands; u undoes it.")


def without_invented_middle(job: Job, row: Row) -> Job:
    """Return a job with the ratio at an end typed: an invented one at half travel would bend its curve."""
    return job.without(_MIDDLE) if row.path in _ENDS and job.is_unconfirmed(_MIDDLE) else job


def middle_removed(before: Job, after: Job) -> str:
    """Say that the invented ratio at half travel is removed, empty where it is not."""
    gone = before.get(_MIDDLE) is not None and after.get(_MIDDLE) is None
    return DROPPED.format(before.get(_MIDDLE)) if gone and before.is_unconfirmed(_MIDDLE) else ""
