"""Words of command line and screen for codes of the physics; imports nothing heavy."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from physics.advise import Symptom


class Said(NamedTuple):
    """A symptom: its word on the command line, what the rider says, and what would improve it.

    `by_hand` is what helps without another setting of the spring, empty if nothing does.
    """

    word: str
    label: str
    means: str
    by_hand: str = ""


SYMPTOMS: dict[Symptom, Said] = {
    "wallows": Said("wallows", "wallows mid-stroke", "More mid-stroke support."),
    "harsh_ramp_up": Said("harsh-ramp-up", "harsh ramp-up",
        "Less ramp-up before bottom-out. A clunk at the stop is 'bottoms out' instead."),
    "blows_through": Said("blows-through", "blows through, bottoms out",
        "Bottoms out too often: more energy from sag to bottom-out."),
    "unused_travel": Said("unused-travel", "never uses all its travel",
        "Less energy from sag to bottom-out. Judge by the hardest landing the bike is meant for."),
    "harsh_off_top": Said("harsh-off-top", "harsh off the top",
        "Lower breakaway force. Dry or swollen seals feel the same: service them.",
        "service dry or swollen seals"),
    "packs_down": Said("packs-down", "packs down over bumps",
        "Open rebound (less damping, faster) one click at a time; clicks are not modelled. A stiffer spring "
        "lowers the damping ratio at the same clicks.",
        "open rebound (less damping, faster) one click at a time"),
    "too_high": Said("too-high", "rides too high", "More sag."),
    "too_low": Said("too-low", "rides too low", "Less sag."),
    "unbalanced": Said("unbalanced", "front and rear unbalanced",
        "Bring this end closer to the other, one figure at a time. Sag need not match: usually less at the "
        "front (rule of thumb)."),
}  # fmt: skip
"""All symptoms in display order."""
WORDS = tuple(said.word for said in SYMPTOMS.values())
"""The words of the command line for symptoms."""
OLD_WORDS: Mapping[str, str] = {
    "ends-fight": "unbalanced",
    "harsh-at-end": "harsh-ramp-up",
    "spare-travel": "unused-travel",
}
"""Words of older job files and scripts, and the present ones."""


def new_word(word: str) -> str:
    """Return the present form of a word."""
    return OLD_WORDS.get(word, word)


def symptoms_of(raw: object) -> tuple[Symptom, ...]:
    """Return the symptoms that `[ridden] symptom` names, in display order, without duplicates."""
    words = raw if isinstance(raw, tuple) else (raw,)
    return tuple(symptom for symptom, said in SYMPTOMS.items() if said.word in words)


def words_of(symptoms: tuple[Symptom, ...]) -> str | tuple[str, ...] | None:
    """Return symptoms as stored in the job file: one word, a list of several, None for none."""
    words = tuple(said.word for symptom, said in SYMPTOMS.items() if symptom in symptoms)
    return words if len(words) > 1 else next(iter(words), None)


class StateWords(NamedTuple):
    """Words for a state: in a table cell, in a sentence, and as a letter of a map."""

    short: str
    sentence: str
    mark: str


STATES: Mapping[str, StateWords] = {
    "ok": StateWords("OK", "rests at its sag", " "),
    "topped_out": StateWords("tops out",
        "tops out under the rider: too stiff, the wheel stays at full extension", "t"),
    "bottomed_out": StateWords("bottomed out", "bottoms out under the rider: too soft, all travel used", "b"),
    "unsolved": StateWords("no solution", "no rate or pressure reaches the target sag", "?"),
}  # fmt: skip
"""Words for every `physics.answer.State`."""

COIL_DIAMETERS = ("inner_diameter", "outer_diameter", "mean_diameter")
"""Keys for the diameter of a coil; a setup has one of them at most."""
MATERIAL_WORDS: Mapping[str, str] = {
    "music": "music wire",
    "oil_tempered": "oil-tempered",
    "chrome_vanadium": "chrome-vanadium",
    "chrome_silicon": "chrome-silicon",
    "titanium": "beta titanium",
}
END_WORDS: Mapping[str, str] = {
    "closed_ground": "closed, ground",
    "closed": "closed",
    "open": "open",
}
LIMIT_WORDS: Mapping[str, str] = {
    "stress": "stress",
    "coils": "coils",
    "index": "slender",
    "thinnest": "none is",
}
"""The limit that the next thinner wire (0.1 mm) fails, short enough for a column."""

NO_WIRE: Mapping[str, str] = {
    "stress": "wire strong enough is too thick for this diameter",
    "coils": "no wire leaves two active coils",
    "index": "no wire from 2 to 16 mm suits this diameter",
}
"""Why no wire is possible."""
