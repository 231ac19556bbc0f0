"""The sizes of events: as typed, with units, in SI; what cannot be used is said in a sentence."""

from __future__ import annotations

import math
from dataclasses import astuple

import pytest

from physics.ground import Bumps, Compression, Drop, Landing, Road, SquareEdge
from tui.commands import parsed
from tui.job.faults import UnusableJob
from tui.job.fields import Choice
from tui.job.quantities import dimension_of
from tui.ride.events import (
    CAUTION,
    EVENTS,
    NO_SIZES,
    SIZES,
    EventName,
    event_in,
    event_text,
    size_at,
    sizes_asked,
    sizes_object,
)
from tui.shop_units import IMPERIAL, USUAL, Measure


@pytest.mark.parametrize(
    ("event", "texts", "asked"),
    [
        ("drop", {}, Drop(0.5)),
        ("drop", {"height": "0.8"}, Drop(0.8)),
        ("drop", {"height": "80 cm"}, Drop(0.8)),
        ("landing", {"height": "1,5 m", "slope": "30", "speed": "18 km/h"}, Landing(1.5, math.pi / 6, 5.0)),
        ("edge", {"height": "45", "speed": "7m/s"}, SquareEdge(0.045, 7.0)),
        ("bumps", {"count": "5", "spacing": "0.4"}, Bumps(0.06, 1.0, 6.0, 5, 0.4)),
        ("compression", {"angle": "90deg", "radius": "4"}, Compression(4.0, math.pi / 2, 8.0)),
        ("road", {"class": "c", "speed": "16 mph", "seed": "7"}, Road("C", 16 * 0.44704, 7)),
    ],
)
def test_an_event_is_what_was_asked_and_usual_for_the_rest(
    event: EventName, texts: dict[str, str], asked: object
) -> None:
    found = event_in(event, sizes_asked(event, texts))
    assert type(found) is type(asked)
    mine, theirs = (astuple(one) for one in (found, asked))
    assert [one for one in mine if isinstance(one, str)] == [one for one in theirs if isinstance(one, str)]
    numbers = [[one for one in each if not isinstance(one, str)] for each in (mine, theirs)]
    assert numbers[0] == pytest.approx(numbers[1], rel=1e-12)


@pytest.mark.parametrize(
    ("event", "texts", "told"),
    [
        ("drop", {"height": "much"}, 'height: "much" is not a number'),
        ("drop", {"height": "5 kg"}, 'height: "kg" is not a unit of length'),
        ("drop", {"height": "90 m"}, "height: .* is out of range; use a length from 0.01 m to 20 m"),
        ("drop", {"speed": "7"}, "speed: not a size of the event flat drop; use height"),
        ("edge", {"speed": "0"}, "speed: .* is out of range; use a speed from 0.1 m/s to 40 m/s"),
        ("bumps", {"count": "2.5"}, "count: .* cannot be used; use a whole number from 1 to 100"),
        ("road", {"class": "Z"}, 'class: "Z" cannot be used; use one of A, B, C, D, E, F, G, H'),
        ("landing", {"slope": "80"}, "slope: .* is out of range; use an angle from 0 deg to 60 deg"),
    ],
)
def test_a_size_that_cannot_be_used_is_refused_in_a_sentence(
    event: EventName, texts: dict[str, str], told: str
) -> None:
    with pytest.raises(UnusableJob, match=told):
        sizes_asked(event, texts)


def test_every_size_has_a_usual_value_and_says_what_it_means() -> None:
    for name, kind in EVENTS.items():
        event_in(name, NO_SIZES)
        assert kind.meaning.endswith(".")
        for key, field in kind.fields.items():
            assert field.path == (name, key)
            assert field.meaning.endswith(".")
            assert str(size_at(NO_SIZES, field)) == field.usual
            is_bare = isinstance(field.kind, Choice) or field.measure is Measure.COUNT
            assert is_bare or (field.measure and dimension_of(field.measure)), key
    assert set(SIZES) == {key for kind in EVENTS.values() for key in kind.fields}


def test_an_event_is_told_in_the_shops_units_and_as_plain_data() -> None:
    sizes = sizes_asked("edge", {"height": "2 in"})
    assert event_text("edge", sizes, USUAL) == "square edge, height 50.8 mm, speed 5.0 m/s"
    assert event_text("edge", sizes, IMPERIAL) == "square edge, height 2.00 in, speed 11.2 mph"
    assert sizes_object("edge", sizes) == {
        "height_mm": pytest.approx(50.8), "speed_m_per_s": pytest.approx(5.0)
    }  # fmt: skip
    road = sizes_object("road", NO_SIZES)
    assert (road["class"], road["seed"]) == ("D", 0)
    assert isinstance(road["seed"], int)


def test_the_caution_says_that_legs_are_not_modelled_and_that_it_is_no_height_to_ride() -> None:
    assert "without legs" in CAUTION
    assert "never a height or a speed to ride" in CAUTION


def test_the_command_takes_every_event_and_every_size() -> None:
    asked = parsed(["ride", "job.toml", "--event", "drop"])
    assert {key for key in vars(asked) if key in SIZES} == set(SIZES)
    for event in EVENTS:
        assert parsed(["ride", "job.toml", "--event", event]).event == event
    with pytest.raises(SystemExit):
        parsed(["ride", "job.toml"])
