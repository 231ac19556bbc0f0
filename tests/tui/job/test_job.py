"""The job as typed: an immutable tree with paths, setups as a list."""

import pytest

from tui.job.demo import demo_job
from tui.job.faults import UnusableJob
from tui.job.job import ON_BIKE, History, Job, parse, renewed, setup_on_bike, still_on_bike
from tui.job.tree import Raw, Tree

JOB = parse('title = "Stand 3"\n[load]\nrider_mass = "85 kg"\n[[setup]]\nname = "coil"\nrate = "solve"\n')


def test_values_are_as_typed_and_absent_ones_none() -> None:
    assert JOB.title == "Stand 3"
    assert JOB.get(("load", "rider_mass")) == "85 kg"
    assert JOB.get(("setup", 0, "rate")) == "solve"
    for nowhere in (("setup", 1, "rate"), ("load", 0), ("setup", "name"), ("frame", "stroke")):
        assert JOB.get(nowhere) is None


def test_a_change_makes_another_job_and_leaves_the_first() -> None:
    typed = JOB.with_value(("setup", 0, "rate"), "480 lbf/in")
    assert JOB.get(("setup", 0, "rate")) == "solve"
    assert typed.get(("setup", 0, "rate")) == "480 lbf/in"
    assert typed != JOB
    assert typed.with_value(("setup", 0, "rate"), "solve") == JOB
    assert hash(typed.with_value(("setup", 0, "rate"), "solve")) == hash(JOB)


def test_tables_on_the_way_are_made_and_values_taken_away() -> None:
    made = JOB.with_value(("frame", "leverage", "kind"), "ends")
    assert made.get(("frame", "leverage", "kind")) == "ends"
    assert made.without(("frame", "leverage", "kind")).get(("frame", "leverage", "kind")) is None
    assert made.without(("frame",)) == JOB
    assert JOB.without(("nothing", "here")) == JOB
    assert JOB.without(("setup", 0)).setups == ()


def test_setups_are_added_copied_under_a_free_name_and_removed() -> None:
    twice = JOB
    for _ in range(2):
        twice = twice.with_setup(1, {**JOB.setups[0], "name": twice.free_name("coil")})
    assert [setup["name"] for setup in twice.setups] == ["coil", "coil 3", "coil 2"]
    assert twice.setups[1]["rate"] == "solve"
    assert twice.without_setup(0).setups[0]["name"] == "coil 3"
    added = JOB.with_setup(None, {"name": "air"}).with_setup(0, {"name": "first"})
    assert [setup["name"] for setup in added.setups] == ["first", "coil", "air"]


def test_arrays_and_tables_inside_cannot_be_changed() -> None:
    job = parse("[frame.leverage]\ntravel_mm = [0, 50]\n[[setup]]\nstages = { compression_mm = [0] }")
    assert job.get(("frame", "leverage", "travel_mm")) == (0, 50)
    assert job.get(("setup", 0, "stages", "compression_mm")) == (0,)
    with pytest.raises(TypeError):
        job.setups[0]["name"] = "x"  # type: ignore[index]


def test_controls_and_reordering_characters_are_cleaned_on_load() -> None:
    job = parse('title = "a\\u001b[31mb\\u202ec\\nd"')
    assert job.title == "a[31mbc d"


def test_what_is_no_toml_is_one_fault_of_the_file() -> None:
    with pytest.raises(UnusableJob) as caught:
        parse("format = = 1")
    assert [fault.path for fault in caught.value.faults] == [()]
    assert str(caught.value).startswith("file: not TOML")


def test_the_demo_job_is_a_job() -> None:
    assert isinstance(demo_job(), Job)
    assert "invented" in demo_job().title


def test_tables_are_equal_by_content_and_to_any_mapping_of_it() -> None:
    one, same, other = (
        Tree({"a": 1, "b": {"c": (1, 2)}}),
        Tree({"b": {"c": [1, 2]}, "a": 1}),
        Tree({"a": 1}),
    )
    assert one == same
    assert hash(one) == hash(same)
    assert one != other
    assert other == {"a": 1}
    assert other != 3
    # These numbers have the same hash.
    assert hash(Tree({"turns": -1})) == hash(Tree({"turns": -2}))
    assert Tree({"turns": -1}) != Tree({"turns": -2})


