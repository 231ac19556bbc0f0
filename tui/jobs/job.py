"""A job as typed: what stands in the file, before anybody asks whether it makes sense."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import count

from tui.jobs.faults import UnusableJob
from tui.jobs.old_keys import renewed
from tui.jobs.tree import Path, Raw, Table, cut, look_up, put
from tui.jobs.unconfirmed import confirmed, is_unconfirmed, listed, paths_of, unconfirmed


@dataclass(frozen=True, slots=True)
class Job:
    """The tree of one job file. Every change makes a new job; equal and hashed by content."""

    tree: Table

    def get(self, path: Path) -> Raw | None:
        """Return the raw value at `path`, None where nothing stands."""
        return look_up(self.tree, path)

    def with_value(self, path: Path, raw: Raw) -> Job:
        """Return the job with `raw` at `path`, as typed: confirmed, whatever stood there."""
        return Job(confirmed(put(self.tree, path, raw), path))

    def with_invented(self, path: Path, raw: Raw) -> Job:
        """Return the job with `raw` at `path`, which nobody has typed or confirmed."""
        return Job(unconfirmed(put(self.tree, path, raw), path))

    def confirmed(self, path: Path) -> Job:
        """Return the job with the value at `path` confirmed as it is; the same job where it was."""
        return Job(tree) if (tree := confirmed(self.tree, path)) is not self.tree else self

    def is_unconfirmed(self, path: Path) -> bool:
        """Return whether nobody has typed or confirmed the value at `path`."""
        return is_unconfirmed(self.tree, path)

    def listed_as(self, other: Job, path: Path) -> Job:
        """Return the job with unconfirmed what `other` has so in the table at `path` and around it."""
        there = (
            (*path[:depth], key)
            for depth in range(len(path) + 1)
            for key in listed(other.get(path[:depth]) if depth else other.tree)
        )
        tree = self.tree
        for place in there:
            tree = unconfirmed(tree, place)
        return Job(tree)

    @property
    def unconfirmed(self) -> tuple[Path, ...]:
        """Where the values are that nobody has typed or confirmed."""
        return tuple(paths_of(self.tree))

    def without(self, path: Path) -> Job:
        """Return the job with nothing at `path`."""
        return Job(confirmed(cut(self.tree, path), path))

    def taken_out(self, path: Path) -> Job:
        """Return the job with nothing at `path`, and without the table around it where that is empty then."""
        job = self.without(path)
        return job.without(path[:-1]) if job.get(path[:-1]) == Table({}) else job

    @property
    def title(self) -> str:
        """The title, empty where there is none."""
        title = self.tree.get("title", "")
        return title if isinstance(title, str) else ""

    @property
    def setups(self) -> tuple[Table, ...]:
        """The tables of the setups in order; empty where the file has no list of tables there."""
        setups = self.tree.get("setup")
        if isinstance(setups, tuple) and all(isinstance(setup, Table) for setup in setups):
            return setups
        return ()

    def with_setup(self, index: int | None, tree: Mapping[str, Raw]) -> Job:
        """Return the job with one setup more, put in before `index`, or at the end for None."""
        place = len(self.setups) if index is None else index
        return self._with_setups((*self.setups[:place], Table(tree), *self.setups[place:]))

    def without_setup(self, index: int) -> Job:
        """Return the job without the setup at `index`."""
        return self._with_setups((*self.setups[:index], *self.setups[index + 1 :]))

    def duplicate_setup(self, index: int) -> Job:
        """Return the job with a copy of the setup at `index` right behind it, under a name of its own."""
        setup = self.setups[index]
        return self.with_setup(index + 1, {**setup, "name": self.free_name(str(setup.get("name", "setup")))})

    def free_name(self, wanted: str) -> str:
        """Return `wanted`, or `wanted` with the first number behind it that no setup bears yet."""
        taken = {setup.get("name") for setup in self.setups}
        if wanted not in taken:
            return wanted
        head, _, tail = wanted.rpartition(" ")
        stem = head if head and tail.isdecimal() else wanted
        return next(name for name in (f"{stem} {n}" for n in count(2)) if name not in taken)

    def _with_setups(self, setups: tuple[Table, ...]) -> Job:
        return self.with_value(("setup",), setups)


def parse(text: str) -> Job:
    """Read the text of a job file; raise `UnusableJob` where it is no TOML."""
    import tomllib

    try:
        return Job(renewed(Table(tomllib.loads(text))))
    # Deep nesting and endless digits break the parser in its own ways.
    except (ValueError, RecursionError) as error:
        from tui.jobs.toml_words import toml_fault

        raise UnusableJob((toml_fault(text, error),)) from error
