"""Pages, prompts and questions of the bench: faults of a file, the setup sheet, notes, versions, tables."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import Generic

from physics.wants import Want
from tui.bench.screen import BenchScreen
from tui.bench.state import BenchState
from tui.job.faults import JobFault, UnusableJob, dotted
from tui.job.fields import Field
from tui.job.job import Job
from tui.job.tree import brief
from tui.job.typed import unit_taken
from tui.kit.dialogs import Page, Paragraph, Question, Reply
from tui.kit.look import Glyphs
from tui.kit.prompts import CompletingPrompt, Prompt, Refused, SavePrompt, as_path, existing_file
from tui.kit.roles import Role
from tui.ride.damper_table import DamperRead, damper_in
from tui.ride.events import CAUTION, size_at
from tui.saying import first_of
from tui.sheet.build import form_of
from tui.shop_units import ShopUnits
from tui.store.kept import Revision
from tui.subjects.leverage import LeverageRead, changes, kept_words, leverage_in, understood
from tui.subjects.match import EXAMPLE, UnusableWant, units_text, wants_of
from tui.subjects.new_job import is_ticket
from tui.subjects.readings import TypedUnits, readings_asked, unlikely_in
from tui.tables.questions import Found, Open, Told, attempt
from tui.tables.recorded import LogFile, log_file
from tui.tables.source import Readings, UnusableReadings
from tui.tables.table import table_at


def faults_page(name: str, faults: Sequence[JobFault], glyphs: Glyphs) -> Page:
    """Return the page with the reasons why `name` was not opened."""
    return Page(f"{name} was not opened", fault_lines(faults), glyphs)


def fault_lines(faults: Sequence[JobFault]) -> tuple[Paragraph, ...]:
    """Return each fault under its path in the file: what is wrong, and what is accepted."""
    many = "1 fault" if len(faults) == 1 else f"{len(faults)} faults"
    lines = [Paragraph(f"{many} to fix in the file. The job on screen is unchanged.", Role.QUIET)]
    for fault in faults:
        lines += [
            Paragraph(dotted(fault.path), Role.HEADING),
            Paragraph(f"{fault.what}; {fault.accepted}.", indent=2),
        ]
    return tuple(lines)


class NotePrompt(Prompt[str]):
    """Ask for a note to save with the job; may be empty."""

    TITLE = "Save to the records with a note"
    HINT = "What was done, or what to check next time"

    def read(self, text: str) -> str:
        """Return the note."""
        return text.strip()


class WhosePrompt(Prompt[tuple[str, str]]):
    """Ask whose job it is; the result is the key in the record (customer or ticket) and the text."""

    TITLE = "Whose job is it?"
    HINT = "Customer name or ticket number (such as 118, T-118 or #118)"

    def read(self, text: str) -> tuple[str, str]:
        """Return the key and the text; refuses an empty line, by which the job could not be found again."""
        whose = text.strip()
        if not whose:
            raise Refused("Enter a name or a ticket number.")
        return ("ticket" if is_ticket(whose) else "customer", whose)


COMPARE, MINE, THEIRS = "compare", "mine", "theirs"
"""Replies to the question below; Escape leaves both side by side."""


def ask_versions(
    mine: Revision, theirs: Revision, differences: Sequence[str], moment: str, glyphs: Glyphs
) -> Question:
    """Report a revision saved in between, at `moment`, and ask which of the two is current."""
    note = f': "{brief(theirs.note)}"' if theirs.note else ""
    text = (
        f"{brief(theirs.saved_by)} saved revision {theirs.number}, {moment}{note}.",
        f"Yours is saved as revision {mine.number}. Nothing was overwritten.",
        *differences,
    )
    replies = (
        Reply("c", "compare both on the bench", COMPARE),
        Reply("m", f"mine is current; revision {theirs.number} stays in the history", MINE),
        Reply("t", f"theirs is current; revision {mine.number} stays in the history", THEIRS),
    )
    return Question("Someone else saved this job too", text, replies, "decide later, keep both", glyphs)


class SheetPrompt(SavePrompt):
    """Ask for the path of the sheet; its ending determines the form."""

    TITLE = "Save the setup sheet as"
    HINT = "A path ending in .html (to print), .md or .txt; without one it gets .html"
    ENDINGS = (".html", ".md", ".txt")
    NO_NAMES = "No folder or sheet starts like this."

    def read(self, text: str) -> Path:
        """Return the path; refuses one that cannot be saved to, or has an unknown ending."""
        path = as_path(text)
        if path.suffix and form_of(path) is None:
            raise Refused(f"{path.suffix} is not possible: use .html (print or PDF), .md or .txt.")
        return super().read(text)


TABLES = (".csv", ".txt", ".tsv", ".dat", ".asc")
"""Endings of files with tables."""
_TOLD = 3
"""Number of faults of a file shown below the line."""


class TablePrompt(Prompt[Found | Open[Found]], Generic[Found]):
    """A prompt for a table or readings; errors are shown below the line."""

    def find(self, text: str) -> Found | Open[Found]:
        """Return what the text refers to, or an open question; raises `UnusableReadings` or `OSError`."""
        raise NotImplementedError

    def read(self, text: str) -> Found | Open[Found]:
        """Return what is found; a refusal lists the first few faults."""
        try:
            return self.find(text)
        except UnusableReadings as unusable:
            told = first_of(unusable.lines, _TOLD, str, lambda more: f"and {more} more lines")
            raise Refused("\n".join(told)) from unusable


class AnswerPrompt(TablePrompt[Found]):
    """A prompt for an open question about a table; closes with the table or the next question."""

    def __init__(self, open_table: Open[Found], glyphs: Glyphs) -> None:
        super().__init__("", glyphs, open_table.question.title, open_table.question.asks)
        self._open = open_table

    def find(self, text: str) -> Found | Open[Found]:
        """Return the table read with the answer, or the next open question."""
        return self._open.answered(text)


def ask_table(screen: BenchScreen, prompt: TablePrompt[Found], then: Callable[[Found], None]) -> None:
    """Ask until a table has no open question, then continue with it; Escape stops."""

    def found(reply: Found | Open[Found] | None) -> None:
        if isinstance(reply, Open):
            ask_table(screen, AnswerPrompt(reply, screen.glyphs), then)
        elif reply is not None:
            then(reply)

    screen.app.push_screen(prompt, found)


_LABELS = {"wheel_travel": "wheel travel", "stroke": "shock stroke"}


class FilePrompt(TablePrompt[Found], CompletingPrompt[Found | Open[Found]]):
    """A prompt for the file of a table; faults of the file are shown below the line."""

    ENDINGS = TABLES
    NO_NAMES = "No folder or table file starts like this."

    def __init__(
        self, screen: BenchScreen, title: str, hint: str, reader: Callable[[Path], Callable[[Told], Found]]
    ) -> None:
        """Ask for a file in the session's folder; `reader` opens it and returns a reader of its table."""
        super().__init__(f"{screen.session.folder}/", screen.glyphs, title, hint)
        self._reader = reader

    def find(self, text: str) -> Found | Open[Found]:
        """Return the content of the file, or an open question about it."""
        return attempt(self._reader(existing_file(text)), Told())