def test_a_setup_on_the_bike_that_nobody_knows_stays_as_it_was_typed() -> None:
    before = JOB.with_value(ON_BIKE, "borrowed")
    after = before.with_value(("load", "rider_mass"), "86 kg")
    assert still_on_bike(before, after) == after
    assert setup_on_bike(after) == 0


def test_a_setup_on_the_bike_is_renamed_with_it() -> None:
    before = JOB.with_value(ON_BIKE, "coil")
    renamed = before.with_value(("setup", 0, "name"), "soft coil")
    assert still_on_bike(before, renamed) == renamed.with_value(ON_BIKE, "soft coil")
    assert still_on_bike(before, before) is before
    assert still_on_bike(JOB, JOB) is JOB


def names(job: Job) -> list[Raw]:
    return [setup.get("name") for setup in job.setups]


def test_a_setup_is_put_in_before_another_or_at_the_end() -> None:
    three = parse('[[setup]]\nname = "a"\n[[setup]]\nname = "b"\n[[setup]]\nname = "c"')
    fresh = {"name": "new"}
    assert [names(three.with_setup(place, fresh)) for place in (0, 1, 3, None)] == [
        ["new", "a", "b", "c"], ["a", "new", "b", "c"], ["a", "b", "c", "new"], ["a", "b", "c", "new"],
    ]  # fmt: skip
    assert [names(three.without_setup(place)) for place in range(3)] == [["b", "c"], ["a", "c"], ["a", "b"]]


@pytest.mark.parametrize(
    ("taken", "wanted", "free"),
    [
        ((), "coil", "coil"),
        (("coil",), "coil", "coil 2"),
        (("coil", "coil 2"), "coil", "coil 3"),
        (("coil", "coil 3"), "coil", "coil 2"),
        (("coil 2",), "coil 2", "coil 3"),
        (("coil 7",), "coil 7", "coil 2"),
        (("soft coil",), "soft coil", "soft coil 2"),
        (("7",), "7", "7 2"),
        ((" 7",), " 7", " 7 2"),
        (("soft ",), "soft ", "soft  2"),
    ],
)
def test_a_free_name_has_the_first_number_that_no_setup_bears(
    taken: tuple[str, ...], wanted: str, free: str
) -> None:
    job = Job(Tree({"setup": tuple({"name": name} for name in taken)}))
    assert job.free_name(wanted) == free


def test_what_is_no_title_or_no_list_of_setups_counts_as_none() -> None:
    assert (Job(Tree({})).title, Job(Tree({"title": 3})).title) == ("", "")
    for setups in ("coil", Tree({"name": "coil"}), (Tree({}), 3), (3,)):
        assert Job(Tree({"setup": setups})).setups == ()
    assert Job(Tree({"setup": ({}, {})})).setups == (Tree({}), Tree({}))


def test_a_table_that_is_emptied_goes_with_its_last_value() -> None:
    job = parse("[ambient]\naltitude = 1\ntemperature = 2\n[load]\n")
    fewer = job.taken_out(("ambient", "altitude"))
    assert fewer.get(("ambient",)) == Tree({"temperature": 2})
    assert fewer.taken_out(("ambient", "temperature")).tree == Tree({"load": {}})
    assert job.taken_out(("load", "rider_mass")).get(("load",)) is None
    # The table around the value goes, and no other one.
    deep = parse("[frame]\nstroke = 1\n[frame.leverage]\nend = 2\n[target]\n[target.inner]\nsag = 3\n")
    assert deep.taken_out(("frame", "leverage", "end")).get(("frame",)) == Tree({"stroke": 1})
    assert deep.taken_out(("target", "inner", "sag")).get(("target",)) == Tree({})


ON_STAND = parse(
    '[[setup]]\nname = "a"\n[[setup]]\nname = "b"\n[[setup]]\nname = "c"\n[measured]\nsetup = "b"'
)


def test_the_setup_on_the_bike_is_the_one_named_else_the_first() -> None:
    assert [setup_on_bike(ON_STAND.with_value(ON_BIKE, name)) for name in "abc"] == [0, 1, 2]
    assert setup_on_bike(ON_STAND.with_value(ON_BIKE, "d")) == 0
    nameless = ON_STAND.without(("setup", 0, "name"))
    assert setup_on_bike(nameless.without(ON_BIKE)) == 0
    assert setup_on_bike(nameless) == 1
    odd = ON_STAND.with_value(("setup", 0, "name"), 3).with_value(ON_BIKE, 3)
    assert setup_on_bike(odd) == 0


