"""Commands of the bench that do more than change its state: pages, sheet, tables, colours, mouse, leaving.

The framework decides once at start whether it uses the mouse. To switch later, two methods of its driver are
called here.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial
from pathlib import Path
from time import monotonic
from typing import Any

from tui.bench.edit import type_or_pick
from tui.bench.export import copy_line, copy_value, copy_view, export_view, name_of, write_as
from tui.bench.files import if_not_needed, open_job, read_saved, save, save_as, save_with_note
from tui.bench.new_job import begin_new_job
from tui.bench.overlays import OVERLAYS, items_in_front, show_help
from tui.bench.screen import BenchScreen
from tui.bench.state import EVENTS, BenchState, select_field, with_job, with_log
from tui.bench.views.here import NOTHING_YET, selected_name
from tui.bench.views.match import with_wants
from tui.bench.views.pairs import measuring
from tui.bench.views.readings import with_readings
from tui.job.fields import Choice
from tui.job.panels import LEVERAGE
from tui.kit.clipboard import multiplexer
from tui.kit.dialogs import Question, Reply, ask_to_leave
from tui.kit.keymap import LOOK_ACTS
from tui.kit.look import LINE_STYLES
from tui.kit.screen import StateScreen, suspend
from tui.ride.damper_table import DamperRead, understood
from tui.ride.damper_table import taken_into as damper_into
from tui.sheet.model import Sheet
from tui.subjects.leverage import LeverageRead, taken_into
from tui.tables.source import Readings
from tui.themes import no_colour


def turn_theme(screen: BenchScreen) -> None:
    """Go to the next colour theme."""
    if no_colour(os.environ):
        screen.say("NO_COLOR is set: no colours to choose.")
        return
    names = sorted(screen.themes)
    name = names[(names.index(screen.app.theme) + 1) % len(names)]
    screen.app.register_theme(screen.themes[name].textual())
    screen.app.theme = name
    screen.restyle(screen.themes[name].chart(screen.glyphs))
    screen.theme_chosen = name
    screen.say(f"Colours: {name}.")


def turn_line_style(screen: BenchScreen) -> None:
    """Draw the lines of the chart with the next kind of character."""
    styles = ("ascii",) if screen.glyphs.ascii else LINE_STYLES
    style = styles[(styles.index(screen.look.line_style) + 1) % len(styles)]
    screen.restyle(screen.look._replace(line_style=style))
    screen.say(f"Lines drawn in {style}.")


def switch_mouse(screen: BenchScreen) -> None:
    """Release the mouse to the terminal, or take it again."""
    from textual.drivers.linux_driver import LinuxDriver

    driver = screen.app._driver
    mine = bool(getattr(driver, "_mouse", False))
    if isinstance(driver, LinuxDriver):
        mine = not mine
        driver._mouse = True  # neither method does anything while the driver believes that there is no mouse
        if mine:
            driver._enable_mouse_support()
        else:
            driver._disable_mouse_support()
            driver._mouse = False
    screen.mouse = mine
    told = (
        "Mouse active in the program again." if mine else "Mouse released: it selects text in the terminal."
    )
    if mine and multiplexer(os.environ) in ("screen", "either"):
        told = "Mouse active. In GNU screen Escape then waits for the next key; F9 releases the mouse."
    screen.say(told)


_OLD = "Not saved: the sheet shows OLD results. Fix the marked fields first."


def save_sheet(screen: BenchScreen) -> None:
    """Save the setup sheet of the job on the bench, both wheels of it."""
    from tui.bench.prompts import SheetPrompt
    from tui.bench.views.pages import sheet_of_bench, sheet_waits

    state = screen.commit()
    if state.bike_answer is None:
        screen.say(NOTHING_YET)
    elif state.bike_answer.job != state.bike:
        screen.say(_OLD)
    elif why := sheet_waits(state):
        screen.say(f"Not saved: {why}. Space, then o, removes it from the sheet.")
    else:
        sheet = sheet_of_bench(state)
        start = f"{screen.session.folder}/{name_of(sheet.title, 'setup-sheet')}{SheetPrompt.ENDINGS[0]}"
        prompt = SheetPrompt(start, screen.glyphs)
        write_as(screen, prompt, "setup sheet", lambda path: _sheet_bytes(sheet, path))


def _sheet_bytes(sheet: Sheet, path: Path) -> bytes:
    from tui.sheet.build import form_of, written

    return written(sheet, form_of(path) or "text").encode()


def switch_log_on_sheet(screen: BenchScreen) -> None:
    """Put the logged ride on the setup sheet, or take it off."""
    from tui.bench.views.logged import switch_on_sheet

    screen.take(switch_on_sheet(screen.commit()))


def ask_wants(screen: BenchScreen) -> None:
    """Ask for target figures, and show the settings that come closest."""
    from tui.bench.prompts import WantsPrompt

    state = screen.commit()
    prompt = WantsPrompt(state.units, screen.glyphs, selected_name(state))
    screen.ask(prompt, lambda wants: screen.take(with_wants(screen.state, wants)))


def ask_readings(screen: BenchScreen) -> None:
    """Ask for readings, and show what they say."""
    from tui.bench.prompts import ReadingsPrompt, ask_table

    def chosen(readings: Readings) -> None:
        screen.take(with_readings(screen.state, readings))

    state = screen.commit()
    ask_table(screen, ReadingsPrompt(state.units, screen.glyphs, selected_name(state)), chosen)


def ask_log(screen: BenchScreen, *, beside: bool = False) -> None:
    """Ask for a logger's file and show the ride; with `beside`, next to the one already shown."""
    from tui.bench.prompts import ask_table, log_prompt

    screen.commit()
    prompt = log_prompt(screen)
    ask_table(screen, prompt, lambda file: screen.take(with_log(screen.state, file, beside=beside)))


