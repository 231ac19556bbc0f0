"""Who has the mouse: the program, or the terminal with its own selection of text.

The framework settles this once at start and has no switch; the driver's own two methods are called here.
"""

from __future__ import annotations

from typing import Any

from textual.app import App


def has_mouse(app: App[Any]) -> bool:
    """Return whether the program hears of the mouse."""
    return bool(getattr(app._driver, "_mouse", False))


def give_mouse(app: App[Any], *, to_program: bool) -> None:
    """Give the mouse to the program or to the terminal."""
    driver = app._driver
    from textual.drivers.linux_driver import LinuxDriver

    if not isinstance(driver, LinuxDriver):
        return
    # Both methods do nothing while the driver believes that there is no mouse.
    driver._mouse = True
    if to_program:
        driver._enable_mouse_support()
    else:
        driver._disable_mouse_support()
        driver._mouse = False
