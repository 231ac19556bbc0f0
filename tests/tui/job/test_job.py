"""The job as typed: an immutable tree with paths, setups as a list."""

import pytest

from tui.job.demo import demo_job
from tui.job.faults import UnusableJob
from tui.job.job import ON_BIKE, Job, parse, setup_on_bike, still_on_bike
from tui.job.tree import Tree

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
    twice = JOB.duplicate_setup(0).duplicate_setup(0)
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
