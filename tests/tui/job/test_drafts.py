"""Drafts: a session that dies leaves one, one that ends leaves none, a place that fails has a second."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.tui.job.full_disk import no_room
from tui.job.demo import demo_job
from tui.job.drafts import (
    DAMAGED,
    Abandoned,
    Draft,
    Kept,
    Place,
    abandoned_drafts,
    claim,
    draft_places,
    forget,
)
from tui.job.job import Job

ROOT = Path(__file__).parents[3]


@pytest.fixture
def places(tmp_path: Path) -> tuple[Place, ...]:
    return Place(tmp_path / "home" / "drafts"), Place(tmp_path / "second", among_others=True)


def titled(title: str) -> Job:
    return demo_job().with_value(("title",), title)


def left_behind(place: Place, title: str = "left") -> Abandoned:
    session = Draft([place])
    assert session.keep(titled(title), None).folder
    session.leave_behind()
    return next(draft for draft in abandoned_drafts([place]).drafts if draft.job.title == title)


def files(place: Place) -> list[Path]:
    return sorted(place.folder.iterdir()) if place.folder.exists() else []


def die_with_a_draft(folder: Path) -> None:
    script = (
        "import os, pathlib, sys; from tui.job.drafts import Draft; from tui.job.demo import demo_job;"
        "from tui.job.drafts import Place;"
        "Draft([Place(pathlib.Path(sys.argv[1]))]).keep(demo_job(), pathlib.Path('/shop/job.toml'),"
        "{'store': 'shop.db', 'job': 'a1', 'base': 3});"
        "os._exit(1)"
    )
    done = subprocess.run([sys.executable, "-c", script, str(folder)], cwd=ROOT, check=False)
    assert done.returncode == 1


def test_the_draft_of_a_dead_session_is_found_and_forgotten(tmp_path: Path) -> None:
    die_with_a_draft(tmp_path)
    (draft,) = abandoned_drafts([Place(tmp_path)]).drafts
    assert draft.job == demo_job()
    assert draft.file == Path("/shop/job.toml")
    assert draft.entry == {"store": "shop.db", "job": "a1", "base": 3}
    forget(draft)
    assert abandoned_drafts([Place(tmp_path)]) == ((), ())
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(os.name != "posix", reason="rights of a group are of POSIX")
def test_a_draft_is_for_its_owner_alone(places: tuple[Place, ...]) -> None:
    places[0].folder.mkdir(mode=0o755, parents=True)
    usual = os.umask(0)
    try:
        draft = Draft(places)
        draft.keep(demo_job(), None)
        draft.keep(titled("edited"), None)
    finally:
        os.umask(usual)
    [kept] = places[0].folder.glob("*.json")
    assert kept.stat().st_mode & 0o777 == 0o600
    draft.discard()


def test_of_two_copies_the_later_one_counts_though_the_clock_was_set_back(
    places: tuple[Place, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    session = Draft(places)
    session.keep(titled("old"), None)
    no_room(monkeypatch, places[0].folder)
    monkeypatch.setattr(Path, "unlink", _read_only)
    monkeypatch.setattr("time.time", lambda: 1e9)
    session.keep(titled("new"), None)
    monkeypatch.undo()
    session.leave_behind()
    (draft,) = abandoned_drafts(places).drafts
    assert draft.job.title == "new"
    forget(draft)


def test_the_draft_of_a_living_session_is_nobodys_business(places: tuple[Place, ...]) -> None:
    draft = Draft(places)
    assert draft.keep(demo_job(), None) == Kept(places[0].folder)
    assert abandoned_drafts(places) == ((), ())
    draft.discard()
    assert files(places[0]) == files(places[1]) == []


def test_the_newest_edit_is_the_one_kept_also_after_a_save(places: tuple[Place, ...]) -> None:
    draft = Draft(places)
    draft.keep(demo_job(), None)
    draft.discard()
    draft.keep(demo_job(), None)
    draft.keep(titled("edited"), None)
    (kept,) = places[0].folder.glob("*.json")
    assert '"edited"' in kept.read_text()
    assert not abandoned_drafts(places).drafts
    draft.discard()


def test_where_the_first_place_fails_the_second_takes_it_until_the_first_works_again(
    places: tuple[Place, ...], tmp_path: Path
) -> None:
    (tmp_path / "home").write_text("in the way")
    session = Draft(places)
    kept = session.keep(titled("one"), None)
    assert kept.folder == places[1].folder
    assert kept.why
    assert places[1].folder.stat().st_mode & 0o777 == 0o700
    (tmp_path / "home").unlink()
    assert session.keep(titled("two"), None) == Kept(places[0].folder)
    assert files(places[1]) == []
    session.leave_behind()
    (draft,) = abandoned_drafts(places).drafts
    assert draft.job.title == "two"


def test_of_two_copies_of_one_draft_the_newest_is_offered_and_both_are_forgotten(
    places: tuple[Place, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    session = Draft(places)
    session.keep(titled("old"), None)
    no_room(monkeypatch, places[0].folder)
    monkeypatch.setattr(Path, "unlink", _read_only)
    assert session.keep(titled("new"), None) == Kept(places[1].folder, "disk full")
    monkeypatch.undo()
    session.leave_behind()
    (draft,) = abandoned_drafts(places).drafts
    assert draft.job.title == "new"
    assert len(draft.paths) == 2
    forget(draft)
    assert files(places[0]) == files(places[1]) == []


def _read_only(path: Path, missing_ok: bool = False) -> None:
    raise OSError(30, os.strerror(30))


def test_where_no_place_takes_it_the_reason_is_told_and_nothing_raised(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    place = Place(tmp_path / "file" / "drafts")
    draft = Draft([place])
    assert draft.keep(demo_job(), None) == Kept(None, "not a directory")
    draft.discard()
    assert abandoned_drafts([place]) == ((), ())


@pytest.mark.parametrize("bad", ["open to others", "a link", "a file"])
def test_a_folder_among_others_must_be_this_users_own(
    bad: str, places: tuple[Place, ...], tmp_path: Path
) -> None:
    second = places[1]
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir(mode=0o700)
    if bad == "open to others":
        second.folder.mkdir()
        second.folder.chmod(0o755)
    elif bad == "a link":
        second.folder.symlink_to(elsewhere)
    else:
        second.folder.write_text("")
    assert Draft([second]).keep(demo_job(), None).folder is None
    left_behind(Place(elsewhere))
    assert abandoned_drafts([second]) == ((), ())


@pytest.mark.skipif(not hasattr(os, "getuid") or os.getuid() != 0, reason="only root can give files away")
def test_somebody_elses_folder_is_neither_written_nor_read(places: tuple[Place, ...]) -> None:
    left_behind(places[1])
    os.chown(places[1].folder, 12345, 12345)
    assert Draft([places[1]]).keep(demo_job(), None).folder is None
    assert abandoned_drafts([places[1]]) == ((), ())


def test_the_two_places_are_the_state_and_the_temporary_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("TMPDIR", str(tmp_path / "tmp"))
    first, second = draft_places()
    assert first == Place(tmp_path / "state" / "springwright" / "drafts")
    assert second == Place(tmp_path / "tmp" / f"springwright-{os.getuid()}", among_others=True)


DAMAGED_DRAFTS = [b"", b"{", b"[]", b'{"file": null, "job": 3}', b'{"file": 3, "job": {}}', b"\xff\x00\xfe"]


def test_a_damaged_draft_is_moved_aside_once_whole_and_named(tmp_path: Path) -> None:
    for number, content in enumerate(DAMAGED_DRAFTS):
        (tmp_path / f"{number}.json").write_bytes(content)
    (tmp_path / f"3{DAMAGED}").write_bytes(b"from before")
    found = abandoned_drafts([Place(tmp_path)])
    assert not found.drafts
    assert [path.read_bytes() for path in found.damaged] == DAMAGED_DRAFTS
    assert {path.suffix for path in found.damaged} == {DAMAGED}
    assert (tmp_path / f"3{DAMAGED}").read_bytes() == b"from before"
    assert abandoned_drafts([Place(tmp_path)]) == ((), ())


def test_a_draft_of_an_earlier_version_still_loads(tmp_path: Path) -> None:
    (tmp_path / "1-a.json").write_text(json.dumps({"file": "/shop/a.toml", "job": {"title": "old"}}))
    (draft,) = abandoned_drafts([Place(tmp_path)]).drafts
    assert (draft.job.title, draft.file, draft.entry) == ("old", Path("/shop/a.toml"), None)
    assert draft.kept_at == (tmp_path / "1-a.json").stat().st_mtime


@pytest.mark.parametrize("entry", ["text", ["a"], {"job": {"deep": 1}}, {"job": None}])
def test_an_entry_that_is_none_costs_nobody_the_job(entry: object, tmp_path: Path) -> None:
    kept = {"file": None, "entry": entry, "kept_at": 5.0, "job": {"title": "there"}}
    (tmp_path / "1-a.json").write_text(json.dumps(kept))
    (draft,) = abandoned_drafts([Place(tmp_path)]).drafts
    assert (draft.job.title, draft.entry, draft.kept_at) == ("there", None, 5.0)


def test_two_sessions_never_offer_the_same_draft(tmp_path: Path) -> None:
    place = Place(tmp_path)
    draft = left_behind(place)
    held = claim(draft)
    assert held is not None
    assert claim(draft) is None
    assert not abandoned_drafts([place]).drafts
    held.close()
    assert [one.job for one in abandoned_drafts([place]).drafts] == [draft.job]
    draft.paths[0].unlink()
    assert claim(draft) is None


def test_what_a_session_was_writing_when_it_died_goes_with_its_draft(tmp_path: Path) -> None:
    draft = left_behind(Place(tmp_path))
    (tmp_path / f".{draft.paths[0].name}.abcd").write_text("{")
    forget(draft)
    assert list(tmp_path.iterdir()) == []
