"""How the bench is looked at: table or chart, colours, characters of the lines, and who has the mouse."""

from __future__ import annotations

import os
from dataclasses import replace
from typing import TYPE_CHECKING

from tui.bench.screen_mouse import give_mouse, has_mouse
from tui.charts.look import LINE_STYLES
from tui.themes import no_colour

if TYPE_CHECKING:
    from tui.bench.screen import BenchScreen


def switch_table(screen: BenchScreen) -> None:
    """Go to the table of figures, or back to the panels."""
    screen.table_wanted = not screen.in_table
    screen.lay_out(*screen.app.size)
    if screen.table_wanted:
        screen.right.go_to_table(screen.state)
    else:
        screen.grid.focus()


def turn_theme(screen: BenchScreen) -> None:
    """Go to the next set of colours."""
    if no_colour(os.environ):
        screen.say("NO_COLOR is set: there is nothing to choose.")
        return
    names = sorted(screen.themes)
    name = names[(names.index(screen.app.theme) + 1) % len(names)]
    screen.app.register_theme(screen.themes[name].textual())
    screen.app.theme = name
    screen.restyle(screen.themes[name].chart(screen.glyphs))
    screen.say(f"Colours: {name}.")


def turn_line_style(screen: BenchScreen) -> None:
    """Draw the lines of the chart with the next kind of character."""
    styles = ("ascii",) if screen.glyphs.ascii else LINE_STYLES
    style = styles[(styles.index(screen.look.line_style) + 1) % len(styles)]
    screen.restyle(replace(screen.look, line_style=style))
    screen.say(f"Lines drawn in {style}.")


def switch_mouse(screen: BenchScreen) -> None:
    """Let the terminal have the mouse, or take it again."""
    give_mouse(screen.app, to_program=not has_mouse(screen.app))
    mine = has_mouse(screen.app)
    screen.say("The mouse works here again." if mine else "The mouse is the terminal's: it selects text.")
