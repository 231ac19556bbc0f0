"""Comparison of two jobs: their differences in words, and their setups side by side."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import chain

from physics.frozen import NamedTuple
from tui.job.answer import answer_job
from tui.job.faults import FRONT_TABLES, UnusableJob
from tui.job.fields import Choice, Field, Pair
from tui.job.job import MOST_SETUPS, UNCONFIRMED, Job, without_lists
from tui.job.panels import Panel, panels, unconfirmed_at
from tui.job.quantities import split
from tui.job.tree import Raw, Tree, TreePath
from tui.job.typed import SOLVE, field_text, written
from tui.job.wheels import WHEELS, Wheel, has_front, wheel_job, with_wheel_job
from tui.shop_units import USUAL, ShopUnits

_ASKED = ("rate", "pressure")
"""Keys of a setup that may be solved instead of given."""


def solved_typed(job: Job, units: ShopUnits) -> Job:
    """Return the job with solved values as if typed; unchanged if it has no answer."""
    setups = (setup for end in ends(job) for setup in wheel_job(job, end).setups)
    if not any(setup.get(key) == SOLVE for setup in setups for key in _ASKED):
        return job
    try:
        answered = answer_job(job)
    except UnusableJob:
        return job
    for wheel, there in [(end, found) for end in ends(job) if (found := answered.at(end)) is not None]:
        for place, setup in enumerate(there.answer.setups):
            text = written(setup, float(there.answer.shop.pressure), units)
            for key in _ASKED:
                path = (*(() if wheel == "rear" else ("front",)), "setup", place, key)
                if text is not None and job.get(path) == SOLVE:
                    job = job.with_value(path, text)
    return job


def ends(job: Job) -> tuple[Wheel, ...]:
    """Return the ends that a job has."""
    return WHEELS if has_front(job) else WHEELS[:1]


_REST = {"frame": "pivot points of the frame", "setup": "order of the setups"}
"""Words for tables with differences that no row of the bench shows."""
_CONFIRMED = ("confirmed", "unverified")
"""Words for an equal value that was confirmed, or is unverified now."""
_NOTHING = "nothing"
ARROW = "\N{RIGHTWARDS ARROW}"
"""Shown between the old and the new value."""
_UNANSWERED = "no result"
_NAME: TreePath = ("name",)


class Side(NamedTuple):
    """A job as typed, and with its solved values."""

    typed: Job
    answered: Job

    def at(self, wheel: Wheel) -> Side:
        """Return one end."""
        return Side(wheel_job(self.typed, wheel), wheel_job(self.answered, wheel))


class Difference(NamedTuple):
    """One difference: its path in `after`, and its words."""

    path: TreePath
    words: str


def side_of(job: Job, units: ShopUnits) -> Side:
    """Return a job with its answers."""
    return Side(job, solved_typed(job, units))


def differences(before: Job, after: Job, units: ShopUnits = USUAL) -> list[str]:
    """Return the differences of `after`, one per line; solved values are compared as solved."""
    return between(side_of(before, units), side_of(after, units))


def between(before: Side, after: Side, without: Collection[str] = ()) -> list[str]:
    """Return the differences of `after`, one per line, without the tables in `without`."""
    lines = [line for end in ends(after.typed) for line in at_end(before, after, end, without)]
    had, has = has_front(before.typed), has_front(after.typed)
    return lines if had == has else [*lines, f"front wheel {'removed' if had else 'added'}"]


def at_end(before: Side, after: Side, wheel: Wheel, without: Collection[str] = ()) -> list[str]:
    """Return the differences of one wheel, one per line; at the front without shared values."""
    if wheel == "front" and not has_front(before.typed):
        return []
    old, new = before.at(wheel), after.at(wheel)
    shared = ([panel for panel in panels(side.typed) if panel.setup is None] for side in (old, new))
    in_panels = (_in_panel(was, now, old, new, "") for was, now in zip(*shared, strict=True))
    found = [*chain.from_iterable(in_panels), *_setups(old, new)]
    found += _rest(old, new, {difference.path[0] for difference in found})

    def is_own(path: TreePath) -> bool:
        """Return whether a difference at the front is one of the front's own values."""
        own = ("front", *path)
        of_load = path == ("load", "by") or before.typed.get(own) != after.typed.get(own)
        return path[0] in FRONT_TABLES and (path[0] != "load" or of_load)

    if wheel == "rear":
        return [words for path, words in found if path[0] not in without]
    return [f"front {words}" for path, words in found if path[0] not in without and is_own(path)]


