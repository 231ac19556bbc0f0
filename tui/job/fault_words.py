"""What can be wrong with a job or with the text of its file, in words."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import replace

from physics.faults import Fault
from physics.units import quoted
from tui.job.faults import JobFault, Spelling
from tui.shop_units import USUAL, Measure

_WORDS = {
    "nothing_left": ("the wheel weighs as much as rests on it, the spring would carry nothing",
        "less than the {carried} on this wheel is accepted"),
    "does_not_close": ("the stroke is {stroke}, but the leverage turns the wheel travel into "
        "{leverage_stroke} of stroke, {closure_error} off",
        "check the stroke; {fits}"),
    "ratio_not_positive": ("the leverage ratio falls to {ratio} within the travel",
        "ratios above 0 all through the travel are accepted"),
    "not_increasing": ("does not increase", "numbers each above the one before are accepted"),
    "not_covered": ("the rows run from {first} to {last}",
        "rows from 0 mm to the wheel travel of {wheel_travel} are accepted"),
    "too_few_pairs": ("{pairs} pairs are too few", "at least four pairs of travel and stroke are accepted"),
    "stroke_turns_back": ("a smooth curve through these pairs turns back: the shock would extend as the "
        "wheel rises", "stroke that grows with every step of travel is accepted; look for a misread pair"),
    "chamber_used_up": ("the chamber is used up, {left} short",
        "room for its spacers, and for the full stroke where the chamber shrinks, is accepted"),
    "gas_used_up": ("the damper rod takes up all the gas before full stroke, {left} short",
        "more than {needed} is accepted"),
    "legs_used_up": ("the stanchion takes up all the air of the lower leg before full stroke, {left} short",
        "more than {needed} is accepted"),
    "wider_than_bore": ("as wide as the bore or wider", "less than the bore of {bore} is accepted"),
    "longer_than_stroke": ("beyond the stroke", "at most the stroke of {stroke} is accepted"),
    "negative_preload": ("below zero", "preload of 0 mm or more is accepted"),
    "no_hole": ("too thick for a coil of {mean_diameter} mean diameter, there is no hole left",
        "wire thinner than that is accepted"),
    "no_working_coils": ("no coil is left to work",
        "more than the {dead} coils that lie dead at the ends is accepted"),
    "fewer_than_working": ("fewer than the coils that work", "at least the {coils} that work is accepted"),
    "below_solid": ("shorter than the coil's own wire stacked up, {solid}",
        "a free length above that is accepted; check coils and wire"),
    "point_twice": ("more than one point has the name {names}",
        "a name of its own for each point is accepted"),
    "point_unknown": ("no point has the name {names}", "the name of a point is accepted"),
    "point_without_bars": ("no bar leads to {names}", "points that are fixed or held by bars are accepted"),
    "bar_between_fixed": ("{names} joins two fixed points", "bars with at least one moving end are accepted"),
    "bar_twice": ("{names} is there a second time", "each bar once is accepted"),
    "bar_without_length": ("{names} has no length", "two points that lie apart are accepted"),
    "shock_without_length": ("both eyes lie at one place", "two points that lie apart are accepted"),
    "axle_fixed": ("{names} is fixed, the wheel could not move", "a moving point is accepted"),
    "shock_fixed": ("both eyes are fixed, nothing could shorten the shock",
        "at least one moving eye is accepted"),
    "loose": ("too few bars, by {surplus}: with the shock held {names} can still move",
        "bars that leave one way to move are accepted: three points of one part take three, four take five"),
    "braced": ("too many bars, by {surplus}: nothing can move; to take out: {names}",
        "bars that leave one way to move are accepted"),
    "shock_still": ("the mechanism moves without making this shock shorter",
        "eyes on parts that move against each other are accepted"),
    "longer_than_shock": ("as long as the drawn shock or longer",
        "a stroke below the drawn eye-to-eye of {eye_to_eye} is accepted"),
    "locks": ("the linkage locks after {at_stroke} of stroke: {names} would have to stretch",
        "points that let the shock use its full stroke are accepted"),
    "jumps": ("after {at_stroke} of stroke the linkage could fold either way: {names} in line",
        "points that leave one way to go are accepted"),
    "axle_falls": ("{names} does not rise as the shock shortens, after {at_stroke} of stroke",
        "an axle that rises all through the stroke is accepted; y counts up in mm and down in pixels"),
    "eyes_differ": ("{typed} was typed, but the drawn eyes are {drawn} apart",
        "a difference of up to 5 % is accepted; check the points, the known length and the shock"),
}  # fmt: skip
"""By code: what is wrong, and what is accepted; `names` are those of points and bars."""

_MEASURES = {
    "carried": Measure.MASS,
    "closure_error": Measure.FRACTION,
    **dict.fromkeys(("ratio", "fits_end", "fits_middle"), Measure.RATIO),
    "pairs": Measure.COUNT,
    "dead": Measure.COUNT,
    "coils": Measure.RATIO,
    "left": Measure.VOLUME,
    "needed": Measure.VOLUME,
    "surplus": Measure.COUNT,
}
"""What the values of faults measure; those not named are lengths."""

_CLOSES = {"fits_end": "end ratio", "fits_middle": "mid ratio", "fits_travel": "wheel travel"}
"""What each number is called that closes a frame."""
_SIZES = ("left", "closure_error")
"""Values whose sign the words already tell."""


def job_faults(faults: Iterable[Fault], spelling: Spelling) -> tuple[JobFault, ...]:
    """Put words to faults of the physics, each at its place in the file."""
    return tuple(job_fault(replace(fault, field=spelling.in_file(fault.field))) for fault in faults)


def job_fault(fault: Fault) -> JobFault:
    """Put words to one fault."""
    words = _WORDS.get(fault.code)
    if words is None:
        return JobFault(fault.field, fault.code.replace("_", " "), "another value is needed")
    values = {name: _shown(name, value) for name, value in fault.values.items()}
    values["names"] = ", ".join(
        quoted(name) if isinstance(name, str) else f"bar {quoted(name[0])} to {quoted(name[1])}"
        for name in fault.names
    )
    values["fits"] = closing_text(fault.values)
    what, accepted = (text.format_map(values) for text in words)
    return JobFault(fault.field, what, accepted)


def closing_text(values: Mapping[str, float]) -> str:
    """Say what closes a frame on its stroke, of the values of its fault."""
    told = [
        f"{name} {_shown(key, values[key])}"
        for key, name in _CLOSES.items()
        if math.isfinite(values.get(key, math.nan))
    ]
    if not told:
        return "use wheel travel, stroke and ratios that agree to 5 %"
    return f"it fits with {', '.join(told[:-1])}{' or ' if told[1:] else ''}{told[-1]}"


def _shown(name: str, value: float) -> str:
    return USUAL.show(abs(value) if name in _SIZES else value, _MEASURES.get(name, Measure.TRAVEL))


_ACCEPTED = "a job file in TOML is accepted"
_QUOTES = 'text and quantities in quotes, such as "85 kg", are accepted'
_WHERE = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")
_KEY = re.compile(r"""\s*(?:\[+\s*([^\]]+?)\s*\]+|("[^"]*"|'[^']*'|[\w."'-]+)\s*=)""")
_INLINE = re.compile(r"Duplicate inline table key '(.*)' \(at")
_TWICE = ("Cannot overwrite", "Cannot declare", "Cannot mutate", "Cannot redefine", "Duplicate")
_TOML_WORDS = {
    "Expected newline or end of document": ("there is more behind the value", _QUOTES),
    "Invalid value": ("there is no value behind the equals sign", _QUOTES),
    "Expected '='": ("there is no equals sign behind the key", "key = value is accepted"),
    "Unterminated string": ("a closing quotation mark is missing", _QUOTES),
    "Unclosed array": ("a closing bracket ] or a comma is missing", _ACCEPTED),
    "Unclosed inline table": ("a closing brace } or a comma is missing", _ACCEPTED),
    "Expected ']": ("the closing bracket of a table is missing", "[name] or [[name]] is accepted"),
    "Invalid statement": ("there is no key", "key = value is accepted"),
    "Invalid initial character for a key": ("there is no key", "key = value is accepted"),
    "Illegal character": ("a line end or control character stands in quotes", _QUOTES),
    "Found invalid character": ("a line end or control character stands where none may", _ACCEPTED),
    "Unescaped": ("a backslash stands alone in a text", "two of them for one are accepted"),
}
"""How the parser's sentences begin, and what a mechanic makes of them."""


