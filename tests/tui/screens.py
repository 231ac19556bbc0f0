"""An app that shows one dialog and keeps what it was closed with."""

from collections.abc import Iterator
from typing import Any

from textual.app import App, ComposeResult
from textual.pilot import Pilot
from textual.widgets import Static

from tui.kit import document
from tui.kit.dialogs import Dialog, Paragraph
from tui.kit.document import Document
from tui.kit.roles import Role

SIZES = [(40, 14), (80, 24), (120, 40), (200, 60)]
NOTHING: object = "nothing yet"


class Waiting(App[None]):
    """Pushes a dialog; `results` is what it was closed with."""

    def __init__(self, dialog: Dialog[Any]) -> None:
        super().__init__()
        self.dialog = dialog
        self.result: object = NOTHING

    def compose(self) -> ComposeResult:
        yield Static("the bench behind it")

    def on_mount(self) -> None:
        self.push_screen(self.dialog, self.closed)

    def closed(self, result: object) -> None:
        self.result = result


def painted(pilot: Pilot[Any]) -> str:
    """Return what the screen shows, line by line."""
    return "\n".join(strip.text for strip in pilot.app.screen._compositor.render_strips())


def said(pilot: Pilot[Any]) -> str:
    """Return what the dialog in front says, as running words without its frame."""
    strips = pilot.app.screen._compositor.render_strips()
    inside = pilot.app.screen.query_one(".box").content_region
    lines = strips[inside.y : inside.bottom]
    return " ".join(" ".join(strip.crop(inside.x, inside.right).text for strip in lines).split())


def page_paragraphs(told: Document) -> Iterator[Paragraph]:
    """Yield the headings and paragraphs of a document as those of a page."""
    for block in told.blocks:
        if isinstance(block, document.Heading):
            yield Paragraph(told.spoken(block, block.text), Role.HEADING)
        elif isinstance(block, document.Paragraph) and block.text:
            yield Paragraph(told.spoken(block, block.text), block.role, indent=len(block.lead))
