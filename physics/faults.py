"""What is wrong with a case, as data: a field, a code and SI numbers; words are the reader's job."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from dataclasses import field as defaulted


@dataclass(frozen=True, slots=True)
class Fault:
    """One input that cannot be used.

    `field` is the path of the input inside its case, e.g. `("frame", "stroke")` or
    `("setup", 0, "positive_volume")`; `code` names the fault; `values` are SI numbers for the message.
    """

    field: tuple[str | int, ...]
    code: str
    values: Mapping[str, float] = defaulted(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Caution:
    """Something the mechanic must know about an answer that is otherwise good.

    `code` names the caution, `values` are SI numbers for the words that `tui` puts to it.
    """

    code: str
    values: Mapping[str, float] = defaulted(default_factory=dict)


class Refused(ValueError):
    """A case that no answer can be given for; carries every fault found."""

    def __init__(self, *faults: Fault) -> None:
        """Collect the faults."""
        self.faults: tuple[Fault, ...] = faults
        super().__init__(
            "; ".join(f"{'.'.join(map(str, f.field))}: {f.code} {dict(f.values)}" for f in faults)
        )
