"""What all tests share: how they are loaded, random cases, and when a screen is done with a key.

None of it looks at the clock.
"""

from __future__ import annotations

import asyncio
import gc
import os
import sys
from collections.abc import Generator, Iterator
from contextlib import suppress
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest
from textual._context import active_app
from textual.screen import Screen

from tests.random_cases import register_profiles

register_profiles()

# Programs that tests start would each compile again what nobody kept, for seconds.
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

USUAL_SIZE = (80, 24)


@pytest.hookimpl(wrapper=True)
def pytest_collection(session: pytest.Session) -> Generator[None, object, object]:
    """Collect without looking for rubbish, of which there is none: that takes a third of the time.

    Of several processes each first loads a share of the modules of its own. Rewriting the assertions is most
    of the work, and what one process has rewritten the others read.
    """
    gc.disable()
    try:
        for name in own_share(session.config):
            with suppress(Exception, pytest.skip.Exception):  # collecting the module tells what is wrong
                import_module(name)
        return (yield)
    finally:
        # What is loaded stays and need not be looked through each time that rubbish is looked for; and tests
        # leave so much of it that a look for it pays only now and then.
        gc.freeze()
        gc.set_threshold(5_000, 20, 10)
        gc.enable()


def own_share(config: pytest.Config) -> list[str]:
    """Return the names of the test modules that this one of several processes loads first."""
    worker: dict[str, Any] | None = getattr(config, "workerinput", None)
    if worker is None:
        return []
    places = [config.invocation_params.dir / arg.partition("::")[0] for arg in config.args]
    files = sorted({file for place in places for file in Path(place).rglob("test_*.py")})
    names = [".".join(file.relative_to(config.rootpath).with_suffix("").parts) for file in files]
    return names[int(worker["workerid"].removeprefix("gw")) :: worker["workercount"]]


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark cases as slow: all sizes of a running screen but one, and of the rest those after `fast_cases`."""
    tests: dict[str, list[pytest.Function]] = {}
    for item in items:
        if isinstance(item, pytest.Function) and hasattr(item, "callspec"):
            tests.setdefault(item.nodeid.partition("[")[0], []).append(item)
    for test in tests.values():
        fast, kept = test[0].get_closest_marker("fast_cases"), test
        if asyncio.iscoroutinefunction(test[0].function):
            sizes = [item.callspec.params.get("size") for item in test]
            usual = USUAL_SIZE if USUAL_SIZE in sizes else sizes[0]
            kept = [item for item, size in zip(test, sizes, strict=True) if size == usual]
        if fast is not None:
            kept = kept[: fast.args[0]]
        for item in test:
            if item not in kept:
                item.add_marker("slow")


async def all_is_shown(*_: float) -> None:
    """Wait until every task of the app waits for something to happen, and what they changed is painted.

    The framework itself waits until the process computes little. That costs a fiftieth of a second a key,
    and on a loaded machine a process that computes little may still have everything to do.
    """
    ready: Any = asyncio.get_running_loop()._ready  # type: ignore[attr-defined]
    painted: Screen[Any] | None = None
    while True:
        await asyncio.sleep(0)
        if ready:
            painted = None
        elif painted is None:
            app = active_app.get()
            painted = app.screen
            # Timers put off both until more of the same may have come.
            if app._resize_timer is not None:
                app._check_resize()
            painted._on_timer_update()
        else:
            return


@pytest.fixture(autouse=True, scope="session")
def _keys_wait_for_no_clock() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patched:
        for module in ("pilot", "app"):
            patched.setattr(f"textual.{module}.wait_for_idle", all_is_shown)
        # A disk that is slow because the machine is busy is no disk that hangs.
        patched.setattr("tui.job.drafts.BRIEFLY", 20.0)
        yield
