"""The application: its theme, its keys and signals, and the way to the first frame."""

from __future__ import annotations

import os
import signal
import sys
import time
from collections import deque
from collections.abc import Callable
from concurrent.futures import Future
from contextlib import suppress
from dataclasses import replace
from functools import cache, partial
from pathlib import Path
from threading import Timer
from types import FrameType
from typing import TYPE_CHECKING, Any, ClassVar, TypeVar

from rich.console import RenderableType
from textual import events, on
from textual.app import App
from textual.binding import BindingType
from textual.driver import Driver
from textual.errors import NoWidget
from textual.message import Message
from textual.screen import Screen
from textual.widget import Widget

from tui.bench.memory import last_job, remember, taken_up
from tui.bench.screen import BenchScreen, Commands
from tui.bench.session import Session
from tui.bench.state import BenchState, open_bench
from tui.job.demo import demo_job
from tui.job.job import History
from tui.kit.clipboard import copy_text, multiplexer
from tui.kit.look import glyphs_for
from tui.kit.repaint import painted
from tui.kit.screen import SparingScreen, StateScreen
from tui.kit.work import Threads, is_done_by
from tui.saying import path_text, say
from tui.settings import CURRENT, FoundSettings, Settings
from tui.store.records import Records
from tui.store.remembered import Found as Left
from tui.store.remembered import Remembered, read
from tui.themes import Found as FoundThemes
from tui.themes import find_themes, forget_empty_no_color, no_colour, shipped_themes

if TYPE_CHECKING:
    from asyncio import AbstractEventLoop

    from tui.job.files import OpenedFile

Result = TypeVar("Result")

PATIENCE = 1.0
"""Longest time for which the first frame waits for disks [s]."""
_LOOKS = 0.2
"""How often it is looked whether a file that was asked for is there [s]."""
_PARTING = 0.3
"""Longest time to wait for threads when the program ends [s]."""
UNUSABLE = 2
"""Exit code for a file that cannot be put on the bench."""
_ENOUGH = 256
"""Number of queued keys beyond which no more are read from the terminal."""
_UNSEEN = 32
"""Number of keys processed between two repaints while more keys are queued."""
_LOST = 2.0
"""Seconds after which a key counts as done although no message said so."""
_LEAVING = 3.0
"""Seconds after which a program told to terminate exits, whatever it is doing."""


class Done(Message):
    """Follows a key through the message queues: when it arrives, the key and its consequences are done."""

    def __init__(self, target: Widget, number: int, rounds: int = 1) -> None:
        super().__init__()
        self.set_sender(target)  # a message sent by the application would not come back to it
        self.target, self.number, self.rounds = target, number, rounds


@cache
def commands() -> Commands:
    """Return the commands of the bench that do more than change its state; loaded after the first frame."""
    from tui.bench.commands import COMMANDS, type_in_events
    from tui.bench.files import offer_drafts, open_recent, reopen_last
    from tui.linkage.commands import show_linkage
    from tui.records.commands import show_records, tell_first_start

    def begin(screen: BenchScreen) -> None:
        offer_drafts(screen)
        reopen_last(screen)
        tell_first_start(screen)

    by_id = {**COMMANDS, "linkage": show_linkage, "records": show_records}
    return Commands(by_id, begin, open_recent, remember, type_in_events)


