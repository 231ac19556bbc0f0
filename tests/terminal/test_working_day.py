"""The jobs of a working day over a real SSH line at 80 by 24, by keys that the screen names alone."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest

from physics.ride_search import first_meets
from tests.confirmed import confirmed_demo
from tests.terminal.conftest import PROGRAM
from tests.terminal.hands import Hands
from tests.tui.ride.test_again import log_of
from tests.tui.ride.test_logged import recorded
from tui.bench.keymap import KEYMAP
from tui.bench.steps import VIEW_ROWS
from tui.job.answer import JobAnswer, answer_job
from tui.job.fields import field_at
from tui.job.files import load, save
from tui.job.job import Job
from tui.job.tree import Tree, TreePath
from tui.ride.logged import logged, used_text
from tui.shop_units import USUAL, Measure, gauge

pytestmark = pytest.mark.slow

Sit = Callable[..., Hands]
FILE = "ana.toml"
KEYS = {
    "new customer": 52,  # goal 60: to the sheet, and next week from the records
    "coil like the air": 14,  # goal 25, as all below
    "bottoming air": 18,
    "measured on the stand": 24,
    "by its pivots": 25,  # five coordinates are 16 characters, and each is accepted
    "both ends": 10,  # one of them to choose a line that takes a wheel off its target
    "after the ride": 25,
    "heat and altitude": 22,
    "tester file": 16,
    "logged ride": 22,
    "height of the stop": 6,
}
"""Keys that each job takes from the program's start to the saved result, every character typed among them."""
COIL, AIR = 0, 1
"""Places of the setups of the job on the bench."""


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """Return the home folder of the mechanic, with one customer's job in it, every value of it typed."""
    folder = tmp_path / "home"
    folder.mkdir()
    save(confirmed_demo().with_value(("record", "customer"), "Ana Ruiz"), folder / FILE, None)
    return folder


@pytest.fixture
def sit(shop: Path, ssh_words: list[str]) -> Iterator[Sit]:
    """Return a function that logs in over SSH and opens the bench, on a job where its file is named."""
    opened: list[Hands] = []

    def sit_down(*words: str) -> Hands:
        settings = f"HOME={shop} TMPDIR={shop} PYTHONPATH={Path(__file__).parents[2]} LANG=C.UTF-8"
        line = f"cd {shop} && exec env -u COLORTERM {settings} {' '.join((*PROGRAM, *words))}"
        environment = {"PATH": "/usr/bin:/bin", "TERM": "xterm-256color", "LANG": "C.UTF-8"}
        opened.append(Hands(environment, [*ssh_words, line], 80, 24))
        return opened[-1]

    yield sit_down
    for hands in opened:
        hands.close()


def held(job: str, keys: int) -> None:
    """Hold a job to the keys on record for it."""
    assert keys <= KEYS[job], f"{job} takes {keys} keys"


def label(path: TreePath) -> str:
    """Return how the field at `path` is called on the screen."""
    found = field_at(path)
    assert found is not None
    return found.full_label


def saved(hands: Hands, shop: Path) -> tuple[Job, JobAnswer]:
    """Save with the key that the footer names; return the job as it is in the file then, and its answer."""
    hands.press("Ctrl+S", "Ctrl+S save")
    hands.see("Saved")
    job = load(shop / FILE).job
    return job, answer_job(job)


def enter_in(view: str, now: str = "") -> str:
    """Return how the footer names what Enter does in a view, or what it does `now`."""
    return f"Enter {now or dict(VIEW_ROWS[view].keys)['Enter']}"


def coil_rate(answer: JobAnswer, place: int = COIL) -> str:
    """Return the rate of a coil as the bench writes it."""
    coil = answer.answer.setups[place].coil
    assert coil is not None
    return USUAL.show(float(coil.rate), Measure.SPRING_RATE)


def air_pressure(answer: JobAnswer, place: int = AIR) -> str:
    """Return the pressure of an air spring, as the shop's gauge reads it."""
    air = answer.answer.setups[place].air
    assert air is not None
    ambient = float(answer.answer.shop.pressure)
    return USUAL.show(gauge(float(air.set_pressure), ambient), Measure.PRESSURE)


