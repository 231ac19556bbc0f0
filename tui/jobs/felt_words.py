"""What a rider says after the ride, in the words of command and screen; nothing heavy is loaded here."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from physics.advise import Felt


class Said(NamedTuple):
    """A complaint: the word on the command line, what the rider says, and what would make it better."""

    word: str
    label: str
    means: str


FELT: dict[Felt, Said] = {
    "wallows": Said("wallows", "wallows in the middle", "More support at half travel."),
    "harsh_at_end": Said(
        "harsh-at-end",
        "harsh at the end",
        "Less of a wall before the end: a lower end ramp. A bang on the stop is 'blows through' instead.",
    ),
    "blows_through": Said(
        "blows-through", "blows through its travel", "More work to get from sag to the stop."
    ),
    "spare_travel": Said(
        "spare-travel",
        "never uses all its travel",
        "Less work to get from sag to the stop. Judge it by the hardest landing the bike is for.",
    ),
    "harsh_off_top": Said(
        "harsh-off-top",
        "harsh off the top",
        "Less force to start it moving. Dry or swollen seals feel the same: they want a service.",
    ),
    "packs_down": Said(
        "packs-down",
        "packs down over bumps",
        "Rebound damping less, so faster, one click at a time: clicks are not in the model. A spring that "
        "pushes back harder makes the same clicks a smaller share of critical damping.",
    ),
    "too_high": Said("too-high", "rides too high", "More sag."),
    "too_low": Said("too-low", "rides too low", "Less sag."),
    "ends_fight": Said(
        "ends-fight",
        "front and rear fight",
        "This end more as the other is, one measure at a time. Sag need not agree: the front usually sags "
        "less than the rear, common practice, no source.",
    ),
}
"""Every complaint in the order it is offered."""
WORDS = tuple(said.word for said in FELT.values())
"""The words of the command line."""


def felt_of(word: str) -> Felt:
    """Return the complaint of a word of the command line; raises `StopIteration` for another word."""
    return next(felt for felt, said in FELT.items() if said.word == word)
