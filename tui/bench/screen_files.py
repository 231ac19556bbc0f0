"""The file and the draft of one session at the bench."""

from __future__ import annotations

from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from tui.jobs.history import History
from tui.jobs.job import Job

if TYPE_CHECKING:
    from tui.jobs.draft import Draft
    from tui.jobs.files import OpenedFile


class Desk:
    """Where the job on the bench came from, and the draft that outlives a dropped line."""

    def __init__(self, file: OpenedFile | None = None) -> None:
        """Start with the file that was opened, if any."""
        self.file = file
        self._path: Path | None = None
        self._kept: Job | None = None

    @cached_property
    def _draft(self) -> Draft:
        from tui.jobs.draft import Draft  # the first frame need not wait for it

        return Draft()

    @property
    def path(self) -> Path | None:
        """The file that saving writes to, None before there is one."""
        return self.file.path if self.file else self._path

    def keep(self, history: History) -> None:
        """Keep a draft of a job that is not saved; one that is saved needs none."""
        if history.job is self._kept:
            return
        self._kept = history.job
        if history.has_unsaved_changes:
            self._draft.keep(history.job, self.path)
        else:
            self._draft.discard()

    def save(self, job: Job, path: Path, *, overwrite: bool = False) -> None:
        """Write the job; raises `ChangedMeanwhile` and `FileTrouble` as `files.save` does."""
        from tui.jobs.files import save

        self.file = save(job, path, self.file, overwrite=overwrite)
        self.leave()

    def opened(self, file: OpenedFile | None) -> None:
        """Go on with another file; the draft of the last job goes."""
        self.file, self._path = file, None
        self.leave()

    def recovered(self, path: Path | None) -> None:
        """Go on with a draft that was meant for `path`; what that file holds now is not known."""
        self.file, self._path, self._kept = None, path, None

    def leave_behind(self) -> None:
        """End without the owner's word: the draft, if there is one, waits for a later session."""
        self._draft.leave_behind()

    def leave(self) -> None:
        """Let the draft go: its job is saved, or not wanted."""
        self._kept = None
        self._draft.discard()
