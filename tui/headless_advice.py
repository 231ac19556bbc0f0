"""After the ride without a screen: what was felt to a list of changes, as lines or as one JSON object."""

from __future__ import annotations

import json
from typing import Any, NamedTuple

from physics.advise import COMPLAINTS, Advice, Advised, Felt
from physics.advise_feel import Feel, rebound_change
from tui.headless import answered_file, refused
from tui.jobs import advice_words as words
from tui.jobs.advised import advised, with_change
from tui.jobs.answer_json_springs import number
from tui.jobs.answering import JobAnswer
from tui.jobs.clean import brief
from tui.jobs.ends import ENDS, End
from tui.jobs.felt_words import FELT, felt_of
from tui.jobs.fork_words import spoken
from tui.shop_units import USUAL

_KEYS = {
    "sag_fraction": "sag_fraction",
    "starting_wheel": "starting_wheel_n",
    "support_50": "support_50",
    "bottom_ratio": "bottom_ratio",
    "end_ramp": "end_ramp",
    "energy_from_sag": "energy_from_sag_j",
    "natural_frequency": "natural_frequency_hz",
    "critical_damping": "critical_damping_n_s_per_m",
}
"""The key of each figure, as in the answer to a job."""


class _Ridden(NamedTuple):
    """The setup that was ridden: its end, that end's answer and its place there."""

    end: End
    there: JobAnswer
    place: int

    @property
    def outside(self) -> float:
        """Ambient pressure [Pa] of the shop."""
        return float(self.there.answer.shop.pressure)


def advice_text(source: str, word: str, name: str | None, *, as_json: bool) -> str:
    """Return what to change on a setup of a job file for what was felt; raises `Unanswered`."""
    bike, felt = answered_file(source), felt_of(word)
    ridden = _ridden(bike, name)
    other = bike.at("front" if ridden.end == "rear" else "rear") if bike.front is not None else None
    found = advised(ridden.there, ridden.place, felt, other)
    if found is None:
        raise refused("felt", f"{word} takes two ends", "a job with a front beside the rear is accepted")
    if as_json:
        return json.dumps(_object(ridden, bike, felt, found), allow_nan=False) + "\n"
    return "\n".join(_lines(ridden, bike, felt, found)) + "\n"


def _ridden(bike: JobAnswer, name: str | None) -> _Ridden:
    """Return the setup of that name, the first of all where none is named."""
    ends = ENDS if bike.front is not None else ENDS[:1]
    answers = [(end, there) for end in ends if (there := bike.at(end)) is not None]
    seats = [
        _Ridden(end, there, place) for end, there in answers for place in range(len(there.answer.setups))
    ]
    named = [seat for seat in seats if name in (None, _name(seat))]
    if not named:
        known = ", ".join(f'"{brief(_name(seat))}"' for seat in seats)
        what = f'no setup is named "{brief(name or "")}"'
        raise refused("setup", what, f"--setup with one of {known} is accepted")
    return named[0]


def _name(seat: _Ridden) -> str:
    return seat.there.answer.setups[seat.place].name


def _lines(ridden: _Ridden, bike: JobAnswer, felt: Felt, found: Advised) -> list[str]:
    said, which = FELT[felt], f"{ridden.end} " if bike.front is not None else ""
    fork = ridden.there.answer.frame.fork
    lines = [f"After the ride, {which}{brief(_name(ridden))}: {said.label}", f"  {said.means}"]
    if not found.settles:
        return [*lines, f"  {words.UNSETTLED}"]
    for place, advice in enumerate(found.changes):
        lines.append(f"  {place + 1}. {words.change_text(advice, found.setup, USUAL, ridden.outside)}")
        effects = (*words.effects(advice, USUAL), spoken(words.CAUTIONS[advice.turned], fork))
        lines += [f"     {text}" for text in effects]
    if not found.changes:
        nothing = words.NOTHING_APART if felt == "ends_fight" else words.NOTHING
        lines.append(f"  {spoken(nothing, fork)}")
    lines += [f"  {text}" for text in (words.unavailable(found.setup),) if text]
    for name, ratio in _rebound(ridden):
        lines.append(f"  With {brief(name)} in its place: {words.rebound_text(ratio)}")
    return [*lines, f"  {words.PRACTICE}"]


def _rebound(ridden: _Ridden) -> list[tuple[str, float]]:
    """Return by how much rebound damping changes when each other setup of the wheel goes in."""
    setups = ridden.there.answer.setups
    here = float(setups[ridden.place].figures.critical_damping)
    ratios = [(s.name, rebound_change(here, float(s.riding.critical_damping))) for s in setups]
    others = (pair for place, pair in enumerate(ratios) if place != ridden.place)
    return [pair for pair in others if number(pair[1]) is not None]


def _object(ridden: _Ridden, bike: JobAnswer, felt: Felt, found: Advised) -> dict[str, Any]:
    complaint = COMPLAINTS.get(felt)
    return {
        "format": 1,
        "title": bike.job.title,
        "end": ridden.end,
        "setup": _name(ridden),
        "felt": FELT[felt].word,
        "settles": found.settles,
        "now": _feel(found.now),
        "rebound_damping": (complaint.rebound or None) if complaint is not None else None,
        "changes": [_change(advice, ridden, found) for advice in found.changes],
        "rebound_ratio_to": dict(_rebound(ridden)),
    }


def _change(advice: Advice, ridden: _Ridden, found: Advised) -> dict[str, Any]:
    before = ridden.there.job.setups[ridden.place]
    typed = with_change(before, advice, USUAL, ridden.outside)
    return {
        "text": words.change_text(advice, found.setup, USUAL, ridden.outside),
        "turned": advice.turned,
        "more": advice.more,
        # What to write into the setup's table of the job file, and what to take out of it.
        "write": {key: raw for key, raw in typed.items() if before.get(key) != raw},
        "take_out": [key for key in before if key not in typed],
        "figure": _KEYS[advice.figure],
        "effect_fraction": number(advice.effect),
        "side_figure": _KEYS[advice.side_figure],
        "side_fraction": number(advice.side),
        "rebound_ratio": number(advice.rebound),
        "then": _feel(advice.after),
        "caution": spoken(words.CAUTIONS[advice.turned], ridden.there.answer.frame.fork),
    }


def _feel(feel: Feel) -> dict[str, float | None]:
    return {key: number(getattr(feel, mark)) for mark, key in _KEYS.items()}