def enter_in_events(screen: BenchScreen) -> None:
    """Edit what is under the cursor: ask for a size; switch to the next value of a choice; go to a field."""
    from tui.bench.prompts import SizePrompt
    from tui.bench.views.events import chosen, on_event, with_sizes

    if on_event(screen.commit()):
        _choose_event(screen)
        return
    after = chosen(screen.state)
    if isinstance(after, BenchState):
        screen.take(after)
    else:
        prompt = SizePrompt(screen.state, after, screen.glyphs)
        screen.ask(prompt, lambda sizes: screen.take(with_sizes(screen.state, sizes)))


def type_in_events(screen: BenchScreen, text: str) -> None:
    """Start typing the value under the cursor in events; anything else there takes no number."""
    from tui.bench.prompts import SizePrompt
    from tui.bench.views.events import knob_here, with_sizes

    state = screen.commit()
    knob = knob_here(state)
    if knob.field is None or isinstance(knob.field.kind, Choice):
        screen.say(f"{knob.label} takes no number: + and - change it.")
    elif knob.of_job:
        screen.take(type_or_pick(select_field(replace(state, in_view=False), knob.field.path), text))
    else:
        prompt = SizePrompt(state, knob.field, screen.glyphs, text)
        screen.ask(prompt, lambda sizes: screen.take(with_sizes(screen.state, sizes)))


def _choose_event(screen: BenchScreen) -> None:
    """List the events, that of the view selected."""
    from tui.bench.views.events import with_event
    from tui.ride.events import EVENTS

    replies = tuple(Reply(name[0], event.name, name) for name, event in EVENTS.items())
    names = [reply.result for reply in replies]
    here = names.index(screen.state.event.name) if screen.state.event.name in names else 0
    question = Question("Event", (), replies, "as it is", screen.glyphs, enter=True, here=here)
    screen.ask(question, lambda name: screen.take(with_event(screen.state, name)))


def show_other_of_event(screen: BenchScreen) -> None:
    """Show travel, wheel force or tyre force of the event in turn."""
    from tui.bench.views.events import show_other

    screen.take(show_other(screen.state))


def take_rebound(screen: BenchScreen) -> None:
    """Use the rebound damping with which the wheel just returns between the bumps."""
    from tui.bench.views.events import rebound_taken

    screen.take(rebound_taken(screen.commit()))


_FRAMES = 10
"""Frames per second of a replay: each changes a few dozen cells, which a slow connection can carry."""


def replay(screen: BenchScreen) -> None:
    """Replay the event, or stop the replay; nothing else on the bench moves by itself."""
    from tui.bench.views.events import replay_started, replayed

    screen.take(replay_started(screen.state))
    if not screen.state.event.plays:
        return
    last = monotonic()

    def tick() -> None:
        nonlocal last
        now = monotonic()
        here = screen.state.view == EVENTS and screen.is_current
        after = replayed(screen.state, now - last)
        last = now
        if not here:
            after = replace(screen.state, event=screen.state.event._replace(plays=False))
        screen.take(after)
        if not after.event.plays:
            timer.stop()

    timer = screen.set_interval(1 / _FRAMES, tick)


def import_leverage(screen: BenchScreen) -> None:
    """Ask for a file, show what is in it and take that into the job."""
    from tui.bench.prompts import ask_table, ask_to_take, leverage_prompt

    screen.commit()

    def shown(read: LeverageRead) -> None:
        question = ask_to_take(screen.state.job, read, screen.glyphs)
        screen.ask(question, lambda _take: screen.take(leverage_taken(screen.state, read)))

    ask_table(screen, leverage_prompt(screen), shown)