class BenchApp(App[int], inherit_bindings=False):
    """One bench on one terminal."""

    CSS_PATH = "bench/screen.tcss"
    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = []
    TITLE = "springwright"

    def __init__(
        self,
        state: BenchState,
        session: Session,
        remembered: Remembered | None = None,
        found: FoundThemes | None = None,
    ) -> None:
        """Put a state of the bench on the screen, nothing moving that nobody moved.

        `found` are the themes, looked for here unless given.
        """
        found = found or find_themes()
        theme, wrong = found.choose(os.environ, remembered.theme if remembered else "")
        self._is_dressed = False
        # Left to itself, the framework would turn colours into greys, which are colours too.
        ansi = True if no_colour(os.environ) else None
        look = theme.textual()
        super().__init__(ansi_color=ansi or look.ansi)
        self.animation_level = "none"
        self.register_theme(look)
        # Set the theme before any style is read: otherwise its watcher reads all styles a second time.
        self.set_reactive(App.ansi_color, ansi)
        self.set_reactive(App.theme, theme.name)
        self._is_dressed = True
        self.stylesheet.set_variables(self.get_css_variables())
        self._themes = found.themes
        self._session = session
        self._remembered = remembered
        self._sized = False
        self._typed: deque[events.InputEvent | events.Paste] = deque()
        self._in_hand = 0
        self._taken = 0
        self._taken_at = 0.0
        self._shows_later: list[StateScreen[Any, Any]] = []
        self._is_unpainted = False
        self._resume: Callable[[int, FrameType | None], object] | int | None = None
        self.threads = Threads()
        """Threads for work on disks, servers and views."""
        self.bench: BenchScreen | None = None
        """The bench, once it is there."""
        self.late: list[Future[Any]] = []
        """Reads that the start did not wait for: a message follows when all are done."""
        told = (state.note, *found.faults, wrong)
        self._state = replace(state, note=". ".join(filter(None, told)))

    def get_css_variables(self) -> dict[str, str]:
        """Return the colours of the theme, none for the framework's own theme before there is one."""
        return super().get_css_variables() if self._is_dressed else {}

    def get_default_screen(self) -> BenchScreen:
        """Return the bench."""
        glyphs = glyphs_for(os.environ)
        self.bench = BenchScreen(
            self._state, self._session, self._themes, self.theme, glyphs, commands, self._remembered
        )
        return self.bench

    def get_driver_class(self) -> type[Driver]:
        """Return the driver that reads keys and writes the screen on this system."""
        if sys.platform == "win32":
            return super().get_driver_class()
        from tui.kit.terminal import Driver  # POSIX only

        return Driver

    def on_mount(self) -> None:
        """Handle a dropped connection, a request to terminate, and the return from the shell."""
        import asyncio

        self.app_resume_signal.subscribe(self, lambda _app: self._paint_anew())
        for future in self.late:
            future.add_done_callback(lambda _: self.call_later(self._tell_late))
        loop = asyncio.get_running_loop()
        loop.set_default_executor(self.threads)
        if self.is_headless:
            return
        for name in ("SIGHUP", "SIGTERM", "SIGQUIT", "SIGBREAK"):
            number = getattr(signal, name, None)
            if number is None:
                continue
            # Only this wakes an idle event loop; Windows does not have it.
            with suppress(NotImplementedError, AttributeError):
                loop.add_signal_handler(number, lambda: None)
            signal.signal(number, lambda told, _frame: self._told(told, loop))
        if hasattr(signal, "SIGCONT"):
            self._resume = signal.getsignal(signal.SIGCONT)
            signal.signal(signal.SIGCONT, self._told_to_go_on)

    def _tell_late(self) -> None:
        if self.bench is not None and all(future.done() for future in self.late):
            self.bench.say("The disk answers now: start springwright again to use what is on it.")

    def _told(self, number: int, loop: AbstractEventLoop) -> None:
        """Exit normally, or at once if that takes too long."""
        watch = Timer(_LEAVING, self._go_at_once, (number,))
        watch.daemon = True
        watch.start()
        loop.call_soon_threadsafe(self._told_to_go, number)

    def _go_at_once(self, number: int) -> None:
        """End the program immediately; the draft is as of the last key."""
        give_back = getattr(self._driver, "give_back", None)
        if give_back is not None:
            give_back()
        os._exit(128 + number)

    @property
    def is_busy(self) -> bool:
        """Whether the queue of keys is full."""
        return len(self._typed) > _ENOUGH

    async def on_event(self, event: events.Event) -> None:
        """Process keys one at a time, each on the screen that the keys before it have opened.

        A slow connection delivers several keys at once. Without this, a key could reach the screen before the
        one that it is meant for, or a screen that is not composed yet.
        """
        if not isinstance(event, events.InputEvent | events.Paste) or event.is_forwarded:
            await super().on_event(event)
        elif isinstance(event, events.MouseMove) and not self._typed:
            if self._is_ready:
                await super().on_event(event)
        else:
            self._typed.append(event)
            await self._go_on()

    @property
    def _is_ready(self) -> bool:
        return not isinstance(self.screen, SparingScreen) or self.screen.takes_keys

    async def _go_on(self) -> None:
        """Process the next key if the one before is done and the front screen is ready."""
        if self._in_hand and time.monotonic() - self._taken_at < _LOST:
            return
        self._in_hand = 0
        while self._typed and self._is_ready and not self._in_hand:
            event = self._typed.popleft()
            target = self._target(event)
            await super().on_event(event)
            self._wait_until_done(target)
        if self._shows_later and (not self._typed or self._taken % _UNSEEN == 0):
            screens, self._shows_later = self._shows_later, []
            for screen in screens:
                screen.call_later(screen.show_state)

    def _wait_until_done(self, target: Widget) -> None:
        self._taken += 1
        is_told = target.post_message(Done(target, self._taken))
        self._in_hand, self._taken_at = (self._taken if is_told else 0), time.monotonic()

    def _target(self, event: events.Event) -> Widget:
        """Return the widget that an event is for."""
        if isinstance(event, events.MouseEvent):
            try:
                return self.get_widget_at(event.x, event.y)[0]
            except NoWidget:
                return self.screen
        return self.focused or self.screen

    @on(Done)
    async def _done(self, event: Done) -> None:
        if event.number != self._in_hand:
            return
        # A widget may have posted a message to its screen: wait for that one too.
        if event.rounds and event.target.post_message(Done(event.target, event.number, event.rounds - 1)):
            return
        self._in_hand = 0
        await self._go_on()

    def screen_is_there(self, screen: SparingScreen[Any]) -> None:
        """Process the keys that waited for a screen, once messages to the screen before are done."""
        if screen is self.screen:
            self._wait_until_done(screen)

    def puts_off(self, screen: StateScreen[Any, Any]) -> bool:
        """Return whether a screen should show its state later because queued keys will change it."""
        if self._typed:
            self._shows_later.append(screen)
        return bool(self._typed)

    def _display(self, screen: Screen[Any], renderable: RenderableType | None) -> None:
        # A frame painted while the terminal does not read would be outdated when it does. A frame laid out
        # for another window size would be cut off or misplaced.
        if getattr(self._driver, "is_behind", False) or screen._compositor.size != self.size:
            self._is_unpainted = True
            return
        super()._display(screen, renderable)
        self.catch_up()

    def catch_up(self) -> None:
        """Paint what was postponed."""
        if self._is_unpainted:
            self._is_unpainted = False
            self.call_later(self.screen.refresh)

    def _told_to_go_on(self, number: int, frame: FrameType | None) -> None:
        """Take the terminal again after SIGCONT, unless it is gone or was released for good.

        A dropped connection sends this signal together with SIGHUP. Reading keys again then would leave an
        orphaned process that uses a whole core.
        """
        import termios

        if self._exit or self._driver is None or not callable(self._resume):
            return
        try:
            termios.tcgetattr(sys.__stdin__.fileno() if sys.__stdin__ else 0)
        except (termios.error, OSError, ValueError):
            return
        signal.signal(number, signal.SIG_IGN)
        # Without a preceding stop there would be two readers of the keys.
        self._driver.disable_input()
        self._resume(number, frame)
        signal.signal(number, self._told_to_go_on)

    def on_resize(self, event: events.Resize) -> None:
        """Repaint everything: a terminal that returned to its old size has lost its content."""
        painted(self.console).forget()
        if self._sized:
            self.screen.refresh()
        self._sized = True

    def _paint_anew(self) -> None:
        """Repaint everything: another program has used the terminal."""
        painted(self.console).forget()
        self.refresh(layout=True)

    def copy_to_clipboard(self, text: str) -> None:
        """Copy text for the framework's own widgets, wrapped for tmux and screen."""
        copy_text(self, text)

    def _told_to_go(self, number: int) -> None:
        """Exit and keep the draft, including text that is not committed yet."""
        for screen in reversed(self.screen_stack):
            if isinstance(screen, SparingScreen):
                screen.hang_up()
        self.exit(return_code=128 + number)


