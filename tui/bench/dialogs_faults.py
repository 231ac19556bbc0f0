"""Everything that is wrong with a job file, on one page."""

from __future__ import annotations

from collections.abc import Sequence

from tui.bench.dialogs_page import Page, Paragraph, Tone
from tui.glyphs import Glyphs
from tui.jobs.faults import JobFault, dotted


def faults_page(name: str, faults: Sequence[JobFault], glyphs: Glyphs) -> Page:
    """Return the page that says why what `name` says was not opened."""
    return Page(f"{name} was not opened", fault_lines(faults), glyphs)


def fault_lines(faults: Sequence[JobFault]) -> tuple[Paragraph, ...]:
    """Return each fault under its place in the file: what is wrong there, and what is accepted."""
    many = "1 fault" if len(faults) == 1 else f"{len(faults)} faults"
    lines = [Paragraph(f"{many} to put right in the file. What is on the bench stays as it is.", Tone.QUIET)]
    for fault in faults:
        lines += [
            Paragraph(dotted(fault.path), Tone.HEAD),
            Paragraph(f"{fault.what}; {fault.accepted}.", indent=2),
        ]
    return tuple(lines)
