"""Job files, replaced atomically: a reader sees the old or the new content, never a mixture."""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Iterator, Mapping, MutableMapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

from physics.frozen import dataclass
from tui.job.faults import TABLES, JobFault, reason_of
from tui.job.fields import TOP
from tui.job.job import Job, parse
from tui.job.tree import Raw, Tree, thaw

if TYPE_CHECKING:
    from tomlkit.items import AoT


def replace_file(
    path: Path, data: bytes, *, sync: bool = True, private: bool = False, only_new: bool = False
) -> None:
    """Replace the file at `path` atomically by `data`; on OSError the old file stays.

    With `only_new` an existing file is never replaced: raises FileExistsError.
    A symbolic link is followed: its target is replaced, not the link. Permissions, and the owner if allowed,
    are kept. A new file gets the permissions of the umask, a `private` one is readable by its owner only.
    Refuses anything that is not a file, such as a pipe or a device.
    """
    target = real_path(path)
    if not is_file_or_new(path):
        raise OSError(errno.EINVAL, NO_FILE)
    if only_new and target.exists():
        raise FileExistsError(errno.EEXIST, IS_THERE)
    import tempfile  # with what it loads, slow for whoever only reads

    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name[:80]}.")
    beside = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            if sync:
                os.fsync(file.fileno())
        if not private:  # which what is made here is
            _like_before(beside, target)
        if only_new:
            put_new(beside, target)
        else:
            beside.replace(target)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise
    if sync:
        sync_folder(target.parent)


def put_new(beside: Path, target: Path) -> None:
    """Give a finished file the name `target` on the same disk; FileExistsError if it was taken meanwhile."""
    try:
        os.link(beside, target)
    except FileExistsError:
        raise FileExistsError(errno.EEXIST, IS_THERE) from None
    except OSError:  # not every disk has links
        beside.rename(target)
    else:
        beside.unlink()


IS_THERE = "a file of this name exists already"
NO_FILE = "not a file but a folder, a pipe or a device"


def real_path(path: Path) -> Path:
    """Return the absolute path without links; unlike `Path.resolve` a link to itself is no RuntimeError."""
    return Path(os.path.realpath(path))


def is_file_or_new(path: Path) -> bool:
    """Return whether a path is a regular file or does not exist: opening anything else may block for ever."""
    try:
        return stat.S_ISREG(path.stat().st_mode)
    except FileNotFoundError:
        return True


def _like_before(beside: Path, target: Path) -> None:
    try:
        before = target.stat()
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        beside.chmod(0o666 & ~mask)
        return
    if hasattr(os, "chown"):
        with suppress(OSError):
            os.chown(beside, before.st_uid, before.st_gid)
    beside.chmod(before.st_mode & 0o7777)


def sync_folder(folder: Path) -> None:
    """Sync a folder, so that new names in it are on the disk, as far as the file system supports that."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def toml_text(job: Job, before: str | None) -> str:
    """Return the TOML of a job, based on the text `before`, if any, whose comments are kept."""
    import tomlkit  # it is needed only when somebody saves

    if before is not None:
        # If the old text does not fit the new job, the job matters more than the comments.
        with suppress(Exception):
            document = tomlkit.parse(before)
            _merge(document, job.tree)
            text = tomlkit.dumps(document)
            if parse(text) == job:
                return text
    known = {key: job.tree[key] for key in TOP if key in job.tree}
    return tomlkit.dumps({key: _plain(value, key) for key, value in (known | dict(job.tree)).items()})


def _plain(raw: Raw, key: str = "") -> Raw:
    import tomlkit

    if not isinstance(raw, Tree):
        return [_plain(item) for item in raw] if isinstance(raw, tuple) else raw
    # Columns, such as the stages of a coil, read best on one line, but not a table such as the damper's.
    if raw and key not in TABLES and all(isinstance(value, tuple) for value in raw.values()):
        inline = tomlkit.inline_table()
        inline.update(thaw(raw))
        return inline
    return {key: _plain(value, key) for key, value in raw.items()}


def _merge(document: MutableMapping[str, Any], tree: Mapping[str, Any]) -> None:
    for key in [key for key in document if key not in tree]:
        del document[key]
    for key, raw in tree.items():
        old = document.get(key)
        if isinstance(raw, Tree) and isinstance(old, MutableMapping):
            _merge(old, raw)
        elif _is_list_of_tables(raw) and isinstance(old, list):
            if [table.get("name") for table in old] == [table.get("name") for table in raw]:
                for table, inner in zip(old, raw, strict=True):
                    _merge(table, inner)
            else:
                document[key] = _merged_tables(old, raw)
        elif old is None or _differs(old, raw):
            document[key] = _plain(raw, key)


def _differs(old: Raw, raw: Raw) -> bool:
    value = old.unwrap() if hasattr(old, "unwrap") else old
    return bool(value != thaw(raw) or type(value) is not type(thaw(raw)))


def _is_list_of_tables(raw: Raw) -> bool:
    return isinstance(raw, tuple) and bool(raw) and all(isinstance(item, Tree) for item in raw)


def _merged_tables(old: list[Any], new: tuple[Tree, ...]) -> AoT:
    """Return the setups in their new order, each based on the old table with its name, else at its index."""
    import tomlkit

    names = [table.get("name") for table in new]
    spare = [table for table in old if table.get("name") not in names]
    tables = tomlkit.aot()
    for raw in new:
        table = next((t for t in old if t.get("name") == raw.get("name")), None)
        if table is None:
            table = spare.pop(0) if spare else tomlkit.table()
        else:
            old = [t for t in old if t is not table]
        _merge(table, raw)
        tables.append(table)
    return tables


LARGEST = 300_000
"""Largest job file accepted [bytes]; a real one has a few thousand."""


class FileTrouble(Exception):
    """A file that cannot be read or written: `what` is wrong and what is `accepted`."""

    def __init__(self, what: str, accepted: str) -> None:
        """Keep both parts, for callers with their own layout."""
        self.fault = JobFault((), what, accepted)
        super().__init__(f"{self.fault.what}; {self.fault.accepted}")


class ChangedMeanwhile(FileTrouble):
    """The file on disk has changed since it was opened; saving would overwrite someone's work."""


