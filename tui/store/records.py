"""The records of one session: opened in a thread when they are first needed, and the saves that wait."""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from threading import Lock
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tui.job.job import Job
    from tui.store.address import StoreAddress
    from tui.store.kept import KeptLog, RecordLink, Saved
    from tui.store.store import Store


@dataclass(eq=False, repr=False)
class Records:
    """Access to the records. The database library loads with the first use, long after the first frame.

    `store` is None until they are open. While a job is being saved this is `busy`; `saves` were asked for
    meanwhile, and `after` closes the job once all of them are done.
    """

    asked: str | None = None
    """The address on the command line."""
    configured: str = ""
    """The address in the settings, for where none is asked for."""
    mechanic: str = ""
    """Who saves, by default the user who is logged in."""
    store: Store | None = field(default=None, init=False)
    busy: bool = field(default=False, init=False)
    saves: deque[Callable[[], None]] = field(default_factory=deque, init=False)
    after: Callable[[], None] | None = field(default=None, init=False)
    _opening: Lock = field(default_factory=Lock, init=False)
    _closed: bool = field(default=False, init=False)
    """Whether the session has ended: records that a thread is still opening are then closed once open."""

    @property
    def place(self) -> StoreAddress:
        """The address of the records, which may not exist yet."""
        from tui.store.address import chosen_place

        return chosen_place(self.asked, os.environ, self.configured)

    @property
    def is_new(self) -> bool:
        """Whether there is no file of records yet; a server is not asked."""
        file = self.place.file
        try:
            return file is not None and not file.exists()
        except OSError:  # told when it is opened
            return False

    def open(self) -> Store:
        """Return the open records, waiting for them; raises `StoreTrouble`. For any thread."""
        from tui.store.opening import open_store
        from tui.store.trouble import StoreTrouble

        with self._opening:
            if self.store is None and not self._closed:
                self.store = open_store(self.place)
            store = self.store
            if self._closed or store is None:
                self.store = None
                if store is not None:
                    store.close()
                raise StoreTrouble("the session has ended", "start it again")
            return store

    def save(
        self,
        job: Job,
        note: str,
        entry: RecordLink | None,
        before: str | None,
        logs: Sequence[KeptLog] = (),
    ) -> Saved:
        """Save a job, opening the records if need be; raises `StoreTrouble`. For a thread of its own."""
        by = self.mechanic or login_name()
        return self.open().save(job, by, note=note, entry=entry, before=before, logs=logs)

    def free(self) -> None:
        """Start what waited for the save that is now finished."""
        self.busy = False
        while self.saves and not self.busy:
            self.saves.popleft()()
        if not self.busy:
            after, self.after = self.after, None
            if after is not None:
                after()

    def close(self) -> None:
        """Close the records at the end of the session."""
        self._closed = True
        store, self.store = self.store, None
        if store is not None:
            store.close()


def login_name() -> str:
    """Return the name of the user who is logged in."""
    import getpass

    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):  # a user without a name
        return "unknown"
