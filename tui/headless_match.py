"""One spring like another, or by what is wanted of it, without a screen: lines or one JSON object."""

from __future__ import annotations

import json
from typing import Any, NamedTuple

from physics.arrays import Values
from physics.match import Match
from physics.unmatched import Unmatched
from physics.wants import Want, Wished, wished
from tui.headless import Unanswered, answered_file, refused
from tui.jobs import match_words as words
from tui.jobs.answer_json_springs import number
from tui.jobs.answering import JobAnswer
from tui.jobs.clean import brief
from tui.jobs.ends import ENDS
from tui.jobs.matching import matched_job, other_kind, settings_of, with_settings
from tui.jobs.wanted import UnusableWant, binds_text, judged_text, want_of
from tui.shop_units import USUAL, Measure


class MatchAsked(NamedTuple):
    """What the command line asks for; names are empty where none is given."""

    goal: str
    using: str
    want: tuple[str, ...]
    cans: bool


def match_text(source: str, asked: MatchAsked, *, as_json: bool) -> str:
    """Return the settings that come closest to a goal or to what is wanted; raises `Unanswered`."""
    bike = answered_file(source)
    if asked.want and asked.goal:
        raise refused("want", "given beside --goal", "one of the two is accepted")
    if asked.want:
        return _wanted(bike, asked, as_json=as_json)
    there, goal = _seat(bike, "goal", asked.goal)
    using = _using(there, goal, asked.using)
    found = matched_job(there, goal, using, cans=asked.cans)
    if isinstance(found, str):
        raise refused("goal", words.REASONS[found], "another goal, or another setup to set, is accepted")
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
    """Return the setup to be set, at the goal's end of the bike."""
    using = other_kind(there, goal)
    if using is None:
        raise refused("with", "the goal is the only setup of its end", "a second setup there is accepted")
    if not name:
        return using
    names = [_name(there, place) for place in range(len(there.answer.setups))]
    if name not in names:
        raise _unknown("with", name, names)
    if names.index(name) == goal:
        raise refused("with", "the goal itself", "another setup of its end is accepted")
    return names.index(name)


def _unknown(option: str, name: str, known: list[str]) -> Unanswered:
    listed = ", ".join(f'"{brief(each)}"' for each in known)
    return refused(
        option, f'no setup is named "{brief(name)}"', f"--{option} with one of {listed} is accepted"
    )


def _name(there: JobAnswer, place: int) -> str:
    return there.answer.setups[place].name


def _settings_lines(there: JobAnswer, using: int, found: Match | Wished) -> list[str]:
    outside = float(there.answer.shop.pressure)
    rows = words.settings_rows(there.answer.setups[using].setup, found.setup, USUAL, outside)
    return [f"  {name}: {now} to {then}" for name, now, then in rows]


def _match_lines(there: JobAnswer, goal: int, using: int, found: Match) -> list[str]:
    return [
        f"{brief(_name(there, using))} set like {brief(_name(there, goal))}",
        *_settings_lines(there, using, found),
        f"  {words.close_text(found, USUAL)}",
        f"  {words.gap_text(found, USUAL)}",
        *(f"  {text}" for text in (words.buyable_text(found, USUAL),) if text),
        f"  {words.MIND}",
        f"  {words.MEANING}",
    ]


def _match_object(there: JobAnswer, goal: int, using: int, found: Match) -> dict[str, Any]:
    return {
        **_setting_object(there, using, found),
        "goal": _name(there, goal),
        "sag_fraction": number(found.sag.sag),
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


def _setting_object(there: JobAnswer, using: int, found: Match | Wished) -> dict[str, Any]:
    """Return what is found as SI gauge numbers, and what to write into the setup's table of the job file."""
    before, outside = there.job.setups[using], float(there.answer.shop.pressure)
    typed = with_settings(before, found.setup, USUAL, outside)
    return {
        "format": 1,
        "title": there.job.title,
        "with": _name(there, using),
        "settings_si": {key: number(value) for key, value in settings_of(found.setup, outside).items()},
        "write": {key: raw for key, raw in typed.items() if before.get(key) != raw},
        "take_out": [key for key in before if key not in typed],
    }


def _wanted(bike: JobAnswer, asked: MatchAsked, *, as_json: bool) -> str:
    there, using = _seat(bike, "with", asked.using)
    wants = [_want(text) for text in asked.want]
    try:
        found = wished(there.case, using, wants, cans=asked.cans)
    except Unmatched as unmatched:
        accepted = "another setup or another target sag is accepted"
        raise refused("with", words.REASONS[unmatched.reason], accepted) from unmatched
    if as_json:
        wish = {**_setting_object(there, using, found), **_wish_object(found)}
        return json.dumps(wish, allow_nan=False) + "\n"
    sag = USUAL.show(float(there.answer.target.sag), Measure.FRACTION)
    lines = [f"{brief(_name(there, using))} for {sag} sag of {there.answer.target.of}"]
    lines += _settings_lines(there, using, found)
    lines += [f"  {judged_text(each, USUAL)}" for each in found.judged]
    return "\n".join([*lines, f"  {binds_text(found)}", f"  {words.MIND}"]) + "\n"


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
                "found": number(each.found),
                "alone": number(each.alone),
                "met": each.met,
                "reachable": each.reachable,
            }
            for each in found.judged
        ],
        "binds": found.judged[found.binds].want.figure,
    }
