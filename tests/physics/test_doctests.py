"""The worked numbers in the docstrings of physics are right, and every module has one."""

import doctest
import importlib
import pkgutil
from pathlib import Path

import pytest

import physics

MODULES = tuple(info.name for info in pkgutil.iter_modules(physics.__path__))


def run(name: str) -> doctest.TestResults:
    module = importlib.import_module(f"physics.{name}")
    return doctest.testmod(module, optionflags=doctest.NORMALIZE_WHITESPACE)


@pytest.mark.parametrize("name", MODULES)
def test_every_worked_number_is_right(name: str) -> None:
    assert run(name).failed == 0


def test_the_examples_for_notebooks_are_right() -> None:
    page = Path(physics.__path__[0]) / "README.md"
    found = doctest.testfile(str(page), module_relative=False, optionflags=doctest.NORMALIZE_WHITESPACE)
    assert found.failed == 0
    assert found.attempted > 25
    assert doctest.testmod(physics).failed == 0


def test_every_module_comes_with_a_worked_number() -> None:
    find = doctest.DocTestFinder().find
    found = {name: find(importlib.import_module(f"physics.{name}")) for name in MODULES}
    examples = {name: sum(len(test.examples) for test in tests) for name, tests in found.items()}
    assert sum(examples.values()) > 60
    assert [name for name, count in examples.items() if not count] == []
