"""Job files on disk: trouble in words, comments kept, nobody's work overwritten."""

import os
import socket
import stat
from pathlib import Path

import pytest

from tui.job import files
from tui.job.demo import demo_job
from tui.job.faults import UnusableJob
from tui.job.files import ChangedMeanwhile, FileTrouble, load, replace_file, save
from tui.job.job import parse

TEXT = """\
# Written at the stand
format = 1
title = "Stand 3"  # who

[load]
rider_mass = "85 kg"  # with kit

# the first
[[setup]]
name = "coil"
rate = "solve"  # or typed

[[setup]]
name = "air"
pressure = "215 psi"  # as it came in
"""


def written(tmp_path: Path, data: bytes = TEXT.encode()) -> Path:
    path = tmp_path / "job.toml"
    path.write_bytes(data)
    return path


def test_saving_what_was_opened_changes_no_byte(tmp_path: Path) -> None:
    for data in (TEXT.encode(), TEXT.replace("\n", "\r\n").encode()):
        path = written(tmp_path, data)
        opened = load(path)
        save(opened.job, path, opened)
        assert path.read_bytes() == data


def test_an_edit_changes_its_line_and_keeps_the_comments(tmp_path: Path) -> None:
    path = written(tmp_path)
    opened = load(path)
    job = opened.job.with_value(("load", "rider_mass"), "187 lb").with_value(
        ("setup", 1, "pressure"), "solve"
    )
    save(job, path, opened)
    expected = TEXT.replace('"85 kg"', '"187 lb"').replace('"215 psi"', '"solve"')
    assert path.read_text() == expected
    assert load(path).job == job


def test_setups_added_renamed_and_removed_keep_the_comments_of_the_rest(tmp_path: Path) -> None:
    path = written(tmp_path)
    opened = load(path)
    copied = opened.job.with_setup(2, {**opened.job.setups[1], "name": "air 2"})
    job = copied.without_setup(0).with_value(("target", "sag"), "30 %")
    again = save(job, path, opened)
    assert "# as it came in" in path.read_text()
    assert "# Written at the stand" in path.read_text()
    assert load(path).job == job
    assert save(demo_job(), path, again).job == load(path).job == demo_job()


def test_a_new_job_is_written_in_the_order_of_the_format(tmp_path: Path) -> None:
    path = tmp_path / "new.toml"
    save(demo_job(), path, None)
    assert load(path).job == demo_job()
    lines = path.read_text().splitlines()
    assert lines[0] == "format = 1"
    assert [line for line in lines if line.startswith("[")][:3] == ["[load]", "[frame]", "[frame.leverage]"]


def test_a_byte_order_mark_is_no_matter(tmp_path: Path) -> None:
    assert load(written(tmp_path, b"\xef\xbb\xbf" + TEXT.encode())).job == parse(TEXT)


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (b"\xff\xfe\x00t", "UTF-8"),
        (b"\x7fELF\x00\x01", "not a text file"),
        (b"#" * (files.LARGEST + 1), "larger"),
    ],
)
def test_what_is_no_job_file_is_trouble_in_words(tmp_path: Path, data: bytes, what: str) -> None:
    with pytest.raises(FileTrouble, match=what):
        load(written(tmp_path, data))


HUGE = {
    "a key of more than 12 parts": f"{'.'.join('a' * 100_000)} = 1",
    "a key of more than 12": f"""x = 1\n[a.{"'b'." * 40}'c']""",
    "nested more than 12 deep": f"a = {'[' * 40}{']' * 40}",
    "more than 20000 values": "".join(f"[u{one}]\na = 1\n" for one in range(25_000)),
    "without end": f"a = {'{a = ' * 9_000}1{'}' * 9_000}",
}


@pytest.mark.fast_cases(2)
@pytest.mark.parametrize("what", HUGE)
def test_a_file_without_end_is_refused_in_one_line_before_it_is_read(what: str) -> None:
    with pytest.raises(UnusableJob) as refused:
        parse(TEXT + HUGE[what])
    (fault,) = refused.value.faults
    assert what in fault.what
    assert fault.path == ()


def test_dots_in_a_title_and_in_columns_are_no_parts_of_a_key() -> None:
    dots = "1. Sag. 2. Rebound. " * 40
    ratios = ", ".join(["2.5"] * 900)
    job = parse(f'title = "{dots}"\n[frame]\nleverage = {{ kind = "table", ratio = [{ratios}] }}\n')
    assert job.title == dots
    assert len(job.get(("frame", "leverage", "ratio")) or ()) == 900


def test_folders_missing_files_and_nul_in_a_path_are_trouble_too(tmp_path: Path) -> None:
    for path, what in (
        (tmp_path, "folder"),
        (tmp_path / "none.toml", "no such file"),
        (tmp_path / "a\0b", "null"),
    ):
        with pytest.raises(FileTrouble, match=what):
            load(path)
    with pytest.raises(UnusableJob):
        load(written(tmp_path, b"= nothing"))


