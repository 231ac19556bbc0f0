"""How the bench was left: read again as written, by field, whatever stands there, whoever else writes."""

from __future__ import annotations

import json
import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.tui.store.disks import SmallDisk
from tui.job.drafts import held
from tui.store.remembered import (
    FILE,
    MOST_RECENT,
    Found,
    JobPlace,
    Remembered,
    file_place,
    merged,
    opened,
    read,
    record_place,
    state_file,
    still_there,
    written,
)

ROOT = Path(__file__).parents[3]
LEFT = Remembered(
    recent=(
        record_place("/srv/records.sqlite", "a1b2", "Mara Lind", 30.0),
        file_place(Path("/shop/stand 3.toml"), "Stand 3", 20.0),
    ),
    step="springs",
    theme="light",
    units="metric",
    chart="braille",
    mouse=False,
    zoom="chart",
    event=(("name", "edge"), ("edge.height", "40 mm"), ("slower", "5")),
)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "state" / FILE


def stored(path: Path, content: object) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(json.dumps(content))
    return path


def places(*titles: str, at: float = 0.0) -> tuple[JobPlace, ...]:
    count = len(titles)
    return tuple(file_place(Path(f"/{name}"), name, at + count - i) for i, name in enumerate(titles))


def test_nothing_is_remembered_at_the_first_start(path: Path) -> None:
    assert read(path) == Found(Remembered(), "")
    assert Remembered().last is None
    assert not path.parent.exists()


def test_what_is_written_is_read_again(path: Path) -> None:
    assert written(LEFT, Remembered(), path) == ""
    assert read(path) == Found(LEFT, "")
    assert LEFT.last == LEFT.recent[0]
    assert {one.name for one in path.parent.iterdir()} == {FILE, "remembered.lock"}


def test_names_of_customers_are_read_by_nobody_else(path: Path) -> None:
    assert written(LEFT, Remembered(), path) == ""
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700


def test_the_job_that_was_opened_last_is_the_first_and_each_is_there_once() -> None:
    left = Remembered()
    for at, name in enumerate("abcab"):
        left = opened(left, file_place(Path(f"/{name}"), name, float(at)))
    assert [place.title for place in left.recent] == ["b", "a", "c"]
    left = opened(left, file_place(Path("/a"), "renamed", 9.0))
    assert [place.title for place in left.recent] == ["renamed", "b", "c"]
    left = opened(left, file_place(Path("/late"), "clock set back", 0.0))
    assert left.last is not None
    assert left.last.title == "clock set back"


def test_twelve_jobs_are_remembered() -> None:
    left = Remembered()
    for at in range(30):
        left = opened(left, record_place("store", f"job {at}", "", float(at)))
    assert [place.job for place in left.recent] == [f"job {at}" for at in range(29, 29 - MOST_RECENT, -1)]
    assert MOST_RECENT == 12


def test_files_that_are_gone_are_not_shown_and_still_remembered(tmp_path: Path) -> None:
    here = tmp_path / "here.toml"
    here.touch()
    left = opened(opened(Remembered(), file_place(tmp_path / "gone.toml", "gone", 1.0)), LEFT.recent[0])
    left = opened(left, file_place(here, "here", 3.0))
    left = opened(left, file_place(tmp_path, "a folder", 4.0))
    left = opened(left, file_place(Path("/" + "x" * 5000), "no name of a file", 5.0))
    assert [place.title for place in still_there(left.recent)][-2:] == ["here", "Mara Lind"]
    assert "gone" not in [place.title for place in still_there(left.recent)]
    assert len(left.recent) == 5
    assert still_there(left.recent, lambda _file: True) == left.recent


def test_a_relative_path_is_remembered_from_the_root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert file_place(Path("job.toml"), "", 0.0).file == str(tmp_path / "job.toml")


def test_a_path_that_is_no_text_is_read_again_as_it_was(path: Path) -> None:
    odd = file_place(Path(os.fsdecode(b"/shop/stand\xff.toml")), "odd", 1.0)
    assert written(opened(Remembered(), odd), Remembered(), path) == ""
    assert read(path).remembered.recent == (odd,)
    assert os.fsencode(read(path).remembered.recent[0].file) == b"/shop/stand\xff.toml"


@pytest.mark.parametrize(
    "content",
    [b"{", b"\xff\xfe\x00", b"[]", b"7", b'"text"', b"[" * 100_000, b"\0" * 50, b"{" + b" " * 100_001 + b"}"],
)
def test_a_damaged_file_is_told_once_and_written_anew(path: Path, content: bytes) -> None:
    path.parent.mkdir()
    path.write_bytes(content)
    found = read(path)
    assert found.remembered == Remembered()
    assert str(path) in found.told
    assert found.told.isprintable()
    assert written(LEFT, found.remembered, path) == ""
    assert read(path) == Found(LEFT, "")


