"""One spring like another, or by what is wanted of it, without a screen: lines or one JSON object."""

from __future__ import annotations

import json
import math
from typing import Any, NamedTuple

from physics.arrays import Values
from physics.faults import Reason
from physics.limits import HIGHEST_PRESSURE
from physics.match import Match
from physics.offered import MOST_REST
from physics.wants import Want, Wished
from tui.headless import Unanswered, answered_file, refused
from tui.jobs import match_words as words
from tui.jobs.answer_json import answer_object
from tui.jobs.answer_json_springs import number
from tui.jobs.answering import JobAnswer
from tui.jobs.clean import brief
from tui.jobs.ends import ENDS
from tui.jobs.matching import Offer, matched_job, other_kind, settings_of, turned
from tui.jobs.wanted import UnusableWant, binds_text, judged_text, want_of, wished_job
from tui.shop_units import USUAL, Measure


class MatchAsked(NamedTuple):
    """What the command line asks for; names are empty where none is given."""

    goal: str
    using: str
    want: tuple[str, ...]
    volumes: bool


def match_text(source: str, asked: MatchAsked, *, as_json: bool) -> str:
    """Return the settings that come closest to a target setup or to what is wanted; raises `Unanswered`."""
    bike = answered_file(source)
    if asked.want and asked.goal:
        raise refused("want", "given beside --goal", "one of the two is accepted")
    if asked.want:
        return _wanted(bike, asked, as_json=as_json)
    there, goal = _seat(bike, "goal", asked.goal)
    using = _using(there, goal, asked.using)
    found = matched_job(there, goal, using, USUAL, volumes=asked.volumes)
    if isinstance(found, str):
        option = "goal" if found == "target_unsettled" else "with"
        raise refused(option, _why_not(there, using, found), "use another setup or another target sag")
    if as_json:
        return json.dumps(_match_object(there, goal, using, found), allow_nan=False) + "\n"
    return "\n".join(_match_lines(there, goal, using, found)) + "\n"


def _seat(bike: JobAnswer, option: str, name: str) -> tuple[JobAnswer, int]:
    """Return the end that has a setup of this name and its place there; the first of all without a name."""
    ends = [there for end in ENDS if (there := bike.at(end)) is not None]
    seats = [(there, place) for there in ends for place in range(len(there.answer.setups))]
    named = [seat for seat in seats if name in ("", _name(*seat))]
    if not named:
        raise _unknown(option, name, [_name(*seat) for seat in seats])
    return named[0]


def _using(there: JobAnswer, goal: int, name: str) -> int:
    """Return the setup to be set, at the target setup's end of the bike."""
    using = other_kind(there, goal)
    if using is None:
        raise refused(
            "with", "the target setup is the only one of its end", "a second setup there is accepted"
        )
    if not name:
        return using
    names = [_name(there, place) for place in range(len(there.answer.setups))]
    if name not in names:
        raise _unknown("with", name, names)
    if names.index(name) == goal:
        raise refused("with", "the target setup itself", "another setup of its end is accepted")
    return names.index(name)


def _unknown(option: str, name: str, known: list[str]) -> Unanswered:
    listed = ", ".join(f'"{brief(each)}"' for each in known)
    return refused(
        option, f'no setup is named "{brief(name)}"', f"--{option} with one of {listed} is accepted"
    )


def _name(there: JobAnswer, place: int) -> str:
    return there.answer.setups[place].name


def _why_not(there: JobAnswer, using: int, reason: Reason) -> str:
    return words.reason_text(reason, there.answer.setups[using].setup, there.answer, USUAL).rstrip(".")


def _settings_lines(there: JobAnswer, using: int, offer: Offer[Match] | Offer[Wished]) -> list[str]:
    outside = float(there.answer.shop.pressure)
    rows = words.settings_rows(there.answer.setups[using].setup, offer, USUAL, outside)
    return [f"  {name}: {now} to {then}" for name, now, then in rows]


def _offer_lines(offer: Offer[Match] | Offer[Wished]) -> list[str]:
    """Return the bounds and every caution of what is offered."""
    told = [
        f"Searched: {words.searched_text(offer, USUAL)}",
        words.on_bound_text(offer),
        *(f"Caution: {text}" for text in words.caution_texts(offer, USUAL)),
        words.MIND,
    ]
    return [f"  {text}" for text in told if text]