class Start:
    """Reads from disks before the first frame: in parallel, for about a second at most.

    `told` says what was not read in time; `late` are the reads still in progress.
    """

    def __init__(self) -> None:
        """Begin to wait."""
        self._until = time.monotonic() + PATIENCE
        self._threads = Threads()
        self.told: list[str] = []
        self.late: list[Future[Any]] = []

    def begin(self, work: Callable[[], Result]) -> Future[Result]:
        """Begin to read something."""
        return self._threads.submit(work)

    def take(self, reading: Future[Result], what: str) -> Result | None:
        """Return what is read, None where the disk does not answer: `what` is told then."""
        if is_done_by(reading, self._until):
            return reading.result()
        self.late.append(reading)
        self.told.append(f"{what}: the disk does not answer")
        return None


def run(job_path: Path | None, store: str | None = None) -> int:
    """Run the bench on a job file, the last job or the invented demo; return the exit code.

    `store` is the place of the records from the command line: a path or a server address.
    """
    forget_empty_no_color(os.environ)
    start = Start()
    settings, own, left = CURRENT.begin(), start.begin(find_themes), start.begin(read)
    found = start.take(settings, "No settings are read") or FoundSettings(Settings())
    told = list(found.lines)
    if found.settings.keys:
        from tui.own_keys import take_keys  # rarely needed

        told += take_keys(found.settings.keys)
    session = Session(records=Records(store, found.settings.store, found.settings.mechanic))
    left_so = start.take(left, "The last jobs and choices are not known") or Left(Remembered())
    remembered = left_so.remembered
    trouble = [] if job_path is None else _opened(session, job_path, start)
    if trouble:
        for line in trouble:
            say(f"{job_path}: {line}")
        return UNUSABLE
    told += _reopened(session, remembered, start) if job_path is None else []
    themes = start.take(own, "Own themes are not read") or shipped_themes()
    job = demo_job() if session.file is None else session.file.job
    state = open_bench(History.starting_at(job), found.units(remembered.units))
    note = ". ".join(filter(None, (*start.told, *told, left_so.told.rstrip("."))))
    app = BenchApp(replace(taken_up(state, remembered), note=note), session, remembered, themes)
    app.late = start.late
    # GNU screen delays a lone Escape until the next key while the mouse is on.
    app.run(mouse=remembered.mouse and multiplexer(os.environ) not in ("screen", "either"))
    if app.bench is not None and app.bench.parting_words:
        say(f"springwright: {app.bench.parting_words}")
    if not app.threads.rest(_PARTING) or not all(reading.done() for reading in start.late):
        sys.stdout.flush()
        os._exit(app.return_code or 0)  # a thread stuck in a system call would also block a normal exit
    return app.return_code or 0


