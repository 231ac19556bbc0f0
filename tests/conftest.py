"""What all tests share: random cases, and when a screen is done with a key. Neither looks at the clock."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import settings
from textual._context import active_app
from textual.screen import Screen

settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")


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
        yield