def test_another_session_is_not_overwritten_unless_asked(tmp_path: Path) -> None:
    path = written(tmp_path)
    mine, theirs = load(path), load(path)
    save(theirs.job.with_value(("title",), "theirs"), path, theirs)
    with pytest.raises(ChangedMeanwhile):
        save(mine.job.with_value(("title",), "mine"), path, mine)
    assert load(path).job.title == "theirs"
    again = save(mine.job.with_value(("title",), "mine"), path, mine, overwrite=True)
    assert load(path).job.title == "mine"
    save(mine.job, path, again)


def test_save_as_over_a_file_that_was_not_opened_asks_first(tmp_path: Path) -> None:
    path = written(tmp_path)
    with pytest.raises(ChangedMeanwhile, match="already"):
        save(demo_job(), path, None)
    assert path.read_text() == TEXT
    save(demo_job(), tmp_path / "other.toml", load(path))
    assert load(tmp_path / "other.toml").job == demo_job()


def test_permissions_and_links_are_kept(tmp_path: Path) -> None:
    path = written(tmp_path)
    path.chmod(0o640)
    link = tmp_path / "link.toml"
    link.symlink_to(path)
    opened = load(link)
    save(opened.job.with_value(("title",), "through the link"), link, opened)
    assert link.is_symlink()
    assert load(path).job.title == "through the link"
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes with a name are of POSIX")
@pytest.mark.parametrize("kind", ["a pipe", "a link to a pipe", "a device", "a socket"])
@pytest.mark.parametrize("overwrite", [False, True])
def test_what_is_no_file_is_neither_replaced_nor_waited_for(
    kind: str, overwrite: bool, tmp_path: Path
) -> None:
    path = tmp_path / "x.toml"
    if kind == "a socket":
        server = socket.socket(socket.AF_UNIX)
        server.bind(str(path))
        server.close()
    elif kind == "a device":
        path = Path("/dev/null")
    else:
        os.mkfifo(path)
        if kind != "a pipe":
            path = tmp_path / "link.toml"
            path.symlink_to("x.toml")
    before = stat.S_IFMT(path.stat().st_mode)
    with pytest.raises(FileTrouble, match="not a file but a folder, a pipe or a device"):
        save(demo_job(), path, None, overwrite=overwrite)
    with pytest.raises(OSError, match="not a file but a folder, a pipe or a device"):
        files.replace_file(path, b"x")
    assert stat.S_IFMT(path.stat().st_mode) == before


def test_a_failed_save_leaves_the_old_file_and_nothing_beside(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = written(tmp_path)
    opened = load(path)

    def full(_self: Path, _target: Path) -> Path:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(FileTrouble, match="no space left"):
        save(opened.job.with_value(("title",), "new"), path, opened)
    assert [entry.name for entry in tmp_path.iterdir()] == ["job.toml"]
    assert path.read_text() == TEXT


def test_a_file_that_only_may_be_new_replaces_none(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "a.txt"
    replace_file(target, b"first", only_new=True)
    with pytest.raises(FileExistsError, match="exists already"):
        replace_file(target, b"second", only_new=True)
    # Another session makes the file after it was looked for.
    monkeypatch.setattr(Path, "exists", lambda _path: False)
    with pytest.raises(FileExistsError, match="exists already"):
        replace_file(target, b"second", only_new=True)
    assert target.read_bytes() == b"first"
    assert [path.name for path in tmp_path.iterdir()] == ["a.txt"]


def test_the_table_of_a_damper_tester_is_a_table_of_the_file() -> None:
    columns = {"speed_m_per_s": (-0.5, 0.0, 0.5), "force_n": (-900.0, 0.0, 700.0)}
    job = demo_job().with_value(("damper",), columns).with_value(("front", "damper"), columns)
    for before in (None, files.toml_text(demo_job(), None)):
        text = files.toml_text(job, before)
        assert "[damper]\nspeed_m_per_s = [-0.5, 0.0, 0.5]\nforce_n = [-900.0, 0.0, 700.0]\n" in text
        assert "[front.damper]\nspeed_m_per_s" in text
        assert parse(text) == job


def test_a_job_file_that_somebody_makes_meanwhile_is_not_replaced(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, write = tmp_path / "job.toml", files.replace_file

    def slowly(target: Path, data: bytes, *, only_new: bool) -> None:
        target.write_text("theirs")
        write(target, data, only_new=only_new)

    monkeypatch.setattr(files, "replace_file", slowly)
    with pytest.raises(ChangedMeanwhile, match="exists already; use another name"):
        save(demo_job(), path, None)
    assert path.read_text() == "theirs"