def test_a_new_customer_from_nothing_to_the_sheet_and_back_next_week(sit: Sit, shop: Path) -> None:
    first = sit()
    first.answer("What to open?", "Ana Ruiz")
    first.press("Enter", "R or Enter rear shock")
    first.press("Enter", "B or Enter coil and air, to compare")
    first.answer("Shock: eye to eye", "230x60")
    first.fill(label(("load", "rider_mass")), "84")
    first.press("Tab", "Tab step")  # Enter would go through the typical values of the rider's step
    first.fill(label(("frame", "wheel_travel")), "150")
    first.fill(label(("frame", "leverage", "start")), "2.9")
    first.fill(label(("frame", "leverage", "end")), "2.3")
    first.see("● coil", "lbf/in, sag 28.0 %", "▲ air")
    results = next(line for line in first.lines.splitlines() if line.startswith("~● coil") and "sag" in line)
    first.view("she", "sheet")
    first.choose("sheet_save")
    first.press("Enter", "Enter accept")
    first.see("The setup sheet is saved to")
    first.press("Ctrl+S", "Ctrl+S save")
    first.see("Saved")
    first.choose("quit")
    first.wait_for_end()
    sheet = (shop / "ana-ruiz.html").read_text().replace("\N{NO-BREAK SPACE}", " ")
    rate, pressure = (float(results.split(f"{name} ")[1].split()[0]) for name in ("coil", "air"))
    to_buy = f"{25 * round(rate / 25)} lbf/in"
    for text in ("Ana Ruiz", to_buy, f"{pressure:.0f} psi", "nverified", "28.0 % of travel"):
        assert text in sheet
    assert "Demo" not in sheet

    next_week = sit()
    # The last job is open by itself; the records have it too.
    next_week.see(results, "84 kg", "Ana Ruiz", "Revision 1 is open.")
    next_week.find("reco", KEYMAP.named["records"].name)
    next_week.see("Ana Ruiz", "Enter open")
    held("new customer", first.count + next_week.count)


def test_a_coil_that_rides_like_the_air_spring(sit: Sit, shop: Path) -> None:
    hands = sit(FILE)
    hands.find("air", "air")
    hands.view("conv", "match")
    hands.see("Target ▲ air", "Set ● coil")
    hands.press("Enter", enter_in("match"))
    hands.see("■ coil as air")
    hands.press("Escape", "Escape fields")
    _job, answer = saved(hands, shop)
    hands.see(f"■ {coil_rate(answer, 2)}, sag")
    air, like = (answer.answer.setups[place].curve for place in (AIR, 2))
    assert like.wheel_travel[-1] == air.wheel_travel[-1]
    travel = np.linspace(0.0, float(air.wheel_travel[-1]), 200)
    wanted, found, before = (
        np.interp(travel, setup.curve.wheel_travel, setup.curve.wheel_force)
        for setup in (answer.answer.setups[place] for place in (AIR, 2, COIL))
    )
    assert np.std(found - wanted) < np.std(before - wanted)
    held("coil like the air", hands.count)


def test_an_air_shock_that_bottoms_gets_a_spacer(sit: Sit, shop: Path) -> None:
    hands = sit(FILE)
    hands.find("air", "air")
    hands.view("adv", "advice")
    hands.press("Down", "Up Down symptom")
    hands.press("Down", "Up Down symptom")
    hands.see("blows through, bottoms out")
    hands.press("+", "+ - tick")
    hands.see("ticked (3 of 9)")
    hands.press("Enter", enter_in("advice"))
    hands.see("■ air 2")
    hands.press("Escape", "Escape fields")
    job, answer = saved(hands, shop)
    assert job.get(("setup", 2, "positive_spacers")) == 2
    hands.see(f"■ {air_pressure(answer, 2)}, sag")
    energy = [float(setup.figures.energy_from_sag) for setup in answer.answer.setups[1:]]
    assert energy[1] > 1.05 * energy[0]
    held("bottoming air", hands.count)


