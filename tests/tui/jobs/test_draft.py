"""Drafts: a session that dies leaves one, a session that ends leaves none."""

import subprocess
import sys
from pathlib import Path

from tui.jobs.demo import demo_job
from tui.jobs.draft import Draft, abandoned_drafts, forget

ROOT = Path(__file__).parents[3]


def die_with_a_draft(folder: Path) -> None:
    script = (
        "import os, pathlib, sys; from tui.jobs.draft import Draft; from tui.jobs.demo import demo_job;"
        "assert Draft(pathlib.Path(sys.argv[1])).keep(demo_job(), pathlib.Path('/shop/job.toml'));"
        "os._exit(1)"
    )
    done = subprocess.run([sys.executable, "-c", script, str(folder)], cwd=ROOT, check=False)
    assert done.returncode == 1


def test_the_draft_of_a_dead_session_is_found_and_forgotten(tmp_path: Path) -> None:
    die_with_a_draft(tmp_path)
    (draft,) = abandoned_drafts(tmp_path)
    assert draft.job == demo_job()
    assert draft.file == Path("/shop/job.toml")
    forget(draft)
    assert abandoned_drafts(tmp_path) == ()
    assert list(tmp_path.iterdir()) == []


def test_the_draft_of_a_living_session_is_nobodys_business(tmp_path: Path) -> None:
    draft = Draft(tmp_path)
    assert draft.keep(demo_job(), None)
    assert abandoned_drafts(tmp_path) == ()
    draft.discard()
    assert list(tmp_path.iterdir()) == []


def test_the_newest_edit_is_the_one_kept_also_after_a_save(tmp_path: Path) -> None:
    draft = Draft(tmp_path)
    draft.keep(demo_job(), None)
    draft.discard()
    edited = demo_job().with_value(("title",), "edited")
    assert draft.keep(demo_job(), None)
    assert draft.keep(edited, None)
    (kept,) = tmp_path.glob("*.json")
    assert '"edited"' in kept.read_text()
    assert abandoned_drafts(tmp_path) == ()
    draft.discard()


def test_a_home_that_cannot_be_written_raises_nothing(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    draft = Draft(tmp_path / "file" / "drafts")
    assert not draft.keep(demo_job(), None)
    draft.discard()
    assert abandoned_drafts(tmp_path / "file" / "drafts") == ()


def test_a_damaged_draft_is_left_alone(tmp_path: Path) -> None:
    for number, content in enumerate(["", "{", "[]", '{"file": null, "job": 3}', '{"file": 3, "job": {}}']):
        (tmp_path / f"{number}.json").write_text(content)
    assert abandoned_drafts(tmp_path) == ()
    assert len(list(tmp_path.iterdir())) == 5
