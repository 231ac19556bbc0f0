"""A person's settings: settings.toml in the platform's configuration folder; all faults are reported at once.

```toml
[shop]
name = "..."          # on the setup sheet
[bench]
mechanic = "..."      # on the setup sheet and beside what is saved
units = "usual"       # or "metric", "imperial"
store = "..."         # where the records are kept: a path or postgresql://...
[keys]
zoom = "f4"           # an act by its name in `springwright keys`, and the keys it has instead of its own
```
"""

from __future__ import annotations

import os
import shlex
from collections.abc import Iterator, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any

from physics.frozen import NamedTuple
from tui.job.faults import UNKNOWN_KEY, JobFault, key_to_use
from tui.job.tree import clean
from tui.kit.work import Latest
from tui.saying import path_text
from tui.shop_units import ALL, USUAL, ShopUnits

FILE = "settings.toml"

_KEYS = {"shop": ("name",), "bench": ("mechanic", "units", "store")}
_OWN_KEYS = "keys"
_UNITS = {units.name: units for units in ALL}
_ACCEPTED = {
    "units": f"use one of {', '.join(_UNITS)}",
    "store": "use a path from / or ~, or postgresql://...",
}
_LARGEST = 100_000
"""Largest file accepted [bytes]."""


class Settings(NamedTuple):
    """What a person has set; an empty `store` means the one in the platform's data folder.

    An empty `shop` means no name; the sheet does not invent one. `keys` are the person's keys for actions, by
    name, as in the file; the bench checks them.
    """

    shop: str = ""
    mechanic: str = ""
    units: ShopUnits = USUAL
    store: str = ""
    keys: Mapping[str, object] = MappingProxyType({})


class FoundSettings(NamedTuple):
    """The valid settings, all faults, and the file.

    `typed` are the keys with a valid value in the file; others have defaults. `told` is a warning: the file
    has a password and others can read it.
    """

    settings: Settings
    faults: tuple[JobFault, ...] = ()
    path: Path = Path(FILE)
    typed: frozenset[str] = frozenset()
    told: str = ""

    def units(self, remembered: str) -> ShopUnits:
        """Return the initial units: those in the file, else the `remembered` ones, else the usual ones."""
        return self.settings.units if "units" in self.typed else _UNITS.get(remembered, self.settings.units)

    @property
    def lines(self) -> tuple[str, ...]:
        """All faults as lines that start with the name of the file."""
        return (*(f"{FILE}: {fault}" for fault in self.faults), *filter(None, (self.told,)))

    @property
    def store_lines(self) -> tuple[str, ...]:
        """Faults that may hide the value of `store`, as lines with the path of the file."""
        hiding = ((), ("bench",), ("bench", "store"))
        return tuple(f"{self.path}: {fault}" for fault in self.faults if fault.path in hiding)


def config_folder() -> Path:
    """Return the platform's configuration folder."""
    from platformdirs import user_config_dir  # help and version never look there

    return Path(user_config_dir("springwright"))


def paths_text(asked_store: str | None) -> str:
    """Return where everything is kept, one line each; `asked_store` is the address on the command line."""
    from tui.job.drafts import draft_places
    from tui.store.address import chosen_place
    from tui.store.remembered import state_file

    found = find_settings()
    records = chosen_place(asked_store, os.environ, found.settings.store)
    drafts = [place.folder for place in draft_places()]
    lines: list[tuple[str, os.PathLike[str] | str]] = [
        ("settings", config_folder() / FILE),
        ("own themes", config_folder() / "themes"),
        ("records", str(records)),
        ("backups", records.backups),
        *zip(("drafts", "drafts, if that fails"), drafts, strict=False),
        ("remembered", state_file()),
    ]
    return "".join(f"{what:<22} {path_text(path)}\n" for what, path in lines)


