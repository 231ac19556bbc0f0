"""The sheet as text: what it says of a bike, its numbers with their units, its 80 columns."""

import re
from html import unescape
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from rich.cells import cell_len

from tests.random_cases import cases
from tests.tui.job.test_any_job import mutated
from tests.tui.sheet.sheets import four_setups, full_job, hostile_job, sheet
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.faults import UnusableJob
from tui.job.job import Job
from tui.job.wheels import wheel_job
from tui.sheet.build import Form, written
from tui.sheet.text import WIDTH, markdown, plain, wrapped
from tui.shop_units import ALL, IMPERIAL, METRIC, ShopUnits

GOLDEN = Path(__file__).with_name("demo_sheet.txt")
WORKINGS = Path(__file__).with_name("demo_workings.txt")
UNITS = (
    r"(mm|m|in|ft|kg|g|lb|N|lbf|N/mm|lbf/in|psi|bar|cm3|in3|degC|degF|deg|%|Hz|turns|x|s|spacers?|clicks|J|"
    r"pairs|fitted|(?:positive|negative) spacers?|values are)(?![\w/])"
)
NUMBER = re.compile(r"(?<![\w.-])[-+]?\d+(?:\.\d+)?(?![\d.]*\d)")


def rear(job: Job) -> Job:
    return wheel_job(job, "rear")


def test_the_sheet_of_the_demo_bike_is_this_one() -> None:
    assert plain(sheet(full_job())) == GOLDEN.read_text("utf-8")


def test_a_coil_that_must_not_be_fitted_has_no_box_to_tick_for_it() -> None:
    job = rear(full_job()).without(("setup", 1)).without(("measured",))
    job = job.without(("setup", 0, "preload_turns")).with_value(("setup", 0, "preload"), "14 mm")
    job = job.with_value(("setup", 0, "rate"), "475 lbf/in")
    text = " ".join(plain(sheet(job)).split())
    assert "Not to be fitted to the bike: coil bind at 54.0 mm of the 60.0 mm stroke." in text
    assert "fitted to the bike" not in text.replace("Not to be fitted to the bike", "")
    assert (
        "coil: do not fit: coil bind at 54.0 mm of the 60.0 mm stroke (475 lbf/in, preload 14.0 mm," in text
    )


@pytest.mark.parametrize("form", ["text", "markdown", "html"])
def test_what_to_set_is_right_under_the_title_with_where_its_cautions_are(form: Form) -> None:
    dress = re.compile(r"<style>.*</style>|<[^>]+>|[*#\\]|^- ", re.DOTALL | re.MULTILINE)
    text = " ".join(unescape(dress.sub("", written(sheet(full_job()), form))).split())
    for told in (
        "coil: order 400 lbf/in, preload 1.6 mm, 1.3 turns; sag 42.9 mm, 29.0 % of travel",
        "air: 205 psi, 1 positive spacer, no negative spacer; sag 42.9 mm, 29.0 % of travel",
        "fork: 55 psi, 1 positive spacer, no negative spacer; sag 30.3 mm, 21.0 % of travel",
    ):
        assert text.index("Mechanic") < text.index("Read the cautions first") < text.index(told)
        assert text.index(told) < text.index("Caution:")


def test_what_must_not_be_fitted_or_pumped_stands_first_of_what_to_set() -> None:
    over = rear(demo_job()).with_value(("setup", 1, "max_pressure"), "150 psi")
    told = plain(sheet(over)).split("Safety first")[0]
    assert told.index("air: 205 psi is above the max pressure of 150 psi") < told.index("coil: order ~ 400")
    few = rear(full_job()).with_value(("setup", 0, "ladder_step"), "500 lbf/in")
    stiff = next(line for line in plain(sheet(few)).splitlines() if line.startswith("  coil: order"))
    assert stiff == "  coil: order 500 lbf/in, too stiff for the target even without preload"
    soft = rear(demo_job()).with_value(("setup", 0, "rate"), "50 lbf/in")
    soft = soft.without(("setup", 0, "bumper_length")).without(("setup", 0, "bumper_force"))
    assert "coil: 50 lbf/in, preload ~ 1.9 mm, 1.5 turns; bottoms out under" in plain(sheet(soft))


def test_a_missing_damper_charge_is_told_once_and_where_the_hand_sets() -> None:
    job = rear(full_job())
    for index in (0, 1):
        for key in ("gas_pressure", "gas_volume"):
            job = job.without(("setup", index, key))
    text = " ".join(plain(sheet(job)).split())
    assert text.count("No damper gas entered") == 1
    assert re.search(
        r"coil: order 450 lbf/in, .*; no damper gas entered: rate about 11\.3 % too stiff air:", text
    )
    assert re.search(r"air: 222 psi, .*; no damper gas entered: pressure about 7\.1 % too high", text)
    assert "Type the charge, or none. The same for air (7.1 %)." in text
    typed = job.with_value(("setup", 1, "pressure"), "200 psi").with_value(("setup", 0, "rate"), "450 lbf/in")
    assert "no damper gas entered:" not in plain(sheet(typed))


