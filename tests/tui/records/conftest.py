"""A bench with records behind it, on a screen that only exists in memory."""

from __future__ import annotations

from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest

from tests.tui.bench.conftest import Bench, bench_app, own_home, started
from tests.tui.screens import painted
from tests.tui.store.jobs import job_for, weighing
from tui.bench.session import Session
from tui.job.job import Job
from tui.kit.cells import text_of
from tui.records.commands import show_records
from tui.records.keymap import KEYMAP
from tui.records.screen import RecordsPane, RecordsScreen
from tui.store.address import StoreAddress
from tui.store.kept import Saved
from tui.store.opening import open_store
from tui.store.records import Records
from tui.store.store import Store

__all__ = ["own_home"]

SIZES = [(80, 24), (120, 40)]


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """Where the records of a test lie."""
    return tmp_path / "records.sqlite"


@pytest.fixture
def store(place: Path) -> Iterator[Store]:
    """The same records as another session has them."""
    opened = open_store(StoreAddress(place))
    yield opened
    opened.close()


def save(store: Store, job: Job, saved: Saved | None = None, note: str = "", by: str = "Mo") -> Saved:
    """Save a job as a new one, or on from what was saved."""
    return store.save(job, by, note=note, entry=None if saved is None else saved.entry)


@pytest.fixture
def shop(store: Store) -> Store:
    """Records of a few bikes: Ann's with three revisions, Ben's, and Cleo's with two versions."""
    ann = job_for("Ann", "Trail M").with_value(("frame", "name"), "Trail M frame")
    ann = ann.with_value(("setup", 1, "shock"), "Air can")
    first = save(store, ann, note="as it came")
    heavier = weighing(ann, "88 kg")
    second = save(store, heavier, first, note="with a pack")
    save(store, heavier.with_value(("measured", "sag"), "43 mm"), second, by="Ana")
    save(store, weighing(job_for("Ben", "Hardtail"), "70 kg"))
    cleo = save(store, job_for("Cleo", "Long one"))
    save(store, weighing(job_for("Cleo", "Long one"), "60 kg"), cleo, by="Mo")
    save(store, weighing(job_for("Cleo", "Long one"), "64 kg"), cleo, by="Ana")
    return store


class RecordsBench(Bench):
    """A bench with the records in front of it."""

    @property
    def front(self) -> RecordsScreen:
        screen = self.pilot.app.screen
        assert isinstance(screen, RecordsScreen)
        return screen

    @property
    def on_bench(self) -> bool:
        return self.pilot.app.screen is self.screen

    @property
    def seen(self) -> str:
        return painted(self.pilot)

    def part(self, name: str) -> str:
        """Return what a part of the screen shows; the lines below are `detail` and `keys`."""
        if name not in ("detail", "keys"):
            return self.front.query_one(f"#{name}", RecordsPane).text
        lines = [text_of([row]) for row in self.front.query_one("#foot", RecordsPane).rows]
        return lines[-1] if name == "keys" else "\n".join(lines[:-1])

    def lines(self) -> list[str]:
        return [line for line in self.part("list").splitlines() if line.strip()]

    async def settle(self) -> None:
        """Wait until all that was asked of the records is answered and shown."""
        for _ in range(4):
            await self.pilot.app.workers.wait_for_complete()
            await self.pilot.pause()

    async def do(self, *keys: str) -> None:
        """Press keys, and do acts of the records by their ids with a colon before them.

        Each is done once the records have answered the one before.
        """
        for key in keys:
            if key.startswith(":"):
                self.front.do(KEYMAP.named[key[1:]])
            else:
                await self.press(key)
            await self.settle()

    async def act(self, id: str) -> None:
        """Do an act of the bench by its id."""
        await super().do(id)
        await self.settle()

    async def find(self, text: str) -> None:
        await self.write(text)
        await self.settle()


@asynccontextmanager
async def records(
    place: Path, size: tuple[int, int] = (80, 24), job: Job | None = None
) -> AsyncIterator[RecordsBench]:
    """Open the records at a place from a bench."""
    async with bench_app(job, Session(records=Records(str(place)))).run_test(size=size) as pilot:
        await started(pilot)
        bench = RecordsBench(pilot)
        show_records(bench.screen)
        await bench.settle()
        yield bench
        await bench.settle()
        bench.screen.session.records.close()
