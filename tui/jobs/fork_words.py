"""What is said of a shock, said of a fork: one table of the words that a fork has for the same things.

Every text of the program is written for a shock. Where the spring sits in the legs of a fork, `spoken`
puts the fork's words in their place. Only the program's own words go through it, never what a person typed.
"""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tui.jobs.job import Job

_WORDS = {
    # These keep their words on a fork too, as a tool, a part of its own or a way of moving.
    "shock pumps": "shock pumps",
    "air shaft": "air shaft",
    "rated stroke": "rated stroke",
    "stroke printed": "stroke printed",
    "fast stroke": "fast stroke",
    "slow stroke": "slow stroke",
    "mid-stroke": "mid-stroke",
    # The rest, as a mechanic says it of a fork.
    "shock or fork": "fork",
    "sag, of stroke": "sag, fork travel",
    "port at stroke": "port at travel",
    "shock or a fork": "fork",
    "ring on the shaft": "ring on the stanchion",
    "ring on the shock's shaft": "ring on the stanchion",
    "shock's shaft": "fork",
    "shock's stroke": "fork travel",
    "shock stroke": "fork travel",
    "fork stroke": "fork travel",
    "coil on its shock": "coil in a fork",
    "rub on the shock": "rub in the fork",
    "longer strokes": "longer fork travel",
    "full stroke": "full travel",
    "its stroke": "its travel",
    "the stroke": "the fork travel",
    "shock": "fork",
    "shaft": "fork",
    "stroke": "fork travel",
}


@cache
def _pattern() -> re.Pattern[str]:
    longest_first = sorted(_WORDS, key=len, reverse=True)
    return re.compile(rf"\b(?:{'|'.join(map(re.escape, longest_first))})\b", re.IGNORECASE)


def is_fork(job: Job) -> bool:
    """Return whether the leverage of a job of one wheel is a fork's."""
    return job.get(("frame", "leverage", "kind")) == "fork"


def spoken(text: str, fork: bool) -> str:
    """Return a text of the program in the words of a fork where it is one, else as it is."""
    return _pattern().sub(_as_said, text) if fork else text


def _as_said(found: re.Match[str]) -> str:
    said, asked = _WORDS[found[0].lower()], found[0]
    if said == asked.lower():
        return asked
    return said[:1].upper() + said[1:] if asked[:1].isupper() else said
