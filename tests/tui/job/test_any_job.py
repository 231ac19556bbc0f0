"""Whatever a job file holds, it is answered or refused in words: nothing else ever happens."""

import json
import math

import pytest
from hypothesis import HealthCheck, assume, example, given, settings
from hypothesis import strategies as st

from tests.random_cases import cases
from tui.job.answer import JobAnswer, answer_job
from tui.job.demo import demo_job
from tui.job.faults import UnusableJob
from tui.job.files import toml_text
from tui.job.job import Job, parse
from tui.job.tree import Raw, Tree, TreePath
from tui.job.wheels import wheel_job
from tui.subjects.answers import answer_object
from tui.subjects.report import report

UNITS = (
    "kg",
    "lb",
    "mm",
    "in",
    "m",
    "N",
    "lbf",
    "N/mm",
    "lbf/in",
    "psi",
    "bar",
    "cm3",
    "degC",
    "deg",
    "%",
    "",
)
NUMBERS = st.one_of(
    st.integers(-(10**6), 10**6),
    st.floats(allow_nan=True, allow_infinity=True),
    st.sampled_from([0, 0.0, -0.0, 1e-300, 1e300, 2**70, 0.1, 0.5, 1.0, 2.5, 60, 150]),
)
QUANTITIES = st.builds(
    lambda number, unit: f"{number} {unit}".strip(),
    st.one_of(NUMBERS, st.floats(1e-3, 1e3).map(lambda x: f"{x:.4g}".replace(".", ","))),
    st.sampled_from(UNITS),
)
SCALARS = st.one_of(NUMBERS, QUANTITIES, st.booleans(), st.text(max_size=12), st.just("solve"))
RAW = st.recursive(
    SCALARS,
    lambda inner: st.one_of(
        st.lists(inner, max_size=4), st.dictionaries(st.text(max_size=6), inner, max_size=3)
    ),
    max_leaves=6,
)


DEMO_TEXT = toml_text(demo_job(), None)


def paths(tree: Raw, here: TreePath = ()) -> list[TreePath]:
    inside = tree.items() if isinstance(tree, Tree) else enumerate(tree) if isinstance(tree, tuple) else ()
    return [here, *(path for step, value in inside for path in paths(value, (*here, step)))]


WHEEL = wheel_job(demo_job(), "rear")
RECORDED = (
    WHEEL.with_value(("record",), {"customer": "Customer 12", "ticket": "0417"})
    .with_value(("measured",), {"setup": "air", "sag": "43 mm", "of": "travel", "gauge": "214 psi"})
    .with_value(("measured", "scale"), "58 kg")
    .with_value(("measured", "rebound_clicks"), 7)
    .with_value(("ridden",), {"symptom": "packs-down", "words": "gets lower and lower"})
)
BASES = (
    demo_job(),
    WHEEL,
    RECORDED,
    WHEEL.with_value(("setup", 0, "rate"), "450 lbf/in")
    .with_value(("setup", 1, "pressure"), "220 psi")
    .with_value(("setup", 1, "negative"), "separate")
    .with_value(("setup", 1, "negative_pressure"), "200 psi"),
    WHEEL.with_value(("frame", "leverage"), {"kind": "fork", "head_angle": "64 deg"})
    .with_value(("frame", "stroke"), "164 mm")
    .with_value(("frame", "eye_to_eye"), "600 mm")
    .with_value(("setup", 1, "positive_volume"), "330 cm3")
    .with_value(("setup", 1, "lower_leg_volume"), "250 cm3")
    .with_value(("setup", 1, "stanchion_diameter"), "36 mm")
    .without_setup(0),
    WHEEL.without(("load", "posture"))
    .without(("load", "bike_share"))
    .with_value(
        ("load", "geometry"),
        {"wheelbase": "1.2 m", "mass_behind_front": "0.7 m", "mass_height": "1 m", "slope": "5 deg"},
    )
    .with_value(("ride",), {"temperature": "-10 degC", "altitude": "2500 m"})
    .with_value(
        ("frame", "leverage"), {"kind": "table", "travel_mm": (0, 80, 148), "ratio": (2.8, 2.4, 2.2)}
    ),
    WHEEL.with_value(("load",), {"scale_mass": "60 kg", "unsprung_mass": "4 kg"})
    .with_value(
        ("frame", "leverage"),
        {"kind": "measured", "travel_mm": (0, 40, 80, 120, 148), "stroke_mm": (0, 15, 31.5, 48.5, 60.2)},
    )
    .with_value(("setup", 1, "negative"), "mechanical")
    .with_value(("setup", 1, "negative_rate"), "60 N/mm")
    .with_value(("setup", 1, "negative_length"), "12 mm")
    .with_value(("setup", 0, "gas_pressure"), "200 psi")
    .with_value(("setup", 0, "gas_volume"), "12 cm3")
    .with_value(("setup", 0, "rod"), "9 mm"),
)


