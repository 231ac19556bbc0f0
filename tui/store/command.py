"""The records looked after without the screen: checked, copied, written out, brought in, purged."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

from tui.saying import say
from tui.settings import Settings, find_settings
from tui.store import saving as removing
from tui.store.address import VARIABLE, StoreAddress, chosen_place
from tui.store.content import counted, look_through, refuse_none
from tui.store.export import export
from tui.store.importing import bring_in
from tui.store.manifest import Unimportable, off_the_bench
from tui.store.opening import open_store
from tui.store.records import Records
from tui.store.store import Store
from tui.store.trouble import StoreTrouble
from tui.subjects.asked import Unanswered


class StoreAsked(NamedTuple):
    """What is asked of the records: an act, where they are, and files or folders to write or read."""

    act: str
    place: str | None
    paths: tuple[Path, ...] = ()
    sure: bool = False


def store_text(asked: StoreAsked) -> str:
    """Do what is asked and return what came of it; raises `Unanswered`."""
    settings = _settings(asked.place)
    place = chosen_place(asked.place, os.environ, settings.store)
    try:
        return _ACTS[asked.act](asked, place, settings)
    except StoreTrouble as trouble:
        raise Unanswered((off_the_bench(trouble),)) from trouble
    except Unimportable as unimportable:
        raise Unanswered((*unimportable.lines, "nothing was brought in")) from unimportable


def _settings(asked: str | None) -> Settings:
    """Return the settings; raises `Unanswered` where they may name other records than it seems."""
    found = find_settings()
    hidden = [fault for fault in found.faults if fault.path in ((), ("bench",), ("bench", "store"))]
    if hidden and not (asked or os.environ.get(VARIABLE)):
        raise Unanswered(tuple(f"{found.path}: {fault}" for fault in hidden))
    return found.settings


@contextmanager
def _opened(place: StoreAddress) -> Iterator[Store]:
    """Give records that are there; what is damaged is left where it is."""
    refuse_none(place)
    store = open_store(place)
    try:
        yield store
    finally:
        store.close()


def _check(_asked: StoreAsked, place: StoreAddress, _settings: Settings) -> str:
    looked = look_through(place)
    if looked.content is None or looked.faults:
        raise Unanswered((*(f"{place}: {fault}" for fault in looked.faults), "nothing was changed"))
    deleted = sum(job["deleted_at"] is not None for job in looked.content["job"])
    return f"{place} is sound: {counted(looked.content)}; {deleted} of the jobs deleted.\n"


def _back_up(asked: StoreAsked, place: StoreAddress, _settings: Settings) -> str:
    with _opened(place) as store:
        copy = store.back_up(*asked.paths)
    return f"{place} is copied to {copy}\n"


def _export(asked: StoreAsked, place: StoreAddress, _settings: Settings) -> str:
    [folder] = asked.paths
    with _opened(place) as store:
        content = export(store, folder)
    return f"{place} is written to {folder}: {counted(content)}.\n"


def _bring_in(asked: StoreAsked, place: StoreAddress, settings: Settings) -> str:
    store = open_store(place)
    if store.told:  # at once: what was moved aside must be known whatever becomes of the import
        say(f"springwright store: {store.told}")
    try:
        merged = bring_in(store, asked.paths, Records(settings=settings).mechanic)
    finally:
        store.close()
    lines = (f"Came in: {counted(merged.new)}.", f"Here already: {counted(merged.known)}.")
    return "\n".join((*lines, *merged.told)) + "\n"


def _purge(asked: StoreAsked, place: StoreAddress, _settings: Settings) -> str:
    with _opened(place) as store:
        with store.reading() as connection:
            deleted = removing.count_deleted(connection)
        if deleted and not asked.sure:
            accepted = "springwright store purge --yes does it"
            raise Unanswered((f"{place}: {_jobs(deleted)} would be erased for good; {accepted}",))
        erased = store.purge() if deleted else 0
    return f"{place}: {_jobs(erased)} erased for good.\n"


def _jobs(count: int) -> str:
    return f"{count} deleted job{'' if count == 1 else 's'}"


_ACTS: dict[str, Callable[[StoreAsked, StoreAddress, Settings], str]] = {
    "check": _check,
    "backup": _back_up,
    "export": _export,
    "import": _bring_in,
    "purge": _purge,
}
