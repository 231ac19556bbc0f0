"""Keys and words of older job files, read as what they are called now."""

from __future__ import annotations

from tui.jobs.symptom_words import new_word
from tui.jobs.tree import Raw, Table

_FELT, _SYMPTOM = "felt", "symptom"


def renewed(tree: Table) -> Table:
    """Return the tree of a job with its older keys and words as they are called now."""
    ridden = tree.get("ridden")
    if not isinstance(ridden, Table):
        return tree
    both = _FELT in ridden and _SYMPTOM in ridden
    names = {} if both else {_FELT: _SYMPTOM}
    now = Table({names.get(key, key): _words(key, raw) for key, raw in ridden.items()})
    return tree if now == ridden else Table({**tree, "ridden": now})


def _words(key: str, raw: Raw) -> Raw:
    if key not in (_FELT, _SYMPTOM):
        return raw
    if isinstance(raw, tuple):
        return tuple(new_word(one) if isinstance(one, str) else one for one in raw)
    return new_word(raw) if isinstance(raw, str) else raw