@pytest.mark.parametrize(
    ("before", "after", "meant"),
    [
        # Renamed with it, at its own place and at no other.
        (ON_STAND, ON_STAND.with_value(("setup", 1, "name"), "B"), "B"),
        (ON_STAND, ON_STAND.with_value(("setup", 0, "name"), "A"), "b"),
        (ON_STAND, ON_STAND.with_value(("setup", 2, "name"), "C"), "b"),
        # Gone with it.
        (ON_STAND, ON_STAND.without_setup(1), None),
        (ON_STAND, ON_STAND.without_setup(0), "b"),
        # Chosen anew or taken out in the same edit.
        (ON_STAND, ON_STAND.with_value(ON_BIKE, "c").without_setup(1), "c"),
        (ON_STAND, ON_STAND.without(ON_BIKE).without_setup(1), None),
        # A name taken out leaves the word, and the name typed next is that setup's.
        (ON_STAND, ON_STAND.without(("setup", 1, "name")), "b"),
        (
            ON_STAND.without(("setup", 1, "name")),
            ON_STAND.with_value(("setup", 1, "name"), "B"),
            "B",
        ),
        # Nobody's word stays, also where a setup is added at the end.
        (
            ON_STAND.with_value(ON_BIKE, "d"),
            ON_STAND.with_value(ON_BIKE, "d").with_setup(None, {"name": "e"}),
            "d",
        ),
    ],
)
def test_the_setup_on_the_bike_goes_with_its_name(before: Job, after: Job, meant: str | None) -> None:
    kept = still_on_bike(before, after)
    assert kept.get(ON_BIKE) == meant
    assert kept.without(("measured",)) == after.without(("measured",))


def test_a_table_of_what_was_measured_goes_with_the_setup_that_was_all_it_named() -> None:
    assert still_on_bike(ON_STAND, ON_STAND.without_setup(1)).get(("measured",)) is None
    weighed = ON_STAND.with_value(("measured", "sag"), "40 mm")
    assert still_on_bike(weighed, weighed.without_setup(1)).get(("measured",)) == Tree({"sag": "40 mm"})


@pytest.mark.parametrize(
    ("ridden", "now"),
    [
        ({"felt": "dives"}, {"symptom": "dives"}),
        ({"felt": ("dives", 3)}, {"symptom": ("dives", 3)}),
        ({"felt": 3, "words": "x"}, {"symptom": 3, "words": "x"}),
        ({"felt": "a", "symptom": "b"}, {"felt": "a", "symptom": "b"}),
        ({"words": "x"}, {"words": "x"}),
        # Words that are called otherwise now; what the rider said in words of their own stays.
        ({"felt": "ends-fight"}, {"symptom": "unbalanced"}),
        ({"symptom": ("ends-fight", "spare-travel", 3)}, {"symptom": ("unbalanced", "unused-travel", 3)}),
        ({"words": "ends-fight"}, {"words": "ends-fight"}),
    ],
)
def test_an_older_key_of_a_job_is_read_as_it_is_called_now(
    ridden: dict[str, Raw], now: dict[str, Raw]
) -> None:
    tree = Tree({"title": "x", "ridden": ridden})
    assert renewed(tree) == Tree({"title": "x", "ridden": now})
    assert (renewed(tree) is tree) == (ridden == now)
    assert renewed(Tree({"ridden": 3})) == Tree({"ridden": 3})


def test_a_thousand_edits_can_be_undone_and_the_oldest_is_dropped_after_them() -> None:
    history = History.starting_at(JOB)
    jobs = [JOB.with_value(("title",), str(n)) for n in range(1002)]
    for job in jobs:
        history = history.then(job)
    assert (len(history.past), history.past[0], history.past[-1]) == (1000, jobs[1], jobs[1000])
    assert history.future == ()
    back = history.undo()
    assert (back.job, back.future, len(back.past)) == (jobs[1000], (jobs[1001],), 999)
    assert back.redo() == history
    assert (history.saved, history.mark_saved().saved) == (JOB, jobs[1001])


def test_the_head_of_a_page_is_the_title_on_one_line_or_says_that_there_is_none() -> None:
    assert demo_job().heading == "Demo trail bike (invented figures)"
    assert demo_job().with_value(("title",), "").heading == "Untitled job"
    assert parse('format = 1\ntitle = "a\\nb"').heading == "a b"
