"""The finder: a line of text, and the items that match it."""

from __future__ import annotations

from collections.abc import Sequence

from physics.frozen import NamedTuple
from tui.job.tree import clean

_LONGEST = 60
"""Maximum length of the line."""


class Item(NamedTuple):
    """An item: its `name`, its kind and location, its key, and its description.

    `id` identifies it to its creator. `reason` says why it is not available now, empty if it is. `help` is
    further text, shown only if it matches.
    """

    id: tuple[str, object]
    name: str
    where: str = ""
    key: str = ""
    words: str = ""
    reason: str = ""
    help: str = ""


class Finder(NamedTuple):
    """The typed text, and the index of the selected match."""

    text: str = ""
    place: int = 0

    def typed(self, text: str) -> Finder:
        """Return the finder with more text; the first match is selected."""
        return Finder((self.text + clean(text))[:_LONGEST])

    def rubbed_out(self) -> Finder:
        """Return the finder without its last letter."""
        return Finder(self.text[:-1])

    def moved(self, steps: int, count: int) -> Finder:
        """Return the finder with another line selected, among `count` of them."""
        return self._replace(place=min(max(self.place + steps, 0), max(count - 1, 0)))


def found(items: Sequence[Item], text: str) -> list[Item]:
    """Return the items that contain every typed word, the best first.

    An equal name is best, then names that start with the text, names with a word that starts with it, names
    that contain it, and last a match in description or help only. Of equal matches, unavailable items come
    last.
    """
    wanted = text.casefold().split()
    ranked = [
        (rank, bool(item.reason), place)
        for place, item in enumerate(items)
        if (rank := _rank(item, wanted)) is not None
    ]
    return [items[place] for _rank_of, _no, place in sorted(ranked)]


def _rank(item: Item, wanted: Sequence[str]) -> int | None:
    """Return the rank of an item, 0 the best, None if a word is missing."""
    name = item.name.casefold()
    text = " ".join(wanted)
    if name.startswith(text):
        return 0 if not wanted or name == text else 1
    words = name.split()
    if all(any(word.startswith(want) for word in words) for want in wanted):
        return 2
    if all(want in name for want in wanted):
        return 3
    everything = f"{name} {item.where} {item.words} {item.help}".casefold()
    if text in everything:
        return 4 if f" {text}" in everything else 6
    starts = everything.split()
    if all(any(word.startswith(want) for word in starts) for want in wanted):
        return 5
    return 7 if all(want in everything for want in wanted) else None


def told_of(item: Item, text: str, width: int, ellipsis: str) -> str:
    """Return the description of an item in at most `width` letters.

    If the typed words are only in the description, it is clipped so that the first one is visible.

    >>> told_of(Item(("view", "wire"), "wire", help="Stress, surge and buckling."), "buck", 20, "…")
    '…surge and buckling.'
    """
    name, wanted = item.name.casefold(), text.casefold().split()
    if not wanted or all(want in name for want in wanted):
        return item.words
    for said in (item.words, item.help):
        folded = said.casefold()
        looked_for = (want for want in (" ".join(wanted), *wanted) if want not in name)
        hit = next((want for want in looked_for if want in folded), "")
        if hit:
            place = folded.find(hit)
            ends = folded.find(" ", place + len(hit))
            starts = [0, *(at + 1 for at, letter in enumerate(folded[:place]) if letter == " ")]
            end = len(said) if ends < 0 else ends
            start = next(
                (at for at in starts if end - at + bool(at) + (end < len(said)) <= width), starts[-1]
            )
            return f"{ellipsis}{said[start:]}" if start else said
    return item.words