def leverage_prompt(screen: BenchScreen) -> FilePrompt[LeverageRead]:
    """Return the prompt for the file of a leverage table."""
    hint = "CSV or text file with two of wheel travel, shock stroke and leverage ratio"
    return FilePrompt(
        screen, "Leverage from a table", hint, lambda path: partial(leverage_in, table_at(path))
    )


def damper_prompt(screen: BenchScreen) -> FilePrompt[DamperRead]:
    """Return the prompt for the file of a damper tester."""
    hint = "CSV or text file of a damper tester: shaft speed and force, compression positive"
    return FilePrompt(screen, "Damper from a table", hint, lambda path: partial(damper_in, table_at(path)))


def log_prompt(screen: BenchScreen) -> FilePrompt[LogFile]:
    """Return the prompt for a logger's file; it reads the first rows only, the rest is read in a thread."""
    hint = "CSV or text file of a logger: time, and shock stroke, fork travel or rear wheel travel"
    return FilePrompt(screen, "Logged ride", hint, lambda path: partial(log_file, path))


def ask_to_take(job: Job, read: LeverageRead, glyphs: Glyphs) -> Question:
    """Show what was found in a file and what of the frame changes with it; any reply takes it."""
    changed = [
        f"Frame {_LABELS[key]}: {job.get(('frame', key)) or 'empty'} → {text}"
        for key, text in changes(job, read).items()
    ]
    lines = [f"{line}." for line in (understood(read), kept_words(read), *changed) if line]
    replies = (Reply("t", "use it; u undoes all of it", "take"),)
    return Question(f"Leverage from {read.name}", lines, replies, "leave the job as it is", glyphs)


