"""What one job has otherwise than another, in the words of the bench: one line for each value."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import NamedTuple

from tui.bench.fields import panels, unconfirmed_at
from tui.bench.fields_row import Choice, Pair, Panel, Row
from tui.bench.fields_text import split
from tui.bench.fields_typed import SOLVE, shown
from tui.jobs.ends import End, end_of, has_front
from tui.jobs.job import Job
from tui.jobs.slips import FRONT_TABLES
from tui.jobs.tree import Path
from tui.jobs.unconfirmed import KEY as UNCONFIRMED
from tui.jobs.unconfirmed import without_lists as _bare
from tui.records.pairing import paired
from tui.records.solved import ends, solved_typed
from tui.shop_units import USUAL, ShopUnits

LABELS: dict[Path, str] = {
    ("title",): "title",
    ("frame", "name"): "frame",
    ("target", "of"): "sag is of the",
    ("ambient", "temperature"): "shop temperature",
    ("ambient", "altitude"): "shop altitude",
    ("measured", "setup"): "measured with",
    ("measured", "of"): "sag measured at",
    ("measured", "gauge"): "gauge measured",
}
"""Labels that need the heading above them on the bench."""
_REST = {"frame": "pivot points of the frame", "setup": "order of the setups"}
"""Words for tables in which something differs that no row of the bench shows."""
_CONFIRMED = ("confirmed", "unverified")
"""What is said of a value that is the same, by whether nobody has confirmed it any more."""
_NOTHING = "nothing"
_UNANSWERED = "no answer"
_NAME: Path = ("name",)


class Side(NamedTuple):
    """A job as typed, and with what it asks for as it was answered."""

    typed: Job
    answered: Job

    def at(self, end: End) -> Side:
        """Return one end."""
        return Side(end_of(self.typed, end), end_of(self.answered, end))


class Difference(NamedTuple):
    """One value that differs: where it stands in `after`, and in words."""

    path: Path
    words: str


def side_of(job: Job, units: ShopUnits) -> Side:
    """Return a job with its answers."""
    return Side(job, solved_typed(job, units))


def differences(before: Job, after: Job, units: ShopUnits = USUAL) -> list[str]:
    """Return what is otherwise in `after`, a line each.

    A rate or pressure that is asked for counts as what it was answered as.
    """
    return between(side_of(before, units), side_of(after, units))


def between(before: Side, after: Side, without: Collection[str] = ()) -> list[str]:
    """Return what is otherwise in `after`, a line each, the tables in `without` left out."""
    lines = [line for end in ends(after.typed) for line in at_end(before, after, end, without)]
    had, has = has_front(before.typed), has_front(after.typed)
    return lines if had == has else [*lines, f"front wheel {'gone' if had else 'added'}"]


def at_end(before: Side, after: Side, end: End, without: Collection[str] = ()) -> list[str]:
    """Return what differs at one end, a line each; at the front nothing that both wheels share."""
    if end == "front" and not has_front(before.typed):
        return []
    found = [*_values(before.at(end), after.at(end)), *_setups(before.at(end), after.at(end))]
    found += _rest(before.at(end), after.at(end), {difference.path[0] for difference in found})
    if end == "front":
        found = [difference for difference in found if _is_own(before.typed, after.typed, difference.path)]
    lead = "front " if end == "front" else ""
    return [f"{lead}{words}" for path, words in found if path[0] not in without]


def _is_own(before: Job, after: Job, path: Path) -> bool:
    """Return whether a difference at the front is one of the front's own values."""
    if path[0] not in FRONT_TABLES:
        return False
    own = ("front", *path)
    return path[0] != "load" or path == ("load", "by") or before.get(own) != after.get(own)


def _values(before: Side, after: Side) -> Iterator[Difference]:
    """Yield what differs in the panels that show no setup."""
    olds = [panel for panel in panels(before.typed) if panel.setup is None]
    news = [panel for panel in panels(after.typed) if panel.setup is None]
    for old, new in zip(olds, news, strict=True):
        yield from _in_panel(old, new, before, after, "")


def _setups(before: Side, after: Side) -> Iterator[Difference]:
    old, new = ([p for p in panels(side.typed) if p.setup is not None] for side in (before, after))
    pairing = paired(before.typed.setups, after.typed.setups)
    for was, now in pairing.both:
        same = old[was].title == new[now].title
        if not same:
            yield Difference(("setup", now, "name"), f"{old[was].title} renamed {new[now].title}")
        told = list(_in_panel(old[was], new[now], before, after, f"{new[now].title} "))
        yield from told
        differ = _bare(before.typed.setups[was]) != _bare(after.typed.setups[now])
        if differ and same and not told:
            yield Difference(("setup", now), f"{new[now].title}: a value that only its file shows")
    yield from (Difference(("setup", was), f"{old[was].title} gone") for was in pairing.gone)
    yield from (Difference(("setup", now), f"{new[now].title} added") for now in pairing.added)


