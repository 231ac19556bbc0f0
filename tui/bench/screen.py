"""The bench screen: panels beside chart and table, and the lines around them.

Chart and table load numpy and the plotting, so the first frame goes before them.
"""

from __future__ import annotations

import gc
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from textual import events, on
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.geometry import Size
from textual.widget import Widget

from physics.frozen import NamedTuple
from tui.bench.edit import commit, move_by_rows, open_edit, pick_from_list, question, show_row
from tui.bench.grid import FieldGrid
from tui.bench.keymap import KEYMAP, BenchAction, on_new_pair
from tui.bench.session import Session
from tui.bench.state import (
    CHART,
    EVENTS,
    FIGURES,
    LEVERAGE,
    LOGGED,
    OF_CHART,
    SWEEP,
    BenchState,
    cursor_to_sag,
    move_cursor,
    next_chart,
    select_setup,
    show_step,
    show_view,
    shown_chart,
    with_answer,
    with_room,
)
from tui.bench.steps import NAMES, NO_SETUP, VIEW_ROWS, Step
from tui.bench.words import fields_strip, foot_lines, title_line, view_strip
from tui.charts.views import FINE
from tui.job.fields import Choice
from tui.job.job import unconfirmed_setups
from tui.kit.cells import CellRow, cells, fitted, name_at
from tui.kit.edit import STARTS_NUMBER
from tui.kit.keymap import by, quiet
from tui.kit.look import LINE_STYLES, ChartLook, Glyphs, literal
from tui.kit.roles import Role
from tui.kit.screen import FRAMED_FROM, Command, StateScreen
from tui.kit.widget import ClickedLines, Draw, LookLines, LookWidget
from tui.themes import ThemeData

if TYPE_CHECKING:
    from tui.bench.table import FigureTable
    from tui.bench.views.pane import Step as KeyStep
    from tui.bench.views.pane import ViewPane
    from tui.charts.widget import ChartPanel
    from tui.job.job import History
    from tui.kit.overlays import Overlays
    from tui.store.remembered import JobPlace, Remembered

NO_CURVES = "No curves yet: fix the marked fields first."
_SHOWN = (
    "answer",
    "is_outdated",
    "units",
    "setup",
    "chart",
    "slow",
    "cursor",
    "views",
    "panel",
    "figure",
    "helps",
)
"""What chart and table show of a state."""