class ReadingsPrompt(TablePrompt[Readings], CompletingPrompt[Readings | Open[Readings]]):
    """A prompt for readings, typed or in a file; errors are shown below the line."""

    ENDINGS = TABLES
    NO_NAMES = "No folder or file of measurements starts like this."

    def __init__(self, units: ShopUnits, glyphs: Glyphs, setup: str) -> None:
        """Ask for the readings of a setup by name."""
        self._units, self._shop = TypedUnits.of(units), units
        super().__init__(
            "", glyphs, f"Measurements of {brief(setup)}", f"Path of a file, or {self._units.forms()}"
        )

    def find(self, text: str) -> Readings | Open[Readings]:
        """Return the readings, or an open question about their file."""
        return readings_asked(text, self._units, as_path)

    def doubt(self, found: Readings | Open[Readings]) -> str:
        """Ask about a sag or a pressure that is unlikely."""
        doubts = () if isinstance(found, Open) else unlikely_in(found, self._shop)
        return " ".join(doubt.question(self._shop) for doubt in doubts)


class SizePrompt(Prompt[Job]):
    """A prompt for one size of the event; errors are shown below the line."""

    def __init__(self, state: BenchState, field: Field, glyphs: Glyphs, typed: str = "") -> None:
        """Ask for the size, starting with what was `typed`, else with the present size."""
        self._state, self._field = state, field
        text = typed or str(size_at(state.event.sizes, field))
        title = f"{field.full_label.capitalize()} of the event"
        super().__init__(text, glyphs, title, f"{field.meaning} {CAUTION}")

    def unit_of(self, text: str) -> str:
        """Return the unit that a bare number takes, empty for other text."""
        return unit_taken(self._state.event.sizes, self._field, text, self._state.units)

    def read(self, text: str) -> Job:
        """Return the sizes of the events with this one changed."""
        from tui.bench.views.events import size_typed  # rides load when they are looked at

        try:
            return size_typed(self._state, self._field, text)
        except UnusableJob as unusable:
            fault = unusable.faults[0]
            raise Refused(f"{fault.what}; {fault.accepted}.") from unusable


class WantsPrompt(Prompt[tuple[Want, ...]]):
    """A prompt for target figures; errors are shown below the line."""

    def __init__(self, units: ShopUnits, glyphs: Glyphs, setup: str) -> None:
        """Ask for the targets of a setup by name."""
        self._units = units
        hint = f"Target figures at the target sag, semicolon between: {EXAMPLE}. Units: {units_text(units)}"
        super().__init__("", glyphs, f"Targets for {brief(setup)}", hint)

    def read(self, text: str) -> tuple[Want, ...]:
        """Return the target figures."""
        try:
            wants = wants_of(text, self._units)
        except UnusableWant as unusable:
            raise Refused(f"{unusable.what}; {unusable.accepted}.") from unusable
        if not wants:
            raise Refused(f"Type a target: {EXAMPLE}")
        return wants