def import_damper(screen: BenchScreen) -> None:
    """Ask for a damper tester's file and take what is in it into the job of the wheel on the bench."""
    from tui.bench.prompts import ask_table, damper_prompt

    screen.commit()
    ask_table(screen, damper_prompt(screen), lambda read: screen.take(damper_taken(screen.state, read)))


def damper_taken(state: BenchState, read: DamperRead) -> BenchState:
    """Put a damper tester's table into the job as one edit, with the cursor on it."""
    after = select_field(with_job(state, damper_into(state.job, read)), ("damper", "by"))
    return replace(after, in_view=state.in_view, note=f"{understood(read)}. u undoes it.")


def leverage_taken(state: BenchState, read: LeverageRead) -> BenchState:
    """Put a leverage table into the job as one edit, the cursor on it or on a field that contradicts it."""
    job = taken_into(state.job, read)
    if job == state.job:
        return replace(state, note="This leverage is in the job already.")
    after = select_field(with_job(state, job), (*LEVERAGE, "kind"))
    if after.faults:
        after = select_field(after, after.faults[0].path)
    return replace(after, note=f"Leverage from {read.name} applied; u undoes it.")


def leave(screen: BenchScreen) -> None:
    """Leave the program; asks if something is not saved."""

    def go() -> None:
        screen.session.leave()
        screen.app.exit()

    session = screen.session
    if session.records.busy and session.records.after is not None:  # asked for once already
        screen.commit()
        screen.keep()
        question = ask_to_leave(session.has_draft(screen.state.history.job), screen.glyphs)
        screen.ask(question, lambda _leave: screen.app.exit())
    else:
        if_not_needed(screen, go)


def copy_or_leave(screen: BenchScreen) -> None:
    """Copy what the mouse has selected; where nothing is, leave."""
    if not screen.copy_selection():
        leave(screen)


def _with(step: Callable[[BenchState], BenchState]) -> Callable[[BenchScreen], None]:
    return lambda screen: screen.take(step(screen.state))


def find(screen: BenchScreen) -> None:
    """Open the finder; saved jobs are included once a thread has read them from the records."""
    screen.take(OVERLAYS.open_finder(screen.state))
    read_saved(screen)


COMMANDS: Mapping[str, Callable[[BenchScreen], None]] = {
    "find": find,
    "menu": _with(OVERLAYS.open_menu),
    "help": _with(show_help),
    "pair": _with(measuring),
    "save": save,
    "save_as": save_as,
    "save_note": save_with_note,
    "open": open_job,
    "new": begin_new_job,
    "import": import_leverage,
    "damper_table": import_damper,
    "copy_value": copy_value,
    "copy_line": copy_line,
    "copy_view": copy_view,
    "export": export_view,
    "copy_or_quit": copy_or_leave,
    "quit": leave,
    "suspend": suspend,
    "readings": ask_readings,
    "log": ask_log,
    "log_beside": partial(ask_log, beside=True),
    "log_on_sheet": switch_log_on_sheet,
    "event_enter": enter_in_events,
    "event_shows": show_other_of_event,
    "take_rebound": take_rebound,
    "replay": replay,
    "sheet_save": save_sheet,
    "wants": ask_wants,
    "mouse": switch_mouse,
    "theme": turn_theme,
    "lines": turn_line_style,
}
"""By the id of an action what the screen does for it."""


def bench_behind(screen: StateScreen[Any, Any]) -> BenchScreen:
    """Return the bench behind a screen in front of it."""
    bench = screen.app.screen_stack[0]
    assert isinstance(bench, BenchScreen)
    return bench


def find_in_front(screen: StateScreen[Any, Any], *, saved: bool = True) -> None:
    """Open the finder of a screen in front of the bench; what the bench has is found there too.

    The `saved` jobs of the records come along unless the screen has them itself.
    """
    bench = bench_behind(screen)

    def joined() -> None:
        there = items_in_front(bench.state, screen.KEYMAP.named, saved=saved)
        screen.take(replace(screen.state, elsewhere=there))

    joined()
    screen.take(screen.overlays.open_finder(screen.state))
    if saved:
        read_saved(bench, joined)


def _from_in_front(command: Callable[[BenchScreen], None]) -> Callable[[StateScreen[Any, Any]], None]:
    """Return a command of the bench for use from a screen in front of it."""

    def done(screen: StateScreen[Any, Any]) -> None:
        bench = bench_behind(screen)
        command(bench)
        screen.restyle(bench.look)
        screen.say(bench.state.note)
        bench.say("")

    return done


LOOK_COMMANDS: Mapping[str, Callable[[StateScreen[Any, Any]], None]] = {
    act.id: _from_in_front(COMMANDS[act.id]) for act in LOOK_ACTS
}
"""Commands for the look of the program on screens in front of the bench."""
