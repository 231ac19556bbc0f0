"""Values that nobody has typed or confirmed: which they are, through edits, both ends, files and faults."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.confirmed import confirmed
from tui.cli import main
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.faults import Findings, Spelling, UnusableJob, dotted
from tui.job.files import load, save, toml_text
from tui.job.job import (
    Job,
    all_invented,
    check_list,
    invented,
    is_value,
    listed,
    parse,
    tidy,
    unconfirmed_setups,
    with_list,
    without_lists,
)
from tui.job.tree import Raw, Tree
from tui.job.wheels import wheel_job, with_wheel_job
from tui.subjects.answers import answer_object

DEMO = demo_job()
REAR = wheel_job(DEMO, "rear")
ASKED = {"setup.0.rate", "setup.1.pressure", "front.setup.0.pressure"}
HOW = {"format", "name", "kind", "unconfirmed"}


def told(job: Job) -> set[str]:
    return {dotted(path) for path in job.unconfirmed}


def values(tree: object, here: str = "") -> set[str]:
    if isinstance(tree, Tree):
        return {path for key, raw in tree.items() if key not in HOW for path in values(raw, f"{here}{key}.")}
    if isinstance(tree, tuple) and tree and isinstance(tree[0], Tree):
        return {path for index, raw in enumerate(tree) for path in values(raw, f"{here}{index}.")}
    return {here.rstrip(".")}


def faults(job: Job) -> dict[str, str]:
    with pytest.raises(UnusableJob) as caught:
        answer_job(job)
    return {dotted(fault.path): f"{fault.what}; {fault.accepted}" for fault in caught.value.faults}


def test_every_value_of_the_demo_is_unconfirmed_but_what_is_solved() -> None:
    assert told(DEMO) == values(DEMO.tree) - ASKED
    assert len(DEMO.unconfirmed) == len(told(DEMO)) == 72


@pytest.mark.slow
def test_the_list_changes_no_number() -> None:
    found, bare = (answer_object(answer_job(job)) for job in (DEMO, confirmed(DEMO)))
    assert set(found.pop("unconfirmed")) == told(DEMO)
    assert bare.pop("unconfirmed") == []
    assert found == bare


@pytest.mark.slow
def test_json_says_which_values_are_unconfirmed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "job.toml"
    path.write_text(toml_text(DEMO.with_value(("load", "rider_mass"), "70 kg"), None))
    assert main(["solve", str(path), "--json"]) == 0
    said = json.loads(capsys.readouterr().out)["unconfirmed"]
    assert "load.rider_mass" not in said
    assert {"title", "load.posture", "frame.leverage.middle", "setup.0.rated_stroke"} <= set(said)
    assert {"front.load.unsprung_mass", "front.setup.0.port"} <= set(said)


def test_a_value_written_is_confirmed_even_if_it_is_the_same() -> None:
    path = ("setup", 0, "rated_stroke")
    same = DEMO.with_value(path, "64 mm")
    assert told(DEMO) - told(same) == {"setup.0.rated_stroke"}
    assert same.get(path) == DEMO.get(path)
    assert same != DEMO
    assert DEMO.confirmed(path) == same
    assert same.confirmed(path) is same


def test_a_value_taken_out_leaves_its_list_and_the_last_one_the_table() -> None:
    job = DEMO.without(("frame", "leverage", "middle"))
    assert job.get(("frame", "leverage", "unconfirmed")) == ("end", "start")
    for key in ("temperature", "altitude"):
        job = job.taken_out(("ambient", key))
    assert job.get(("ambient",)) is None


def test_a_copy_of_a_setup_has_its_list() -> None:
    job = DEMO.with_value(("setup", 1, "bore"), "40 mm")
    job = job.with_setup(2, {**job.setups[1], "name": "air 2"})
    lists = [set(setup["unconfirmed"]) for setup in job.setups[1:]]
    assert lists[0] == lists[1]
    assert "bore" not in lists[0]


def test_a_table_put_together_lists_only_what_it_has() -> None:
    assert tidy({"bore": "40 mm", "unconfirmed": ("bore", "port")}) == Tree(
        {"bore": "40 mm", "unconfirmed": ("bore",)}
    )
    assert tidy({"bore": "40 mm", "unconfirmed": ("port",)}) == Tree({"bore": "40 mm"})


@pytest.mark.parametrize(
    ("path", "raw", "place", "said"),
    [
        (("load",), ("rider_mas",), "load.unconfirmed.0", "the nearest known key is rider_mass"),
        (("frame", "leverage"), ("start", "kind"), "frame.leverage.unconfirmed.1", "is not a key"),
        (("frame",), ("leverage",), "frame.unconfirmed.0", "is not a key"),
        (("setup", 1), ("preload",), "setup.1.unconfirmed.0", "is not a key"),
        (("setup", 1), ("pressure",), "setup.1.unconfirmed.0", "is not a key"),
        (("front", "target"), ("bag",), "front.target.unconfirmed.0", "the nearest known key is sag"),
        ((), ("load",), "unconfirmed.0", "is not a key of this table; remove it"),
        (("target",), "sag", "target.unconfirmed", "not a list of keys; use keys of this table"),
        (("ambient",), (1,), "ambient.unconfirmed", "not a list of keys"),
    ],
)
def test_a_list_that_names_no_value_is_refused(
    path: tuple[str, ...], raw: object, place: str, said: str
) -> None:
    found = faults(DEMO.with_value((*path, "unconfirmed"), raw))
    assert set(found) == {place}
    assert said in found[place]


@pytest.mark.parametrize("table", ["record", "measured", "ridden", "ride", "front"])
def test_a_table_that_is_only_ever_typed_has_no_list(table: str) -> None:
    job = DEMO.with_value((table, "unconfirmed"), ("title",))
    assert f"{table}.unconfirmed" in faults(job)


def test_the_front_sees_what_is_unconfirmed_in_what_it_shares_and_confirms_it_there() -> None:
    front = wheel_job(DEMO, "front")
    assert {"title", "load.rider_mass", "load.posture", "load.bike_share", "load.unsprung_mass"} <= told(
        front
    )
    typed = with_wheel_job(DEMO, "front", front.confirmed(("load", "rider_mass")))
    assert told(DEMO) - told(typed) == {"load.rider_mass"}
    own = with_wheel_job(DEMO, "front", front.confirmed(("load", "unsprung_mass")))
    assert told(DEMO) - told(own) == {"front.load.unsprung_mass"}
    share = with_wheel_job(DEMO, "front", front.confirmed(("load", "bike_share")))
    assert told(DEMO) - told(share) == {"load.bike_share"}
    replaced = with_wheel_job(DEMO, "front", front.with_value(("load", "bike_share"), 0.5))
    assert replaced == DEMO.with_value(("front", "load", "bike_share"), 0.5)


def test_a_front_that_is_no_fork_confirms_the_posture_it_carries_by() -> None:
    bike = DEMO.with_value(("front", "frame", "leverage"), {"kind": "ends", "start": 0.9, "end": 0.9})
    front = wheel_job(bike, "front")
    assert front.is_unconfirmed(("load", "rider_share"))
    after = with_wheel_job(bike, "front", front.confirmed(("load", "rider_share")))
    assert told(bike) - told(after) == {"load.posture"}


def test_a_value_invented_at_the_front_is_listed_there() -> None:
    front = wheel_job(DEMO, "front").with_value(("load",), {"unsprung_mass": "2 kg"})
    after = with_wheel_job(DEMO, "front", front.with_invented(("load", "scale_mass"), "38 kg"))
    assert after.get(("front", "load", "unconfirmed")) == ("scale_mass",)
    assert wheel_job(after, "front").is_unconfirmed(("load", "scale_mass"))


def test_files_keep_lists_and_comments(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    plain = toml_text(confirmed(DEMO), None).replace("[frame]", "[frame]  # measured on the stand")
    path.write_text(f"# stand 3\n{plain}")
    opened = load(path)
    assert opened.job.unconfirmed == ()
    job = opened.job.with_invented(("frame", "stroke"), "61 mm").with_invented(("title",), "Example")
    job = job.with_invented(("setup", 0, "friction"), "10 N")
    again = save(job, path, opened)
    assert load(path).job == job
    assert told(load(path).job) == {"title", "frame.stroke", "setup.0.friction"}
    assert "# stand 3" in again.text
    assert "# measured on the stand" in again.text
    assert save(confirmed(job), path, again).text.count("unconfirmed") == 0


def test_a_file_of_before_has_nothing_to_confirm() -> None:
    assert parse(toml_text(confirmed(DEMO), None)).unconfirmed == ()


def test_a_value_without_its_lists_is_its_values_alone_at_every_depth() -> None:
    tree = Tree(
        {
            "title": "x", "unconfirmed": ("title",), "travel_mm": (0, 40),
            "load": {"rider_mass": "82 kg", "unconfirmed": ("rider_mass",)},
            "setup": ({"rate": "solve", "preload_turns": 1, "unconfirmed": ("preload_turns",)},),
        }
    )  # fmt: skip
    assert without_lists(tree) == {
        "title": "x", "travel_mm": (0, 40), "load": {"rider_mass": "82 kg"},
        "setup": (Tree({"rate": "solve", "preload_turns": 1}),),
    }  # fmt: skip
    assert without_lists("82 kg") == "82 kg"


def test_a_setup_stands_on_its_own_values_and_on_those_of_the_bike() -> None:
    job = parse('[[setup]]\nname = "one"\n[[setup]]\nname = "two"\nfriction = "12 N"\n')
    assert unconfirmed_setups(job) == frozenset()
    own = job.with_invented(("setup", 1, "friction"), "12 N")
    assert unconfirmed_setups(own) == {1}
    assert unconfirmed_setups(own.with_invented(("title",), "Demo")) == {1}
    assert unconfirmed_setups(own.with_invented(("load", "rider_mass"), "82 kg")) == {0, 1}
    front = job.with_value(("front",), {"load": {"unsprung_mass": "2 kg", "unconfirmed": ("unsprung_mass",)}})
    assert front.unconfirmed == (("front", "load", "unsprung_mass"),)
    assert unconfirmed_setups(front) == frozenset()


LISTED = Tree(
    {
        "title": "x",
        "unconfirmed": ("title",),
        "load": {"rider_mass": "82 kg", "bike_mass": "15 kg", "unconfirmed": ("rider_mass",)},
        "frame": {"leverage": {"travel_mm": (0, 40), "ratio": (2.8, 2.4), "unconfirmed": ("travel_mm",)}},
        "setup": (
            {"name": "one", "rate": "solve"},
            {"name": "two", "stages": {"compression_mm": (0, 20), "unconfirmed": ("compression_mm",)}},
        ),
    }
)


def test_a_value_is_unconfirmed_with_all_that_is_in_it_and_nothing_beside_it() -> None:
    doubted = {
        ("title",), ("load", "rider_mass"), ("frame", "leverage", "travel_mm"),
        ("frame", "leverage", "travel_mm", 0), ("frame", "leverage", "travel_mm", 1),
        ("setup", 1, "stages", "compression_mm"), ("setup", 1, "stages", "compression_mm", 0),
    }  # fmt: skip
    sure = {
        (), ("load",), ("load", "bike_mass"), ("frame",), ("frame", "leverage"),
        ("frame", "leverage", "ratio"), ("frame", "leverage", "ratio", 0),
        ("setup",), ("setup", 0), ("setup", 0, "rate"), ("setup", 1, "name"),
        # What is not there is not doubted.
        ("frame", "leverage", "travel_mm", 2), ("title", "short"),
    }  # fmt: skip
    assert {path for path in doubted | sure if Job(LISTED).is_unconfirmed(path)} == doubted
    assert Job(LISTED).unconfirmed == (
        ("title",), ("load", "rider_mass"), ("frame", "leverage", "travel_mm"),
        ("setup", 1, "stages", "compression_mm"),
    )  # fmt: skip


def test_a_list_holds_words_and_anything_else_holds_nothing() -> None:
    assert listed({"unconfirmed": ("a", 3, "b")}) == ("a", "b")
    for table in ({"unconfirmed": "ab"}, {"unconfirmed": ["a"]}, {}, ("unconfirmed",), "unconfirmed", None):
        assert listed(table) == ()
    assert with_list({"b": 1, "a": 2, "c": 3}, ("b", "a", "b", "d", "unconfirmed")) == Tree(
        {"b": 1, "a": 2, "c": 3, "unconfirmed": ("a", "b")}
    )
    assert with_list({"b": 1, "unconfirmed": ("b",)}, ()) == Tree({"b": 1})
    assert with_list({"b": 1, "unconfirmed": ("b",)}, ("unconfirmed",)) == Tree({"b": 1})


def test_what_is_confirmed_or_invented_is_so_in_its_own_table() -> None:
    job = Job(LISTED)
    for path in job.unconfirmed:
        after = job.confirmed(path)
        assert after.unconfirmed == tuple(one for one in job.unconfirmed if one != path)
        assert after.get(path) == job.get(path)
        assert after.confirmed(path) is after
        assert after.with_invented(path, job.get(path)) == job
    inside = job.confirmed(("frame", "leverage", "travel_mm", 1))
    assert not inside.is_unconfirmed(("frame", "leverage", "travel_mm"))
    assert job.confirmed(("nothing", "here")) is job
    # A place within a list is no key of a table.
    assert job.with_invented(("frame", "leverage", "ratio", 0), 2.9).unconfirmed == job.unconfirmed
    assert (
        job.with_value(("load", "rider_mass"), "82 kg").unconfirmed
        == job.confirmed(("load", "rider_mass")).unconfirmed
    )


def test_a_job_is_listed_as_another_at_a_table_and_around_it() -> None:
    plain = Job(LISTED)
    for path in plain.unconfirmed:
        plain = plain.confirmed(path)
    assert plain.unconfirmed == ()
    for path, doubted in (
        ((), [("title",)]),
        (("load",), [("title",), ("load", "rider_mass")]),
        (("load", "rider_mass"), [("title",), ("load", "rider_mass")]),
        (("frame", "leverage"), [("title",), ("frame", "leverage", "travel_mm")]),
        (("setup", 1, "stages"), [("title",), ("setup", 1, "stages", "compression_mm")]),
        (("setup", 1), [("title",)]),
    ):
        assert list(plain.listed_as(Job(LISTED), path).unconfirmed) == doubted
    bare = plain.without(("load", "rider_mass"))
    assert bare.listed_as(Job(LISTED), ("load",)).unconfirmed == (("title",),)


def test_what_is_invented_is_every_value_but_names_kinds_and_what_is_solved() -> None:
    kept = {"name": "coil", "kind": "coil", "format": 1, "rate": "solve", "inner": Tree({"a": 1}), "rows": ()}
    assert invented({**kept, "mass": "1 kg", "travel_mm": (0, 1)}) == Tree(
        {**kept, "mass": "1 kg", "travel_mm": (0, 1), "unconfirmed": ("mass", "rows", "travel_mm")}
    )
    values = {key: is_value(key, raw) for key, raw in {**kept, "unconfirmed": ("a",), "mass": 3}.items()}
    assert values == {
        "name": False, "kind": False, "format": False, "rate": False, "inner": False, "rows": True,
        "unconfirmed": False, "mass": True,
    }  # fmt: skip
    assert not is_value("setup", (Tree({"name": "a"}),))
    whole = all_invented(Tree({"format": 1, "title": "x", "load": {"mass": 3}, "setup": ({"bore": 4},)}))
    assert Job(whole).unconfirmed == (("title",), ("load", "mass"), ("setup", 0, "bore"))


@pytest.mark.parametrize(
    ("table", "said"),
    [
        ({"bore": 1, "unconfirmed": ("bore",)}, []),
        ({"bore": 1}, []),
        (
            {"bore": 1, "unconfirmed": ("bore", 3)},
            ['here.unconfirmed: not a list of keys; use keys of this table, as in unconfirmed = ["..."]'],
        ),
        (
            {"bore": 1, "unconfirmed": "bore"},
            ['here.unconfirmed: not a list of keys; use keys of this table, as in unconfirmed = ["..."]'],
        ),
        (
            {"bore": 1, "port": 2, "unconfirmed": ("bore", "BOR", "prt")},
            [
                'here.unconfirmed.1: "BOR" is not a key of this table; the nearest known key is bore',
                'here.unconfirmed.2: "prt" is not a key of this table; the nearest known key is port',
            ],
        ),
        (
            {"kind": "coil", "rate": "solve", "leverage": 3, "unconfirmed": ("kind", "rate", "leverage")},
            [
                f'here.unconfirmed.{n}: "{key}" is not a key of this table; remove it'
                for n, key in enumerate(("kind", "rate", "leverage"))
            ],
        ),
        (
            {"a": 1, "unconfirmed": ("x" * 41,)},
            [f'here.unconfirmed.0: "{"x" * 40}" is not a key of this table; remove it'],
        ),
    ],
)
def test_a_list_is_told_where_it_is_none_or_names_no_value(table: dict[str, Raw], said: list[str]) -> None:
    found = Findings(Spelling(Tree({}), {}))
    check_list(Tree(table), ("here",), found)
    assert [str(fault) for fault in found.faults] == said


def test_a_list_may_be_held_to_a_few_keys() -> None:
    found = Findings(Spelling(Tree({}), {}))
    check_list(
        Tree({"title": "x", "load": 3, "unconfirmed": ("title", "load")}), (), found, ("title", "name")
    )
    assert [str(fault) for fault in found.faults] == [
        'unconfirmed.1: "load" is not a key of this table; remove it'
    ]
