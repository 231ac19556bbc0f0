"""No fault of a file hides another: each test breaks several things at once and names every one."""

import pytest

from tests.confirmed import confirmed_demo
from tui.job.answer import answer_job
from tui.job.faults import UnusableJob, dotted
from tui.job.files import toml_text
from tui.job.job import Job, parse
from tui.job.tree import Raw, TreePath

DEMO = confirmed_demo()
TEXT = toml_text(DEMO, None)


def faults(job: Job | str) -> dict[str, str]:
    with pytest.raises(UnusableJob) as caught:
        answer_job(parse(job) if isinstance(job, str) else job)
    paths = [dotted(fault.path) for fault in caught.value.faults]
    assert len(set(paths)) == len(paths), "two faults at one place"
    return {dotted(fault.path): f"{fault.what}; {fault.accepted}" for fault in caught.value.faults}


def changed(**values: Raw) -> Job:
    """Return the demo job with values at paths written with double underscores."""
    job = DEMO
    for name, raw in values.items():
        path: TreePath = tuple(int(step) if step.isdecimal() else step for step in name.split("__"))
        job = job.with_value(path, raw) if raw is not None else job.without(path)
    return job


@pytest.mark.parametrize("kind", [None, "aire", 3])
def test_a_setup_of_no_kind_is_still_read(kind: Raw) -> None:
    said = faults(
        changed(
            setup__1__kind=kind,
            setup__1__friction="30 kg",
            setup__1__bore="40 kg",
            setup__1__boar="40 mm",
            setup__1__name=None,
            setup__1__bumper_force=None,
            setup__1__preload_turns=1,
            setup__1__port=None,
        )
    )
    assert set(said) == {
        f"setup.1.{key}"
        for key in ("kind", "friction", "bore", "boar", "name", "bumper_force", "thread_pitch", "port")
    }
    assert said["setup.1.kind"].endswith("use one of coil, air")


def test_an_empty_setup_lacks_kind_and_name() -> None:
    assert set(faults(TEXT + "\n[[setup]]\n")) == {"setup.2.kind", "setup.2.name"}


def test_a_leverage_of_no_kind_is_still_read() -> None:
    leverage = {"kind": "end", "start": "2.8", "ratio": (1, 2), "travel_mm": (0, 60, 50), "rise": 3}
    assert set(faults(changed(frame__leverage=leverage))) == {
        "frame.leverage.kind",
        "frame.leverage.start",
        "frame.leverage.rise",
        "frame.leverage",
        "frame.leverage.travel_mm.2",
    }


IMPOSSIBLE = {"setup__1__port": "200 mm", "setup__1__rod": "60 mm", "setup__1__bumper_length": "90 mm"}
IMPOSSIBLE_AT = {"setup.1.port", "setup.1.rod", "setup.1.bumper_length", "setup.1.gas_volume"}
"""A rod that wide takes up the damper gas as well."""


@pytest.mark.parametrize(
    ("more", "at"),
    [
        ({"setup__1__mass": 3}, "setup.1.mass"),
        ({"setup__1__mess": 3}, "setup.1.mess"),
        ({"setup__1__name": 3}, "setup.1.name"),
        ({"setup__1__pressure": "solved"}, "setup.1.pressure"),
        ({"setup__1__negative": "equal"}, "setup.1.negative"),
        ({"setup__1__kind": "air spring"}, "setup.1.kind"),
        ({"ambient__altitude": "high"}, "ambient.altitude"),
        ({"ambient": 3}, "ambient"),
        ({"frame__wheel_travel": "150"}, "frame.wheel_travel"),
        ({"load": 3}, "load"),
    ],
)
def test_one_unusable_value_hides_nothing_that_does_not_hang_on_it(more: dict[str, Raw], at: str) -> None:
    job = changed(**IMPOSSIBLE, setup__1__bumper_force="900 N", **more)
    assert set(faults(job)) == IMPOSSIBLE_AT | {at}


def test_what_hangs_on_an_unusable_value_is_not_judged() -> None:
    bumper = {"setup__1__bumper_force": "900 N"}
    assert set(faults(changed(**IMPOSSIBLE, **bumper, frame__stroke="60"))) == {"frame.stroke", "setup.1.rod"}
    no_bore = faults(changed(**IMPOSSIBLE, **bumper, setup__1__bore="40"))
    assert set(no_bore) == {"setup.1.bore"} | IMPOSSIBLE_AT - {"setup.1.rod"}
    assert set(faults(changed(load__rider_mass="85", load__unsprung_mass="90 kg"))) == {"load.rider_mass"}
    lighter = changed(load__rider_mass=None, load__unsprung_mass="90 kg")
    assert set(faults(lighter)) == {"load.rider_mass"}
    assert set(faults(changed(frame__leverage__start="two", frame__stroke="70 mm"))) == {
        "frame.leverage.start"
    }


