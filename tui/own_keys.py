"""A person's own keys on all screens, and the list of all actions with their keys as text."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tui.bench.keymap import KEYMAP as BENCH
from tui.bench.keymap import where_of
from tui.kit.keymap import Action, Keymap, key_text
from tui.linkage.keymap import KEYMAP as LINKAGE
from tui.records.keymap import KEYMAP as RECORDS
from tui.saying import nearest, printable

KEYMAPS: Mapping[str, Keymap[Any]] = {"": BENCH, "linkage": LINKAGE, "records": RECORDS}
"""Keymaps by name of the screen, empty for the bench. An id means the same on all screens."""

_TAKEN = frozenset("0123456789.,") | {"enter", "escape", "up", "down", "left", "right", "backspace", "delete"}
"""Keys for typing or moving in every field, which cannot be reassigned."""
_NAMED = frozenset(f"f{number}" for number in range(1, 13)) | {
    *("tab", "shift+tab", "space", "pageup", "pagedown", "home", "end", "insert"),
}


Act = Action[Any]


def acts() -> Mapping[str, tuple[Act, str]]:
    """Return all named actions by id, with where they are done, in the order of the lists.

    An action of several screens appears once, as on the bench.
    """
    found: dict[str, tuple[Act, str]] = {}
    for screen, keymap in KEYMAPS.items():
        for action in keymap.actions:
            if action.name:
                found.setdefault(action.id, (action, screen or where_of(action)))
    return found


def key_faults(wanted: Mapping[str, object]) -> list[tuple[str, str, str]]:
    """Return the faults of a person's keys: name of the action, what is wrong, and what to use."""
    named = acts()
    faults = []
    spelled: dict[str, str] = {}
    for id, keys in wanted.items():
        if id not in named:
            near = nearest(id, named)
            use = f"the nearest is {near}" if near else "springwright keys lists them"
            faults.append((id, "no act of this name", use))
        elif not isinstance(keys, str):
            faults.append((id, "no text", 'use a key such as "f4" or "ctrl+t", or "" for none'))
        else:
            faults += [(id, *wrong) for key in keys.split() if (wrong := _wrong(key))]
            spelled[id] = keys
    for id, keys in spelled.items():
        for key in keys.split():
            others = (other for keymap in KEYMAPS.values() for other in _clashes(keymap, id, key, spelled))
            other = next(others, None)
            if other is not None:
                use = "give that one another key or choose a free one"
                faults.append((id, f"{key} is the key of {other.id} too", use))
    return faults


def take_keys(wanted: Mapping[str, object]) -> list[str]:
    """Assign a person's keys to actions; return a line for each invalid one, which is ignored."""
    faults = key_faults(wanted)
    wrong = {id for id, _what, _use in faults}
    for keymap in KEYMAPS.values():
        keymap.take_keys({id: str(keys) for id, keys in wanted.items() if id not in wrong})
    return [f"settings.toml: keys.{printable(id[:40])}: {printable(what)}; {use}" for id, what, use in faults]


def _clashes(keymap: Keymap[Any], id: str, key: str, spelled: Mapping[str, str]) -> list[Act]:
    """Return other actions of a screen that have the key where the action of this id is available."""
    one = keymap.named.get(id)
    if one is None:
        return []
    pages = set(one.pages or keymap.pages)
    return [
        other
        for other in keymap.actions
        if other.name
        and other.id != id
        and key in spelled.get(other.id, other.spelled).split()
        and pages.intersection(other.pages or keymap.pages)
    ]


def _wrong(key: str) -> tuple[str, str] | None:
    *held, last = key.split("+") if len(key) > 1 else [key]
    use = "use a letter, f1 to f12, or ctrl with a letter"
    if key in _TAKEN:
        return f"{key} types or moves in every field", use
    fits = held in ([], ["ctrl"]) and len(last) == 1 and last.isprintable()
    return None if fits or key in _NAMED else (f"{key[:20]} is not a key that the program can see", use)


def keys_text() -> str:
    """Return every action with key, name, where it is done and what it does, one per line."""
    rows = [(key_text(act), act.id, act.name, where, act.meaning) for act, where in acts().values()]
    widths = [max(len(row[column]) for row in rows) for column in range(4)]
    lines = [
        "  ".join(text.ljust(width) for text, width in zip(row[:4], widths, strict=True)) for row in rows
    ]
    return "\n".join(f"{line}  {row[4]}".rstrip() for line, row in zip(lines, rows, strict=True))
