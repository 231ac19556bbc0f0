"""Units as people write them, in words or with signs of their own, turned into plain symbols."""

from __future__ import annotations

import re
import unicodedata

_SYMBOLS = {
    "metre": "m",
    "millimetre": "mm",
    "centimetre": "cm",
    "inch": "in",
    "thou": "mil",
    "gram": "g",
    "kilo": "kg",
    "kilogram": "kg",
    "pound": "lb",
    "lbs": "lb",
    "stone": "st",
    "newton": "N",
    "kilonewton": "kN",
    "kilopond": "kp",
    "pascal": "Pa",
    "kilopascal": "kPa",
    "megapascal": "MPa",
    "bar": "bar",
    "torr": "Torr",
    "millilitre": "ml",
    "degree": "deg",
    "radian": "rad",
    "celsius": "C",
    "centigrade": "C",
    "fahrenheit": "F",
    "kelvin": "K",
    "ounce": "oz",
    "fluid": "fl",
    "percent": "%",
}
_PLURALS = {"inches": "in", "feet": "ft"}
_WORD = re.compile(r"[^\W\d_]{3,}")
_PHRASES = (
    # What is read here -> how the tables write it; applied in this order.
    (re.compile(r"\bper\s+cent\b"), "%"),
    (re.compile(r"\s*(?:/|\bper\b)\s*"), "/"),
    (re.compile(r"\b(?:square|sq)\.?\s+(\w+)"), r"\g<1>2"),
    (re.compile(r"\b(?:cubic|cu)\.?\s+(\w+)"), r"\g<1>3"),
    (re.compile(r"\b(lb|kg)[\s-]*force\b"), r"\1f"),
    (re.compile(r"(?:\bdeg\.?|°)\s*([CFcf])\b"), r"deg\1"),
    (re.compile(r"\bfl\.?\s*oz\b"), "fl oz"),
    (re.compile(r"[·⋅×]"), "*"),
    (re.compile("[−–]"), "-"),
)


def plain_symbols(unit: str) -> str:
    """Return a unit in plain symbols, e.g. "N/mm" for "newtons per millimeter"; others stay as they are."""
    # Compatibility forms: raised digits become digits, a degree sign drawn with its letter becomes two.
    text = _WORD.sub(_symbol, unicodedata.normalize("NFKC", unit))
    for written, plain in _PHRASES:
        text = written.sub(plain, text)
    return text.strip()


def _symbol(word: re.Match[str]) -> str:
    text = word[0].casefold()
    if text in _PLURALS:
        return _PLURALS[text]
    single = text if text in _SYMBOLS else text.removesuffix("s")
    british = re.sub("(met|lit)er$", r"\1re", single)
    return _SYMBOLS.get(british, word[0])