def _paired(before: Sequence[Tree], after: Sequence[Tree]) -> tuple[dict[int, int], list[int], list[int]]:
    """Return which new setup corresponds to which old one, and the indices of removed and added setups.

    They are matched by name, else by kind and order: a renamed setup is the next unmatched one of its kind.
    """
    both: dict[int, int] = {}
    gone, added = list(range(len(before))), list(range(len(after)))
    for key in ("name", "kind"):
        for old in tuple(gone):
            wanted = before[old].get(key), before[old].get("kind")
            new = next((n for n in added if (after[n].get(key), after[n].get("kind")) == wanted), None)
            if new is not None:
                both[new] = old
                gone.remove(old)
                added.remove(new)
    return both, gone, added


def _setups(before: Side, after: Side) -> Iterator[Difference]:
    old, new = ([p for p in panels(side.typed) if p.setup is not None] for side in (before, after))
    both, gone, added = _paired(before.typed.setups, after.typed.setups)
    for now, was in sorted(both.items()):
        same = old[was].title == new[now].title
        if not same:
            yield Difference(("setup", now, "name"), f"{old[was].title} renamed to {new[now].title}")
        told = list(_in_panel(old[was], new[now], before, after, f"{new[now].title} "))
        yield from told
        differ = without_lists(before.typed.setups[was]) != without_lists(after.typed.setups[now])
        if differ and same and not told:
            yield Difference(("setup", now), f"{new[now].title}: a value shown only in its file")
    yield from (Difference(("setup", was), f"{old[was].title} removed") for was in gone)
    yield from (Difference(("setup", now), f"{new[now].title} added") for now in added)


def _rest(before: Side, after: Side, told: Collection[str | int]) -> Iterator[Difference]:
    old, new = before.typed.tree, after.typed.tree
    for key in dict.fromkeys((*old, *new)):
        if key not in (*told, UNCONFIRMED) and without_lists(old.get(key)) != without_lists(new.get(key)):
            yield Difference((key,), f"{_REST.get(key, key)} changed")


def _in_panel(old: Panel, new: Panel, before: Side, after: Side, lead: str) -> Iterator[Difference]:
    """Yield the differing rows of two panels, each with an unambiguous label."""
    was, now = _rows(old), _rows(new)
    root: TreePath = () if new.setup is None else ("setup", new.setup)
    pairs: dict[TreePath, int] = {}
    said: set[str] = set()
    for key in dict.fromkeys((*now, *was)):
        (first, label), (second, new_label) = was.get(key, (None, "")), now.get(key, (None, ""))
        words = _change(first, second, before, after)
        if not words or (key == _NAME and old.setup is not None):  # a setup renamed is told as such
            continue
        row = second or first
        if row is not None and isinstance(row.kind, Pair) and words not in _CONFIRMED:
            pairs[key[:-2]] = pairs.get(key[:-2], 0) + 1
        else:
            told = f"{lead}{new_label or label} {words}"
            if told not in said:
                yield Difference((*root, *key), told)
            said.add(told)
    for table, count in pairs.items():
        many = "1 pair" if count == 1 else f"{count} pairs"
        yield Difference((*root, *table), f"{lead}{table[-1] if table else 'table'}: {many} changed")


def _rows(panel: Panel) -> dict[TreePath, tuple[Field, str]]:
    """Return every row by its path in the panel, with its label, including the heading if ambiguous."""
    labels = [row.label for row in panel.rows]
    found: dict[TreePath, tuple[Field, str]] = {}
    head = ""
    for row in panel.rows:
        head = row.head or head
        twice = f"{head} {row.label}" if labels.count(row.label) > 1 and head else row.label
        found[row.path[0 if panel.setup is None else 2 :]] = row, row.compared or twice
    return found


