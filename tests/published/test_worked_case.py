"""The headless command against the worked case of an independent reference in `cases`. Invented data."""

import json
import subprocess
import sys
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

HERE = Path(__file__).parent
JOB, REFERENCE = HERE / "cases" / "coil_and_air.toml", HERE / "cases" / "coil_and_air.json"

LOADS, SAG, PRESSURES, FIGURES = 1e-3, 2e-3, 4e-3, 1e-2
"""Agreement asked for, relative."""


@cache
def answer() -> dict[str, Any]:
    done = subprocess.run(
        [sys.executable, "-m", "tui", "solve", str(JOB), "--json"],
        capture_output=True, text=True, check=True, cwd=HERE.parents[1],
    )  # fmt: skip
    assert done.stderr == ""
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def reference() -> dict[str, Any]:
    read: dict[str, Any] = json.loads(REFERENCE.read_text())
    return read


def compare(ours: dict[str, Any], theirs: dict[str, Any], within: float) -> None:
    for key, value in theirs.items():
        assert ours[key] == pytest.approx(value, rel=within), key


def test_load_and_frame() -> None:
    compare(answer()["load"], reference()["load"], LOADS)
    compare(answer()["frame"], reference()["frame"], FIGURES)


@pytest.mark.parametrize("index", [0, 1], ids=["coil", "air"])
def test_state_sag_and_figures(index: int) -> None:
    ours, theirs = answer()["setups"][index], reference()["setups"][index]
    assert (ours["kind"], ours["state"]) == (theirs["kind"], theirs["state"])
    compare(ours["sag"], theirs["sag"], SAG)
    compare(ours["figures"], theirs["figures"], FIGURES)


def test_what_only_one_kind_has() -> None:
    (coil, air), (their_coil, their_air) = answer()["setups"], reference()["setups"]
    compare(
        coil, {key: their_coil[key] for key in ("rate_n_per_mm", "rate_lbf_per_in", "preload_mm")}, PRESSURES
    )
    pressures = ("set_pressure_psi", "peak_pressure_psi", "equalised_pressure_psi")
    compare(air, {key: their_air[key] for key in pressures}, PRESSURES)
    compare(air, {"compression_ratio": their_air["compression_ratio"]}, FIGURES)
    readings = their_air["fill"]["readings_psi"]
    assert air["fill"]["readings_psi"][: len(readings)] == pytest.approx(readings, rel=PRESSURES)


@pytest.mark.parametrize("index", [0, 1], ids=["coil", "air"])
def test_points_of_the_curves(index: int) -> None:
    curve, points = answer()["setups"][index]["curve"], reference()["setups"][index]["points"]
    for key in points.keys() - {"stroke_mm"}:
        ours = np.interp(points["stroke_mm"], curve["stroke_mm"], curve[key])
        assert ours == pytest.approx(points[key], rel=PRESSURES), key


def test_the_reference_is_not_compared_by_halves() -> None:
    compared = {"kind", "state", "sag", "figures", "points", "fill", "rate_n_per_mm", "rate_lbf_per_in"}
    compared |= {"preload_mm", "set_pressure_psi", "peak_pressure_psi", "equalised_pressure_psi"}
    compared |= {"compression_ratio"}
    assert {key for setup in reference()["setups"] for key in setup} == compared