def scaled(raw: Raw, factor: float) -> Raw:
    """Return a quantity or number of another size: most of these can still be answered."""
    number, _, unit = raw.partition(" ") if isinstance(raw, str) else ("", "", "")
    if number.replace(".", "").isdecimal():
        return f"{float(number) * factor:.4g} {unit}"
    return raw * factor if isinstance(raw, float) else raw


@st.composite
def mutated(draw: st.DrawFn) -> Job:
    job = draw(st.sampled_from(BASES))
    for _ in range(draw(st.integers(1, 4))):
        places = paths(job.tree)
        place = draw(st.sampled_from(places))
        match draw(st.sampled_from(["scaled", "scaled", "scaled", "value", "number", "away", "new"])):
            case "scaled":
                job = (
                    job.with_value(place, scaled(job.get(place), draw(st.floats(0.01, 100.0))))
                    if place
                    else job
                )
            case "value" if place:
                job = job.with_value(place, draw(RAW))
            case "number" if place:
                job = job.with_value(place, draw(QUANTITIES))
            case "away" if place:
                job = job.without(place)
            case _ if isinstance(job.get(place), Tree):
                job = job.with_value((*place, draw(st.text(max_size=8))), draw(RAW))
    return job


def answered_or_refused(job: Job) -> JobAnswer | UnusableJob:
    try:
        return answer_job(job)
    except UnusableJob as unusable:
        return unusable


def assert_answered_or_refused(job: Job) -> None:
    answered = answered_or_refused(job)
    if isinstance(answered, UnusableJob):
        assert answered.faults
        for fault in answered.faults:
            assert str(fault).isprintable()
            assert fault.what
            assert fault.accepted
        return
    found = json.dumps(answer_object(answered), allow_nan=False)
    assert json.loads(found)["format"] == 1
    spoken = report(answered).lower().split()
    assert "nan" not in spoken
    assert "inf" not in spoken
    for setup in answered.answer.setups:
        assert math.isfinite(float(setup.sag.wheel)) == (setup.state == "ok")


@pytest.mark.slow
@given(mutated())
@settings(max_examples=cases(150), suppress_health_check=[HealthCheck.too_slow])
@example(demo_job().with_value(("setup", 1, "pressure"), "0 psi"))
@example(demo_job().with_value(("frame", "wheel_travel"), "1 mm").with_value(("frame", "stroke"), "1 mm"))
@example(demo_job().with_value(("load", "unsprung_mass"), "35 kg"))
def test_a_mutated_job_is_answered_or_refused_in_words(job: Job) -> None:
    assert_answered_or_refused(job)


@given(st.text(max_size=300))
@example("[" * 5000)
@example("x = " + "[" * 5000)
@example("format = 0x" + "f" * 10_000)
@example("[load]\nbike_share = 0x" + "f" * 10_000)
@example("x = " + "9" * 10_000)
@example("[[setup]]\n" * 20)
@example("x = " + "[" * 300 + "]" * 300)
@example("[target]\nsag = 0x" + "f" * 10_000)
@example("[load]\nrider_share = 1" + "0" * 400)
def test_any_text_is_a_job_or_refused_in_words(text: str) -> None:
    job = parsed_or_refused(text)
    if isinstance(job, UnusableJob):
        assert str(job).isprintable()
    else:
        assert_answered_or_refused(job)


def parsed_or_refused(text: str) -> Job | UnusableJob:
    try:
        return parse(text)
    except UnusableJob as unusable:
        return unusable


@given(mutated())
@settings(max_examples=cases(50))
def test_any_job_can_be_saved_and_read_again(job: Job) -> None:
    # A number that is not one is not equal to itself either.
    assume("nan" not in repr(job.tree))
    assert parse(toml_text(job, None)) == job
    assert parse(toml_text(job, DEMO_TEXT)) == job
