"""Undo and redo as a list of old jobs, with a mark at the one that is saved."""

from __future__ import annotations

from dataclasses import dataclass, replace

from tui.jobs.job import Job

_MOST_STEPS = 1000


@dataclass(frozen=True, slots=True)
class History:
    """The job on the bench, the ones before it, the ones undone, and the one that is in the file.

    `saved` is None where nothing of it was ever saved, as with a draft that was recovered.
    """

    job: Job
    saved: Job | None
    past: tuple[Job, ...] = ()
    future: tuple[Job, ...] = ()

    @classmethod
    def starting_at(cls, job: Job) -> History:
        """Return the history of a job just opened: nothing to undo, nothing unsaved."""
        return cls(job, job)

    @property
    def has_unsaved_changes(self) -> bool:
        """Whether leaving now would lose something; undoing back to what is saved makes it false."""
        return self.job != self.saved

    def then(self, job: Job) -> History:
        """Return the history one edit further; what was undone is dropped. The same job is no edit."""
        if job == self.job:
            return self
        return replace(self, job=job, past=(*self.past, self.job)[-_MOST_STEPS:], future=())

    def undo(self) -> History:
        """Return the history one edit back, itself where there is nothing to undo."""
        if not self.past:
            return self
        return replace(self, job=self.past[-1], past=self.past[:-1], future=(self.job, *self.future))

    def redo(self) -> History:
        """Return the history with the last undone edit done again, itself where there is none."""
        if not self.future:
            return self
        return replace(self, job=self.future[0], past=(*self.past, self.job), future=self.future[1:])

    def mark_saved(self) -> History:
        """Return the history with the present job as the saved one; undo still leads further back."""
        return replace(self, saved=self.job)
