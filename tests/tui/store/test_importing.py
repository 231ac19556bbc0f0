"""What comes in from outside: job files, backups and exports; with any fault nothing does."""

from __future__ import annotations

import csv
import os
import shutil
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from itertools import product
from pathlib import Path
from threading import Thread
from typing import Any

import pytest
from sqlalchemy import text as sql

from tests.tui.store.jobs import job_for
from tui.job.files import toml_text
from tui.job.job import parse
from tui.store.address import StoreAddress
from tui.store.demo_shop import put_in_demo_shop
from tui.store.export import MANIFEST, export, read_export
from tui.store.importing import import_paths
from tui.store.opening import open_store
from tui.store.reading import all_rows
from tui.store.saving import Saving
from tui.store.schema import STEPS, VERSION
from tui.store.store import Store
from tui.store.trouble import Unimportable

NOW = datetime(2026, 5, 4, 10, 30, tzinfo=UTC)


@pytest.fixture(scope="module")
def exported(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An export of the demo shop, not to be changed."""
    folder = tmp_path_factory.mktemp("exported")
    with closing(open_store(StoreAddress(folder / "records.sqlite"))) as store:
        put_in_demo_shop(store, NOW)
        export(store, folder / "out")
        store.back_up(folder / "backup.sqlite")
    return folder


@pytest.fixture
def out(exported: Path, tmp_path: Path) -> Path:
    """A copy of the export, to be damaged."""
    return Path(shutil.copytree(exported / "out", tmp_path / "out"))


def faults_of(folder: Path) -> list[str]:
    with pytest.raises(Unimportable) as refused:
        read_export(folder)
    return list(refused.value.lines)


def edited(path: Path, change: Callable[[str], str]) -> None:
    path.write_bytes(change(path.read_bytes().decode("utf-8")).encode("utf-8"))


def test_an_export_and_a_backup_bring_in_the_same(store: Store, exported: Path, tmp_path: Path) -> None:
    import_paths(store, [exported / "out"], "Mo")
    with closing(open_store(StoreAddress(tmp_path / "two.sqlite"))) as other:
        import_paths(other, [exported / "backup.sqlite"], "Mo")
        for table, rows in all_rows(store.engine).items():
            there = all_rows(other.engine)[table]
            assert sorted(map(str, rows)) == sorted(map(str, there)), table
    assert import_paths(store, [exported / "backup.sqlite"], "Mo").new.total() == 0


@pytest.mark.parametrize(
    ("ridden", "shown"),
    [
        ('felt = "ends-fight"', "unbalanced"),
        ('symptom = ["wallows", "harsh-at-end"]', "wallows, harsh-ramp-up"),
    ],
)
def test_older_words_for_how_it_rode_are_kept_and_shown_as_they_are_called_now(
    store: Store, tmp_path: Path, ridden: str, shown: str
) -> None:
    text = f"{toml_text(job_for('Ida Fern', 'green'), None)}\n[ridden]\n{ridden}\n"
    (tmp_path / "old.toml").write_text(text)
    import_paths(store, [tmp_path / "old.toml"], "Mo")
    (revision,) = all_rows(store.engine)["revision"]
    assert revision["text"] == toml_text(parse(text), text), "a file comes in by the new words"
    # Records saved by an older version hold the older ones.
    with store.engine.begin() as connection:
        connection.execute(sql("UPDATE revision SET text = :text"), {"text": text})
    export(store, tmp_path / "out")
    with (tmp_path / "out" / "revisions.csv").open(encoding="utf-8-sig", newline="") as file:
        assert [row["shown ride symptom"] for row in csv.DictReader(file)] == [shown]
    with closing(open_store(StoreAddress(tmp_path / "two.sqlite"))) as other:
        import_paths(other, [tmp_path / "out"], "Mo")
        (again,) = all_rows(other.engine)["revision"]
        assert again["text"] == text


def test_job_files_become_new_jobs_with_their_comments(store: Store, tmp_path: Path) -> None:
    text = toml_text(job_for("Ida Fern", "green"), None).replace("format = 1", "format = 1  # ours", 1)
    one, two = tmp_path / "one.toml", tmp_path / "two.toml"
    one.write_text(text)
    two.write_bytes(b"\xef\xbb\xbf" + toml_text(job_for("Otto"), None).replace("\n", "\r\n").encode())
    merged = import_paths(store, [one, two], "Mo")
    assert (merged.new["job"], merged.new["customer"], merged.known.total()) == (2, 2, 0)
    found = {entry.customer: entry for entry in store.find().entries}
    revision = store.revision(found["Ida Fern"].uid, 1)
    assert revision is not None
    assert (revision.text, revision.saved_by, revision.note) == (text, "Mo", "from one.toml")
    assert import_paths(store, [one], "Mo").new["customer"] == 0
    assert len(store.find("ida").entries) == 2, "each file is a new job"


def test_job_files_are_made_ready_before_others_have_to_wait(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A thousand of them take seconds."""
    file = tmp_path / "one.toml"
    file.write_text(toml_text(job_for("Ida Fern"), None))
    made = Saving.of

    def while_another_saves(*given: Any, **named: Any) -> Saving:  # noqa: ANN401
        if given[1] == "Kim":
            store.save(job_for("Otto"), "Mo")
        return made(*given, **named)

    monkeypatch.setattr(Saving, "of", while_another_saves)
    assert import_paths(store, [file], "Kim").new["job"] == 1
    assert {found.customer for found in store.find().entries} == {"Ida Fern", "Otto"}


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes with a name are of POSIX")
def test_a_job_file_may_come_through_a_pipe(store: Store, tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.toml"
    os.mkfifo(pipe)
    writer = Thread(target=pipe.write_text, args=(toml_text(job_for("Ida Fern"), None),))
    writer.start()
    assert import_paths(store, [pipe], "Mo").new["job"] == 1
    writer.join()


def test_one_job_file_at_fault_keeps_all_out_and_every_fault_is_told(store: Store, tmp_path: Path) -> None:
    good, broken, other, missing = (
        tmp_path / f"{name}.toml" for name in ("good", "broken", "other", "missing")
    )
    good.write_text(toml_text(job_for("Ida"), None))
    broken.write_text("format = ")
    other.write_text("[project]\nname = 'x'\n")
    with pytest.raises(Unimportable) as refused:
        import_paths(store, [good, broken, other, missing], "Mo")
    lines = refused.value.lines
    assert [line.split(": ")[0] for line in lines] == [str(broken), str(other), str(missing)]
    assert "format: missing" in lines[1]
    assert store.find().entries == ()


def test_folders_and_files_are_not_mixed(store: Store, exported: Path) -> None:
    with pytest.raises(Unimportable, match="cannot be imported"):
        import_paths(store, [exported / "out", exported / "backup.sqlite"], "Mo")


@pytest.mark.slow
def test_a_backup_of_an_older_schema_comes_in_and_stays_as_it_is(store: Store, tmp_path: Path) -> None:
    old = tmp_path / "old.sqlite"
    with closing(open_store(StoreAddress(old), STEPS[:1])) as older:
        engine = older.engine
        with closing(open_store(StoreAddress(tmp_path / "new.sqlite"))) as newer:
            put_in_demo_shop(newer, NOW)
            content = all_rows(newer.engine)
        with engine.connect() as connection, connection.begin():
            for table, rows in ((table, rows) for table, rows in content.items() if rows):
                names = ", ".join(rows[0])
                marks = ", ".join("?" * len(rows[0]))
                for row in rows:
                    connection.exec_driver_sql(
                        f"INSERT INTO {table} ({names}) VALUES ({marks})", tuple(row.values())
                    )
    before = old.read_bytes()
    assert import_paths(store, [old], "Mo").new["job"] == 12
    assert old.read_bytes() == before


@pytest.mark.parametrize("how", ["truncated", "later", "rows"])
def test_a_backup_that_is_not_sound_brings_nothing_in(
    store: Store, exported: Path, tmp_path: Path, how: str
) -> None:
    copy = tmp_path / "copy.sqlite"
    shutil.copy(exported / "backup.sqlite", copy)
    if how == "truncated":
        copy.write_bytes(copy.read_bytes()[: copy.stat().st_size // 2])
    elif how == "later":
        open_store(StoreAddress(copy), (*STEPS, ("CREATE TABLE later (uid TEXT)",))).close()
    else:
        with closing(open_store(StoreAddress(copy))) as other, other.writing() as connection:
            connection.exec_driver_sql("UPDATE revision SET text = 'a = ' WHERE number = 2")
    with pytest.raises(Unimportable) as refused:
        import_paths(store, [copy], "Mo")
    said = {"truncated": "", "later": "later springwright", "rows": ", text: not TOML"}
    assert not any(" W " in line or "(W)" in line for line in refused.value.lines)
    assert all(line.startswith(f"{copy}: ") and said[how] in line for line in refused.value.lines)
    assert len(refused.value.lines) >= (9 if how == "rows" else 1)
    assert store.find().entries == ()


def test_what_fails_on_the_way_leaves_nothing_behind(
    store: Store, exported: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr("tui.store.importing._Merging._of_revisions", broken)
        with pytest.raises(Exception, match="disk is full"):
            import_paths(store, [exported / "out"], "Mo")
    assert all(rows == [] for rows in all_rows(store.engine).values())


def test_an_export_without_its_manifest_was_not_finished(out: Path) -> None:
    (out / MANIFEST).unlink()
    assert faults_of(out) == [
        f"{MANIFEST}: is missing, so this export is incomplete; "
        "use a complete folder from springwright store export"
    ]


@pytest.mark.fast_cases(3)
@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (f"schema = {VERSION}", "schema = 99", "99 is from a later springwright"),
        ("form = 1", "form = 7", "7 is from a later springwright"),
        ("form = 1", "", "form: None is not known"),
        (f"schema = {VERSION}", 'schema = "x"', "schema: 'x' is not known"),
        ("[counts]", "[count]", "counts: no number of customers, bikes"),
        ("[counts]", "[counts", "cannot be read"),
        ("[counts]", "x = " + "[" * 9000, "nested without end"),
    ],
)
def test_a_manifest_of_another_kind_is_refused(out: Path, old: str, new: str, said: str) -> None:
    edited(out / MANIFEST, lambda text: text.replace(old, new))
    assert any(said in line for line in faults_of(out))


def test_a_table_cut_off_or_lost_is_recognised(out: Path) -> None:
    edited(out / "revisions.csv", lambda text: "".join(text.splitlines(keepends=True)[:-3]))
    (out / "bikes.csv").unlink()
    (out / "rides.csv").write_text("uid\r\n")
    assert [line.split(";")[0] for line in faults_of(out)] == [
        "bikes.csv: is missing",
        "revisions.csv: has 22 rows, 25 were written",
        "rides.csv: is not a table of the records",
    ]


def test_every_cell_at_fault_is_told_with_line_and_column(out: Path) -> None:
    def change(text: str) -> str:
        lines = text.splitlines(keepends=True)
        cells = lines[2].split(",")
        cells[2], cells[5] = "two", "1 March"
        lines[2] = ",".join(cells)
        return "".join(lines)

    edited(out / "revisions.csv", change)
    [line] = faults_of(out)
    assert line == 'revisions.csv, line 3, number: "two" cannot be used; use a whole number from 1'
    edited(out / "revisions.csv", lambda text: text.replace("two", "2"))
    [line] = faults_of(out)
    assert line.startswith('revisions.csv, line 3, saved_at: "1 March" cannot be used; use UTC, e.g. 2026-')


def test_lines_and_columns_that_do_not_belong_are_told(out: Path) -> None:
    edited(out / "customers.csv", lambda text: text.replace("ticket", "tickets", 1) + "a,b\r\n")
    assert [line.split(";")[0] for line in faults_of(out)] == [
        'customers.csv, line 1: the column "tickets" is not known',
        "customers.csv, line 1: ticket: missing",
        "customers.csv, line 8: has 2 cells",
    ]


def test_text_that_is_no_csv_is_told(out: Path) -> None:
    edited(out / "parts.csv", lambda text: text + '"open')
    (out / "bikes.csv").write_bytes("uid,n\xfcr".encode("latin-1"))
    (out / "jobs.csv").write_bytes(b"")
    said = "\n".join(faults_of(out))
    assert "parts.csv, line 14: is not CSV" in said
    assert "bikes.csv: is not text in UTF-8" in said
    assert "jobs.csv: is empty" in said


def test_what_no_text_can_hold_is_told_in_its_place(out: Path) -> None:
    lines = (out / "customers.csv").read_text("utf-8-sig").splitlines()
    at = next(number for number, line in enumerate(lines, 1) if "Ida Fern" in line)
    edited(out / "customers.csv", lambda text: text.replace("Ida Fern", "Ida\0Fern"))
    assert [line.split(";")[0] for line in faults_of(out)] == [
        f'customers.csv, line {at}, name: "Ida\\x00Fern (invented)" cannot be used'
    ]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes with a name are of POSIX")
@pytest.mark.parametrize(
    ("pattern", "what"),
    [
        *product((MANIFEST, "jobs.csv", "jobs/*/1.toml"), ("pipe", "device")),
        *product((MANIFEST, "jobs/*/1.toml"), ("too large",)),
    ],
)
def test_what_would_be_read_without_end_is_told(out: Path, pattern: str, what: str) -> None:
    path = next(out.glob(pattern))
    if what == "too large":
        os.truncate(path, 10**12)
    else:
        path.unlink()
        os.mkfifo(path) if what == "pipe" else path.symlink_to("/dev/zero")
    line = faults_of(out)[0]
    assert line.startswith(path.relative_to(out).as_posix())
    assert ("larger than 10 MB" if what == "too large" else "it is not a file") in line


def test_texts_lost_changed_or_left_over_are_told(out: Path) -> None:
    first, second, third = sorted((out / "jobs").glob("*/1.toml"))[:3]
    first.unlink()
    edited(second, lambda text: text.replace("kg", "lb"))
    third.with_name("9.toml").write_text("format = 1\n")
    part = next((out / "parts").iterdir())
    part.write_bytes(b"\xff\xfe")
    said = faults_of(out)
    for path, what in (
        (first, "is missing"),
        (second, "is not what was written"),
        (third.with_name("9.toml"), "is not listed in a table"),
        (part, "is not text in UTF-8"),
    ):
        assert any(line.startswith(f"{path.relative_to(out).as_posix()}: {what}") for line in said), what
    assert len(said) == 4


def test_a_part_that_is_not_what_its_digest_says_is_told(out: Path) -> None:
    part = next((out / "parts").iterdir())
    edited(part, lambda text: text + "more = 1\n")
    [line] = faults_of(out)
    assert line.startswith(f"parts/{part.name}: does not match its digest")


def test_rows_that_do_not_go_together_are_told(out: Path) -> None:
    edited(out / "bikes.csv", lambda text: _with_cell(text, 1, 1, "0" * 32))
    edited(out / "customers.csv", lambda text: _with_cell(text, 2, 0, text.splitlines()[1].split(",")[0]))
    edited(out / "revisions.csv", lambda text: _with_cell(text, 2, 3, "9"))
    said = [line.split(";")[0] for line in faults_of(out)]
    assert any("customers.csv, line 3, uid: " in line and "appears twice" in line for line in said)
    assert f'bikes.csv, line 2, customer: "{"0" * 32}" is not a uid of a customer' in said
    assert "revisions.csv, line 3, parent: 9 is not an earlier revision" in said


def test_an_id_that_is_a_path_is_refused(out: Path) -> None:
    edited(out / "jobs.csv", lambda text: _with_cell(text, 1, 0, "../../../etc"))
    assert any(
        line.startswith('jobs.csv, line 2, uid: "../../../etc" cannot be used; use 32 hex digits 0-9 a-f')
        for line in faults_of(out)
    )


def test_columns_to_read_may_be_added_and_left_out(out: Path) -> None:
    edited(out / "customers.csv", lambda text: text.replace("ticket\r\n", "ticket,shown mine\r\n"))
    edited(
        out / "customers.csv",
        lambda text: "".join(
            line if index == 0 else line.replace("\r\n", ",\r\n")
            for index, line in enumerate(text.splitlines(keepends=True))
        ),
    )
    assert len(read_export(out)["customer"]) == 6


def _with_cell(text: str, line: int, column: int, cell: str) -> str:
    lines = text.splitlines(keepends=True)
    cells = lines[line].split(",")
    cells[column] = cell
    lines[line] = ",".join(cells)
    return "".join(lines)
