"""What all tests share: random cases, and when a screen is done with a key. Neither looks at the clock."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from typing import Any

import pytest
from textual._context import active_app
from textual.screen import Screen

from tests.random_cases import register_profiles

register_profiles()

USUAL_SIZE = (80, 24)


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