def _rest(before: Side, after: Side, told: Collection[str | int]) -> list[Difference]:
    old, new = before.typed.tree, after.typed.tree
    differ = (key for key in dict.fromkeys((*old, *new)) if _bare(old.get(key)) != _bare(new.get(key)))
    left = [key for key in differ if key not in told and key != UNCONFIRMED]
    return [Difference((key,), f"{_REST.get(key, key)} changed") for key in left]


def _in_panel(old: Panel, new: Panel, before: Side, after: Side, lead: str) -> Iterator[Difference]:
    """Yield the rows of two panels that differ, each under the label that tells it from the others."""
    was = {row.path[_inner(old) :]: row for row in old.rows}
    now = {row.path[_inner(new) :]: row for row in new.rows}
    labels = {**_labels(old), **_labels(new)}
    pairs: dict[Path, int] = {}
    said: set[str] = set()
    for key in dict.fromkeys((*now, *was)):
        words = _change(was.get(key), now.get(key), before, after)
        if not words or (key == _NAME and old.setup is not None):  # a setup renamed is told as such
            continue
        if isinstance((now.get(key) or was[key]).kind, Pair) and words not in _CONFIRMED:
            pairs[key[:-2]] = pairs.get(key[:-2], 0) + 1
        else:
            told = f"{lead}{labels[key]} {words}"
            if told not in said:
                yield Difference(_root(new, key), told)
            said.add(told)
    for table, count in pairs.items():
        many = "1 pair" if count == 1 else f"{count} pairs"
        yield Difference(_root(new, table), f"{lead}{table[-1] if table else 'table'}: {many} changed")


def _inner(panel: Panel) -> int:
    """Return how much of the paths of a panel only says which setup it is."""
    return 0 if panel.setup is None else 2


def _root(panel: Panel, key: Path) -> Path:
    return key if panel.setup is None else ("setup", panel.setup, *key)


def _labels(panel: Panel) -> dict[Path, str]:
    """Return the label of every row; one that stands twice in a panel with its heading."""
    labels = [row.label for row in panel.rows]
    found: dict[Path, str] = {}
    head = ""
    for row in panel.rows:
        head = row.head or head
        twice = f"{head} {row.label}" if labels.count(row.label) > 1 and head else row.label
        found[row.path[_inner(panel) :]] = LABELS.get(row.path, twice)
    return found


def _change(was: Row | None, now: Row | None, before: Side, after: Side) -> str:
    """Say from what to what a row went, empty where it did not."""
    old, new = _text(was, before), _text(now, after)
    asked, asks = _is_asked(was, before), _is_asked(now, after)
    if (old, asked) == (new, asks) and was and now:
        doubt = [bool(unconfirmed_at(side.typed, row)) for side, row in ((before, was), (after, now))]
        return "" if doubt[0] == doubt[1] else _CONFIRMED[doubt[1]]
    if (old, asked) == (new, asks) or (was and now and not _is_typed(was, now, before, after)):
        return ""
    if asked and asks and _UNANSWERED in (old, new):  # why there is no answer is told by the other lines
        return ""
    if asked != asks:
        old, new = f"{old} solved" if asked else old, f"{new} solved" if asks else new
    first, second = split(old), split(new)
    if first is not None and second is not None and first[1] == second[1]:
        return f"{first[0]} -> {new}"
    return f"{old} -> {new}"


def _is_typed(was: Row, now: Row, before: Side, after: Side) -> bool:
    """Return whether a row differs by what stands in the job, and not by what it means left out."""
    if before.answered.get(was.path) != after.answered.get(now.path) or isinstance(now.kind, Pair):
        return True
    by_mark = isinstance(now.kind, Choice) and any(option.mark for option in now.kind.options)
    return by_mark or before.typed.get(was.path) != after.typed.get(now.path)


def _is_asked(row: Row | None, side: Side) -> bool:
    return row is not None and side.typed.get(row.path) == SOLVE


def _text(row: Row | None, side: Side) -> str:
    if row is None:
        return _NOTHING
    text = shown(side.answered, row)
    return _UNANSWERED if text == SOLVE else text or row.usual or _NOTHING