def find_settings(path: Path | None = None) -> FoundSettings:
    """Read the settings; a missing file and invalid values give defaults."""
    from tui.job.files import NO_FILE, is_file_or_new  # with the table of fields, which no help waits for

    path = path or config_folder() / FILE
    try:
        if not is_file_or_new(path):
            return _unusable(path, f"cannot be read: {NO_FILE}")
        with path.open("rb") as source:
            data = source.read(_LARGEST + 1)
    except FileNotFoundError:
        return FoundSettings(Settings())
    except OSError as trouble:
        return _unusable(path, f"cannot be read: {trouble.strerror}")
    if len(data) > _LARGEST:
        return _unusable(path, f"larger than {_LARGEST // 1000} kB")
    from tui.store.address import holds_password, is_readable_by_others  # no first frame waits for it

    found = _parsed(path, data)
    if holds_password(found.settings.store) and is_readable_by_others(path):
        who = "others can read the password in it"
        return found._replace(told=f"{FILE}: {who}; chmod 600 {shlex.quote(path_text(path))} mends that")
    return found


CURRENT: Latest[FoundSettings] = Latest(lambda: find_settings())
"""The present settings, for views and for the start, which must not wait for a hanging disk."""


def _parsed(path: Path, data: bytes) -> FoundSettings:
    import tomllib

    try:
        content = tomllib.loads(data.decode("utf-8-sig"))
    except UnicodeDecodeError:
        return _unusable(path, "not text in UTF-8")
    except (ValueError, RecursionError) as error:
        return _unusable(path, f"not TOML: {error}")
    faults, values = list(_unknown(content)), {"units": USUAL.name}
    typed: set[str] = set()
    for name, keys in _KEYS.items():
        table = content.get(name, {})
        if not isinstance(table, dict):
            accepted = f"use a table [{name}] with {', '.join(keys)}"
            faults.append(JobFault((name,), "not a table", accepted))
            continue
        for key in (key for key in keys if key in table):
            given = table[key]
            if (value := _value(key, given)) is not None:
                values[key] = value
                typed.add(key)
                continue
            what = f'"{path_text(given[:40])}" cannot be used' if isinstance(given, str) else "not text"
            accepted = _ACCEPTED.get(key, "use text that is not empty")
            faults.append(JobFault((name, key), what, accepted))
    units = _UNITS[values["units"]]
    own = content.get(_OWN_KEYS, {})
    if not isinstance(own, dict):
        own = {}
        faults.append(JobFault((_OWN_KEYS,), "not a table", f"use a table [{_OWN_KEYS}] of acts"))
    shop, mechanic, store = (values.get(key, "") for key in ("name", "mechanic", "store"))
    settings = Settings(shop, mechanic, units, store, MappingProxyType(own))
    return FoundSettings(settings, tuple(faults), path, frozenset(typed))


def _unusable(path: Path, what: str) -> FoundSettings:
    return FoundSettings(Settings(), (JobFault((), what, "use settings in TOML"),), path)


def _unknown(content: Mapping[str, Any]) -> Iterator[JobFault]:
    """Find unknown keys and tables, each with the nearest known one."""
    for name, table in content.items():
        if name == _OWN_KEYS:
            continue
        if name not in _KEYS:
            yield _fault_of_name((name,), (*_KEYS, _OWN_KEYS))
        elif isinstance(table, dict):
            yield from (_fault_of_name((name, key), _KEYS[name]) for key in table if key not in _KEYS[name])


def _fault_of_name(path: tuple[str, ...], known: tuple[str, ...]) -> JobFault:
    return JobFault(path, UNKNOWN_KEY, key_to_use(path[-1], known))


def _value(key: str, given: object) -> str | None:
    """Return a cleaned value, None if it is invalid."""
    text = clean(given).strip() if isinstance(given, str) else ""
    wrong = (key == "units" and text not in _UNITS) or (key == "store" and not _is_anywhere(text))
    return None if wrong or not text else text


def _is_anywhere(store: str) -> bool:
    """Return whether the place of the records depends on no folder in which the bench is started."""
    from tui.store.address import is_server

    return store.startswith("~") or is_server(store) or Path(store).is_absolute()
