"""Opening and saving jobs from the bench; nothing is overwritten or lost without asking."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Future
from dataclasses import replace
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from tui.bench.state import LogChoice, SavedJob, open_at_sag, with_history
from tui.job.faults import UnusableJob
from tui.job.files import ChangedMeanwhile, FileTrouble, OpenedFile, load, real_path
from tui.job.job import UNTITLED, History
from tui.job.reading import look
from tui.job.tree import brief
from tui.kit import dialogs
from tui.kit.dialogs import Paragraph
from tui.kit.roles import Role
from tui.kit.work import SlowTasks, in_thread, promptly
from tui.saying import path_text
from tui.store.kept import day, moment
from tui.store.remembered import JobPlace
from tui.store.trouble import StoreTrouble
from tui.subjects.differences import Compared, Named, compared, differences
from tui.tables.source import UnusableReadings

if TYPE_CHECKING:
    from tui.bench.screen import BenchScreen
    from tui.bench.session import Session
    from tui.job.drafts import Abandoned
    from tui.job.drafts import Found as FoundDrafts
    from tui.job.job import Job
    from tui.shop_units import ShopUnits
    from tui.store.kept import Attached, Found, KeptLog, Revision, Saved
    from tui.store.store import Store
    from tui.tables.recorded import LogFile

Then = Callable[[], None]
"""Continuation after a job is saved or its changes are discarded."""


def save(screen: BenchScreen, then: Then | None = None) -> None:
    """Save the job to its file, the records or both; a job that is in neither goes into the records."""
    screen.commit()
    session, records = screen.session, partial(save_in_records, screen, then)
    if session.path is None:
        records()
    else:
        _write(screen, session.path, records if _is_older_in_records(screen) else then)


def save_as(screen: BenchScreen) -> None:
    """Ask for a path and save the job there."""
    from tui.kit.prompts import SavePrompt

    screen.commit()
    start = str(screen.session.path or f"{screen.session.folder}/")
    screen.ask(SavePrompt(start, screen.glyphs), lambda path: _write(screen, path, None))


def _write(screen: BenchScreen, path: Path, then: Then | None, *, overwrite: bool = False) -> None:
    session, job, opening = screen.session, screen.state.bike, screen.session.opening
    if session.writes:
        screen.say(f"Still saving to {path_text(path)}.")
        return
    session.writes = True

    def written(done: Future[OpenedFile]) -> None:
        session.writes = False
        try:
            file = done.result()
        except ChangedMeanwhile:
            question = dialogs.ask_overwrite(path, screen.glyphs)
            screen.ask(question, lambda _replace: _write(screen, path, then, overwrite=True))
            return
        except FileTrouble as trouble:
            screen.say(f"Not saved to {path_text(path)}: {trouble}.")
            return
        if session.opening is not opening:  # another job is on the bench by now
            screen.say(f"{job.title or UNTITLED}: saved to {path_text(path)}.")
            return
        session.saved(file)
        is_older = _is_older_in_records(screen)
        note = (
            f"Saved to {path_text(path.name)}. Ctrl+S saves it to the records too."
            if is_older
            else f"Saved to {path_text(path)}."
        )
        screen.take(replace(screen.state, history=replace(screen.state.history, saved=job), note=note))
        if then is not None:
            then()

    write = partial(session.save, job, path, overwrite=overwrite)
    promptly(screen, write, written, f"Saving to {path_text(path)}.")


def _is_older_in_records(screen: BenchScreen) -> bool:
    return screen.session.entry is not None and screen.session.recorded != screen.state.bike


def open_job(screen: BenchScreen) -> None:
    """Ask for a job file and open it, after saving or discarding changes of the present job."""
    from tui.kit.prompts import OpenPrompt

    def ask() -> None:
        screen.ask(OpenPrompt(f"{screen.session.folder}/", screen.glyphs), lambda path: _open(screen, path))

    if_not_needed(screen, ask)


def open_recent(screen: BenchScreen, place: JobPlace) -> None:
    """Open a recent job, after saving or discarding changes of the present job."""
    if place.file:
        if_not_needed(screen, partial(_open, screen, Path(place.file)))
    else:
        if_not_needed(screen, partial(open_recorded, screen, place.job))


def _nothing() -> None:
    """Do nothing more."""


def open_recorded(
    screen: BenchScreen, job: str, then: Then = _nothing, is_wanted: Callable[[], bool] = lambda: True
) -> None:
    """Open the newest revision of a job of the records, loaded in the background, unless no longer wanted.

    `then` is called when it is open or the reason why not is shown.
    """

    def told(why: str) -> None:
        if is_wanted():
            screen.say(why)
            then()

    def opened(store: Store, revision: Revision) -> None:
        if is_wanted():
            open_revision(screen, store, revision, then=then, is_wanted=is_wanted)

    def found() -> None:
        try:
            store = screen.session.records.open()
            revision = store.revision(job, store.latest(job))
        except StoreTrouble as trouble:
            screen.call_later(told, f"Not opened from the records: {trouble}.")
            return
        if revision is None:
            screen.call_later(told, "That job is not in the records any more.")
        else:
            screen.call_later(opened, store, revision)

    in_thread(screen, found, "recorded")


def read_saved(screen: BenchScreen, then: Callable[[], object] = lambda: None) -> None:
    """Read the list of jobs in the records in the background, for the finder.

    `then` is called if the list has changed.
    """
    records = screen.session.records

    def read() -> tuple[SavedJob, ...]:
        if records.is_new:
            return ()
        store = records.open()
        return tuple(_saved_job(store.name, found) for found in store.find().entries)

    def take(saved: tuple[SavedJob, ...]) -> None:
        if saved != screen.state.saved:
            screen.take(replace(screen.state, saved=saved))
            then()

    beside(screen, read, take, lambda why: screen.say(f"Saved jobs are not searched: {why}."))


def _saved_job(store: str, found: Found) -> SavedJob:
    known = (found.title, found.customer, found.ticket, found.bike, found.hardware)
    title = next((text for text in known if text), UNTITLED)
    words = ", ".join(text for text in known if text and text != title)
    return SavedJob(JobPlace(store=store, job=found.uid, title=title), words)


def reopen_last(screen: BenchScreen) -> None:
    """Open the last job if the screen waits for it, unless something else is in front."""
    last = screen.awaited
    if last is not None and screen.app.screen is screen:
        open_recorded(screen, last.job, screen.stop_waiting, lambda: screen.awaited is last)
    else:
        screen.stop_waiting()


def _open(screen: BenchScreen, path: Path) -> None:
    from tui.bench.prompts import faults_page

    name = path_text(path.name)

    def read(done: Future[OpenedFile]) -> None:
        try:
            file = done.result()
        except UnusableJob as unusable:
            screen.app.push_screen(faults_page(name, unusable.faults, screen.glyphs))
            return
        except FileTrouble as trouble:
            screen.say(f"{name} is not opened: {trouble}.")
            return
        if screen.state.history is before and screen.state.edit is None:
            put(file)
        else:  # something was typed while the slow disk was read
            if_not_needed(screen, partial(put, file))

    def put(file: OpenedFile) -> None:
        screen.session.opened(file)
        screen.take(open_at_sag(screen.state, History.starting_at(file.job), f"{name} is open."))

    before = screen.state.history
    promptly(screen, partial(load_job, path), read, f"Reading {name}.")


def load_job(path: Path) -> OpenedFile:
    """Return a job file that has no faults, or faults in its values only.

    Raises `FileTrouble`, or `UnusableJob` for another format or unknown keys: the screen could neither show
    nor correct them.
    """
    file = load(path)
    refuse_what_cannot_be_shown(file.job)
    return file


def refuse_what_cannot_be_shown(job: Job) -> None:
    """Raise `UnusableJob` for another format and for unknown keys, which have no row on the screen."""
    _reading, faults = look(job)
    fatal = tuple(fault for fault in faults if fault.path == ("format",) or fault.what == "unknown key")
    if fatal:
        raise UnusableJob(fatal)


def if_not_needed(screen: BenchScreen, then: Then) -> None:
    """Continue at once if everything is saved; else ask whether to save or discard the changes.

    While the job is being saved this waits, unless it is requested a second time.
    """
    state, records = screen.commit(), screen.session.records
    if records.busy and records.after is None:
        records.after = partial(if_not_needed, screen, then)
        screen.say("Still saving to the records: this waits. The same again does not.")
        return
    records.after = None
    if not state.history.has_unsaved_changes:
        then()
        return

    def replied(reply: str | None) -> None:
        if reply == dialogs.SAVE:
            save(screen, then)
        elif reply == dialogs.DISCARD:
            then()

    screen.app.push_screen(dialogs.ask_unsaved(state.job.title, screen.glyphs), replied)


def offer_drafts(screen: BenchScreen) -> None:
    """Offer drafts of ended sessions, the newest first; if a job was opened, only those of this job."""
    from tui.job.drafts import abandoned_drafts

    file = screen.session.path

    def find() -> tuple[FoundDrafts, Path | None]:
        return abandoned_drafts(), file and real_path(file)

    def offer(done: Future[tuple[FoundDrafts, Path | None]]) -> None:
        found, path = done.result()
        ours = [draft for draft in found.drafts if _belongs(draft, screen.session, path)]
        if others := len(found.drafts) - len(ours):
            many = "Another job has" if others == 1 else f"{others} other jobs have"
            screen.say(f"{many} unsaved work too. Start springwright without a job to open it.")
        if found.damaged:
            question = dialogs.tell_damaged(found.damaged, screen.glyphs)
            screen.app.push_screen(question, lambda _reply: _offer(screen, ours))
        else:
            _offer(screen, ours)

    promptly(screen, find, offer, "")


def _belongs(draft: Abandoned, session: Session, path: Path | None) -> bool:
    """Return whether a session on the file at `path` should offer a draft; without a job, any draft."""
    if session.entry is not None:
        kept, asked = draft.entry or {}, session.entry
        return all(kept.get(key) == asked[key] for key in ("store", "job"))
    return path is None or draft.file == path


def _offer(screen: BenchScreen, drafts: Sequence[Abandoned]) -> None:
    """Offer the first draft that no other session has taken meanwhile, and after the reply the next."""
    from tui.job.drafts import claim, forget

    if not drafts:
        return
    draft, rest = drafts[0], drafts[1:]
    held = claim(draft)
    if held is None:
        _offer(screen, rest)
        return
    screen.session.claimed = held

    def replied(reply: str | None) -> None:
        if reply == dialogs.OPEN:  # open it as unsaved
            history = History(draft.job, saved=None)
            screen.session.recovered(draft.file, draft.entry)
            screen.take(open_at_sag(screen.state, history))
            screen.session.keep(history)
        is_kept = reply != dialogs.OPEN or screen.session.has_draft(draft.job)
        if is_kept and reply is not None:
            forget(draft)
        held.close()
        if is_kept:  # else the recovered job has no draft of its own yet
            _offer(screen, rest)

    about = _drafts_words(draft, len(rest), busy=screen.state.history.has_unsaved_changes)
    screen.app.push_screen(dialogs.tell_recovered(about, screen.glyphs), replied)


def _drafts_words(draft: Abandoned, more: int, *, busy: bool) -> list[str]:
    """Return lines on a draft: whose job, where it belongs, how old, and how many more drafts there are."""
    record = [draft.job.get(("record", key)) for key in ("customer", "ticket", "bike")]
    home = draft.file or ("a job in the records" if draft.entry is not None else None)
    words = (
        draft.job.title or UNTITLED,
        ", ".join(text for text in record if isinstance(text, str)),
        "Never saved." if home is None else f"Unsaved changes to {home}.",
        f"Last changed {datetime.fromtimestamp(draft.kept_at):%d %B, %H:%M}.",
        f"And {more} more after this one." if more else "",
        "The job on screen is kept and offered at the next start." if busy else "",
    )
    return [line for line in dict.fromkeys(words) if line]  # a job is often called as its customer


Result = TypeVar("Result")


def beside(
    screen: BenchScreen,
    work: Callable[[], Result],
    then: Callable[[Result], object],
    failed: Callable[[str], object],
) -> None:
    """Work on the records in a thread, so that a slow disk or server holds up no key.

    Then `then` is given the result, or `failed` the reason why there is none.
    """
    SlowTasks(screen, StoreTrouble).run(work, then, failed)


def open_revision(
    screen: BenchScreen,
    store: Store,
    revision: Revision,
    note: str = "",
    then: Then = _nothing,
    is_wanted: Callable[[], bool] = lambda: True,
) -> None:
    """Open a saved revision to continue from it, or say why it cannot be shown; then call `then`."""
    from tui.bench.prompts import faults_page

    try:
        refuse_what_cannot_be_shown(revision.job)
    except UnusableJob as unusable:
        screen.app.push_screen(faults_page(f"revision {revision.number}", unusable.faults, screen.glyphs))
        then()
        return
    before = screen.state.history

    def asked() -> tuple[int, tuple[LogFile, ...]]:
        return store.latest(revision.job_uid), log_files(store, store.attached(revision.uid))

    def found(result: tuple[int, tuple[LogFile, ...]]) -> None:
        if not is_wanted():
            return
        if screen.state.history is before and screen.state.edit is None:
            put(*result)
        else:  # something was typed while the slow server was queried
            if_not_needed(screen, partial(put, *result))

    def put(latest: int, logs: tuple[LogFile, ...]) -> None:
        beside_it = f"; the newest is {latest}: saving here makes a conflicting version"
        old = beside_it if latest > revision.number else ""
        put_on_bench(screen, revision.job, note or f"Revision {revision.number} is open{old}.")
        screen.take(replace(screen.state, log=LogChoice(logs)))
        session, link = screen.session, store.entry_of(revision, latest)
        session.lives_in_records(link, revision.job, revision.text, logs)
        then()

    def failed(why: str) -> None:
        screen.say(why)
        then()

    beside(screen, asked, found, failed)


def put_on_bench(screen: BenchScreen, job: Job, note: str) -> None:
    """Put a job that is stored nowhere on the bench; the one before is saved or discarded already."""
    screen.session.opened(None)
    screen.take(open_at_sag(screen.state, History.starting_at(job), note))


def save_in_records(screen: BenchScreen, then: Then | None = None, note: str = "") -> None:
    """Save the job as its next revision; ask first whose it is if the job does not say so."""
    from tui.bench.prompts import WhosePrompt

    state, store = screen.commit(), screen.session.records.store

    def told(whose: tuple[str, str]) -> None:
        key, name = whose
        job = screen.state.bike.with_value(("record", key), name)
        screen.take(with_history(screen.state, screen.state.history.then(job)))
        _save(screen, then, note)

    is_somebodys = any(state.bike.get(("record", key)) for key in ("customer", "ticket"))
    session = screen.session
    if session.recorded == state.bike and session.recorded_logs == state.log.files and not note:
        screen.say("Nothing has changed since it was saved.")
        if then is not None:
            then()
    elif is_somebodys or (store is not None and store.read_only):
        _save(screen, then, note)  # of records that cannot be written that says so, nothing need be asked
    else:
        screen.ask(WhosePrompt("", screen.glyphs), told)


def save_with_note(screen: BenchScreen) -> None:
    """Ask for a note on what was done, and save the job into the records with it."""
    from tui.bench.prompts import NotePrompt

    screen.commit()
    screen.ask(NotePrompt("", screen.glyphs), lambda note: save_in_records(screen, note=note))


def _save(screen: BenchScreen, then: Then | None, note: str) -> None:
    """Save in the background; another save requested meanwhile waits for this one.

    If another job is on the bench by then, it is not touched.
    """
    session, opening = screen.session, screen.session.opening
    records = session.records

    def save_next() -> None:
        is_kept = session.recorded == screen.state.bike and session.recorded_logs == screen.state.log.files
        if session.opening is opening and (not is_kept or note):
            _save(screen, then, note)
        elif session.opening is opening and then is not None:
            then()

    if records.busy:
        records.saves.append(save_next)
        return
    records.busy = True
    job, entry, before = screen.state.bike, session.place_in_records, session.text
    logs = screen.state.log.files

    def say_and_go_on(words: str) -> None:
        whose = "" if session.opening is opening else f"{job.title or 'Previous job'}: "
        screen.say(f"{whose}{words}")
        records.free()

    def work() -> tuple[Saved, list[str]]:
        kept, lost = kept_logs(logs)
        return records.save(job, note, entry, before, kept), lost

    def saved(result: tuple[Saved, list[str]]) -> None:
        found, lost = result
        back = " It had been deleted and is back in the lists." if found.undeleted else ""
        rides = f" Without {', '.join(lost)}, which cannot be read." if lost else ""
        late = f" The clock here is behind: dated {moment(found.revision.saved_at)}." if found.ahead else ""
        words = f"Saved to the records as revision {found.revision.number}.{back}{rides}{late}"
        if session.opening is not opening:
            say_and_go_on(words)
            return
        session.lives_in_records(found.entry, job, found.revision.text, logs)
        if session.path is not None and (session.file is None or session.file.job != job):
            words += f" Ctrl+S saves it to {path_text(session.path.name)} too."
        # What was typed meanwhile is not saved.
        screen.take(replace(screen.state, history=replace(screen.state.history, saved=job), note=words))
        if found.meanwhile is not None:
            screen.when_in_front(partial(_tell_meanwhile, screen, found.revision, found.meanwhile, then))
        else:
            _go_on(screen, then)

    screen.say("Saving to the records.")
    beside(
        screen,
        work,
        saved,
        lambda why: say_and_go_on(f"Not saved: {why}."),
    )


def kept_logs(logs: Sequence[LogFile]) -> tuple[list[KeptLog], list[str]]:
    """Return logged rides in the form of the records, and the names of those that can no longer be read."""
    from tui.store.kept import KeptLog
    from tui.tables.recorded import told_text

    kept, lost = [], []
    for log in logs:
        try:
            kept.append(KeptLog(log.name, log.source(), told_text(log.told)))
        except UnusableReadings:
            lost.append(brief(log.name))
    return kept, lost


def log_files(store: Store, logs: Sequence[Attached]) -> tuple[LogFile, ...]:
    """Return the logged rides of a revision; each is read from the records on first use."""
    from tui.tables.recorded import LogFile, told_of

    return tuple(LogFile(log.name, told_of(log.told), partial(_bytes_in, store, log.digest)) for log in logs)


def _bytes_in(store: Store, digest: str) -> bytes:
    try:
        return store.log_bytes(digest)
    except StoreTrouble as trouble:
        raise UnusableReadings(str(trouble)) from trouble


def _go_on(screen: BenchScreen, then: Then | None) -> None:
    screen.session.records.free()
    if then is not None:
        then()


def _tell_meanwhile(screen: BenchScreen, mine: Revision, theirs: Revision, then: Then | None) -> None:
    """Show the two versions of a save conflict and ask which is current; both are kept."""
    from tui.bench.prompts import COMPARE, MINE, THEIRS, ask_versions

    records = screen.session.records

    def open_theirs() -> None:
        note = f"Revision {theirs.number} is current and open."
        if_not_needed(screen, lambda: open_revision(screen, records.open(), theirs, note))

    def replied(reply: str | None) -> None:
        if reply == MINE:
            _settle(screen, mine, theirs, partial(_go_on, screen, then))
        elif reply == THEIRS:
            _settle(screen, theirs, mine, partial(_go_on, screen, then or open_theirs))
        elif reply == COMPARE:
            records.after = partial(compare_on_bench, screen, theirs, mine)
            records.free()
        else:
            _go_on(screen, then)

    def show(told: list[str]) -> None:
        page = ask_versions(mine, theirs, told, moment(theirs.saved_at), screen.glyphs)
        screen.when_in_front(lambda: screen.app.push_screen(page, replied))

    # Both are answered to be compared, and no key waits for that.
    beside(screen, partial(_between, theirs, mine, screen.state.units), show, screen.say)


def _between(theirs: Revision, mine: Revision, units: ShopUnits) -> list[str]:
    """Return the differences from theirs to mine in words."""
    try:
        told = differences(theirs.job, mine.job, units)
    except UnusableJob:
        return ["Their version can no longer be read."]
    return ["Changes from theirs to yours:", *told] if told else ["No difference between the two."]


def _settle(screen: BenchScreen, goes_on: Revision, over: Revision, then: Then) -> None:
    """Make one of two versions current, then continue with `then`."""
    store = screen.session.records.open()

    def settled(_nothing: None) -> None:
        screen.say(f"Revision {goes_on.number} is current; revision {over.number} stays in the history.")
        then()

    def failed(why: str) -> None:
        screen.say(f"Both versions kept: {why}.")
        screen.session.records.free()

    beside(screen, lambda: store.settle(goes_on.job_uid, goes_on.number, over.number), settled, failed)


def compare_on_bench(screen: BenchScreen, one: Revision, other: Revision) -> None:
    """Compare two revisions on the bench side by side, after saving or discarding present changes."""
    same_job = one.job_uid == other.job_uid  # whose revisions have an order of their own
    older, newer = sorted((one, other), key=lambda rev: (same_job or rev.saved_at, rev.number))

    def work() -> Compared | UnusableJob:
        try:
            old, new = names_of(older, newer)
            return compared(Named(older.job, old), Named(newer.job, new), screen.state.units)
        except UnusableJob as unusable:
            return unusable

    def show(found: Compared | UnusableJob) -> None:
        if isinstance(found, UnusableJob):
            screen.say(f"They cannot be compared: {found.faults[0].what}.")
        else:
            if_not_needed(screen, partial(put, found))

    def put(found: Compared) -> None:
        where = "newer job's load and frame" if found.left_out else "same load"
        put_on_bench(screen, found.job, f"Both under the {where}; not saved unless you save.")
        if not found.left_out:
            return
        old, new = names_of(older, newer)
        told = (
            Paragraph(f"{old}: saved {moment(older.saved_at)}; {new}: {moment(newer.saved_at)}."),
            Paragraph(
                f"All setups use the load and frame of {new}. Values solved in {old} are kept as they were."
            ),
            Paragraph("Other differences", Role.HEADING),
            *map(Paragraph, found.left_out),
        )
        screen.app.push_screen(dialogs.Page("Compared", told, screen.glyphs))

    beside(screen, work, show, screen.say)


def names_of(older: Revision, newer: Revision) -> tuple[str, str]:
    """Return short names that distinguish two revisions as column headings: numbers, dates or customers."""
    if older.job_uid == newer.job_uid:
        return f"rev {older.number}", f"rev {newer.number}"
    days = (day(older.saved_at), day(newer.saved_at))
    owners = (_whose(older), _whose(newer))
    if owners[0] != owners[1]:
        return f"{owners[0]} {days[0]}", f"{owners[1]} {days[1]}"
    if days[0] != days[1]:
        return days
    return f"rev {older.number}", f"rev {newer.number} later"


def _whose(revision: Revision) -> str:
    record = (revision.job.get(("record", key)) for key in ("customer", "ticket"))
    named = [text.strip() for text in record if isinstance(text, str) and text.strip()]
    return (named or [revision.job.title or "job"])[0]
