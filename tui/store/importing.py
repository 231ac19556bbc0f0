"""What comes into the records: an export, a backup, or job files; all of it, or with any fault nothing."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory

from tui.jobs.faults import UnusableJob
from tui.jobs.files import FileTrouble, read_path
from tui.jobs.findings import Findings
from tui.jobs.job import Job, parse
from tui.jobs.sections import check_format
from tui.jobs.slips import spelled
from tui.store.content import Content, content_of
from tui.store.export_reading import read_export
from tui.store.looking import look_through
from tui.store.merging import Merged, merge
from tui.store.opening import open_store
from tui.store.place import Place
from tui.store.refusing import Unimportable, off_the_bench
from tui.store.saving import Saving, add_job
from tui.store.store import Store
from tui.store.trouble import StoreTrouble, in_words

_DATABASE = b"SQLite format 3\0"
ACCEPTED = "one folder of an export, one backup, or job files are accepted"


def bring_in(store: Store, paths: Sequence[Path], by: str) -> Merged:
    """Bring in what stands at some paths; job files as new jobs that were saved `by` somebody.

    Raises `Unimportable` with every fault, or `StoreTrouble`; then nothing came in.
    """
    are_jobs = not any(path.is_dir() or _is_database(path) for path in paths)
    if len(paths) > 1 and not are_jobs:
        raise Unimportable((f"{len(paths)} files and folders at once cannot be told apart; {ACCEPTED}",))
    content = _job_files(paths, by) if are_jobs else content_at(paths[0])
    with store.writing() as connection:
        return merge(connection, content)


def content_at(path: Path) -> Content:
    """Return what an export or a backup holds; raises `Unimportable` with every fault of it."""
    if path.is_dir():
        return read_export(path)
    try:
        looked = look_through(Place(path))
    except StoreTrouble as trouble:
        raise Unimportable((f"{path}: {off_the_bench(trouble)}",)) from trouble
    if looked.content is None or looked.faults:
        raise Unimportable(tuple(f"{path}: {fault}" for fault in looked.faults))
    return looked.content


def _is_database(path: Path) -> bool:
    try:
        if not path.is_file():  # what has come through a pipe cannot be read again
            return False
        with path.open("rb") as file:
            return file.read(len(_DATABASE)) == _DATABASE
    except (OSError, ValueError):  # told where it is read as a job
        return False


def _job_files(paths: Sequence[Path], by: str) -> Content:
    """Return what records would hold that begin with these jobs: making it ready holds nobody up."""
    jobs = _read_jobs(paths)
    with (
        in_words(),
        TemporaryDirectory(prefix="springwright-") as folder,
        closing(open_store(Place(Path(folder) / "jobs.sqlite"))) as beside,
    ):
        with beside.writing() as connection:
            for path, text, job in jobs:
                add_job(connection, Saving.of(job, by, f"from {path.name}", text))
        return content_of(beside.engine)


def _read_jobs(paths: Sequence[Path]) -> list[tuple[Path, str, Job]]:
    faults, jobs = [], []
    for path in paths:
        try:
            text = read_path(path)
            jobs.append((path, text, _job(text)))
        except FileTrouble as trouble:
            faults.append(f"{path}: {trouble.fault}")
        except UnusableJob as unusable:
            faults += [f"{path}: {fault}" for fault in unusable.faults]
    if faults:
        raise Unimportable(tuple(faults))
    return jobs


def _job(text: str) -> Job:
    """Return the job of a file; one that cannot be answered yet is a job too, any other TOML is not."""
    job = parse(text)
    found = Findings(spelled(job.tree))
    check_format(job.get(("format",)), found)
    if found.faults:
        raise UnusableJob(tuple(found.faults))
    return job
