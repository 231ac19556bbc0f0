"""What a row of a panel is: its label, where its value stands in the job, and how a hand may change it.

All of it is named tuples: the first frame waits for these classes, and a frozen dataclass takes ten times
as long to make.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from tui.jobs.job import Job
from tui.jobs.tree import Path, Raw
from tui.jobs.unconfirmed import listed
from tui.shop_units import Measure

_NOTHING: Mapping[str, Raw] = MappingProxyType({})


class Amount(NamedTuple):
    """A quantity with its unit, text in the file.

    `steps` gives nudges of its own per unit, `signed` allows values below zero, `solvable` the word "solve",
    `or_none` the word "none". `share_of` is the whole that a share typed with its per cent sign is of, see
    `fields_shares.whole_of`.
    """

    measure: Measure
    steps: Mapping[str, str] = _NOTHING
    signed: bool = False
    solvable: bool = False
    share_of: str = ""
    or_none: bool = False


class Bare(NamedTuple):
    """A bare number in the file; `suffix` follows it on the screen, `step` is its nudge."""

    step: str
    suffix: str = ""


class Share(NamedTuple):
    """A fraction: per cent on the screen; in the file a bare number, or text with its per cent sign.

    A bare number below 1 is asked about, unless the share is `small`. `share_of` is the whole that a length
    typed in its place is divided by, see `fields_shares.whole_of`.
    """

    as_text: bool = False
    small: bool = False
    share_of: str = ""


class Words(NamedTuple):
    """Text, shown letter by letter as it stands."""


class Several(NamedTuple):
    """A list of bare numbers with spaces between; `unit` follows them on the screen."""

    unit: str


class Pair(NamedTuple):
    """Pair number `place` of two arrays of one table that belong together, e.g. travel and stroke.

    The row behind the last one is empty and takes a new pair. `units` follow the two numbers on the
    screen, `step` nudges the second.
    """

    keys: tuple[str, str]
    place: int
    units: tuple[str, str]
    step: str


class Option(NamedTuple):
    """One way of a choice.

    The file holds it as the word `stored` at the row's path, or by the key `mark` being there at all.
    `needs` are the keys it cannot do without, with invented values to start from, and `also` those it may
    have besides; `drops` must not stand beside it, and `renews` mean something else in another way.
    """

    word: str
    stored: Raw | None = None
    mark: str | None = None
    needs: Mapping[str, Raw] = _NOTHING
    also: tuple[str, ...] = ()
    drops: tuple[str, ...] = ()
    renews: tuple[str, ...] = ()


class Choice(NamedTuple):
    """One of several ways; `absent` is the one a file means that says nothing."""

    options: tuple[Option, ...]
    absent: int | None = None

    def chosen(self, job: Job, path: Path) -> int | None:
        """Return the index of the way the job takes, None where it names one that is not known."""
        raw = job.get(path)
        for index, option in enumerate(self.options):
            if raw is not None and raw == option.stored:
                return index
            if raw is None and option.mark and job.get((*path[:-1], option.mark)) is not None:
                return index
        return self.absent if raw is None else None

    def select(self, job: Job, path: Path, index: int, starts: Mapping[str, Raw] | None = None) -> Job:
        """Return the job on another way; keys it lacks then start from `starts`, else invented.

        What nobody has typed is unconfirmed: the invented values, and those on the list of `starts`.
        """
        option = self.options[index]
        table = path[:-1]
        for key in (*option.drops, *option.renews):
            job = job.without((*table, key))
        job = job.with_value(path, option.stored) if option.stored else job.taken_out(path)
        found = {**option.needs, **(starts or {})}
        typed = set(starts or {}) - set(listed(starts))
        for key in (*option.needs, *option.also):
            if key in found and job.get((*table, key)) is None:
                put = job.with_value if key in typed else job.with_invented
                job = put((*table, key), found[key])
        return job


Kind = Amount | Bare | Share | Words | Several | Pair | Choice


class Row(NamedTuple):
    """One line of a panel.

    `meaning` says what the value is and how to get it, `caution` what must be known before a hand acts
    on it. `usual` is what a file means that leaves the value out, `head` a heading above the row.
    """

    label: str
    path: Path
    kind: Kind
    meaning: str
    caution: str = ""
    usual: str = ""
    head: str = ""


class Panel(NamedTuple):
    """The rows of one subject. `setup` is the index of the setup it shows, None for rider and frame."""

    title: str
    rows: tuple[Row, ...]
    setup: int | None = None
    kind: str = ""

    def index_of(self, path: Path) -> int | None:
        """Return the index of the row at `path`."""
        return next((index for index, row in enumerate(self.rows) if row.path == path), None)
