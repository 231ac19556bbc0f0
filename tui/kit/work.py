"""Background work: tasks of views, and access to disks and servers that may be slow."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Hashable
from concurrent.futures import Future, ThreadPoolExecutor, wait
from dataclasses import replace
from functools import partial
from threading import Lock, Thread
from time import monotonic
from typing import TYPE_CHECKING, Any, Generic, Protocol, TypeVar
from weakref import WeakSet

from physics.frozen import NamedTuple, dataclass

if TYPE_CHECKING:
    from textual.dom import DOMNode
    from textual.screen import Screen

Result = TypeVar("Result")


class Threads(ThreadPoolExecutor):
    """Threads of an event loop whose work does not delay the end of the program."""

    def __init__(self) -> None:
        """Start without threads; each piece of work gets its own."""
        super().__init__(max_workers=1)
        self._started: WeakSet[Thread] = WeakSet()

    def submit(self, work: Callable[..., Any], /, *given: Any, **named: Any) -> Future[Any]:  # noqa: ANN401
        """Run work in a new thread."""
        future: Future[Any] = Future()

        def run() -> None:
            if not future.set_running_or_notify_cancel():
                return
            try:
                found = work(*given, **named)
            except BaseException as error:
                future.set_exception(error)
            else:
                future.set_result(found)

        thread = Thread(target=run, daemon=True)
        self._started.add(thread)
        thread.start()
        return future

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """Do not wait: a hanging thread would never end."""

    def rest(self, seconds: float) -> bool:
        """Wait for all work, at most some seconds; return whether it is done."""
        until = monotonic() + seconds
        for thread in list(self._started):
            thread.join(max(0.0, until - monotonic()))
        return not any(thread.is_alive() for thread in self._started)


Told = Callable[[float], None]


def in_thread(
    node: DOMNode, work: Callable[[], object], group: str = "default", *, exclusive: bool = False
) -> None:
    """Run work in a thread that ends with a widget or screen.

    It has a description, because without one the framework spells out the work with all that is bound to it:
    for a large answer that would hold up the screen for seconds.
    """
    node.run_worker(work, thread=True, group=group, exclusive=exclusive, description=group)


class Task(NamedTuple):
    """Work that takes longer than a frame: `key` identifies it, `work` gets a progress callback."""

    key: Hashable
    work: Callable[[Told], object]


@dataclass(frozen=True, slots=True, eq=False)
class Worked:
    """The last result `found` and its `key`; the key `asked` of a running task and the `share` of it done.

    The task with the key `stopped` was stopped by hand, and is not started until it is requested.
    """

    key: Hashable = None
    found: object = None
    asked: Hashable = None
    share: float = 0.0
    stopped: Hashable = None

    def towards(self, key: Hashable, share: float) -> Worked:
        """Return this with the progress of a running task."""
        return replace(self, asked=key, share=share)

    def share_text(self, key: Hashable) -> str:
        """Return the progress of a task as text, and how to continue if it was stopped."""
        share = f"{self.share if self.asked == key else 0.0:.0%}"
        is_stopped = key is not None and self.stopped == key
        return f"stopped at {share}, Enter continues" if is_stopped else share


NOTHING_WORKED = Worked()


class Stopped(Exception):
    """Raised in a task that is no longer wanted."""


class Speaks(Protocol):
    """A screen that can show a message, and call something in its own thread."""

    def say(self, note: str, /) -> None:
        """Show a message."""

    def call_later(self, callback: Callable[..., Any], /, *given: Any) -> object:  # noqa: ANN401
        """Call something in the thread of the screen."""


def promptly(
    screen: Speaks,
    work: Callable[[], Result],
    then: Callable[[Future[Result]], object],
    slow: str,
) -> None:
    """Do work that may wait for a disk, then continue with its result, usually at once.

    If it takes longer than a moment, keys still work, and the screen shows the message `slow`.
    """
    from tui.job import drafts  # the first frame need not wait for it

    future: Future[Result] = Threads().submit(work)
    if is_done_by(future, monotonic() + drafts.BRIEFLY):
        then(future)
        return
    if slow:
        screen.say(slow)
    future.add_done_callback(lambda done: screen.call_later(then, done))


def is_done_by(future: Future[Any], until: float) -> bool:
    """Wait for a result until a time of the clock `monotonic`; return whether it is done."""
    wait([future], max(0.0, until - monotonic()))
    return future.done()


class Latest(Generic[Result]):
    """Data on a disk that may hang: the present data, or those read last if the disk does not answer.

    While one read hangs no other is started. Before the first one is done, `get` returns None.
    """

    def __init__(self, read: Callable[[], Result]) -> None:
        """Read with `read`, on first use."""
        self._read = read
        self._reading: Future[Result] | None = None
        self._found: Result | None = None

    def begin(self) -> Future[Result]:
        """Start reading, unless that is in progress."""
        if self._reading is None or self._reading.done():
            self._reading = Threads().submit(self._read)
        return self._reading

    def get(self) -> Result | None:
        """Return the present data, waiting for them a moment, else those read last."""
        from tui.job import drafts

        is_new = self._reading is None or self._reading.done()
        reading = self.begin()
        if is_done_by(reading, monotonic() + (drafts.BRIEFLY if is_new else 0.0)):
            self._found = reading.result()
        return self._found


class SlowTask(NamedTuple):
    """Work for a thread, and what the screen does with its result or with the reason of a failure."""

    work: Callable[[], Any]
    then: Callable[[Any], object]
    failed: Callable[[str], object]
    is_question: bool = False


class SlowTasks:
    """Tasks in threads, so that a slow disk or server delays no key; queued tasks run one at a time.

    Only the newest query counts; older ones still queued are dropped.
    """

    def __init__(self, screen: Screen[Any], trouble: type[Exception]) -> None:
        """Start empty; `screen` gets every result, and the message of a `trouble`."""
        self._screen = screen
        self._trouble = trouble
        self._line: deque[SlowTask] = deque()
        self._lock = Lock()
        self._is_running = False

    def run(
        self, work: Callable[[], Result], then: Callable[[Result], object], failed: Callable[[str], object]
    ) -> None:
        """Run a task at once in its own thread."""
        in_thread(self._screen, partial(self._do, SlowTask(work, then, failed)), "tasks")

    def send(
        self,
        work: Callable[[], Result],
        then: Callable[[Result], object],
        failed: Callable[[str], object],
        *,
        is_question: bool = False,
    ) -> None:
        """Queue a task."""
        with self._lock:
            if is_question:
                self._line = deque(task for task in self._line if not task.is_question)
            self._line.append(SlowTask(work, then, failed, is_question))
            if self._is_running:
                return
            self._is_running = True
        in_thread(self._screen, self._do_line, "tasks")

    def _do_line(self) -> None:
        while (task := self._next()) is not None:
            self._do(task)

    def _next(self) -> SlowTask | None:
        with self._lock:
            self._is_running = bool(self._line)
            return self._line.popleft() if self._line else None

    def _do(self, task: SlowTask) -> None:
        try:
            found = task.work()
        except self._trouble as trouble:
            self._screen.call_later(task.failed, str(trouble))
        else:
            self._screen.call_later(task.then, found)
