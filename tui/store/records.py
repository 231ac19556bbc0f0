"""The records of one session: where they are, who saves, opened when they are first needed."""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable
from threading import Lock
from typing import TYPE_CHECKING

from tui.settings import Settings

if TYPE_CHECKING:
    from tui.job.job import Job
    from tui.store.address import StoreAddress
    from tui.store.kept import RecordLink, Saved
    from tui.store.store import Store


class Records:
    """The way to the records. The database loads with the first use, long after the first frame.

    `store` is None until they are open. While a job is being saved it is `busy`; `saves` were asked
    for meanwhile, and `after` is what takes the job off the bench, once all of them are done.
    """

    def __init__(self, asked: str | None = None, settings: Settings | None = None) -> None:
        """Know where to look: a place `asked` for on the command line goes before the settings."""
        self._asked = asked
        self._settings = settings or Settings()
        self._opening = Lock()
        self.store: Store | None = None
        self.busy = False
        self.saves: deque[Callable[[], None]] = deque()
        self.after: Callable[[], None] | None = None

    @property
    def mechanic(self) -> str:
        """Who saves: the name in the settings, else the one at the login."""
        return self._settings.mechanic or _login()

    @property
    def place(self) -> StoreAddress:
        """Where the records are, or will be."""
        from tui.store.address import chosen_place

        return chosen_place(self._asked, os.environ, self._settings.store)

    @property
    def is_new(self) -> bool:
        """Whether there is no file of records yet; of a server nobody asks that."""
        file = self.place.file
        return file is not None and not file.exists()

    def open(self) -> Store:
        """Return the open records, waiting for them; raises `StoreTrouble`. For any thread."""
        from tui.store.opening import open_store

        with self._opening:
            if self.store is None:
                self.store = open_store(self.place)
            return self.store

    def save(self, job: Job, note: str, entry: RecordLink | None, before: str | None) -> Saved:
        """Save a job, opening the records if need be; raises `StoreTrouble`. For a thread of its own."""
        return self.open().save(job, self.mechanic, note=note, entry=entry, before=before)

    def free(self) -> None:
        """Go on with what had to wait for a save that is done."""
        self.busy = False
        while self.saves and not self.busy:
            self.saves.popleft()()
        if not self.busy:
            after, self.after = self.after, None
            if after is not None:
                after()

    def close(self) -> None:
        """Let go of the records."""
        store, self.store = self.store, None
        if store is not None:
            store.close()


def _login() -> str:
    import getpass

    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):  # a user without a name
        return "unknown"
