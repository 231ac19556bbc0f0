"""The walls of the house: which way imports run, proven from the source and from a bare start."""

import ast
import subprocess
import sys
import tomllib
from collections import Counter
from functools import cache
from pathlib import Path

import pytest

PHYSICS = Path(__file__).parent.parent / "physics"
FORBIDDEN = {"tui", "textual", "plotext", "rich", "tomllib", "tomlkit"}


def test_the_contracts_of_the_house_hold() -> None:
    done = subprocess.run(
        [Path(sys.executable).with_name("lint-imports"), "--no-cache"],
        capture_output=True,
        text=True,
        cwd=PHYSICS.parent,
        check=False,
    )
    settings = tomllib.loads((PHYSICS.parent / "pyproject.toml").read_text("utf-8"))
    contracts = settings["tool"]["importlinter"]["contracts"]
    assert {"layers", "acyclic_siblings"} <= {contract["type"] for contract in contracts}
    assert done.returncode == 0, done.stdout


@cache
def imported_names(source: Path) -> frozenset[str]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(source.read_text())):
        if isinstance(node, ast.Import):
            names |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names.add(node.module.split(".")[0])
    return frozenset(names)


def test_physics_imports_no_screen_and_no_file_form() -> None:
    sources = sorted(PHYSICS.rglob("*.py"))
    assert len(sources) > 10
    assert {s.name: imported_names(s) & FORBIDDEN for s in sources if imported_names(s) & FORBIDDEN} == {}


@pytest.mark.slow  # one of the contracts says so too
def test_only_units_imports_the_unit_library() -> None:
    root = PHYSICS.parent
    sources = [s for room in ("physics", "tui") for s in (root / room).rglob("*.py")]
    assert {s.relative_to(root).as_posix() for s in sources if "pint" in imported_names(s)} <= {
        "physics/units.py"
    }


def test_an_answer_of_any_leverage_but_pairs_loads_no_scipy_pint_or_screen() -> None:
    script = (
        "import sys; import numpy as np; from physics.bench import answer;"
        "from physics.case import *; from physics.case import LeverageEnds;"
        "ends, fork = LeverageEnds(2.8, 2.25), Fork(1.1);"
        "table = Table(np.array([0.0, 0.08, 0.15]), np.array([2.8, 2.5, 2.25]));"
        "names, places = ('m', 'a', 's', 'f'), ((0.0, 0.0), (0.435, 0.0), (0.16, 0.07), (0.0, 0.235));"
        "drawn = Linkage(names, places, ('m', 'f'), (('m', 'a'), ('m', 's'), ('a', 's')), 'a', ('s', 'f'));"
        "frames = [Frame(0.15, 0.06, ends), Frame(0.1337, 0.15, fork), Frame(0.15, 0.06, table), "
        "Frame(0.1515, 0.06, drawn)];"
        "cases = [Case(ScaleReading(60.0, 4.0), frame, Target(0.3, 'travel'), Ambient(293.15, 101325.0), "
        "(Setup('c', Coil(None, 0.001, 4378.0)),)) for frame in frames];"
        "assert [str(answer(case).setups[0].state) for case in cases] == ['ok'] * 4;"
        "print(sorted({'scipy', 'pint', 'textual', 'plotext'} & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, cwd=PHYSICS.parent, check=True
    )
    assert done.stdout.strip() == "[]"


def test_no_folder_of_the_screen_is_more_than_a_person_looks_over() -> None:
    modules = sorted((PHYSICS.parent / "tui").rglob("*.py"))
    folders = Counter(module.parent.relative_to(PHYSICS.parent).as_posix() for module in modules)
    assert len(modules) <= 170, "what is small goes into a file that is there; or raise it and say why"
    assert {folder: count for folder, count in folders.items() if count > 20} == {}