def test_each_setting_bears_the_mark_of_its_own_values() -> None:
    job = rear(full_job()).with_invented(("setup", 1, "positive_spacers"), 1)
    job = job.with_value(("setup", 1, "pressure"), "200 psi")
    text = " ".join(plain(sheet(job)).split())
    assert "air: 200 psi, ~ 1 positive spacer, no negative spacer; sag ~ " in text
    assert "Set pressure at full extension: 200 psi" in text
    assert "Spacers: ~ positive chamber" in text
    assert "Expected sag: 42.9 mm" in text
    assert "Expected sag: ~ 4" in text
    assert "~ depends on unverified values" in text


@pytest.mark.slow
def test_the_workings_follow_the_page_only_where_they_are_asked_for() -> None:
    page, whole = plain(sheet(full_job())), plain(sheet(full_job(), workings=True))
    assert whole.removeprefix(page) == WORKINGS.read_text("utf-8")
    for told in ("Curves", "Inputs, as entered", "Sprung load", "Within tool errors"):
        assert told not in page
        assert told in whole


def test_the_pressure_to_set_for_the_ride_is_that_of_the_answer() -> None:
    job = rear(full_job()).with_value(("ride", "temperature"), "5 degC")
    found = re.search(
        r"Pump (\d+) psi here for 29\.0 % sag there \(5 degC, 350 m\), instead of \d+ psi;",
        " ".join(plain(sheet(job)).split()),
    )
    assert found is not None
    ride = answer_job(job.with_value(("setup", 1, "pressure"), f"{found[1]} psi")).answer.setups[1].ride
    assert ride is not None
    assert ride.sag_wheel_fraction == pytest.approx(0.29, abs=0.001)


def test_above_max_pressure_nothing_is_pumped_for_the_ride() -> None:
    job = rear(full_job()).with_value(("ride", "temperature"), "5 degC")
    text = " ".join(plain(sheet(job.with_value(("setup", 1, "max_pressure"), "206 psi"))).split())
    assert "is above the max pressure of 206 psi: do not pump that high" in text
    assert "sag there" not in text


@pytest.mark.parametrize("units", ALL, ids=lambda units: units.name)
def test_every_number_has_its_unit(units: ShopUnits) -> None:
    text = plain(sheet(demo_job().with_value(("title",), "bike"), units, workings=True))
    body = " ".join(text.split("To set", 1)[1].split())
    body = re.sub(r"Setup \d of \d|round \d+|\d\.\d\d : 1|[-\d.]+ (to|\u2192) (?=[-\d.]+ )|Hz\)", "", body)
    for number in NUMBER.finditer(body):
        behind = body[number.end() :].lstrip()
        assert re.match(UNITS, behind), body[number.start() - 30 : number.end() + 20]


@pytest.mark.slow
def test_rates_and_pressures_stand_in_both_habits_whatever_the_units() -> None:
    for units in ALL:
        text = plain(sheet(rear(demo_job()), units, workings=True))
        assert re.search(r"Spring rate: ~ \d+ lbf/in, that is \d+\.\d N/mm, solved", text)
        assert re.search(r"Set pressure at full extension: ~ \d+ psi, that is \d+\.\d bar, solved", text)
    assert "mm (" in plain(sheet(demo_job(), IMPERIAL, workings=True))
    assert "lbf" not in re.sub(r"\S+ lbf/in", "", plain(sheet(demo_job(), METRIC, workings=True)))


def test_cautions_stand_just_above_what_the_hand_does() -> None:
    lines = plain(sheet(rear(demo_job()))).splitlines()
    never = next(at for at, line in enumerate(lines) if "Never pump above the max pressure" in line)
    pump = next(at for at, line in enumerate(lines) if line.startswith("  Pump and cycle:"))
    assert 0 < pump - never < 10
    squeezed = next(at for at, line in enumerate(lines) if "under preload" in line)
    assert 0 < next(at for at, line in enumerate(lines) if line.startswith("  Nearest rate")) - squeezed < 6


def test_a_coil_without_a_rate_is_not_told_as_one_in_stages() -> None:
    gas = {"rod": "20 mm", "gas_pressure": "600 psi", "gas_volume": "80 cm3"}
    job = rear(demo_job()).with_value(("load", "rider_mass"), "40 kg").without_setup(1)
    for key, text in gas.items():
        job = job.with_value(("setup", 0, key), text)
    text = plain(sheet(job))
    assert "No rate or pressure reaches the target sag." in text
    assert "Spring rate: -" in text
    assert "progressive" not in text