def _change(was: Field | None, now: Field | None, before: Side, after: Side) -> str:
    """Return the change of a row in words, empty without one."""
    old, new = _text(was, before), _text(now, after)
    asked = was is not None and before.typed.get(was.path) == SOLVE
    asks = now is not None and after.typed.get(now.path) == SOLVE
    if (old, asked) == (new, asks) and was and now:
        doubt = [bool(unconfirmed_at(side.typed, row)) for side, row in ((before, was), (after, now))]
        return "" if doubt[0] == doubt[1] else _CONFIRMED[doubt[1]]
    if (old, asked) == (new, asks) or (was and now and not _is_typed(was, now, before, after)):
        return ""
    if asked and asks and _UNANSWERED in (old, new):  # why there is no answer is told by the other lines
        return ""
    if asked != asks:
        old, new = _solved(old) if asked else old, _solved(new) if asks else new
    first, second = split(old), split(new)
    if first is not None and second is not None and first[1] == second[1]:
        old = first[0]
    return f"{old} {ARROW} {new}"


def _solved(text: str) -> str:
    """Return a solved value, of which only that it is solved is known before there is an answer."""
    return "solved for target sag" if text == _UNANSWERED else f"{text} solved"


def _is_typed(was: Field, now: Field, before: Side, after: Side) -> bool:
    """Return whether a row differs by a value in the job, not only by its default."""
    if before.answered.get(was.path) != after.answered.get(now.path) or isinstance(now.kind, Pair):
        return True
    by_mark = isinstance(now.kind, Choice) and any(option.mark for option in now.kind.options)
    return by_mark or before.typed.get(was.path) != after.typed.get(now.path)


def _text(row: Field | None, side: Side) -> str:
    if row is None:
        return _NOTHING
    text = field_text(side.answered, row)
    return _UNANSWERED if text == SOLVE else text or row.usual or _NOTHING


_SETTLED_BY = ("load", "frame", "target", "ambient")
"""Tables that a solved rate or pressure depends on."""
_OF_ONE = ("measured", "ridden")
"""Tables about the setup that was ridden."""
_BESIDE = ("setup", "title", "record", *_OF_ONE)


class Named(NamedTuple):
    """A saved job and a name that distinguishes it from the other one, such as "rev 3"."""

    job: Job
    name: str


class Compared(NamedTuple):
    """The job for the bench, and what it leaves out of the older one, in words."""

    job: Job
    left_out: tuple[str, ...]


def compared(older: Named, newer: Named, units: ShopUnits) -> Compared:
    """Return both as setups side by side, the older ones first.

    Values that the older one had solved for another load, frame or sag are kept.
    """
    before, after = side_of(older.job, units), side_of(newer.job, units)
    job = newer.job
    left_out: list[str] = []
    for end in ends(newer.job):
        both = _beside_each_other(before, after, end, (older.name, newer.name))
        if len(both.setups) > MOST_SETUPS:
            # The older ones come first.
            gone, kept = both.setups[:-MOST_SETUPS], both.setups[-MOST_SETUPS:]
            left_out += [f"the setup {setup['name']}" for setup in gone]
            both = both.with_value(("setup",), kept)
        job = with_wheel_job(job, end, both)
        left_out += at_end(before, after, end, _BESIDE)
    title = f"{newer.job.title}: {older.name} against {newer.name}".removeprefix(": ")
    for path in (*((key,) for key in _OF_ONE), ("front", "measured")):
        job = job.without(path)
    return Compared(job.with_value(("title",), title), tuple(left_out))


def _beside_each_other(before: Side, after: Side, wheel: Wheel, names: tuple[str, str]) -> Job:
    old, new = before.at(wheel), after.at(wheel)
    kept = old.typed if _settling(old.typed) == _settling(new.typed) else old.answered
    # A wheel that the older job does not have cannot be compared.
    setups = kept.setups if wheel in ends(before.typed) else ()
    ours, theirs = ([without_lists(setup) for setup in some] for some in (setups, new.typed.setups))
    job = new.typed.with_value(("setup",), ())
    for setup, whose in (
        *((one, names[0]) for one in setups),
        *((one, names[1]) for one in new.typed.setups),
    ):
        in_both = without_lists(setup) in ours and without_lists(setup) in theirs
        if whose == names[0] or not in_both:
            name = job.free_name(f"{'both' if in_both else whose} {setup.get('name', 'setup')}")
            job = job.with_setup(None, {**setup, "name": name})
    return job


def _settling(job: Job) -> Mapping[str, Raw]:
    """Return the tables that the solved values of one wheel depend on, without the frame's name."""
    bare = job.without(("frame", "name")).tree
    return {key: without_lists(bare.get(key)) for key in _SETTLED_BY}
