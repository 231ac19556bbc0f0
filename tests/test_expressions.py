"""No text is ever evaluated: what looks like an expression is a number, a name, or refused in a sentence."""

from __future__ import annotations

import ast
import builtins
import math
import re
import signal
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from types import FrameType

import pytest

from physics import units
from physics.units import Dimension, UnitFault
from tui.job.demo import demo_job
from tui.job.faults import UnusableJob
from tui.job.files import toml_text
from tui.job.job import parse
from tui.job.panels import panels
from tui.job.reading import look
from tui.job.typed import typed_into
from tui.ride.damper_table import damper_in
from tui.ride.events import event_in, sizes_asked
from tui.shop_units import USUAL
from tui.subjects.leverage import leverage_in
from tui.subjects.match import UnusableWant, wants_of
from tui.subjects.sweep import range_typed
from tui.tables.heads import LEVERAGE
from tui.tables.questions import Told, Unclear, columns_told
from tui.tables.source import UnusableReadings
from tui.tables.table import table_of

ROOT = Path(__file__).parent.parent
CANARY = "zanzibar"
"""Stands in every expression that would do something if it were run."""
EXPRESSIONS = (
    "2**9999999",
    "2**9999999 kg",
    "9**9**9**9**9 mm",
    "1 mm**9**9**9**9",
    "1 kg**9999999",
    "1 m^99999999",
    "1e999999999 kg",
    "10!!!!!!!! mm",
    f"__import__('{CANARY}')",
    f"1 __import__('{CANARY}')",
    f"exec('{CANARY} = 1')",
    f"[{CANARY} for {CANARY} in (1).__class__.__base__.__subclasses__()]",
    f"1 mm if {CANARY} else 2 mm",
    f"1 kg; import {CANARY}",
    f"lambda {CANARY}: 0",
    f"{{{CANARY}.__class__}}",
    f"%({CANARY})s",
    f"$({CANARY})",
    f"`{CANARY}`",
    f"=cmd|'/c {CANARY}'!A1",
    f'=HYPERLINK("{CANARY}")',
    f"1 {CANARY}**{CANARY}",
    "(" * 199,
    "1 " + "(" * 90 + "kg" + ")" * 90,
    "1 " + "kg*" * 60 + "kg",
    "1 kg/(1-1)",
    "1 [mass]",
    "1 kg % 2",
    "1 delta_degC",
    "1 kg\x00mm",
)
REFUSED = (UnitFault, UnusableJob, UnusableReadings, UnusableWant, Unclear)
LONGEST = 20
"""Seconds after which a text has kept the program busy: it takes milliseconds."""


@contextmanager
def guarded() -> Iterator[None]:
    """Fail where source with the canary in it is evaluated, or where something takes far too long."""

    def late(number: int, frame: FrameType | None) -> None:
        raise TimeoutError("a text keeps the program busy")

    before = signal.signal(signal.SIGALRM, late)
    with pytest.MonkeyPatch.context() as patched:
        for name in ("eval", "exec", "compile", "__import__"):
            patched.setattr(builtins, name, _without_canary(getattr(builtins, name)))
        signal.alarm(LONGEST)
        try:
            yield
        finally:
            signal.alarm(0)
            signal.signal(signal.SIGALRM, before)


def _without_canary(run: Callable[..., object]) -> Callable[..., object]:
    def checked(*given: object, **named: object) -> object:
        if isinstance(given[0], str | bytes) and CANARY in str(given[0]):
            raise AssertionError(f"evaluated: {given[0]!r}")
        return run(*given, **named)

    return checked


def of_job(text: str) -> None:
    """Read a job in which every value that is a text is this one."""
    quoted = text.replace("\\", "\\\\").replace('"', '\\"').replace("\x00", "\\u0000")
    job = re.sub(r'= "[^"]*"', lambda _: f'= "{quoted}"', toml_text(demo_job(), None))
    faults = look(parse(job))[1]
    assert faults
    assert all(str(fault).isprintable() for fault in faults)


def of_fields(text: str) -> None:
    """Type it into every field."""
    job = demo_job()
    for panel in panels(job):
        for row in panel.rows:
            try:
                after = typed_into(job, row, text, USUAL)
            except REFUSED:
                continue
            for value in _numbers(after.tree):
                assert math.isfinite(value)