def test_a_frame_measured_on_the_stand(sit: Sit, shop: Path) -> None:
    hands = sit(FILE)
    hands.press("Tab", "Tab step")
    hands.choose("pair")
    for stroke in ("7", "15", "23", "31", "39", "48", "60"):
        hands.type(stroke, "add a pair")
        hands.press("Enter", "Enter accept")
    hands.see("Full travel is measured")
    job, answer = saved(hands, shop)
    assert job.get(("frame", "leverage", "kind")) == "measured"
    assert job.get(("frame", "leverage", "stroke_mm")) == (0.0, 7, 15, 23, 31, 39, 48, 60)
    assert job.get(("frame", "leverage", "travel_mm")) == (0.0, 20, 40, 60, 80, 100, 120, 148)
    hands.see(f"coil {coil_rate(answer)}", f"air {air_pressure(answer)}")
    held("measured on the stand", hands.count)


def test_a_frame_by_its_pivots(sit: Sit, shop: Path) -> None:
    hands = sit(FILE)
    hands.press("Tab", "Tab step")
    hands.choose("linkage")
    hands.see("Ctrl+S use it")
    # The main pivot is the origin, and the last x follows from the eye to eye of the shock.
    for place in ("130", "200", "-430", "-15"):
        hands.type(place, "POINTS")
        hands.press("Enter", "Enter accept")
    hands.see("y in mm: x follows from the shock's eye to eye")
    hands.type("145", "POINTS")
    hands.press("Ctrl+S", "Ctrl+S use it")
    hands.see("The linkage is in the job, scaled to the typed travel of 148 mm; u undoes it.")
    job, answer = saved(hands, shop)
    assert job.get(("frame", "leverage", "kind")) == "linkage"
    points = job.get(("frame", "leverage", "points_mm"))
    assert isinstance(points, Tree)
    assert dict(points) == {
        "main": (0.0, 0.0),
        "frame": (130, 200),
        "axle": (-430, -15),
        "eye": (pytest.approx(130 - math.sqrt(230**2 - 55**2), abs=0.05), 145),
    }
    assert float(answer.answer.frame.wheel_travel) == pytest.approx(0.148, abs=1e-9)
    assert 0.005 < abs(float(answer.answer.frame.closure_error)) < 0.02
    hands.see(f"coil {coil_rate(answer)}", f"air {air_pressure(answer)}")
    held("by its pivots", hands.count)


def test_the_fork_is_set_to_match_the_rear(sit: Sit, shop: Path) -> None:
    hands = sit(FILE)
    hands.view("both", "balance")
    # Both are on target: a line that takes one off it is chosen by hand.
    hands.see("› Leave both as they are", "To match the rear, set the front to:", "40 psi: sag 28.8 %")
    hands.press("Down", "Up Down line")
    hands.see("› 40 psi: sag")
    hands.press("Enter", "Enter use it")
    hands.see("on the bench; u undoes it.")
    hands.press("Escape", "Escape fields")
    job, answer = saved(hands, shop)
    assert job.get(("front", "setup", 0, "pressure")) == "40 psi"
    front = answer.at("front")
    assert front is not None
    rear, fork = (float(one.answer.setups[0].sag.wheel_fraction) for one in (answer, front))
    assert fork == pytest.approx(rear, abs=0.01)
    hands.see(f"● fork 40 psi, sag {USUAL.show(fork, Measure.FRACTION)}")
    held("both ends", hands.count)


def test_what_was_measured_after_the_ride_is_held_against_the_answer(sit: Sit, shop: Path) -> None:
    hands = sit(FILE)
    for _step in range(4):
        hands.press("Tab", "Tab step")
    hands.press("a", "type c or a")
    hands.see("setup on bike air")
    hands.find("sag m", label(("measured", "sag")))
    hands.fill(label(("measured", "sag")), "45")
    hands.see("expected 42.9 mm")
    hands.find("gau", label(("measured", "gauge")))
    hands.fill(label(("measured", "gauge")), "195")
    hands.see("gauge: 195 psi")
    job, _answer = saved(hands, shop)
    wanted = {"setup": "air", "sag": "45 mm", "gauge": "195 psi"}
    assert {key: job.get(("measured", key)) for key in wanted} == wanted
    held("after the ride", hands.count)


