"""Answer → plain lines for people: one figure a line, every number with its unit."""

from __future__ import annotations

from typing import Any

_STATES = {
    "ok": "settles at the sag below",
    "topped_out": "tops out under the rider: too stiff",
    "bottomed_out": "sits on the stop under the rider: too soft",
    "unsolved": "no rate or pressure reaches the target",
}
_UNITS = {
    "_n_per_mm": "N/mm", "_lbf_per_in": "lbf/in", "_n_s_per_m": "N s/m", "_psi": "psi", "_bar": "bar",
    "_mm": "mm", "_hz": "Hz", "_n": "N", "_j": "J",
}  # fmt: skip


def report(found: dict[str, Any]) -> str:
    """Return the plain report of an answer object."""
    lines = [_clean(found["title"]), ""]
    lines += _section("load", found["load"]) + _section("frame", found["frame"])
    for setup in found["setups"]:
        lines += [f"setup {_clean(setup['name'])} ({setup['kind']}): {_STATES[setup['state']]}"]
        lines += _numbers(
            {key: value for key, value in setup.items() if key not in ("name", "kind", "state")}
        )
        lines += _section("sag", setup["sag"]) + _section("figures", setup["figures"])
        lines += [f"  caution: {caution['text']}" for caution in setup["cautions"]] + [""]
    return "\n".join(lines) + "\n"


def _section(name: str, numbers: dict[str, Any]) -> list[str]:
    return [name, *_numbers(numbers)]


def _numbers(numbers: dict[str, Any]) -> list[str]:
    return [_line(key, value) for key, value in numbers.items() if isinstance(value, float)]


def _line(key: str, value: float) -> str:
    for ending, unit in _UNITS.items():
        if key.endswith(ending):
            return f"  {key.removesuffix(ending).replace('_', ' ')}: {value:.4g} {unit}"
    return f"  {key.replace('_', ' ')}: {value:.4g}"


def _clean(text: str) -> str:
    return "".join(letter for letter in text if letter.isprintable())
