"""Several processes that test share the work of loading the tests."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from tests.conftest import own_share


def share(config: pytest.Config, *args: str, **worker: object) -> list[str]:
    """Return the share of one process of those that were started for these arguments."""
    asked: Any = SimpleNamespace(
        args=args, rootpath=config.rootpath, invocation_params=SimpleNamespace(dir=config.rootpath), **worker
    )
    return own_share(asked)


@pytest.mark.parametrize("count", [1, 2, 3])
def test_each_module_is_in_the_share_of_one_process(count: int, pytestconfig: pytest.Config) -> None:
    shares = [
        share(pytestconfig, "tests", workerinput={"workerid": f"gw{number}", "workercount": count})
        for number in range(count)
    ]
    files = (pytestconfig.rootpath / "tests").rglob("test_*.py")
    assert sorted(name for each in shares for name in each) == sorted(
        ".".join(Path(file).relative_to(pytestconfig.rootpath).with_suffix("").parts) for file in files
    )
    assert max(map(len, shares)) - min(map(len, shares)) <= 1


def test_one_process_alone_loads_what_it_collects(pytestconfig: pytest.Config) -> None:
    assert share(pytestconfig, "tests") == []
    worker = {"workerid": "gw0", "workercount": 1}
    assert share(pytestconfig, "tests/test_readme.py::test_the_screens", workerinput=worker) == []
