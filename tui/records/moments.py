"""When something was saved, as the clock on the wall of the shop had it."""

from __future__ import annotations

from datetime import datetime, tzinfo

from tui.jobs.clean import clean

WIDTH = 16
"""Cells of a moment."""


def moment(at: str, zone: tzinfo | None = None) -> str:
    """Return the date and time of a UTC text of the records in local time, or in `zone`."""
    try:
        return f"{datetime.fromisoformat(at).astimezone(zone):%Y-%m-%d %H:%M}"
    except (ValueError, OverflowError):  # what others wrote is shown as far as it goes
        return clean(at)[:WIDTH]


def day(at: str, zone: tzinfo | None = None) -> str:
    """Return the date alone."""
    return moment(at, zone)[:10]
