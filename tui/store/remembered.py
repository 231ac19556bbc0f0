"""State of the bench for the next start: a small file in the platform's state folder.

It holds the jobs that were open last, the step, the theme, units, chart style, mouse and zoom. None of it is
anybody's work: what cannot be read is reported once and ignored, what cannot be written is reported and has
no other effect. settings.toml takes precedence over it.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from physics.frozen import NamedTuple
from tui.job.faults import reason_of
from tui.job.tree import clean
from tui.saying import printable

FILE = "remembered.json"
MOST_RECENT = 12
"""Jobs that are remembered."""
_LARGEST = 100_000
"""Largest file taken [bytes]."""
_LONGEST = 200
"""Longest text taken that is no path."""
_MOST_WORDS = 40
"""Largest number of remembered choices of an event."""
_LATEST = 1e12
"""Latest time taken [s since the epoch]."""
_TRIES, _AGAIN = 50, 0.01
"""How often another session is waited for, and how long each time [s]."""


class JobPlace(NamedTuple):
    """A job that was open: its file, an absolute path, or its place in the records.

    `store` names the records, `job` is its uid there. `title` is what it was called, `at` when it was open
    last, in seconds since the epoch.
    """

    file: str = ""
    store: str = ""
    job: str = ""
    title: str = ""
    at: float = 0.0

    @property
    def where(self) -> tuple[str, str, str]:
        """The key that identifies the place."""
        return self.file, self.store, self.job


class Remembered(NamedTuple):
    """The remembered state of the bench; `recent` has the newest job first. Empty at the first start.

    `event` says what was chosen last in the view of events, each by its name: event, sizes, what is shown.
    """

    recent: tuple[JobPlace, ...] = ()
    step: str = ""
    theme: str = ""
    units: str = ""
    chart: str = ""
    mouse: bool = True
    zoom: str = ""
    event: tuple[tuple[str, str], ...] = ()

    @property
    def last(self) -> JobPlace | None:
        """The job that was open last, None at the first start."""
        return self.recent[0] if self.recent else None


class Found(NamedTuple):
    """The remembered state, and a sentence on what of it was unusable, empty if nothing was."""

    remembered: Remembered
    told: str = ""


def state_file() -> Path:
    """Return the path of the file."""
    from platformdirs import user_state_path

    return user_state_path("springwright") / FILE


def file_place(file: Path, title: str, at: float) -> JobPlace:
    """Return the place of a job file that is open at a time [s since the epoch]."""
    return JobPlace(file=str(file.absolute()), title=title, at=at)


def record_place(store: str, job: str, title: str, at: float) -> JobPlace:
    """Return the place of a job in the records that is open at a time [s since the epoch]."""
    return JobPlace(store=store, job=job, title=title, at=at)


def opened(remembered: Remembered, place: JobPlace) -> Remembered:
    """Return what is remembered with a job as the one open last, even if the clock was set back meanwhile."""
    at = max(place.at, remembered.recent[0].at if remembered.recent else 0.0)
    return remembered._replace(recent=_newest((place._replace(at=at), *remembered.recent)))


def _is_there(file: Path) -> bool:
    try:
        return file.is_file()
    except OSError:  # nobody may look: opening it says why
        return True


def still_there(
    places: tuple[JobPlace, ...], exists: Callable[[Path], bool] = _is_there
) -> tuple[JobPlace, ...]:
    """Return the places to show: files that still exist, and all jobs in the records, unchecked."""
    return tuple(place for place in places if not place.file or exists(Path(place.file)))


def read(path: Path | None = None) -> Found:
    """Read the remembered state; damaged or foreign values are ignored, each field on its own."""
    content, why = _content(path or state_file())
    if why:
        return Found(Remembered(), f"The last jobs and choices are not remembered: {printable(why)}.")
    fields: dict[str, Any] = {}
    wrong: list[str] = []
    for name, usual in Remembered._field_defaults.items():
        if name not in content:
            continue
        value, sound = _recent(content[name]) if name == "recent" else _field(content[name], usual)
        fields[name] = value
        if not sound:
            wrong.append(name)
    told = f"Not everything is remembered: {', '.join(wrong)} could not be used." if wrong else ""
    return Found(Remembered(**fields), told)


def written(now: Remembered, before: Remembered, path: Path | None = None) -> str:
    """Write what is remembered now; return a sentence on why it could not be written, empty if it was.

    `before` is what this session read or wrote last: what another session changed meanwhile stays, unless
    this one changed it too. Whoever reads the file meanwhile sees the old one or the new one.
    """
    from tui.job.files import replace_file  # writing comes after the first frame, reading before it
    from tui.store.address import make_file

    target = path or state_file()
    try:
        target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        with _alone(target):
            content = _content(target)[0]
            kept = merged(read(target).remembered, before, now)
            make_file(target)  # names of customers are nobody else's business
            replace_file(target, _text({**content, **_plain(kept)}))
    except (OSError, ValueError) as trouble:
        reason = reason_of(trouble)
        why = reason[:1].lower() + reason[1:]
        return f"This job and these choices will not be remembered: {printable(why)}. Nothing else is lost."
    return ""


def merged(there: Remembered, before: Remembered, now: Remembered) -> Remembered:
    """Return the state now `there` with the changes of a session from `before` to `now` applied."""
    own = {
        name: getattr(now, name)
        for name in Remembered._fields
        if name != "recent" and getattr(now, name) != getattr(before, name)
    }
    dropped = {place.where for place in before.recent} - {place.where for place in now.recent}
    others = (place for place in there.recent if place.where not in dropped)
    return there._replace(recent=_newest((*now.recent, *others)), **own)


def _newest(places: tuple[JobPlace, ...]) -> tuple[JobPlace, ...]:
    """Return each place once, as it was open last, the newest first."""
    kept: dict[tuple[str, str, str], JobPlace] = {}
    for place in sorted(places, key=lambda place: -place.at):
        kept.setdefault(place.where, place)
    return tuple(kept.values())[:MOST_RECENT]


# --- the file --------------------------------------------------------------------------------


@contextmanager
def _alone(target: Path) -> Iterator[None]:
    """Keep other sessions from writing, if the disk has locks and theirs is released soon."""
    from tui.job.drafts import held

    lock = None
    for _ in range(_TRIES):
        try:
            lock = held(target.with_suffix(".lock").open("wb"))
        except BlockingIOError:
            time.sleep(_AGAIN)
        except OSError:
            break
        else:
            break
    try:
        yield
    finally:
        if lock is not None:
            lock.close()


def _content(path: Path) -> tuple[Mapping[str, Any], str]:
    """Return the table in the file, and why it cannot be read; no file is an empty table."""
    try:
        if not path.exists():
            return {}, ""
        if not path.is_file():
            return {}, f"{path} is not a file"
        with path.open("rb") as source:
            data = source.read(_LARGEST + 1)
        if len(data) > _LARGEST:
            return {}, f"{path} is larger than {_LARGEST // 1000} kB"
        import json  # at the first start there is nothing to read

        content = json.loads(data.decode("utf-8")) if data else {}
    except OSError as trouble:
        return {}, f"{path}: {reason_of(trouble)}"
    except (ValueError, RecursionError):
        return {}, f"{path} is damaged"
    return (content, "") if isinstance(content, dict) else ({}, f"{path} is damaged")


def _field(raw: object, usual: object) -> tuple[object, bool]:
    """Return a value as it can be used, and whether it was sound."""
    if isinstance(usual, bool):
        return (raw, True) if isinstance(raw, bool) else (usual, False)
    return _words(raw) if isinstance(usual, tuple) else _word(raw)


def _words(raw: object) -> tuple[tuple[tuple[str, str], ...], bool]:
    if not isinstance(raw, dict) or len(raw) > _MOST_WORDS:
        return (), False
    pairs = [(_word(key), _word(text)) for key, text in raw.items()]
    kept = tuple((key, text) for (key, _), (text, sound) in pairs if sound)
    return kept, len(kept) == len(pairs)


def _word(raw: object) -> tuple[str, bool]:
    if not isinstance(raw, str) or len(raw) > _LONGEST:
        return "", False
    return clean(raw), True


def _recent(raw: object) -> tuple[tuple[JobPlace, ...], bool]:
    if not isinstance(raw, list):
        return (), False
    places = [_place(one) for one in raw]
    sound = tuple(place for place in places if place is not None)
    return _newest(sound), len(sound) == len(places)


def _place(raw: object) -> JobPlace | None:
    """Return a place, None if it is none."""
    if not isinstance(raw, dict):
        return None
    file, at = raw.get("file", ""), raw.get("at", 0.0)
    store, job, title = (_word(raw.get(key, "")) for key in ("store", "job", "title"))
    in_records = bool(store[0] and job[0])
    if not (_is_path(file) if file else in_records) or not all(sound for _, sound in (store, job, title)):
        return None
    if not isinstance(at, int | float) or isinstance(at, bool) or not 0 <= at < _LATEST:
        return None
    if file:
        return JobPlace(file=file, title=title[0], at=float(at))
    return JobPlace("", store[0], job[0], title[0], float(at))


def _is_path(raw: object) -> bool:
    if not isinstance(raw, str) or "\0" in raw:
        return False
    try:
        os.fsencode(raw)
    except UnicodeEncodeError:
        return False
    return Path(raw).is_absolute()


def _plain(remembered: Remembered) -> dict[str, Any]:
    recent = [{key: part for key, part in place._asdict().items() if part} for place in remembered.recent]
    return {**remembered._asdict(), "recent": recent, "event": dict(remembered.event)}


def _text(content: Mapping[str, Any]) -> bytes:
    import json

    return (json.dumps(content, indent=1) + "\n").encode("ascii")