def _match_lines(there: JobAnswer, goal: int, using: int, offer: Offer[Match]) -> list[str]:
    found = offer.found
    return [
        f"{brief(_name(there, using))} set like {brief(_name(there, goal))}",
        *_settings_lines(there, using, offer),
        f"  {words.sag_text(offer.setup, USUAL)}",
        f"  {words.close_text(found, USUAL)}",
        f"  {words.gap_text(found, USUAL)}",
        *(f"  {text}" for text in (words.buyable_text(found, USUAL),) if text),
        *_offer_lines(offer),
        f"  {words.MEANING}",
    ]


def _match_object(there: JobAnswer, goal: int, using: int, offer: Offer[Match]) -> dict[str, Any]:
    found = offer.found
    return {
        **_offer_object(there, using, offer),
        "goal": _name(there, goal),
        "sag_fraction": number(offer.setup.sag.wheel_fraction),
        "closeness_fraction": number(found.closeness),
        "closeness_n": number(found.force),
        "largest_gap_n": number(found.gap),
        "largest_gap_at_mm": _mm(found.gap_at),
        "gap_from_mm": _mm(found.gap_from),
        "gap_to_mm": _mm(found.gap_to),
        "to_buy": [
            {
                "rate_n_per_mm": number(rung.rate / 1e3),
                "preload_mm": number(rung.preload * 1e3),
                "closeness_fraction": number(rung.closeness),
            }
            for rung in found.rungs
        ],
    }


def _mm(length: Values) -> float | None:
    return number(float(length) * 1e3)


def _offer_object(there: JobAnswer, using: int, offer: Offer[Match] | Offer[Wished]) -> dict[str, Any]:
    """Return what is found, what to write into the setup's table of the job file, and the answer to that.

    Settings and bounds are SI, pressures gauge.
    """
    before, outside = there.job.setups[using], float(there.answer.shop.pressure)
    typed, settings = offer.table, settings_of(offer.setup.setup, outside)
    promised = answer_object(offer.tried)["setups"][0]
    return {
        "format": 1,
        "title": there.job.title,
        "with": _name(there, using),
        "settings_si": {key: number(settings[key]) for key in turned(offer.found)},
        "bounds_si": {
            bound.name: {"low": low, "high": high, "on": bound.on or None}
            for bound in offer.found.bounds
            for low, high in (words.ends_of(bound, outside),)
        },
        "limits": {
            "highest_pressure_bar": HIGHEST_PRESSURE / 1e5,
            "rest_stroke_mm": MOST_REST * 1e3,
        },
        "write": {key: raw for key, raw in typed.items() if before.get(key) != raw},
        "take_out": [key for key in before if key not in typed],
        "promised": {key: promised[key] for key in _PROMISED if key in promised},
        "cautions": promised["cautions"],
    }


_PROMISED = (
    "state", "rate_n_per_mm", "rate_lbf_per_in", "preload_mm", "set_pressure_psi", "set_pressure_bar",
    "peak_pressure_psi", "fast_peak_pressure_psi", "rest_stroke_mm", "sag", "figures", "riding",
)  # fmt: skip
"""What is promised, of what `solve --json` says of the same setup."""


def _wanted(bike: JobAnswer, asked: MatchAsked, *, as_json: bool) -> str:
    there, using = _seat(bike, "with", asked.using)
    wants = tuple(_want(text) for text in asked.want)
    offer = wished_job(there, using, wants, USUAL, volumes=asked.volumes)
    if isinstance(offer, str):
        raise refused("with", _why_not(there, using, offer), "use another setup or another target sag")
    found = offer.found
    if as_json:
        wish = {**_offer_object(there, using, offer), **_wish_object(found)}
        return json.dumps(wish, allow_nan=False) + "\n"
    sag = USUAL.show(float(there.answer.target.sag), Measure.FRACTION)
    lines = [f"{brief(_name(there, using))} for {sag} sag of {there.answer.target.of}"]
    lines += _settings_lines(there, using, offer)
    lines += [f"  {words.sag_text(offer.setup, USUAL)}"]
    lines += [f"  {judged_text(each, USUAL)}" for each in found.judged]
    return "\n".join([*lines, f"  {binds_text(found)}", *_offer_lines(offer)]) + "\n"


def _want(text: str) -> Want:
    try:
        return want_of(text, USUAL)
    except UnusableWant as unusable:
        raise refused("want", unusable.what, unusable.accepted) from unusable


def _wish_object(found: Wished) -> dict[str, Any]:
    return {
        "wants": [
            {
                "figure": each.want.figure,
                "relation": each.want.relation,
                "number": each.want.number,
                "exists": not math.isnan(each.found),
                "found": number(each.found),
                "alone": number(each.alone),
                "met": each.met,
                "reachable": each.reachable,
            }
            for each in found.judged
        ],
        "binds": found.judged[found.binds].want.figure,
    }
