"""Faults of a job, or of the text of its file, in words."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import replace

from physics.faults import Fault
from physics.units import quoted
from tui.job.faults import TO_MEASURE, JobFault, Spelling
from tui.shop_units import USUAL, Measure

_WORDS = {
    "nothing_left": ("unsprung mass takes all the load on this wheel: none left for the spring",
        "use less than the {carried} on this wheel"),
    "does_not_close": ("stroke is {stroke}, but wheel travel and leverage give {leverage_stroke}, "
        "{closure_error} off",
        "check the stroke; {fits}"),
    "ratio_not_positive": ("the leverage ratio falls to {ratio} within the travel",
        "use ratios above 0 all through the travel"),
    "not_increasing": ("does not increase", "use increasing numbers"),
    "not_covered": ("the rows run from {first} to {last}",
        "use rows from 0 mm to the wheel travel of {wheel_travel}"),
    "too_few_pairs": ("{pairs} pairs are too few", "use at least four pairs of travel and stroke"),
    "pairs_end": (TO_MEASURE + ": {last} to {wheel_travel} of travel", "use pairs up to full travel"),
    "stroke_turns_back": ("a smooth curve through these pairs turns back: the shock would extend as the "
        "wheel rises", "look for a misread pair: stroke must grow with travel"),
    "chamber_used_up": ("chamber too small by {left}",
        "use a larger chamber or fewer spacers: it must hold the full stroke"),
    "gas_used_up": ("gas volume too small for the damper rod by {left}",
        "use more than {needed}"),
    "legs_used_up": ("lower leg volume too small for the stanchion by {left}",
        "use more than {needed}"),
    "wider_than_bore": ("not smaller than the bore", "use less than the bore of {bore}"),
    "longer_than_stroke": ("beyond the stroke", "use at most the stroke of {stroke}"),
    "negative_preload": ("below zero", "use 0 mm or more"),
    "no_hole": ("too thick for a mean diameter of {mean_diameter}",
        "use thinner wire or a larger diameter"),
    "no_working_coils": ("no active coil left",
        "use more than the {dead} dead end coils"),
    "fewer_than_working": ("fewer than the active coils", "use at least the {coils} active coils"),
    "below_solid": ("shorter than the solid length {solid}",
        "use a larger free length; check coils and wire"),
    "point_twice": ("more than one point has the name {names}",
        "give each point its own name"),
    "point_unknown": ("no point has the name {names}", "use the name of a point"),
    "point_without_bars": ("no bar holds {names}", "fix the point or add bars to it"),
    "bar_between_fixed": ("{names} joins two fixed points", "use bars with at least one moving end"),
    "bar_twice": ("{names} is listed twice", "list each bar once"),
    "bar_without_length": ("{names} has no length", "use two points that are apart"),
    "shock_without_length": ("both eyes are at the same place", "use two points that are apart"),
    "axle_fixed": ("{names} is fixed, the wheel could not move", "use a moving point"),
    "shock_fixed": ("both shock eyes are fixed: the shock cannot compress",
        "use at least one moving eye"),
    "loose": ("too few bars, by {surplus}: with the shock locked {names} can still move",
        "leave one way to move: a part with three points needs three bars, with four five"),
    "braced": ("too many bars, by {surplus}: nothing can move, remove {names}",
        "leave one way to move"),
    "shock_still": ("the linkage moves without compressing the shock",
        "put the eyes on parts that move against each other"),
    "longer_than_shock": ("as long as the drawn shock or longer",
        "use a stroke below the drawn eye-to-eye of {eye_to_eye}"),
    "locks": ("linkage locks at {at_stroke} stroke: {names} would have to stretch",
        "use points that let the shock use its full stroke"),
    "jumps": ("at {at_stroke} stroke the linkage can fold either way: {names} in line",
        "use points that do not come into line"),
    "axle_falls": ("{names} stops rising at {at_stroke} stroke",
        "use an axle that rises all through the stroke; y counts up in mm and down in pixels"),
    "eyes_differ": ("{typed} was typed, but the drawn eyes are {drawn} apart",
        "check the points, the known length and the shock: up to 5 % may remain"),
}  # fmt: skip
"""What is wrong and what to use, by code; `names` are those of points and bars."""

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
"""Measures of the values of faults; others are lengths."""

_CLOSES = {"fits_end": "ratio at end", "fits_middle": "ratio at middle", "fits_travel": "wheel travel"}
"""Names of the numbers that would make a frame consistent."""
_SIZES = ("left", "closure_error")
"""Values shown without sign, as the words say the direction."""


def job_faults(faults: Iterable[Fault], spelling: Spelling) -> tuple[JobFault, ...]:
    """Put words to faults of the physics, each at its place in the file."""
    return tuple(job_fault(replace(fault, field=spelling.in_file(fault.field))) for fault in faults)


def job_fault(fault: Fault) -> JobFault:
    """Put words to one fault."""
    words = _WORDS.get(fault.code)
    if words is None:
        return JobFault(fault.field, fault.code.replace("_", " "), "use another value")
    values = {name: _shown(name, value) for name, value in fault.values.items()}
    values["names"] = ", ".join(
        quoted(name) if isinstance(name, str) else f"bar {quoted(name[0])} to {quoted(name[1])}"
        for name in fault.names
    )
    values["fits"] = closing_text(fault.values)
    what, accepted = (text.format_map(values) for text in words)
    return JobFault(fault.field, what, accepted)


def closing_text(values: Mapping[str, float]) -> str:
    """Return the values that make a frame consistent with its stroke, from its fault, in words."""
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


_ACCEPTED = "use a job file in TOML"
_QUOTES = 'put text and quantities in quotes, such as "85 kg"'
_WHERE = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")
_KEY = re.compile(r"""\s*(?:\[+\s*([^\]]+?)\s*\]+|("[^"]*"|'[^']*'|[\w."'-]+)\s*=)""")
_INLINE = re.compile(r"Duplicate inline table key '(.*)' \(at")
_TWICE = ("Cannot overwrite", "Cannot declare", "Cannot mutate", "Cannot redefine", "Duplicate")
_TOML_WORDS = {
    "Expected newline or end of document": ("extra text after the value", _QUOTES),
    "Invalid value": ("no value after the equals sign", _QUOTES),
    "Expected '='": ("no equals sign after the key", "use key = value"),
    "Unterminated string": ("a closing quotation mark is missing", _QUOTES),
    "Unclosed array": ("a closing bracket ] or a comma is missing", _ACCEPTED),
    "Unclosed inline table": ("a closing brace } or a comma is missing", _ACCEPTED),
    "Expected ']": ("the closing bracket of a table is missing", "use [name] or [[name]]"),
    "Invalid statement": ("the key is missing", "use key = value"),
    "Invalid initial character for a key": ("the key is missing", "use key = value"),
    "Illegal character": ("a line end or control character in quotes", _QUOTES),
    "Found invalid character": ("a line end or control character in the wrong place", _ACCEPTED),
    "Unescaped": ("a single backslash in a text", "use two backslashes for one"),
}
"""Beginnings of the parser's messages, and words for them."""


def toml_fault(text: str, error: Exception) -> JobFault:
    """Return the fault for a text that the parser rejected with `error`."""
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
        again = "or a part of it has a value already" if "." in key else "appears twice"
        what = f"not TOML in line {line}: {quoted(key)} {again}"
        return JobFault((), what, "use each key and each table once")
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