def _opened(session: Session, path: Path, start: Start) -> list[str]:
    """Open the job file from the command line, however long it takes; return the errors, one per line."""
    from tui.bench.files import load_job
    from tui.job.faults import UnusableJob
    from tui.job.files import FileTrouble

    reading = start.begin(partial(load_job, path))
    if not is_done_by(reading, time.monotonic() + PATIENCE):
        say(f"{path}: the disk does not answer yet; Ctrl+C leaves")
    # On some systems Ctrl+C does not interrupt a wait without timeout.
    while not is_done_by(reading, time.monotonic() + _LOOKS):
        pass
    try:
        session.opened(reading.result())
    except (FileTrouble, UnusableJob) as trouble:
        return str(trouble).splitlines()
    return []


def _reopened(session: Session, remembered: Remembered, start: Start) -> list[str]:
    """Open the job file that was open last, if any; return the error, if any.

    The program starts even if that file can no longer be opened.
    """
    last = remembered.last
    if last is None or not last.file:
        return []
    from tui.bench.files import load_job
    from tui.job.faults import UnusableJob
    from tui.job.files import FileTrouble

    def load() -> OpenedFile | None:
        path = last_job(remembered)
        return None if path is None else load_job(path)

    what = f"{path_text(Path(last.file).name)}, the last job, is not opened"
    try:
        file = start.take(start.begin(load), what)
    except (FileTrouble, UnusableJob) as trouble:
        return [f"{what}: {line}" for line in str(trouble).splitlines()[:1]]
    if file is not None:
        session.opened(file)
    return []
