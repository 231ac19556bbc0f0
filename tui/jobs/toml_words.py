"""Why a text is no TOML, in words and at its line."""

from __future__ import annotations

import re

from physics.units import quoted
from tui.jobs.faults import JobFault

_ACCEPTED = "a job file in TOML is accepted"
_QUOTES = 'text and quantities in quotes, such as "85 kg", are accepted'
_WHERE = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")
_KEY = re.compile(r"""\s*(?:\[+\s*([^\]]+?)\s*\]+|("[^"]*"|'[^']*'|[\w."'-]+)\s*=)""")
_INLINE = re.compile(r"Duplicate inline table key '(.*)' \(at")
_TWICE = ("Cannot overwrite", "Cannot declare", "Cannot mutate", "Cannot redefine", "Duplicate")
_WORDS = {
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
    told = (words for begin, words in _WORDS.items() if str(error).startswith(begin))
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
