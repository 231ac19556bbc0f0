"""Which setup of one job is which of another: by name, else by kind and place."""

from __future__ import annotations

from typing import NamedTuple

from tui.jobs.tree import Table


class Pairing(NamedTuple):
    """Places of setups in both jobs that are the same one, and those that are in one job only."""

    both: tuple[tuple[int, int], ...]
    gone: tuple[int, ...]
    added: tuple[int, ...]


def paired(before: tuple[Table, ...], after: tuple[Table, ...]) -> Pairing:
    """Return which setups belong together; one that was renamed is the next of its kind left over."""
    both: list[tuple[int, int]] = []
    gone, added = list(range(len(before))), list(range(len(after)))
    for key in ("name", "kind"):
        for old in tuple(gone):
            wanted = before[old].get(key), before[old].get("kind")
            new = next((n for n in added if (after[n].get(key), after[n].get("kind")) == wanted), None)
            if new is not None:
                both.append((old, new))
                gone.remove(old)
                added.remove(new)
    return Pairing(tuple(sorted(both, key=lambda pair: pair[1])), tuple(gone), tuple(added))