@dataclass(frozen=True, slots=True)
class OpenedFile:
    """A job with its file: the text, for the comments, and the digest, to detect changes."""

    path: Path
    job: Job
    text: str
    digest: str
    line_end: str = "\n"


def load(path: Path) -> OpenedFile:
    """Open a job file; raises `FileTrouble`, or `UnusableJob` if its text is not TOML."""
    with _in_words(_ACCEPTED):
        if not is_file_or_new(path):
            raise FileTrouble(NO_FILE, _ACCEPTED)
        with path.open("rb") as source:
            data = _read(source)
    text = decoded(data)
    return OpenedFile(path, parse(text), text, _digest(data), "\r\n" if b"\r\n" in data else "\n")


def read_path(path: Path) -> str:
    """Return the text of a job from a file or a pipe, to be read only; raises `FileTrouble`."""
    with _in_words(_ACCEPTED), path.open("rb") as source:
        return read_text(source)


def read_text(source: BinaryIO) -> str:
    """Return the text of a job from a stream such as standard input; raises `FileTrouble`."""
    with _in_words(_ACCEPTED):
        return decoded(_read(source))


def save(job: Job, path: Path, opened: OpenedFile | None, *, overwrite: bool = False) -> OpenedFile:
    """Write a job to `path` and return the new file; comments of `opened` are kept.

    Raises `ChangedMeanwhile` if another session changed or created the file since it was opened, unless
    `overwrite`, and `FileTrouble` if it cannot be written; the old file is then kept.
    """
    with _in_words("use a folder that you may write to"):
        if not overwrite:
            _check_unchanged(path, opened)
        text = toml_text(job, opened.text if opened else None)
        line_end = opened.line_end if opened else "\n"
        data = text.replace("\n", line_end).encode()
        try:
            replace_file(path, data, only_new=not overwrite and not path.exists())
        except FileExistsError as made:  # by somebody else since it was looked for
            raise ChangedMeanwhile(IS_THERE, _OTHER_NAME) from made
    return OpenedFile(path, job, text, _digest(data), line_end)


_ACCEPTED = "use a job file in TOML"
_OTHER_NAME = "use another name, or overwrite it"


def _check_unchanged(path: Path, opened: OpenedFile | None) -> None:
    if not is_file_or_new(path):
        raise FileTrouble(NO_FILE, "use another name")
    if not path.exists():
        return
    with path.open("rb") as source:
        now = _digest(_read(source))
    if opened is None or real_path(opened.path) != real_path(path):
        raise ChangedMeanwhile(IS_THERE, _OTHER_NAME)
    if now != opened.digest:
        raise ChangedMeanwhile("somebody else changed the file since it was opened", _OTHER_NAME)


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
    import hashlib  # likewise: the library for encryption is behind it

    return hashlib.sha256(data).hexdigest()


@contextmanager
def _in_words(accepted: str) -> Iterator[None]:
    """Convert errors of the system to `FileTrouble`."""
    try:
        yield
    except (OSError, ValueError) as trouble:
        reason = reason_of(trouble)
        raise FileTrouble(reason[:1].lower() + reason[1:], accepted) from trouble
