"""The faults found so far while a job is read."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from difflib import get_close_matches

from tui.jobs.faults import JobFault
from tui.jobs.slips import Spelling
from tui.jobs.tree import Path, Raw

UNKNOWN_KEY = "unknown key"
_LONGEST_KEY = 40


class Findings:
    """What reading has found so far, at the paths of the file."""

    def __init__(self, spelling: Spelling) -> None:
        """Start with nothing found."""
        self.faults: list[JobFault] = []
        self._spelling = spelling

    def slips(self) -> None:
        """Note the tables whose names are slips."""
        for right, typed in self._spelling.slips.items():
            self.faults.append(JobFault(typed, UNKNOWN_KEY, _nearest_is(str(right[-1]))))

    def fault(self, path: Path, what: str, accepted: str) -> None:
        """Note one fault."""
        self.faults.append(JobFault(self._spelling.in_file(path), what, accepted))

    def unknown_keys(self, table: Mapping[str, Raw], known: Iterable[str], path: Path) -> None:
        """Note every key of `table` that is not `known`, and the nearest one that is."""
        names = {name.casefold(): name for name in sorted(known)}
        for key in table:
            if key not in names.values():
                near = get_close_matches(key[:_LONGEST_KEY].casefold(), names, n=1, cutoff=0.0)
                self.fault((*path, key), UNKNOWN_KEY, _nearest_is(names[near[0]]))


def _nearest_is(name: str) -> str:
    return f"the nearest known key is {name}"