def test_heat_and_altitude_of_the_ride(sit: Sit, shop: Path) -> None:
    hands = sit(FILE)
    hands.find("ridi", label(("ride", "temperature")))
    hands.fill(label(("ride", "temperature")), "35")
    hands.press("/", "/ find")
    hands.type("ridi", "Enter goes there")
    hands.press("Down", "Up Down choose")
    hands.press("Enter", "Enter goes there")
    hands.fill(label(("ride", "altitude")), "2200")
    _job, answer = saved(hands, shop)
    ride = answer.answer.setups[AIR].ride
    assert ride is not None
    hot = USUAL.show(gauge(float(ride.set_pressure), float(ride.ambient.pressure)), Measure.PRESSURE)
    hands.see(f"▲ air {air_pressure(answer)}, riding {hot} sag ")
    assert float(ride.set_pressure) > float(answer.answer.setups[AIR].air.set_pressure)  # type: ignore[union-attr]
    held("heat and altitude", hands.count)


def test_a_tester_file_becomes_the_rate_and_the_preload_of_the_coil(sit: Sit, shop: Path) -> None:
    travel = np.arange(0.0, 55.0, 5.0)
    lines = [f"{stroke:g};{180 + 68.0 * stroke:.0f}" for stroke in travel]
    lines += [f"{stroke:g};{150 + 68.0 * stroke:.0f}" for stroke in travel[::-1]]
    (shop / "t.csv").write_text("\n".join(["stroke mm;force N", *lines]) + "\n")
    hands = sit(FILE)
    hands.find("enter", KEYMAP.named["readings"].name)
    hands.answer("Path of a file", "t.csv")
    hands.see("found ± now")
    hands.press("Enter", enter_in("readings"))
    hands.press("Escape", "Escape fields")
    _job, answer = saved(hands, shop)
    found = answer.answer.setups[COIL].coil
    assert found is not None
    curve = answer.answer.setups[COIL].curve
    forces = np.interp((0.01, 0.04), curve.stroke, curve.shaft_force)
    assert np.diff(forces) / 0.03 == pytest.approx(68e3, rel=0.01)
    assert forces[0] == pytest.approx(165 + 680, abs=10)
    hands.see(f"coil {coil_rate(answer)}")
    held("tester file", hands.count)


def test_a_customers_logged_ride_is_ridden_on_the_other_spring_and_goes_on_the_sheet(
    sit: Sit, shop: Path
) -> None:
    (shop / "r.csv").write_text(log_of())
    hands = sit(FILE)
    hands.view("lo", "logged")
    hands.press("Enter", enter_in("logged", "read a log"))
    hands.answer("Logged ride", "r.csv")
    hands.see("r.csv: used ", "bottoms out in 14 s, dynamic sag", "static 29.0 % as", "calculated.")
    hands.see("s of the log: 95 % of the time below", "the same ground: air", "› Change 1, ")
    hands.press("Enter", enter_in("logged"))
    hands.see("Added as coil 2; u undoes it.")
    hands.view("se", "sheet")
    hands.choose("log_on_sheet")
    hands.see("r.csv is on the sheet.")
    hands.choose("sheet_save")
    hands.press("Enter", "Enter accept")
    hands.see("The setup sheet is saved to")
    job, answer = saved(hands, shop)
    tried = job.setups[-1]
    assert tried["name"] == "coil 2"
    assert len(answer.answer.setups) == 3
    sheet = next(shop.glob("*.html")).read_text().replace("\N{NO-BREAK SPACE}", " ")
    log = logged(answer, recorded(log_of(), "r.csv")).channels[0]
    assert used_text(log, USUAL) in sheet
    held("logged ride", hands.count)


def test_the_height_from_which_each_spring_meets_its_stop(sit: Sit, shop: Path) -> None:
    hands = sit(FILE)
    hands.view("even", "events")
    there = answer_job(load(shop / FILE).job).at("rear")
    assert there is not None
    coil, air = first_meets(there.case, there.answer)
    hands.see(f"Drop that first bottoms out, with damper: coil from {coil:.2f} m, air from {air:.2f} m.")
    hands.see("never a height or a speed to ride.")
    held("height of the stop", hands.count)