def test_spacers_that_use_up_their_chambers_are_told_beside_any_other_fault() -> None:
    spacers = {
        f"setup__1__{chamber}_{key}": raw
        for chamber in ("positive", "negative")
        for key, raw in (("spacers", 20), ("spacer_volume", "10 cm3"))
    }
    assert set(faults(changed(**spacers, setup__1__friction="30", setup__0__rate=1))) == {
        "setup.1.positive_volume",
        "setup.1.negative_volume",
        "setup.1.friction",
        "setup.0.rate",
    }


def test_gas_used_up_is_told_beside_a_pressure_that_cannot_be_used() -> None:
    gas = {"setup__0__gas_pressure": "200", "setup__0__gas_volume": "1 cm3", "setup__0__rod": "12 mm"}
    assert set(faults(changed(**gas))) == {"setup.0.gas_pressure", "setup.0.gas_volume"}


def test_a_frame_that_does_not_close_is_told_beside_its_other_faults() -> None:
    for eyes in ("10 mm", 230):
        said = faults(changed(frame__eye_to_eye=eyes, frame__stroke="70 mm", frame__strike=1))
        assert set(said) == {"frame.eye_to_eye", "frame.stroke", "frame.strike"}
        assert "off" in said["frame.stroke"]


def test_a_slip_in_the_name_of_a_table_hides_nothing_in_it() -> None:
    text = TEXT.replace("[ambient]", "[ambint]").replace("altitude =", "altitde =")
    said = faults(text.replace('"20 degC"', '"20 mm"'))
    assert set(said) == {"ambint", "ambint.temperature", "ambint.altitde"}
    assert said["ambint"] == "unknown key; the nearest known key is ambient"


def test_slips_below_slips_and_physical_faults_stand_where_the_file_has_them() -> None:
    leverage = {"kind": "ends", "start": 2.8, "and": 2.25}
    frame = {"wheel_travel": "150 mm", "stroke": "70 mm", "leverge": leverage}
    job = Job(DEMO.without(("frame",)).tree).with_value(("Fram",), frame)
    assert set(faults(job)) == {
        "Fram",
        "Fram.leverge",
        "Fram.leverge.and",
        "Fram.leverge.end",
    }
    sound = job.with_value(("Fram", "leverge"), {"kind": "ends", "start": 2.8, "end": 2.25})
    assert set(faults(sound)) == {"Fram", "Fram.leverge", "Fram.stroke"}
    setups = DEMO.without(("setup",)).with_value(("setups",), (dict(DEMO.setups[1]) | {"port": "90 mm"},))
    assert set(faults(setups)) == {"setups", "setups.0.port"}


def test_a_table_like_none_is_only_an_unknown_key() -> None:
    assert set(faults(DEMO.with_value(("wheels",), {"size": 29}))) == {"wheels"}
    # The right one is there as well: the other is no slip of it.
    assert set(faults(DEMO.with_value(("loads",), {"size": 29}))) == {"loads"}


def test_each_element_of_the_setups_is_told_by_itself() -> None:
    coil = dict(DEMO.setups[0]) | {"friction": "12"}
    said = faults(DEMO.with_value(("setup",), (3, coil, "air", {})))
    assert set(said) == {"setup.0", "setup.1.friction", "setup.2", "setup.3.kind", "setup.3.name"}
    assert said["setup.0"] == "3 is not a table; use a table [[setup]]"
    assert faults(DEMO.with_value(("setup",), ()))["setup"].startswith("empty")
    assert faults(DEMO.with_value(("setup",), 3))["setup"].startswith("3 is not a list of tables")


def test_a_setup_in_single_brackets_is_read_all_the_same() -> None:
    said = faults(DEMO.with_value(("setup",), dict(DEMO.setups[0]) | {"friction": "12"}))
    assert set(said) == {"setup", "setup.friction"}
    assert "double brackets" in said["setup"]


@pytest.mark.parametrize("key", ["load", "frame", "target", "ambient", "ride"])
@pytest.mark.parametrize("raw", [3, "x", (1, 2), True])
def test_what_is_no_table_has_no_missing_keys(key: str, raw: Raw) -> None:
    said = faults(DEMO.with_value((key,), raw))
    assert set(said) == {key}
    assert "is not a table" in said[key]
