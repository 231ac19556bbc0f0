"""Completing a path, on a real folder."""

from pathlib import Path

import pytest

from tui.kit.prompts import as_path, complete


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name in (
        "trail.toml",
        "trail two.toml",
        "notes.txt",
        ".hidden.toml",
        "bad\x1bname.toml",
        "Größe.toml",
    ):
        (tmp_path / name).touch()
    (tmp_path / "jobs").mkdir()
    (tmp_path / "jobs" / "one.toml").touch()
    return tmp_path


def test_a_sure_name_is_finished_and_a_folder_gets_its_slash(folder: Path) -> None:
    assert complete(f"{folder}/jo").text == f"{folder}/jobs/"
    assert complete(f"{folder}/jobs/").text == f"{folder}/jobs/one.toml"
    assert complete(f"{folder}/Gr").text == f"{folder}/Größe.toml"


def test_several_names_are_completed_as_far_as_they_agree(folder: Path) -> None:
    found = complete(f"{folder}/t")
    assert found.text == f"{folder}/trail"
    assert found.names == ("trail two.toml", "trail.toml")


def test_only_folders_and_job_files_are_offered(folder: Path) -> None:
    assert complete(f"{folder}/").names == ("Größe.toml", "jobs/", "trail two.toml", "trail.toml")
    assert complete(f"{folder}/notes").names == ()


def test_hidden_names_want_a_dot(folder: Path) -> None:
    assert complete(f"{folder}/.h").text == f"{folder}/.hidden.toml"


def test_what_cannot_be_typed_or_read_is_left_out(folder: Path) -> None:
    assert complete(f"{folder}/bad").names == ()
    missing = f"{folder}/nowhere/x"
    assert complete(missing).text == missing


def test_the_home_is_understood_and_kept_as_typed(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOME", str(folder))
    assert complete("~/jobs/o").text == "~/jobs/one.toml"
    assert as_path(" ~/trail.toml ") == folder / "trail.toml"
    assert as_path("~no one here/x") == Path("~no one here/x")


def test_a_whole_path_may_be_put_in_behind_the_offered_folder(folder: Path) -> None:
    there = folder / "jobs" / "one.toml"
    assert as_path(f"{folder}/{there}") == there
    assert as_path(f"{folder}/jobs//one.toml") == there
    assert as_path(f"{folder}//nowhere/one.toml") == folder / "nowhere" / "one.toml"
