"""Tasks for a slow disk or server: one at a time, the newest question only, trouble in words."""

import threading

import pytest
from textual.app import App
from textual.screen import Screen
from textual.worker import WorkerFailed

from tui.kit.work import SlowTasks


class Trouble(Exception):
    """What a task may be refused with."""


class Waiting(App[None]):
    """An app with a bare screen."""


async def test_tasks_keep_their_order_and_only_the_newest_question_is_asked() -> None:
    may, done = threading.Event(), list[str]()
    async with Waiting().run_test() as pilot:
        screen: Screen[object] = pilot.app.screen
        tasks = SlowTasks(screen, Trouble)

        def held() -> str:
            assert may.wait(30)
            return "first"

        tasks.send(held, done.append, done.append)
        tasks.send(lambda: "old question", done.append, done.append, is_question=True)
        tasks.send(lambda: "second", done.append, done.append)
        tasks.send(lambda: "new question", done.append, done.append, is_question=True)
        may.set()
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert done == ["first", "second", "new question"]


async def test_trouble_is_told_in_its_words_and_the_next_task_is_done() -> None:
    def refused() -> str:
        raise Trouble("the disk is full")

    found, why = list[str](), list[str]()
    async with Waiting().run_test() as pilot:
        tasks = SlowTasks(pilot.app.screen, Trouble)
        tasks.send(refused, found.append, why.append)
        tasks.send(lambda: "saved", found.append, why.append)
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert (found, why) == (["saved"], ["the disk is full"])
        tasks.run(lambda: "at once", found.append, why.append)
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert found == ["saved", "at once"]


async def test_what_is_no_trouble_is_not_hidden() -> None:
    def broken() -> None:
        raise ZeroDivisionError

    async def done() -> None:
        async with Waiting().run_test() as pilot:
            SlowTasks(pilot.app.screen, Trouble).run(broken, print, print)
            await pilot.app.workers.wait_for_complete()

    with pytest.raises(WorkerFailed, match="ZeroDivisionError"):
        await done()