def toml_fault(text: str, error: Exception) -> JobFault:
    """Return the fault of a text that the parser gave up on with `error`."""
    if isinstance(error, RecursionError):
        return JobFault((), "not TOML that can be read: tables or arrays nested without end", _ACCEPTED)
    where = _WHERE.search(str(error))
    if where is None:
        return JobFault((), "not TOML that can be read: a number of thousands of digits", _ACCEPTED)
    lines = text.rstrip().split("\n")
    line = int(where[1] or len(lines))
    if str(error).startswith(_TWICE):
        inline = _INLINE.match(str(error))
        key = inline[1] if inline else _key_before(lines, line)
        again = "or a part of it has a value already" if "." in key else "is there a second time"
        what = f"not TOML in line {line}: {quoted(key)} {again}"
        return JobFault((), what, "each key and each table once is accepted")
    told = (words for begin, words in _TOML_WORDS.items() if str(error).startswith(begin))
    why, accepted = next(told, ("this cannot be read", _ACCEPTED))
    place = f"line {line}, column {where[2]}" if where[2] else "its last line"
    return JobFault((), f"not TOML in {place}: {why}", accepted)


def _key_before(lines: list[str], number: int) -> str:
    """Return the last key or table that begins in a line up to `number`."""
    for line in reversed(lines[:number]):
        found = _KEY.match(line)
        if found is not None:
            return (found[1] or found[2]).strip("\"'")
    return lines[number - 1].strip()