class Right(Vertical):
    """The pane of the views, empty until it is filled."""

    def __init__(self, look: ChartLook, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._look = look
        self._chart: ChartPanel | None = None
        self._table: FigureTable | None = None
        self._view: ViewPane | None = None
        self._shown: BenchState | None = None
        self._asked: BenchState | None = None
        self._height: int | str = "1fr"
        self._width: int | str = "1fr"
        self._for: object = None

    def fill(self) -> None:
        """Put the chart in its place."""
        from tui.charts.widget import ChartPanel

        self._chart = ChartPanel(self._look, id="chart")
        self.mount(self._chart)

    def show(self, state: BenchState) -> None:
        """Show the view of a state; the first table and the first view in lines bring their widgets."""
        if self._chart is None:
            return
        self._asked = state
        part = self.part(state)
        if part is self._view:
            part.show(state)
        elif self._view is not None:
            self._view.rest()
        below = self._has_chart_below(part)
        beside = below or self.screen.has_class("-beside")
        self._share_columns(part, beside=beside and not below)
        for other in (self._chart, self._table, self._view):
            shows = other is part or (beside and other is self._chart)
            if other is not None and other.display != shows:
                other.display = shows
        if part is self._view and not beside:
            self._shown = None
            return
        if self._shown is not None and all(
            getattr(state, name) is getattr(self._shown, name) for name in _SHOWN
        ):
            return
        self._shown = state
        answer = state.answer.answer if state.answer else None
        if part is self._table:
            doubted = unconfirmed_setups(state.answer.job) if state.answer else frozenset[int]()
            part.show(
                answer,
                state.units,
                stale=state.is_outdated,
                selected=state.setup,
                unconfirmed=doubted,
                figure=state.figure,
                missing="" if state.job.setups else NO_SETUP,
            )
        if part is not self._chart and not beside:
            return
        if answer is None:
            self._chart.say(NO_CURVES if state.job.setups else f"No curves yet: {NO_SETUP}")
        else:
            self._chart.show(
                answer,
                shown_chart(state) or (OF_CHART[LEVERAGE] if state.step is Step.FRAME else state.chart),
                state.units,
                selected_setup=state.setup,
                slow=state.slow,
                stale=state.is_outdated,
                cursor=state.cursor,
            )

    def _has_chart_below(self, part: Widget) -> bool:
        """Give a view in lines as many rows as it has; return whether the chart gets those that are left."""
        view = self._view
        if view is None:
            return False
        width, rows = self.content_size
        least = _CHART_BELOW_ALL if self.screen.has_class("-beside") else _CHART_BELOW
        below, wanted = part is view and self.screen.has_class("-below"), 0
        if below:
            # Few heights only: a line more or less on a nudge is no reason to draw the chart anew.
            wanted = (view.count_at(width) // _ROWS_BELOW + 1) * _ROWS_BELOW
            below = rows - wanted >= least
        height = wanted if below else "1fr"
        if self._height != height:
            view.styles.height = self._height = height
        self.set_class(below, "-stacked")
        return below

    def _share_columns(self, part: Widget, *, beside: bool) -> None:
        """Give a view in lines the columns in which its lines fit the height, the chart beside it the rest.

        At least half are its own. While it is shown it only gets wider: a line more or less on a nudge is no
        reason to draw both anew.
        """
        view, (width, rows) = self._view, self.content_size
        if view is None or part is not view:
            return
        wanted: int | str = "1fr"
        if beside and width:
            half, most = (width - _GAP) // 2, width - _GAP - _CHART_BESIDE
            shown = view.shows, width, rows
            kept = self._width if shown == self._for and isinstance(self._width, int) else half
            self._for, wanted = shown, kept
            while wanted < most and view.count_at(wanted) > rows:
                wanted = min(wanted + _COLUMNS_BESIDE, most)
        if self._width != wanted:
            view.styles.width = self._width = wanted

    def on_resize(self) -> None:
        """Share the rows of another size."""
        self._share_rows()

    def on_view_pane_counted(self) -> None:
        """Share the rows where a view has others."""
        self._share_rows()

    def _share_rows(self) -> None:
        state = self._asked
        if state is not None and self._view is not None and self.part(state) is self._view:
            self.show(state)

    def part(self, state: BenchState) -> ChartPanel | FigureTable | ViewPane:
        """Return the widget that shows the view of a state."""
        assert self._chart is not None
        if shown_chart(state) is not None and not state.helps:
            return self._chart
        if state.view == FIGURES and not state.helps:
            if self._table is None:
                from tui.bench.table import FigureTable

                self._table = FigureTable(self._look, id="table")
                self.mount(self._table, before=self._chart)
            return self._table
        if self._view is None:
            from tui.bench.views.pane import ViewPane

            self._view = ViewPane(self._look, id="view")
            self.mount(self._view, before=self._chart)
        return self._view

    @property
    def is_undrawn(self) -> bool:
        """Whether a part has not drawn itself yet for the place that it has, as right after it came.

        Painted before, it would be sent over the line twice.
        """
        return any(part is not None and part.is_undrawn for part in (self._chart, self._table, self._view))

    @property
    def is_filled(self) -> bool:
        """Whether there is anything yet that could have the focus."""
        return self._chart is not None

    def restyle(self, look: ChartLook) -> None:
        """Take other colours and markers."""
        self._look = look
        for part in (self._chart, self._table, self._view):
            if part is not None:
                part.look = look


def has_chart_beside(state: BenchState) -> bool:
    """Return whether a wide screen shows the chart beside the view: not where that wants all the room."""
    if state.answer is None or state.helps:
        return state.answer is not None
    if _has_own_chart(state) or shown_chart(state) is not None:
        return False
    return state.view != FIGURES or len(state.job.setups) <= _SETUPS_BESIDE


def has_chart_below(state: BenchState) -> bool:
    """Return whether the chart stands below a view in lines where the lines leave the room for it."""
    return not state.helps and state.view != FIGURES and has_chart_beside(state)


def _has_own_chart(state: BenchState) -> bool:
    """Return whether a view draws a chart of its own, so that all the room is for that."""
    if state.view == LOGGED and state.log.files:
        from tui.bench.views.logged import is_unusable

        return not is_unusable(state)
    return state.view in _DRAWN


_DRAWN = frozenset(("sweep", "map", EVENTS))
"""Views with a chart of their own."""
_ROWS_BELOW, _CHART_BELOW, _CHART_BELOW_ALL = 2, 10, 20
"""Rows by which the room of lines grows above a chart, and the least that the chart gets; where it could
stand beside the lines as well, that it gets across both."""
_GAP, _CHART_BESIDE, _COLUMNS_BESIDE = 3, 36, 8
"""Gap between lines and the chart beside them, the least columns of that chart, and the columns by which the
lines get wider than half."""
_SETUPS_BESIDE = 2
"""Setups in the table at most, for which half of a wide screen is enough."""
_BOTH_FROM, _WIDE_FROM, _WIDER_FROM = 64, 130, 180
_LOW_BELOW = 14
_TALL_FROM = 34
_LARGE_FROM, _AROUND_FIELDS = 50, 9
"""Height of a screen from which fields are not folded if all fit, and its lines that are no fields."""

ALL = ("-fields-only", "-view-only", "-wide", "-wider", "-framed", "-low", "-tall", "-beside", "-below")
"""Every class that a layout may give the screen."""
_NEEDS_WIDTH = 106
_BESIDE_FIELDS = frozenset((CHART, LEVERAGE, "difference", SWEEP))
"""Views that stay beside the fields on a narrow screen; any other has all of it while it has the focus."""


def _room_in(height: int) -> int:
    """Return in how many lines fields are shown unfolded on a screen of a height: none on a usual one.

    There the few fields that matter are found at a glance, and a step costs a slow line less.
    """
    return height - _AROUND_FIELDS if height >= _LARGE_FROM else 0


def layout_classes(width: int, height: int, state: BenchState) -> set[str]:
    """Return the classes for a size in cells: the pane with the focus gets the room that it needs."""
    found = set()
    in_view = state.view_has_focus
    widens = in_view and not state.helps and width < _NEEDS_WIDTH and state.view not in _BESIDE_FIELDS
    if width < _BOTH_FROM or state.zoom or widens:
        found.add("-view-only" if in_view else "-fields-only")
    elif width >= _WIDER_FROM:
        found.add("-wider")
    elif width >= _WIDE_FROM:
        found.add("-wide")
    if width >= _WIDER_FROM and "-fields-only" not in found and has_chart_beside(state):
        found.add("-beside")
    if width >= FRAMED_FROM[0] and height >= FRAMED_FROM[1]:
        found.add("-framed")
        if "-fields-only" not in found and has_chart_below(state):
            found.add("-below")
    if height < _LOW_BELOW:
        found.add("-low")
    elif height >= _TALL_FROM:
        found.add("-tall")
    return found


_LOOKS_AGAIN = 0.25
"""Time after which is looked again whether a slow disk has the draft [s]."""
_REMEMBERS = 0.3
"""Longest time for which is waited until how the bench is left is written [s]."""
_AWAITS = 8.0
"""Longest time for which keys wait for the last job [s]."""
_COARSE = 10
"""Cursor steps of the far keys."""
READING_KEYS: Mapping[str, KeyStep] = {
    "left": by(move_cursor, -1),
    "right": by(move_cursor, 1),
    "pageup": by(move_cursor, -_COARSE),
    "pagedown": by(move_cursor, _COARSE),
    "home": cursor_to_sag,
    "end": by(move_cursor, FINE),
}
"""What keys do while a chart has the focus: they read it, Home at sag, End at full travel."""
CHART_KEYS: Mapping[str, KeyStep] = {**READING_KEYS, "up": by(next_chart, -1), "down": by(next_chart, 1)}
"""The same where there are several charts."""


class Commands(NamedTuple):
    """What the screen is handed to do besides changing its state.

    `by_id` of their action, `begin` what is done once the first answer is shown, `open_recent` puts a job
    that was open before on the bench, and `remember` writes how the bench is left; what it returns
    beside that says why it cannot be written, empty if it is. `type_in_events` starts typing the value under
    the cursor of the events.
    """

    by_id: Mapping[str, Command]
    begin: Callable[[BenchScreen], None]
    open_recent: Callable[[BenchScreen, JobPlace], None]
    remember: Callable[[BenchScreen, Remembered], tuple[Remembered, str]]
    type_in_events: Callable[[BenchScreen, str], None]


class BenchScreen(StateScreen[BenchState, int], inherit_bindings=False):
    """Panels, chart, table and the lines around them. It computes nothing: it shows the state it has."""

    KEYMAP = KEYMAP

    def __init__(
        self,
        state: BenchState,
        session: Session,
        themes: Mapping[str, ThemeData],
        theme: str,
        glyphs: Glyphs,
        commands: Callable[[], Commands],
        remembered: Remembered | None = None,
    ) -> None:
        """Put a job on the bench, dressed in one of the themes; its answer follows the first frame.

        `commands` is called after that frame: files, pages and other screens load with it. `remembered` is
        how the bench was left, None if nobody is to be told how it is left now.
        """
        look = themes[theme].chart(glyphs)
        style = next((one for one in LINE_STYLES if remembered and one == remembered.chart), look.line_style)
        look = look if glyphs.ascii else look._replace(line_style=style)
        super().__init__(state, look, {})
        self.add_class(f"-{glyphs.frame}", update=False)
        self._all_commands = commands
        self.session = session
        self.themes = themes
        self.remembered = remembered
        self.theme_chosen = ""
        self.mouse = remembered is None or remembered.mouse
        self._painted = False
        self._started = False
        self._told_forgets = False
        self._leaving = False
        self._awaits = False
        self._remembers = False
        last = None if remembered is None or session.file is not None else remembered.last
        self.awaited: JobPlace | None = last if last is not None and last.job else None
        """The job of the records that was on the bench last, until it is there: keys wait for it."""
        self.parting_words = ""
        """Said on the terminal once the screen is gone."""
        self.at_work: History | None = None
        """The job with what a screen in front has not handed over yet, None if there is none."""

    @property
    def grid(self) -> FieldGrid:
        """The fields."""
        return self.query_one(FieldGrid)

    @property
    def right(self) -> Right:
        """The view."""
        return self.query_one(Right)

    def compose(self) -> ComposeResult:
        """Stack title, fields beside view, each below its strip, and the lines below."""
        # The classes are set before there is anything whose styles would be read a second time for them.
        self.lay_out(*self.app.size)
        self.state = with_room(self.state, _room_in(self.app.size.height))
        yield LookLines(self.look, id="title")
        yield LookLines(self.look, id="fields-strip")
        yield LookLines(self.look, id="view-strip")
        yield FieldGrid(self.look, id="grid")
        yield Right(self.look, id="right")
        yield LookLines(self.look, id="foot")

    def on_mount(self) -> None:
        """Show the fields, and answer once they are on the screen: physics and chart load after that."""
        self.grid.focus()
        self.show()
        self.call_after_refresh(self._first_answer)

    def _screen_resized(self, size: Size) -> None:
        # At start the framework tells one size three times, and paints everything each time.
        if self._painted or size != self._compositor.size:
            super()._screen_resized(size)

    def _compositor_refresh(self) -> None:
        if not self._painted:
            # The first layout has just given every part its size. Drawn now they are painted at once: each
            # would hear of its size later, and what it drew then would wait for the next turn of a timer.
            for part in self.query(LookWidget):
                part.redraw()
            self._painted = self._started or any(grid.rows for grid in self.query(FieldGrid))
        if self._painted and not self.right.is_undrawn:
            super()._compositor_refresh()

    def _first_answer(self) -> None:
        self._started = True
        if self.awaited is None:
            self._fill()
        else:
            self.set_timer(_AWAITS, self.give_up_waiting)
        self._all_commands().begin(self)
        self.remember()
        if not gc.isenabled():
            # What loading has made stays to the end: it need not be looked through again and again.
            gc.freeze()
            gc.enable()

    def _fill(self) -> None:
        """Answer what is on the bench, and fill the pane of the views."""
        self.right.fill()
        state = with_answer(self.state)
        # The chart is read where the setup settles; without an answer there is no such place yet.
        self.take(replace(cursor_to_sag(state), note=state.note) if state.answer else state)

    def _is_there(self) -> None:
        if self.awaited is None:
            super()._is_there()

    def stop_waiting(self) -> None:
        """Show what is on the bench, the job that was awaited or why it is not, and take keys."""
        if self.awaited is not None:
            self.awaited = None
            self._fill()
            self._is_there()

    def give_up_waiting(self) -> None:
        """Go on without the job that is awaited: a server may be away for long."""
        if self.awaited is not None:
            told = "the records do not answer. The demo is open; / finds the recent jobs."
            self.say(f"{self.awaited.title}: {told}".removeprefix(": "))
            self.stop_waiting()

    def on_unmount(self) -> None:
        """Remember how the bench is left and let go of the draft, however the session ends."""
        self._leaving = True
        self.remember()
        self.session.leave_behind()

    def _unremembered(self, told: str) -> None:
        """Say why nothing is remembered, behind what is said already; at the end in the shell."""
        if self._leaving:
            self.parting_words = told
        else:
            self.when_in_front(lambda: self.say(f"{self.state.note} {told}".strip()))

    def remember(self) -> None:
        """Write how the bench is left now, for the next start; say once why that cannot be done."""
        from tui.job.drafts import done_within  # the first frame need not wait for it

        before, found = self.remembered, list[tuple["Remembered", str]]()
        if before is None or self._remembers:
            return
        self._remembers = True
        write = partial(self._all_commands().remember, self, before)
        # On a disk that hangs it is not waited for, nor tried again.
        if done_within(_REMEMBERS, lambda: found.append(write())) and found:
            self._remembers = False
            self.remembered, told = found[0]
            if told and not self._told_forgets:
                self._told_forgets = True
                self._unremembered(told)

    def commit(self) -> BenchState:
        """Take what is being typed, so that no key loses it."""
        self.take(commit(self.state))
        return self.state

    def show_state(self) -> None:
        """Show the state as it is by now."""
        self.keep()  # first, so that what a person has seen is safe
        super().show_state()

    def keep(self) -> None:
        """Keep the job in the draft, with what a screen in front has not handed over yet."""
        told = self.session.keep(self.at_work or self.state.history)
        if told:
            self.state = replace(self.state, note=told)
        self._await_draft()

    def _await_draft(self) -> None:
        """Look again what became of the draft, where its disk is slow."""
        if self.session.waits_for_draft and not self._awaits:
            self._awaits = True
            self.set_timer(_LOOKS_AGAIN, self._look_at_draft)

    def _look_at_draft(self) -> None:
        self._awaits = False
        before, told = self.session.trouble, self.session.look()
        self._await_draft()
        if told or self.session.trouble != before:
            self.take(replace(self.state, note=told or self.state.note))
            front = self.app.screen
            if front is not self and isinstance(front, StateScreen):
                front.take(front.state)

    def restyle(self, look: ChartLook) -> None:
        """Take other colours and markers."""
        self.look = look
        for part in (self.grid, *self.query(LookLines)):
            part.look = look
        self.right.restyle(look)
        self.take(self.state)

    def hang_up(self) -> None:
        """Keep the job as it is, with what is being typed."""
        self.state = commit(self.state)
        self.keep()

    def show(self) -> None:
        """Give every widget what it shows."""
        state, look = self.state, self.look
        self.lay_out(*self.app.size)
        if self.awaited is not None:
            self._show_awaited(self.awaited)
            return
        framed = self.has_class("-framed")
        self.grid.show(state)
        self.right.show(state)
        self._give_focus(state)
        drawn: dict[str, Draw] = {
            "title": lambda w, h: title_line(state, self.session, w, look.glyphs),
            "fields-strip": lambda w, h: fields_strip(state, w, look, framed=framed),
            "view-strip": lambda w, h: view_strip(state, w, look, framed=framed),
            "foot": lambda w, h: foot_lines(state, w, h, look),
        }
        for name, draw in drawn.items():
            self.query_one(f"#{name}", LookLines).show(draw)

    def _show_awaited(self, last: JobPlace) -> None:
        """Show which job is being opened, and nothing that could be edited instead."""
        title = literal(f" Opening {last.title} {self.glyphs.ellipsis}", self.glyphs)

        def blank(width: int, height: int) -> list[CellRow]:
            return [fitted([], width, self.glyphs.ellipsis)] * height

        for name in ("fields-strip", "view-strip", "foot"):
            self.query_one(f"#{name}", LookLines).show(blank)
        opening = cells(title, Role.STRONG)
        self.query_one("#title", LookLines).show(lambda w, _h: [fitted(opening, w, self.glyphs.ellipsis)])

    def _give_focus(self, state: BenchState) -> None:
        """Give the focus of the framework to what scrolls by itself: the table or a view in lines."""
        part: Widget = self.grid
        if state.view_has_focus and self.right.is_filled:
            part = self.right.part(state)
        if part.can_focus and not part.has_focus:
            part.focus(scroll_visible=False)
        elif not part.can_focus and not self.grid.has_focus:
            self.grid.focus(scroll_visible=False)

    def _own_keys(self) -> Mapping[str, KeyStep]:
        """Return what keys do in the view that is shown, while it has the focus."""
        if not self.state.view_has_focus:
            return {}
        if not self.state.helps and shown_chart(self.state) is not None:
            return CHART_KEYS if self.state.view == CHART else READING_KEYS
        from tui.bench.views.pane import view_keys  # views come after the first frame

        return view_keys(self.state)

    def _own_act(self, key: str) -> str:
        """Return the id of the act that a key does in the view that has the focus, empty for none."""
        if not self.state.view_has_focus or self.is_overlaid:
            return ""
        from tui.bench.views.pane import view_acts

        return view_acts(self.state).get(key, "")

    def is_for_part(self, key: str) -> bool:
        """Return whether a key moves about in the table or in a view in lines that has the focus."""
        return (
            self.state.view_has_focus
            and not self.is_overlaid
            and key in self.active_bindings
            and key not in self._own_keys()
        )

    @property
    def types_here(self) -> bool:
        """Whether what is typed goes into a field."""
        return not self.state.view_has_focus and not self.state.menu

    def press(self, key: str, character: str | None) -> None:
        """Do what the key means where the focus is."""
        state = self.state
        keys = {} if self.is_overlaid else self._own_keys()
        own = keys.get(character or key) or keys.get(key)
        if own is not None:
            self.take(own(quiet(state)))
        elif id := self._own_act(key):
            self.act(id)
        elif character in STARTS_NUMBER and state.view == EVENTS and state.in_view and not self.is_overlaid:
            self._all_commands().type_in_events(self, character or "")
        elif key == "enter" and on_new_pair(state) and not self.is_overlaid:
            self.act("pair")
        else:
            super().press(key, character)

    @property
    def overlays(self) -> Overlays[BenchState, JobPlace]:
        """Menu and finder, which come after the first frame."""
        from tui.bench.overlays import OVERLAYS

        return OVERLAYS

    def go_to(self, target: JobPlace) -> None:
        """Open a job that was open before."""
        self._all_commands().open_recent(self, target)

    def go_found(self, id: tuple[str, object]) -> None:
        """Go to what was found from a screen in front, or do it."""
        from tui.kit.finder import Item

        self._follow(*self.overlays.go_to(quiet(self.state), Item(id, "")))

    def do(self, action: BenchAction) -> None:
        """Do an action that was chosen by name."""
        if action.step is None:
            self.act(action.id)
            return
        asked = None if action.keeps_edit else question(self.state)
        self.take(asked or action.step(quiet(self.state)))

    def act(self, id: str) -> None:
        """Do what no change of state alone can do."""
        action = KEYMAP.named[id]
        asked = None if action.keeps_edit or action.when else question(self.state)
        self.take(asked or replace(quiet(self.state), option=None))
        if asked is None:
            self._all_commands().by_id[id](self)

    def take(self, state: BenchState) -> None:
        """Set another state, with the fields that this screen has room for."""
        super().take(with_room(state, _room_in(self.app.size.height)))

    def on_resize(self, event: events.Resize) -> None:
        """Choose the layout for the size; what is drawn with a frame or without one is drawn again."""
        framed = self.has_class("-framed")
        self.lay_out(event.size.width, event.size.height)
        is_roomier = self.state.room != _room_in(event.size.height)
        if self._started and (is_roomier or self.has_class("-framed") != framed):
            self.take(self.state)

    def lay_out(self, width: int, height: int) -> None:
        """Give the screen the layout for a size in cells."""
        wanted, before = layout_classes(width, height, self.state), self.classes
        for name in ALL:
            self.set_class(name in wanted, name, update=False)
        if self.classes != before:  # the framework would go through all its styles once for each class
            self.app.update_styles(self)
        self.make_room(width, height)

    @on(FieldGrid.Clicked)
    def _clicked(self, event: FieldGrid.Clicked) -> None:
        state = replace(quiet(self.state), in_view=False, helps=False, menu="", finder=None, option=None)
        asked = question(state)
        is_other = event.row != state.rows[state.panel]
        if asked is not None and is_other:
            self.take(asked)
        elif is_other:
            self.take(show_row(state, state.panel, event.row))
        elif state.edit is None:
            self.take(open_edit(state))

    @on(ClickedLines.Clicked)
    def _line_clicked(self, event: ClickedLines.Clicked) -> None:
        """Do what the clicked name stands for: a step, a view, a setup, or a key of the footer."""
        state = quiet(commit(self.state))
        match event.part:
            case "title":
                step = name_at(event.text, event.x, NAMES.values())
                if step is not None:
                    self.take(show_step(state, step))
            case "fields-strip":
                names = [str(setup.get("name", "")) for setup in state.job.setups]
                setup = name_at(event.text, event.x, names) if state.step is Step.SPRINGS else None
                there = state if setup is None else select_setup(state, setup)
                self.take(replace(there, in_view=False, helps=False))
            case "view-strip":
                ids = state.view_ids
                view = name_at(event.text, event.x, [VIEW_ROWS[id].name for id in ids])
                self.take(state if view is None else show_view(state, ids[view]))
            case _ if state.option is not None and isinstance(state.row.kind, Choice):
                option = name_at(event.text, event.x, [one.word for one in state.row.kind.options])
                self.take(state if option is None else pick_from_list(state, option))
            case _:
                self.do_clicked(event)

    def rolled(self, state: BenchState, steps: int) -> BenchState:
        """Return the state with the cursor moved by the wheel of the mouse."""
        return question(state) or move_by_rows(state, steps)

    def on_figure_table_setup_selected(self, event: FigureTable.SetupSelected) -> None:
        """Select the setup that was asked for in the table."""
        self.take(select_setup(self.state, event.index))

    def on_view_pane_told(self, event: ViewPane.Told) -> None:
        """Keep what a view had calculated, unless something newer is asked by now."""
        from tui.bench.views.pane import worked_on

        self.take(worked_on(self.state, event.key, event.share, event.found))

    def on_figure_table_row_selected(self, event: FigureTable.RowSelected) -> None:
        """Say what the figure means."""
        self.take(replace(self.state, figure=event.key))