def test_one_spring_is_to_order_at_a_rate_one_can_buy() -> None:
    lines = plain(sheet(rear(demo_job()))).splitlines()
    [order] = [at for at, line in enumerate(lines) if line.startswith("  Nearest rate to buy:")]
    assert lines[order] == "  Nearest rate to buy: ~ 400 lbf/in, that is 70.1 N/mm"
    assert lines[order + 1] == "  Preload: ~ 1.9 \u2192 1.6 mm, 1.5 \u2192 1.3 turns of the collar"
    # What was solved is no rate to buy: it belongs to the workings.
    assert "393 lbf/in" not in "\n".join(lines)
    assert "  Spring rate: ~ 393 lbf/in" in plain(sheet(rear(demo_job()), workings=True))
    typed = plain(sheet(rear(demo_job()).with_value(("setup", 0, "rate"), "450 lbf/in")))
    assert "Nearest rate" not in typed
    assert "  Preload: ~ 1.9 mm" in typed
    assert "  Spring rate: 450 lbf/in" in typed


def test_above_the_label_no_step_is_given() -> None:
    text = plain(sheet(rear(demo_job()).with_value(("setup", 1, "max_pressure"), "150 psi")))
    assert "No steps are given above max pressure." in text
    assert "Pump and cycle" not in text
    assert "do not pump that high" in " ".join(text.split())


@pytest.mark.parametrize(
    ("negative", "said"),
    [
        ({"negative": "none"}, "no negative spring"),
        ({"negative": "mechanical", "negative_rate": "60 N/mm", "negative_length": "12 mm"}, "is a coil"),
        (
            {"negative": "separate", "negative_pressure": "150 psi"},
            "negative chamber empty first, positive to",
        ),
    ],
)
def test_every_way_of_pumping_is_told(negative: dict[str, str], said: str) -> None:
    job = rear(demo_job())
    for key, raw in negative.items():
        job = job.with_value(("setup", 1, key), raw)
    assert said in " ".join(plain(sheet(job)).split())


def test_what_was_measured_stands_against_what_was_expected() -> None:
    text = " ".join(plain(sheet(full_job())).split())
    assert re.search(
        r"Sag: measured 46.0 mm of travel with air, expected 42.9 mm, 36.6 mm at once, "
        r"[\d.]+ mm to [\d.]+ mm: too much sag",
        text,
    )
    assert re.search(r"Gauge: measured 198 psi with air, expected 205 psi, 194 psi to 207 psi: OK", text)
    assert "Rebound: 9 clicks from fully closed" in text
    assert re.search(r"Compression: _+ \(clicks", text)


def test_a_setup_that_does_not_settle_has_no_sag_and_says_why() -> None:
    job = rear(demo_job()).with_value(("setup", 0, "rate"), "50 lbf/in")
    job = job.without(("setup", 0, "bumper_length")).without(("setup", 0, "bumper_force"))
    text = plain(sheet(job))
    assert "Bottoms out under the rider" in text
    assert text.count("Expected sag:") == 1
    assert "nan" not in text.lower().split()


def test_only_ascii_where_that_is_asked() -> None:
    job = full_job().with_value(("title",), "V\u00e9lo \u7389").with_value(("setup", 0, "name"), "\u00fcber")
    told = plain(sheet(job), ascii_only=True)
    assert told.isascii()
    assert "Velo ?" in told
    assert "\u00fcber" in plain(sheet(job))


def test_hostile_names_are_only_names() -> None:
    text = plain(sheet(hostile_job()))
    assert "\x1b" not in text
    assert "\u202e" not in text
    assert max(map(cell_len, text.splitlines())) <= WIDTH
    assert "<script>alert(1)</script> **b**" in text


@pytest.mark.slow
@given(mutated())
@settings(max_examples=cases(60), suppress_health_check=[HealthCheck.too_slow])
def test_the_sheet_of_any_job_keeps_to_its_columns(job: Job) -> None:
    try:
        answer_job(job)
    except UnusableJob:
        return
    made = sheet(job, workings=True)
    text = plain(made)
    assert text.replace("\n", "").isprintable() or "\u200c" in text or "\u200d" in text
    assert max(map(cell_len, text.splitlines())) <= WIDTH
    assert not {"nan", "inf", "None"} & set(text.split())
    headings_and_text = markdown(made).splitlines()
    assert max(cell_len(line) for line in headings_and_text if not line.startswith("#")) <= WIDTH + 1


@given(mutated())
@settings(max_examples=cases(20), suppress_health_check=[HealthCheck.too_slow])
def test_a_line_never_parts_a_number_from_its_unit(job: Job) -> None:
    try:
        text = plain(sheet(job))
    except UnusableJob:
        return
    assert not re.search(r"\d\n +(mm|N|psi|bar|%)\b", text)


def test_wide_letters_count_as_what_they_take() -> None:
    lines = wrapped("\u7389" * 100 + " end", "  ", "    ", width=40)
    assert max(map(cell_len, lines)) <= 40
    assert "".join("".join(lines).split()) == "\u7389" * 100 + "end"


def test_both_wheels_have_their_setups() -> None:
    text = plain(sheet(four_setups()))
    assert text.count("Setup 1 of 2") == text.count("Setup 2 of 2") == 2
    assert "fork, more spacers, against fork: " in text
    assert "Ride, against fork (same: within 3.0 %)" in plain(sheet(four_setups(), workings=True))
    assert "For every setup below" in text
