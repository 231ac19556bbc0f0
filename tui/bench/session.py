"""Where the job on the bench lives: its file, its draft and its place in the records."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

from tui.job.job import History, Job
from tui.store.records import Records

if TYPE_CHECKING:
    from tui.job.drafts import DraftThread, Entry
    from tui.job.files import OpenedFile
    from tui.store.kept import RecordLink as PlaceInRecords
    from tui.tables.recorded import LogFile


_LATE = 1.0
"""Time after which a missing draft is reported [s]."""
_PARTING = 0.3
"""Longest time to wait for a disk or server when the program ends [s]."""


class Session:
    """Origin of the job on the bench, and its draft, which survives a dropped connection.

    `file` is the job file and `entry` the place in the records, each None if there is none; `recorded` is the
    job as saved there and `recorded_logs` its logged rides. `opening` is a new object for every job put on
    the bench. `trouble` says why there is no draft, empty if there is one or none is needed. `claimed` holds
    locks of this session: that of an older draft being offered.
    """

    def __init__(
        self, file: OpenedFile | None = None, entry: Entry | None = None, records: Records | None = None
    ) -> None:
        """Start with the file or the entry that was opened, if any; `records` gives access to the records."""
        self.file = file
        self.entry = entry
        self.records = records or Records()
        self.recorded: Job | None = None
        self.recorded_logs: tuple[LogFile, ...] = ()
        self.opening = object()
        self._text: str | None = None
        self.trouble = ""
        self._path: Path | None = None
        self._own_draft: DraftThread | None = None
        self._kept: Job | None = None
        self._asked: Job | None = None
        self._elsewhere: Path | None = None
        self.claimed = ExitStack()
        self.writes = False
        """Whether a write to the job's file is in progress."""

    @property
    def _draft(self) -> DraftThread:
        from tui.job.drafts import DraftThread  # the first frame need not wait for it

        self._own_draft = self._own_draft or DraftThread()
        return self._own_draft

    @property
    def waits_for_draft(self) -> bool:
        """Whether a requested draft is not written yet."""
        return self._own_draft is not None and self._own_draft.waiting is not None

    def has_draft(self, job: Job) -> bool:
        """Return whether the draft contains a job."""
        return job is self._kept

    @property
    def path(self) -> Path | None:
        """The file that saving writes to, None before there is one."""
        return self.file.path if self.file else self._path

    @property
    def folder(self) -> Path:
        """The folder of that file, else the one the program was started in."""
        if self.path:
            return self.path.parent
        try:
            return Path.cwd()
        except FileNotFoundError:  # it was deleted
            from tui.kit.prompts import as_path

            return as_path("~")

    @property
    def text(self) -> str | None:
        """The text the job was opened from, whose comments stay when it is saved."""
        return self._text or (self.file.text if self.file else None)

    @property
    def place_in_records(self) -> PlaceInRecords | None:
        """The place in the records to save to, None if the job is not there yet."""
        from tui.store.kept import RecordLink as PlaceInRecords

        return PlaceInRecords.of_note(self.entry)

    def lives_in_records(
        self, place: PlaceInRecords, job: Job, text: str, logs: tuple[LogFile, ...] = ()
    ) -> None:
        """Continue at a place in the records that has `job`, as `text`, and its logged rides."""
        self.recorded_logs = logs
        self.entry, self.recorded, self._text = place.as_note(), job, text
        # A draft is no longer needed, or belongs to this place from now on.
        self._kept = self._asked = None

    def keep(self, history: History) -> str:
        """Write a draft if the job has unsaved changes, else remove it; return a message, if any.

        A failed draft is tried again each time. This does not wait for the disk: `look` reports the result.
        """
        if history.job is self._kept:
            return ""
        if not history.has_unsaved_changes:
            self.leave()
            self._kept = history.job
            return ""
        if history.job is not self._asked or not self.waits_for_draft:
            self._asked = history.job
            self._draft.keep(history.job, self.path, self.entry)
        return self.look()

    def look(self) -> str:
        """Check the result of the last draft; return a message, if any."""
        if self._asked is None:
            return ""
        waiting, kept = self._draft.waiting, self._draft.kept
        if waiting is not None or kept is None:
            if waiting is not None and waiting > _LATE:
                self.trouble = "the disk does not answer"
            return ""
        self._kept, self._asked = (None if kept.folder is None else self._asked), None
        self.trouble = kept.why if kept.folder is None else ""
        before, self._elsewhere = self._elsewhere, kept.folder if kept.why else None
        if self._elsewhere in (None, before):
            return ""
        return f"{kept.why[:1].upper()}{kept.why[1:]}: drafts go to {self._elsewhere} for now."

    def save(self, job: Job, path: Path, *, overwrite: bool = False) -> OpenedFile:
        """Write the job; raises `ChangedMeanwhile` and `FileTrouble` as `files.save` does. Thread-safe."""
        from tui.job.files import save

        return save(job, path, self.file, overwrite=overwrite)

    def saved(self, file: OpenedFile) -> None:
        """Continue with the file that was written."""
        self.file = file
        self.leave()

    def opened(self, file: OpenedFile | None, entry: Entry | None = None) -> None:
        """Continue with another file or entry; the draft of the last job is removed."""
        self.file, self.entry, self._path = file, entry, None
        self.recorded = self._text = None
        self.recorded_logs = ()
        self.opening = object()
        self.leave()

    def recovered(self, path: Path | None, entry: Entry | None = None) -> None:
        """Continue with a recovered draft of `path` or `entry`, whose present content is unknown.

        The job that was on the bench stays in a draft of its own for a later session.
        """
        self._let_go()
        self._own_draft = None
        self.file, self.entry, self._path, self._kept, self._asked = None, entry, path, None, None
        self.recorded = self._text = None
        self.recorded_logs = ()
        self.opening = object()

    def leave_behind(self) -> None:
        """End without asking: the draft, if any, is kept for a later session.

        Neither a disk nor a server delays the end.
        """
        from tui.job.drafts import done_within

        self._let_go()
        if self._own_draft is not None:
            self._own_draft.wait(_PARTING)
        done_within(_PARTING, self._close)

    def _let_go(self) -> None:
        if self._own_draft is not None:
            self._own_draft.leave_behind()

    def _close(self) -> None:
        self.claimed.close()
        self.records.close()

    def leave(self) -> None:
        """Remove the draft: its job is saved or discarded."""
        self._kept, self._asked, self.trouble = None, None, ""
        if self._own_draft is not None:
            self._own_draft.discard()
