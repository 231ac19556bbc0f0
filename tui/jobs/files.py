"""Job files on disk: opened with every trouble in words, saved without losing anybody's work."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from tui.jobs.atomic import replace_file
from tui.jobs.faults import JobFault, reason_of
from tui.jobs.job import Job, parse
from tui.jobs.toml_text import toml_text

LARGEST = 1_000_000
"""Largest job file taken [bytes]; a real one has a few thousand."""


class FileTrouble(Exception):
    """A file that cannot be read or written: `what` is wrong and what is `accepted`."""

    def __init__(self, what: str, accepted: str) -> None:
        """Keep both halves apart, for callers that lay them out themselves."""
        self.fault = JobFault((), what, accepted)
        super().__init__(f"{self.fault.what}; {self.fault.accepted}")


class ChangedMeanwhile(FileTrouble):
    """The file on disk is no longer the one that was opened; saving would overwrite someone's work."""


@dataclass(frozen=True, slots=True)
class OpenedFile:
    """A job with the file it came from: its text, for the comments, and its digest, to know it again."""

    path: Path
    job: Job
    text: str
    digest: str
    line_end: str = "\n"


def load(path: Path) -> OpenedFile:
    """Open a job file; raises `FileTrouble`, or `UnusableJob` where its text is no TOML."""
    try:
        if path.exists() and not path.is_file():
            raise FileTrouble("not a file but a folder or a device", _ACCEPTED)
        with path.open("rb") as source:
            data = _read(source)
    except (OSError, ValueError) as trouble:
        raise _in_words(trouble, _ACCEPTED) from trouble
    text = decoded(data)
    return OpenedFile(path, parse(text), text, _digest(data), "\r\n" if b"\r\n" in data else "\n")


def read_path(path: Path) -> str:
    """Return the text of a job from a file or a pipe, to be read only; raises `FileTrouble`."""
    try:
        with path.open("rb") as source:
            return read_text(source)
    except (OSError, ValueError) as trouble:
        raise _in_words(trouble, _ACCEPTED) from trouble


def read_text(source: BinaryIO) -> str:
    """Return the text of a job from a stream such as standard input; raises `FileTrouble`."""
    try:
        data = _read(source)
    except (OSError, ValueError) as trouble:
        raise _in_words(trouble, _ACCEPTED) from trouble
    return decoded(data)


def save(job: Job, path: Path, opened: OpenedFile | None, *, overwrite: bool = False) -> OpenedFile:
    """Write a job to `path` and return the file as it is now; comments of `opened` are kept.

    Raises `ChangedMeanwhile` where another session changed or made the file since it was opened, unless
    `overwrite` is asked for, and `FileTrouble` where it cannot be written; the old file then stands.
    """
    try:
        if not overwrite:
            _check_unchanged(path, opened)
        text = toml_text(job, opened.text if opened else None)
        line_end = opened.line_end if opened else "\n"
        data = text.replace("\n", line_end).encode()
        replace_file(path, data)
    except (OSError, ValueError) as trouble:
        raise _in_words(trouble, "a name in a folder that can be written is accepted") from trouble
    return OpenedFile(path, job, text, _digest(data), line_end)


_ACCEPTED = "a job file in TOML is accepted"


def _check_unchanged(path: Path, opened: OpenedFile | None) -> None:
    if not path.exists():
        return
    ours = opened is not None and opened.path.resolve() == path.resolve()
    with path.open("rb") as source:
        now = _digest(_read(source))
    if not ours:
        raise ChangedMeanwhile("there is a file of this name already", "another name, or overwriting it")
    if opened is not None and now != opened.digest:
        raise ChangedMeanwhile(
            "the file was changed by somebody else since it was opened", "another name, or overwriting it"
        )


def _read(source: BinaryIO) -> bytes:
    data = source.read(LARGEST + 1)
    if len(data) > LARGEST:
        raise FileTrouble(f"larger than {LARGEST // 1000} kB", _ACCEPTED)
    return data


def decoded(data: bytes) -> str:
    """Return the text of a file with single line feeds as line ends and no byte order mark."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise FileTrouble("not text in UTF-8", f"{_ACCEPTED}, saved as UTF-8") from error
    if "\0" in text:
        raise FileTrouble("not a text file", _ACCEPTED)
    return text.replace("\r\n", "\n")


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _in_words(trouble: OSError | ValueError, accepted: str) -> FileTrouble:
    reason = reason_of(trouble)
    return FileTrouble(reason[:1].lower() + reason[1:], accepted)
