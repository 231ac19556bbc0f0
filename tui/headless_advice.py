"""After the ride without a screen: what was felt to a list of changes, as lines or as one JSON object."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any, NamedTuple

from physics.advise import MEANINGS, Advice, Advised, Feel, Symptom, rebound_change
from physics.faults import Caution
from tui.headless import answered_file, refused
from tui.jobs import advice_words as words
from tui.jobs.advice_words import sag_first
from tui.jobs.advised import advised, cautions_of, sag_measured, with_change
from tui.jobs.answer_json_springs import number
from tui.jobs.answering import JobAnswer
from tui.jobs.clean import brief
from tui.jobs.ends import ENDS, End
from tui.jobs.fork_words import spoken
from tui.jobs.symptom_words import SYMPTOMS, new_word
from tui.jobs.tree import Table
from tui.jobs.words import caution_text
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
"""The key of each figure, as in the answer to a job: sag and breakaway force there, the rest in `riding`."""


class _Ridden(NamedTuple):
    """The setup that was ridden: its end, that end's answer and its place there."""

    end: End
    there: JobAnswer
    place: int

    @property
    def outside(self) -> float:
        """Ambient pressure [Pa] of the shop."""
        return float(self.there.answer.shop.pressure)


def advice_text(source: str, words: Sequence[str], name: str | None, *, as_json: bool) -> str:
    """Return what to change on a setup of a job file for what was felt; raises `Unanswered`."""
    bike, asked = answered_file(source), {new_word(word) for word in words}
    symptoms = tuple(symptom for symptom, said in SYMPTOMS.items() if said.word in asked)
    ridden = _ridden(bike, name)
    other = bike.at("front" if ridden.end == "rear" else "rear") if bike.front is not None else None
    if "unbalanced" in symptoms and other is None:
        raise refused("symptom", "unbalanced takes two ends", "use a job with a front beside the rear")
    found = advised(ridden.there, ridden.place, symptoms, USUAL, other)
    assert found is not None
    told = _Told(ridden, bike, symptoms, found)
    if as_json:
        return json.dumps(_object(told), allow_nan=False) + "\n"
    return "\n".join(_lines(told)) + "\n"


class _Told(NamedTuple):
    """The advice for the setup that was ridden."""

    ridden: _Ridden
    bike: JobAnswer
    symptoms: tuple[Symptom, ...]
    found: Advised

    @property
    def sag_first(self) -> list[str]:
        """Why the sag has to be put right first, and what does it."""
        there, place = self.ridden.there, self.ridden.place
        said = sag_first(self.found, sag_measured(there, place), USUAL, self.ridden.outside)
        return [spoken(text, there.answer.frame.fork) for text in said]

    def cautions(self, advice: Advice) -> tuple[Caution, ...]:
        """Every caution that the job gets with a change in it."""
        return cautions_of(self.ridden.there, advice)

    def typed(self, advice: Advice) -> Table:
        """Return the setup as it stands in the job with a change in it."""
        before = self.ridden.there.job.setups[self.ridden.place]
        return with_change(before, self.found.setup, advice, USUAL, self.ridden.outside)


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