def _numbers(tree: object) -> Iterator[float]:
    if isinstance(tree, Mapping):
        for inner in tree.values():
            yield from _numbers(inner)
    elif isinstance(tree, tuple):
        for inner in tree:
            yield from _numbers(inner)
    elif isinstance(tree, float):
        yield tree


BORDERS: Mapping[str, Callable[[str], object]] = {
    "job": of_job,
    "fields": of_fields,
    "range": lambda text: range_typed(f"rider_mass={text}..{text}:3"),
    "range of nothing": range_typed,
    "wants": lambda text: wants_of(f"support_50>={text}", USUAL),
    "wanted figure": lambda text: wants_of(f"{text}>=1", USUAL),
    "event": lambda text: event_in("drop", sizes_asked("drop", {"height": text})),
    "columns": lambda text: columns_told(f"travel {text}, ratio 2", LEVERAGE),
    "cells": lambda text: leverage_in(table_of(f"travel mm;ratio\n0;2.5\n{text};2.4\n", "t"), Told()),
    "heads": lambda text: damper_in(table_of(f"speed {text};force {text}\n0;0\n1;900\n", "t"), Told()),
}


@pytest.mark.parametrize("text", EXPRESSIONS)
def test_an_expression_is_refused_wherever_text_comes_in(text: str) -> None:
    with guarded():
        for border in BORDERS.values():
            with suppress(*REFUSED):
                border(text)


@pytest.mark.parametrize("text", EXPRESSIONS)
def test_an_expression_is_no_quantity_and_only_plain_units_reach_the_library(
    text: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    reached: list[str] = []
    as_library = units._library_si

    def library_si(number: float, name: str, dimension: Dimension) -> float:
        reached.append(name)
        return as_library(number, name, dimension)

    monkeypatch.setattr(units, "_library_si", library_si)
    units._scale.cache_clear()
    with guarded():
        for dimension in Dimension:
            with pytest.raises(UnitFault):
                units.parse(text, dimension)
    plain = re.compile(r"[A-Za-zμ_]+(\*\*-?[1-9])?([*/][A-Za-zμ_]+(\*\*-?[1-9])?)*")
    assert all(plain.fullmatch(name) and len(name) <= 60 for name in reached), reached


def test_an_endless_exponent_is_zero_at_once() -> None:
    with guarded():
        assert units.parse("1e-999999999 mm", Dimension.LENGTH) == (0.0, "mm")


FORBIDDEN = {"eval", "exec", "compile", "__import__", "execfile"}
MODULES = {
    "pickle", "marshal", "shelve", "dill", "joblib", "yaml", "numexpr", "sympy", "asteval", "simpleeval",
    "subprocess", "ctypes", "code", "codeop", "runpy", "pandas",
}  # fmt: skip
METHODS = {
    "parse_expression", "parse_units", "parse_pattern", "sympify", "lambdify", "literal_eval",
    "system", "popen", "read_pickle", "allow_pickle", "fromstring", "unsafe_load", "load_module",
}  # fmt: skip


@pytest.mark.parametrize("folder", ["physics", "tui"])
def test_no_module_has_what_evaluates_text_or_starts_programs(folder: str) -> None:
    found: list[str] = []
    for path in sorted((ROOT / folder).rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            names: set[str] = set()
            if isinstance(node, ast.Import):
                names = {alias.name.split(".")[0] for alias in node.names} & MODULES
            elif isinstance(node, ast.ImportFrom):
                names = {(node.module or "").split(".")[0]} & MODULES
            elif isinstance(node, ast.Call):
                called = node.func
                if isinstance(called, ast.Name):
                    names = {called.id} & (FORBIDDEN | METHODS)
                elif isinstance(called, ast.Attribute):
                    names = {called.attr} & METHODS
                names |= {word.arg for word in node.keywords if word.arg in ("allow_pickle", "shell")}
            found += [f"{path.relative_to(ROOT)}: {name}" for name in names]
    # `dataclass` makes `__init__` out of the names in a class: no text of a person is among them.
    assert found == (["physics/frozen.py: exec"] if folder == "physics" else [])
