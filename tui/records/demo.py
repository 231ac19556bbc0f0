"""The invented demo shop, put into records that nobody has saved anything in yet."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from tui.records.state import asked_anew

if TYPE_CHECKING:
    from tui.records.screen import RecordsScreen

_NOT_EMPTY = "Something is saved there by now: the demo shop goes into empty records only."


def put_in_demo(screen: RecordsScreen) -> None:
    """Put it in, unless something was saved meanwhile."""
    screen.say("Putting in the demo shop.")
    screen.errands.send(lambda: _put_in(screen), lambda count: _put(screen, count), screen.say)


def _put_in(screen: RecordsScreen) -> int:
    from tui.records.looking import any_job
    from tui.store.demo_shop import put_in_demo_shop

    return 0 if any_job(screen.store) else put_in_demo_shop(screen.store, datetime.now(UTC))


def _put(screen: RecordsScreen, count: int) -> None:
    screen.take(asked_anew(screen.state))
    screen.say(f"{count} invented jobs are in. Enter opens one." if count else _NOT_EMPTY)