def _lines(told: _Told) -> list[str]:
    ridden, found = told.ridden, told.found
    which = f"{ridden.end} " if told.bike.front is not None else ""
    fork = ridden.there.answer.frame.fork
    said = [SYMPTOMS[symptom] for symptom in told.symptoms]
    felt = ", ".join(one.label for one in said)
    lines = [f"After the ride, {which}{brief(_name(ridden))}: {felt}", *(f"  {one.means}" for one in said)]
    lines += [f"  {text}" for text in told.sag_first]
    if not found.settles:
        lines.append(f"  {words.unsettled(found)}")
    for place, advice in enumerate(found.changes):
        lines.append(f"  {place + 1}. {words.change_text(advice, found.setup, USUAL, ridden.outside)}")
        cautions = words.cautions_text(
            advice, told.cautions(advice), USUAL, ridden.outside, fork, told.typed(advice)
        )
        told_of = (spoken(text, fork) for text in words.effects(advice, found.target, USUAL))
        effects = (*told_of, *(f"Caution: {text}" for text in cautions))
        lines += [f"     {text}" for text in effects]
    if not found.settles:
        return lines
    if not any(not advice.first for advice in found.changes):
        nothing = words.NOTHING_APART if told.symptoms == ("unbalanced",) else words.NOTHING
        lines.append(f"  {spoken(nothing, fork)}")
    lines += [
        f"  {text}" for text in (spoken(words.left_out(found), fork), words.unavailable(found.setup)) if text
    ]
    for name, ratio in _rebound(ridden):
        lines.append(f"  With {brief(name)} in its place: {words.rebound_text(ratio)}")
    return [*lines, f"  {spoken(words.PRACTICE, fork)}"]


def _rebound(ridden: _Ridden) -> list[tuple[str, float]]:
    """Return by how much rebound damping changes when each other setup of the wheel goes in."""
    setups = ridden.there.answer.setups
    here = float(setups[ridden.place].riding.critical_damping)
    ratios = [(s.name, rebound_change(here, float(s.riding.critical_damping))) for s in setups]
    others = (pair for place, pair in enumerate(ratios) if place != ridden.place)
    return [pair for pair in others if number(pair[1]) is not None]


def _object(told: _Told) -> dict[str, Any]:
    found = told.found
    turns = [MEANINGS[symptom].rebound for symptom in told.symptoms if symptom in MEANINGS]
    return {
        "format": 1,
        "title": told.bike.job.title,
        "end": told.ridden.end,
        "setup": _name(told.ridden),
        "symptoms": [SYMPTOMS[symptom].word for symptom in told.symptoms],
        "settles": found.settles,
        "target": {"sag_fraction": number(found.target.sag), "of": found.target.of},
        "sag_first": told.sag_first,
        "now": _feel(found.now),
        "rebound_damping": next((turn for turn in turns if turn), None),
        "changes": [_change(advice, told) for advice in found.changes],
        "left_out_for": sorted(found.barred),
        "rebound_ratio_to": dict(_rebound(told.ridden)),
    }


def _change(advice: Advice, told: _Told) -> dict[str, Any]:
    ridden, found = told.ridden, told.found
    before = ridden.there.job.setups[ridden.place]
    typed = told.typed(advice)
    fork = ridden.there.answer.frame.fork
    return {
        "text": words.change_text(advice, found.setup, USUAL, ridden.outside),
        "turned": advice.turned,
        "more": advice.more,
        "brings_sag_to_target": advice.first,
        "takes_sag_off_target": advice.leaves_target,
        # What to write into the setup's table of the job file, and what to take out of it.
        "write": {key: raw for key, raw in typed.items() if before.get(key) != raw},
        "take_out": [key for key in before if key not in typed],
        "figure": _KEYS[advice.figure],
        "effect_fraction": number(advice.effect),
        "effects": [
            {
                "symptom": SYMPTOMS[effect.symptom].word,
                "figure": _KEYS[effect.figure],
                "effect_fraction": number(effect.share),
                "helps": effect.helps,
                "worsens": effect.harms,
            }
            for effect in advice.effects
        ],
        "side_figure": None if advice.side_figure is None else _KEYS[advice.side_figure],
        "side_fraction": number(advice.side),
        "rebound_ratio": number(advice.rebound),
        "then": _feel(advice.after),
        "caution": spoken(words.CAUTIONS[advice.turned], fork),
        "cautions": [
            {"code": caution.code, "text": caution_text(caution, USUAL, ridden.outside, fork, typed)}
            for caution in told.cautions(advice)
        ],
    }


def _feel(feel: Feel) -> dict[str, float | None]:
    return {key: number(getattr(feel, mark)) for mark, key in _KEYS.items()}
