"""`springwright store`: check, back up, export, import and purge the records without the screen."""

from __future__ import annotations

import os
from contextlib import closing
from pathlib import Path

from physics.frozen import NamedTuple
from tui.saying import path_text, say
from tui.store.address import VARIABLE, StoreAddress, chosen_place
from tui.store.content import counts_text, inspect_records, require_records
from tui.store.export import export
from tui.store.importing import import_paths
from tui.store.opening import open_store
from tui.store.records import login_name
from tui.store.saving import count_deleted
from tui.store.trouble import StoreTrouble, Unimportable, line_for_command
from tui.subjects.asked import Unanswered


class StoreAsked(NamedTuple):
    """What is asked of the records: an act, their address, and files or folders to write or read.

    `configured` and `mechanic` are from the settings; `faults` are lines about faults there, because of which
    `configured` may be another address than the one typed.
    """

    act: str
    place: str | None
    paths: tuple[Path, ...] = ()
    sure: bool = False
    configured: str = ""
    mechanic: str = ""
    faults: tuple[str, ...] = ()


def store_text(asked: StoreAsked) -> str:
    """Do what is asked and return the result as text; raises `Unanswered`."""
    if asked.faults and not (asked.place or os.environ.get(VARIABLE)):
        raise Unanswered(asked.faults)
    place = chosen_place(asked.place, os.environ, asked.configured)
    try:
        return _checked(place) if asked.act == "check" else _done(asked, place)
    except StoreTrouble as trouble:
        raise Unanswered((line_for_command(trouble),)) from trouble
    except Unimportable as unimportable:
        raise Unanswered((*unimportable.lines, "nothing was imported")) from unimportable


def _checked(place: StoreAddress) -> str:
    found = inspect_records(place)
    if found.content is None or found.faults or found.told:
        lines = (*found.faults, *found.told)
        raise Unanswered((*(f"{place}: {line}" for line in lines), "nothing was changed"))
    deleted = sum(job["deleted_at"] is not None for job in found.content["job"])
    return f"{place} OK: {counts_text(found.content)}; {deleted} jobs deleted.\n"


def _done(asked: StoreAsked, place: StoreAddress) -> str:
    if asked.act != "import":  # which alone makes new records, and quarantines a damaged file
        require_records(place)
    with closing(open_store(place)) as store:
        match asked.act:
            case "backup":
                return f"{place} backed up to {path_text(store.back_up(*asked.paths))}\n"
            case "export":
                [folder] = asked.paths
                counts = counts_text(export(store, folder))
                return f"{place} exported to {path_text(folder)}: {counts}.\n"
            case "import":
                if store.told:  # at once: a quarantine must be known whatever becomes of the import
                    say(f"springwright store: {store.told}")
                merged = import_paths(store, asked.paths, asked.mechanic or login_name())
                lines = (
                    f"Imported: {counts_text(merged.new)}.",
                    f"Already present: {counts_text(merged.known)}.",
                )
                return "\n".join((*lines, *merged.told)) + "\n"
            case "purge":
                with store.reading() as connection:
                    deleted = count_deleted(connection)
                if deleted and not asked.sure:
                    accepted = "use springwright store purge --yes to erase"
                    raise Unanswered((f"{place}: {_jobs(deleted)} would be erased; {accepted}",))
                return f"{place}: {_jobs(store.purge() if deleted else 0)} erased.\n"
    raise ValueError(asked.act)


def _jobs(count: int) -> str:
    return f"{count} deleted job{'' if count == 1 else 's'}"
