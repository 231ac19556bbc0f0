"""Drafts that dead sessions left: found in every place, claimed by one session, then forgotten."""

from __future__ import annotations

import json
from collections.abc import Sequence
from contextlib import ExitStack, suppress
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from typing import NamedTuple

from tui.jobs.draft import Entry
from tui.jobs.draft_places import Place, draft_places, free_lock, lock_of
from tui.jobs.job import Job
from tui.jobs.old_keys import renewed
from tui.jobs.tree import Table

DAMAGED = ".damaged"
"""Ending of a draft that cannot be read: it is moved aside under it."""


@dataclass(frozen=True, slots=True)
class Abandoned:
    """A draft of a dead session: its job, the file and the entry it came from if any, and when it was kept.

    `kept_at` is in seconds since the epoch; `paths` are the draft itself and older copies of it.
    """

    job: Job
    file: Path | None
    entry: Entry | None
    kept_at: float
    paths: tuple[Path, ...]


class Found(NamedTuple):
    """Drafts of dead sessions, the newest first, and the files that should be drafts and cannot be read."""

    drafts: tuple[Abandoned, ...]
    damaged: tuple[Path, ...]


def abandoned_drafts(places: Sequence[Place] | None = None) -> Found:
    """Find what dead sessions left; what is damaged is moved aside, under the path that is returned."""
    drafts: dict[str, list[Abandoned]] = {}
    damaged: list[Path] = []
    for path in _free_paths(places or draft_places()):
        try:
            draft = _read(path)
        except FileNotFoundError:  # another session has it by now
            continue
        except (OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError):
            damaged.append(_moved_aside(path))
        else:
            drafts.setdefault(path.name, []).append(draft)
    newest = sorted(map(_newest, drafts.values()), key=lambda draft: draft.kept_at, reverse=True)
    return Found(tuple(newest), tuple(damaged))


def _free_paths(places: Sequence[Place]) -> list[Path]:
    found: list[Path] = []
    for place in places:
        with suppress(OSError):
            if place.is_ours():
                found += filter(_is_free, sorted(place.folder.glob("*.json")))
    return found


def _is_free(path: Path) -> bool:
    try:
        lock = free_lock(lock_of(path))
    except FileNotFoundError:
        return True
    if lock is not None:
        lock.close()
    return lock is not None


def _read(path: Path) -> Abandoned:
    kept = json.loads(path.read_text("utf-8"))
    file = None if kept["file"] is None else Path(kept["file"])
    # Drafts of earlier versions know neither entry nor time.
    kept_at = float(kept.get("kept_at") or path.stat().st_mtime)
    return Abandoned(Job(renewed(Table(kept["job"]))), file, _entry(kept.get("entry")), kept_at, (path,))


def _entry(raw: object) -> Entry | None:
    """Return an entry as it was kept; anything else is none, and costs nobody the job beside it."""
    if not isinstance(raw, dict) or not all(isinstance(part, str | int) for part in raw.values()):
        return None
    return raw


def _newest(copies: Sequence[Abandoned]) -> Abandoned:
    """Return the newest copy of a draft that was kept in one place after the other."""
    newest = max(copies, key=lambda draft: draft.kept_at)
    paths = tuple(path for draft in copies for path in draft.paths)
    return Abandoned(newest.job, newest.file, newest.entry, newest.kept_at, paths)


def _moved_aside(path: Path) -> Path:
    """Return the path of a damaged draft once it is moved aside, its own where it cannot be moved."""
    names = (path.with_name(f"{path.stem}{number or ''}{DAMAGED}") for number in count())
    aside = next(name for name in names if not name.exists())
    with suppress(OSError):
        path.rename(aside)
        lock_of(path).unlink(missing_ok=True)
    return aside if aside.exists() else path


def claim(draft: Abandoned) -> ExitStack | None:
    """Return the hold on a draft, to be closed at last; None where another session has it now."""
    with ExitStack() as held:
        for path in draft.paths:
            with suppress(FileNotFoundError):
                lock = free_lock(lock_of(path))
                if lock is None:
                    return None
                held.enter_context(lock)
                if not path.exists():
                    return None
        return held.pop_all()


def forget(draft: Abandoned) -> None:
    """Remove a draft of a dead session, once its job is kept elsewhere or not wanted."""
    for path in draft.paths:
        with suppress(OSError):
            half_written = list(path.parent.glob(f".{path.name}.*"))
            for one in (path, lock_of(path), *half_written):
                one.unlink(missing_ok=True)