def test_a_folder_with_controls_in_its_name_is_told_without_them(tmp_path: Path) -> None:
    path = tmp_path / "a\x1b[31m" / FILE
    path.parent.mkdir()
    path.write_text("{")
    assert "a\\x1b[31m" in read(path).told


def test_an_empty_file_is_nothing_remembered(path: Path) -> None:
    path.parent.mkdir()
    path.touch()
    assert read(path) == Found(Remembered(), "")


def test_a_field_at_fault_costs_no_other_and_is_told_by_name(path: Path) -> None:
    wrong = {"mouse": "yes", "units": 7, "zoom": "x" * 201, "event": {"name": "edge", "shows": 3}}
    stored(path, {"step": "ride", "theme": "light", "later": [1], **wrong})
    found = read(path)
    assert found.remembered == Remembered(step="ride", theme="light", event=(("name", "edge"),))
    assert found.told == "Not everything is remembered: units, mouse, zoom, event could not be used."
    assert written(found.remembered, found.remembered, path) == ""
    assert read(path).told == ""


def test_what_a_later_version_keeps_there_stays(path: Path) -> None:
    stored(path, {"step": "ride", "later": {"kept": [1, 2]}})
    before = read(path).remembered
    assert written(before._replace(step="frame"), before, path) == ""
    content = json.loads(path.read_text())
    assert (content["step"], content["later"]) == ("frame", {"kept": [1, 2]})


@pytest.mark.parametrize(
    "place",
    [
        7,
        {},
        {"file": "job.toml"},
        {"file": "/a\0b"},
        {"file": "/\ud800"},
        {"file": 3},
        {"store": "s"},
        {"store": "s", "job": 1},
        {"file": "/a", "title": ["x"]},
        {"file": "/a", "at": -1},
        {"file": "/a", "at": True},
        {"file": "/a", "at": "now"},
        {"file": "/a", "at": 10**400},
        {"file": "/a", "at": float("nan")},
        {"file": "/a", "at": float("inf")},
    ],
)
def test_a_job_at_fault_is_left_out_and_the_others_stay(path: Path, place: object) -> None:
    stored(path, {"recent": [place, {"file": "/good", "title": "good", "at": 5}, None]})
    found = read(path)
    assert found.remembered.recent == (JobPlace(file="/good", title="good", at=5.0),)
    assert found.told == "Not everything is remembered: recent could not be used."


def test_text_from_the_file_steers_no_terminal(path: Path) -> None:
    stored(path, {"step": "ri\x1b[31mde", "recent": [{"file": "/a", "title": "x\x07\u202ey", "at": 1}]})
    found = read(path).remembered
    assert found.step == "ri[31mde"
    assert found.recent[0].title == "xy"


@given(
    st.binary(max_size=300) | st.text(max_size=300).map(lambda text: text.encode("utf-8", "surrogatepass"))
)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_bytes_are_read_or_refused_in_words(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / FILE
    path.write_bytes(content)
    assert read(path).told.isprintable()


_JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=6,
)
_PLACES = st.fixed_dictionaries(
    {}, optional={key: _JSON | st.just("/a") for key in ("file", "store", "job", "title", "at")}
)
_CONTENT = st.fixed_dictionaries(
    {}, optional={**dict.fromkeys(Remembered._fields, _JSON), "recent": st.lists(_PLACES, max_size=3)}
)


@given(_CONTENT)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_whatever_is_read_can_be_written_and_is_sound_from_then_on(tmp_path: Path, content: object) -> None:
    path = tmp_path / FILE
    path.write_text(json.dumps(content))
    found = read(path).remembered
    assert all(place.where != ("", "", "") for place in found.recent)
    assert written(found, found, path) == ""
    assert read(path) == Found(found, "")


def test_what_two_sessions_change_is_kept_of_both(path: Path) -> None:
    assert written(Remembered(recent=places("a", "b")), Remembered(), path) == ""
    one = other = read(path).remembered
    one_now = opened(one, file_place(Path("/one"), "one", 50.0))._replace(theme="light")
    other_now = opened(other, file_place(Path("/other"), "other", 60.0))._replace(step="ride", mouse=False)
    assert written(one_now, one, path) == ""
    assert written(other_now, other, path) == ""
    found = read(path).remembered
    assert [place.title for place in found.recent] == ["other", "one", "a", "b"]
    assert (found.theme, found.step, found.mouse) == ("light", "ride", False)


def test_a_job_that_one_session_drops_is_dropped_and_what_both_set_is_the_later_one() -> None:
    before = Remembered(recent=places("a", "b", "c"), theme="dark")
    there = before._replace(theme="light")
    now = before._replace(recent=(before.recent[0], before.recent[2]), theme="plain")
    found = merged(there, before, now)
    assert [place.title for place in found.recent] == ["a", "c"]
    assert found.theme == "plain"


WRITER = """
import sys
from pathlib import Path
from tui.store.remembered import Remembered, file_place, opened, read, written
path, name = Path(sys.argv[1]), sys.argv[2]
for turn in range(3):
    before = read(path).remembered
    now = opened(before, file_place(Path(f"/{name}{turn}"), name, float(turn)))
    assert written(now, before, path) == ""
"""


@pytest.mark.slow
def test_sessions_that_write_at_once_never_tear_it_and_lose_nothing(path: Path) -> None:
    sessions = [
        subprocess.Popen([sys.executable, "-c", WRITER, str(path), name], cwd=ROOT) for name in "abcd"
    ]
    while any(session.poll() is None for session in sessions):
        assert read(path).told == ""
    assert [session.wait() for session in sessions] == [0] * 4
    found = read(path).remembered
    assert {place.file for place in found.recent} == {
        f"/{name}{turn}" for name in "abcd" for turn in range(3)
    }
    assert {one.name for one in path.parent.iterdir()} == {FILE, "remembered.lock"}


def test_a_session_that_keeps_the_lock_holds_nobody_up(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    waited: list[float] = []
    monkeypatch.setattr("tui.store.remembered.time.sleep", waited.append)
    path.parent.mkdir()
    with held(path.with_suffix(".lock").open("wb")):
        assert written(LEFT, Remembered(), path) == ""
    assert sum(waited) == pytest.approx(0.5)
    assert read(path).remembered == LEFT


def test_a_disk_that_cannot_be_written_costs_one_sentence(tmp_path: Path) -> None:
    disk = SmallDisk(tmp_path / "home", "100k")
    try:
        path = disk.folder / FILE
        assert written(LEFT, Remembered(), path) == ""
        disk.close_for_writing()
        said = written(Remembered(), LEFT, path)
        assert said == (
            "This job and these choices will not be remembered: read-only file system. Nothing else is lost."
        )
        assert read(path) == Found(LEFT, "")
    finally:
        disk.take_away()


def test_a_full_disk_leaves_the_old_file(tmp_path: Path) -> None:
    disk = SmallDisk(tmp_path / "home", "100k")
    try:
        path = disk.folder / FILE
        assert written(LEFT, Remembered(), path) == ""
        disk.fill()
        long = Remembered(recent=places(*(f"{n}" * 150 for n in range(10, 22)), at=100.0))
        assert "no space left on device" in written(long, LEFT, path)
        assert read(path) == Found(LEFT, "")
    finally:
        disk.take_away()


@pytest.mark.skipif(os.name != "posix" or os.getuid() == 0, reason="root may read and write all")
def test_a_folder_of_somebody_else_costs_one_sentence(path: Path) -> None:
    path.parent.mkdir()
    path.parent.chmod(0)
    try:
        assert "permission denied" in read(path).told.lower()
        assert "permission denied" in written(LEFT, Remembered(), path)
    finally:
        path.parent.chmod(0o700)


def test_a_refusal_of_the_system_is_told_and_raises_nothing(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*_given: object, **_options: object) -> None:
        raise PermissionError(13, "Permission denied")

    assert written(LEFT, Remembered(), path) == ""
    monkeypatch.setattr(Path, "open", refused)
    assert read(path).told == f"The last jobs and choices are not remembered: {path}: Permission denied."
    monkeypatch.undo()
    monkeypatch.setattr(Path, "mkdir", refused)
    said = written(Remembered(), LEFT, path)
    assert "permission denied" in said
    monkeypatch.undo()
    assert read(path).remembered == LEFT


def test_what_is_no_file_in_its_place_is_told(tmp_path: Path) -> None:
    folder = tmp_path / FILE
    folder.mkdir()
    assert "is not a file" in read(folder).told
    assert "Nothing else is lost" in written(LEFT, Remembered(), folder)
    in_a_file = tmp_path / "file" / FILE
    in_a_file.parent.touch()
    assert read(in_a_file).remembered == Remembered()
    assert "Nothing else is lost" in written(LEFT, Remembered(), in_a_file)
    queue = tmp_path / "queue"
    os.mkfifo(queue)
    assert "is not a file" in read(queue).told


def test_it_lies_in_the_state_folder_of_the_platform(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    assert state_file() == tmp_path / "springwright" / FILE
    assert written(LEFT, Remembered()) == ""
    assert read().remembered == LEFT


def test_reading_it_loads_nothing_heavy(path: Path) -> None:
    script = (
        "import sys; from pathlib import Path; from tui.store.remembered import read;"
        f"read(Path({str(path)!r}));"
        "laws = {m for m in sys.modules if m.startswith('physics.')} - {'physics.frozen'};"
        "print(sorted(laws | {m.split('.')[0] for m in sys.modules} &"
        "{'numpy', 'platformdirs', 'tomlkit', 'textual', 'sqlalchemy', 'pint'}))"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, cwd=ROOT
    )
    assert done.stdout.strip() == "[]"
