"""Pages of text: filling, ordering and help, as words and on the screen."""

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np
import pytest

from physics import gas
from physics.answer import Answer
from physics.bench import answer
from physics.case import Air, Coil, EqualisedNegative, MechanicalNegative, NoNegative, SeparateNegative, Setup
from tests.physics.test_bench import AIR, CASE, LBF_IN, PSI, SHOP
from tests.tui.screens import NOTHING, SIZES, Waiting, page_paragraphs, painted
from tui.bench.prompts import fault_lines, faults_page
from tui.bench.state import BenchState
from tui.job.answer import JobAnswer
from tui.job.cautions import NOTHING_TYPED
from tui.job.faults import JobFault
from tui.job.job import Job
from tui.job.tree import Raw, Tree
from tui.kit.dialogs import Page, Paragraph
from tui.kit.document import Document
from tui.kit.keymap import PROGRAM, Action, Group, act, group, key_name
from tui.kit.look import ASCII, UTF8, Glyphs
from tui.kit.overlays import help_blocks
from tui.shop_units import METRIC, USUAL, Measure, ShopUnits
from tui.subjects import ordering as orders
from tui.subjects import pumping

OUTSIDE = float(SHOP.pressure)


def filling(
    found: Answer, setup: int, units: ShopUnits, typed: Mapping[str, Raw] = NOTHING_TYPED
) -> tuple[Paragraph, ...]:
    return tuple(page_paragraphs(pumping.document(found, setup, units, typed)))


def ordering(
    found: Answer, setup: int, units: ShopUnits, typed: Mapping[str, Raw] = NOTHING_TYPED
) -> tuple[Paragraph, ...]:
    return tuple(page_paragraphs(ordered(found, setup, units, typed)))


def ordered(
    found: Answer, setup: int, units: ShopUnits, typed: Mapping[str, Raw] = NOTHING_TYPED
) -> Document:
    """Return what to order of an answer for which nothing else is in the job."""
    job = Job(Tree({"setup": tuple(Tree(typed) for _ in found.setups)}))
    return orders.document(JobAnswer(job, CASE, found), setup, units)


def of(spring: Air | Coil, name: str = "tried") -> Answer:
    return answer(replace(CASE, setups=(Setup(name, spring, 20.0),)), spacers=True)


def text(lines: tuple[Paragraph, ...]) -> str:
    return "\n".join(line.text for line in lines)


def limited(psi: float) -> Air:
    return replace(AIR, hose_volume=6e-6, max_pressure=OUTSIDE + psi * PSI)


# --- filling ---------------------------------------------------------------------------------


def test_every_round_says_what_to_pump_and_what_the_gauge_reads() -> None:
    found = of(limited(320))
    air = found.setups[0].air
    assert air is not None
    assert air.fill is not None
    words = text(filling(found, 0, USUAL))
    target = f"{(float(air.set_pressure) - OUTSIDE) / PSI:.0f} psi"
    for place in range(air.fill.rounds):
        kept, shown = (
            f"{(float(reading[place]) - OUTSIDE) / PSI:.0f} psi"
            for reading in (air.fill.readings, air.fill.pump_gauge)
        )
        again = " again" if place else ""
        assert f"{place + 1}. Pump to {target}{again}, take the pump off, ten slow cycles." in words
        assert f"It holds {kept}. With the pump back on, the gauge reads {shown}." in words
    assert f"Done: within 1 psi of {target}." in words
    assert "compress past 9.0 mm" in words


def test_a_shock_that_rests_drawn_in_is_told_as_the_gauge_reads_it() -> None:
    drawn = replace(
        limited(320),
        pressure=OUTSIDE + 150 * PSI,
        body=0.012,
        negative=EqualisedNegative(8e-6, 0, 4e-6, 0.016),
    )
    found = of(drawn)
    air = found.setups[0].air
    assert air is not None
    assert air.fill is not None
    words = text(filling(found, 0, USUAL))
    rest, kept, shown = (
        f"{(float(reading) - OUTSIDE) / PSI:.0f} psi in the rest position"
        for reading in (air.rest_pressure, air.fill.rest_readings[-1], air.fill.rest_gauge[-1])
    )
    assert f"In rounds, to 150 psi ({rest})" in words
    assert f"({kept}). With the pump back on, the gauge reads" in words
    assert f"({shown})." in words
    assert f"within 1 psi of 150 psi ({rest}). Valve cap on." in words
    assert "It reads 150 psi only when pulled out to full extension." in words


def test_the_cautions_stand_before_the_first_step() -> None:
    lines = filling(of(limited(320)), 0, USUAL)
    first_step = next(place for place, line in enumerate(lines) if line.text.startswith("1. "))
    before = text(lines[:first_step])
    for needed in ("label", "eye protection", "qualified technician", "maker's manual", "320 psi"):
        assert needed in before


def test_above_the_label_no_step_is_given() -> None:
    lines = filling(of(limited(200)), 0, USUAL)
    assert "is above the max pressure of 200 psi: do not pump that high." in text(lines)
    assert not [line for line in lines if line.text.startswith("1. ")]
    second = replace(AIR, negative=SeparateNegative(20e-6, 0, 0.0, OUTSIDE + 280 * PSI))
    over = filling(of(replace(second, max_pressure=OUTSIDE + 250 * PSI)), 0, USUAL)
    assert not [line for line in over if line.text.startswith("1. ")]


def test_a_limit_that_nobody_read_off_the_label_sends_there() -> None:
    typed = {"max_pressure": "320 psi", "unconfirmed": ("max_pressure",)}
    told = "Max pressure 320 psi is unverified: read the shock's label before pumping"
    assert told in text(filling(of(limited(320)), 0, USUAL, typed))
    assert told not in text(filling(of(limited(320)), 0, USUAL))
    over = text(filling(of(limited(200)), 0, USUAL, {**typed, "max_pressure": "200 psi"}))
    assert "do not pump that high. Unverified: max pressure 200 psi." in over
    page = ordering(
        answer(replace(CASE, setups=(Setup("tried", limited(320)),)), spacers=True), 0, USUAL, typed
    )
    assert told in text(page)


def test_one_go_only_where_the_label_allows_it() -> None:
    found = of(limited(320))
    air = found.setups[0].air
    assert air is not None
    assert air.fill is not None
    once = f"{(float(air.fill.single_fill) - OUTSIDE) / PSI:.0f} psi"
    assert f"Pump once to {once}" in text(filling(found, 0, USUAL))
    assert "Pump once" not in text(filling(of(limited(260)), 0, USUAL))
    unknown = text(filling(of(AIR), 0, USUAL))
    assert f"Only where the label allows {once}: no max pressure entered." in unknown
    assert "No max pressure entered: read the shock's label before pumping" in unknown
    typed = {"max_pressure": "320 psi", "unconfirmed": ("max_pressure",)}
    doubted = text(filling(found, 0, USUAL, typed))
    only = f"Only where the label allows {once}: the max pressure of this job is unverified."
    assert doubted.index(only) < doubted.index(f"Pump once to {once}")
    assert "nly where the label" not in text(filling(found, 0, USUAL, {"max_pressure": "320 psi"}))


def test_without_a_hose_no_reading_with_the_pump_is_made_up() -> None:
    assert "the gauge reads slightly less" in text(filling(of(AIR), 0, USUAL))


def test_a_shock_that_rests_drawn_in_says_so() -> None:
    strong = replace(AIR, body=0.012, negative=EqualisedNegative(30e-6, 0, 0.0, 0.012))
    found = of(strong)
    air = found.setups[0].air
    assert air is not None
    assert air.rest_stroke > 0
    words = text(filling(found, 0, USUAL))
    at_rest = (float(air.rest_pressure) - OUTSIDE) / PSI
    assert words.startswith(f"687 psi ({at_rest:.0f} psi in the rest position).")
    assert "only when pulled out to full extension" in words
    assert "only when pulled out to full extension" not in text(filling(of(AIR), 0, USUAL))


def test_two_valves_are_filled_positive_first() -> None:
    two = replace(AIR, negative=SeparateNegative(20e-6, 0, 0.0, OUTSIDE + 180 * PSI))
    words = text(filling(of(two), 0, USUAL))
    assert words.index("Pump the positive chamber") < words.index("Pump the negative chamber to 180 psi")


@pytest.mark.parametrize("negative", [NoNegative(), MechanicalNegative(60e3, 0.012)])
def test_one_valve_has_no_rounds(negative: NoNegative | MechanicalNegative) -> None:
    words = text(filling(of(replace(AIR, negative=negative)), 0, USUAL))
    assert "One valve" in words
    assert "again" not in words


def test_nothing_to_pump_is_said() -> None:
    assert "nothing to pump" in text(filling(answer(CASE), 0, USUAL))
    impossible = replace(AIR, bore=0.010, rod=0.009, body=0.0095)
    lines = text(filling(of(impossible), 0, USUAL))
    assert lines == "Nothing to pump yet: no rate or pressure reaches the target sag."


# --- ordering --------------------------------------------------------------------------------


@pytest.mark.parametrize(("units", "unit"), [(USUAL, "lbf/in"), (METRIC, "N/mm")])
def test_the_springs_on_either_side_with_their_sag_and_preload(units: ShopUnits, unit: str) -> None:
    found = answer(CASE)
    coil = found.setups[0].coil
    assert coil is not None
    words = text(ordering(found, 0, units))
    assert len(coil.buyable) == 2
    for choice in coil.buyable:
        assert f"as it is now: sag {float(choice.sag_fraction) * 100:.1f} % of travel." in words
        rate = units.show(float(choice.rate), Measure.SPRING_RATE)
        assert rate.endswith(unit)
        wound = f"{float(choice.preload_for_target) * 1000:.1f} mm"
        assert f"{rate}. Preload {wound}: sag 30.0 % of travel." in words


def test_turns_and_cautions_of_fit_belong_to_the_spring_they_are_about() -> None:
    coil = Coil(None, 0.001, 25 * LBF_IN, rated_stroke=0.061, thread_pitch=0.001, max_preload_turns=2.0)
    lines = ordering(of(coil), 0, USUAL)
    assert "1.7 mm, 1.7 turns: sag 30.0 %" in text(lines)
    # The softer one is not to be fitted: it comes last, with its reason.
    stiff, soft = (place for place, line in enumerate(lines) if " lbf/in. " in line.text)
    rated = [place for place, line in enumerate(lines) if "is rated for" in line.text]
    assert len(rated) == 1
    assert lines[stiff].text > lines[soft].text
    assert stiff < soft < rated[0]


def test_a_spring_too_stiff_for_the_target_says_so() -> None:
    coil = Coil(None, 0.0, 300 * LBF_IN)
    assert "Too stiff for 30.0 % of travel" in text(ordering(of(coil), 0, USUAL))


def test_the_caution_of_the_hand_on_the_collar_is_there() -> None:
    words = text(ordering(answer(CASE), 0, USUAL))
    for needed in ("back the collar off", "eye protection", "qualified technician"):
        assert needed in words


def test_a_coil_in_stages_has_no_rate_to_order() -> None:
    staged = Coil(None, 0.0, 25 * LBF_IN, np.array([0.0, 0.03]), np.array([80e3, 95e3]))
    assert "no single rate" in text(ordering(of(staged), 0, USUAL))


def test_every_count_of_spacers_has_its_line_and_the_label_is_marked() -> None:
    found = of(limited(238))
    air = found.setups[0].air
    assert air is not None
    lines = [line.text.split() for line in ordering(found, 0, USUAL)]
    assert ["spacers", "set", "peak", "bottom"] in lines
    assert ["psi", "psi", "N"] in lines
    checked = [row for row in air.spacers if row.peak_pressure <= gas.HIGHEST]
    assert len(checked) < len(air.spacers)
    assert any(" ".join(line).startswith("More spacers exceed") for line in lines)
    assert not any(line[:1] == [str(air.spacers[-1].spacers)] for line in lines)
    for row in checked:
        pump, peak = ((float(p) - OUTSIDE) / PSI for p in (row.set_pressure, row.fast_peak_pressure))
        shown = [str(row.spacers), f"{pump:.0f}", f"{peak:.0f}", f"{float(row.bottom_wheel_force):.0f}"]
        line = next(line for line in lines if line[:4] == shown)
        assert ("ABOVE" in line) == (pump > 238)
        assert ("now" in line or "now," in line) == (row.spacers == 1)


def test_without_a_spacer_volume_it_says_what_to_measure() -> None:
    assert "Measure one" in text(ordering(of(replace(AIR, positive_spacer_volume=0.0)), 0, USUAL))


# --- help ------------------------------------------------------------------------------------


GROUPS: tuple[Group[BenchState], ...] = (
    group("Values", act("more", "one step up", "One step up.", keys="+ ="), Action("hidden", "k", "hidden")),
    group("Typing", act("commit", "accept", "Accept it.", keys="enter"), typing=True),
    group(
        "Job",
        act("save", "save", "Save [b]it[/b].", keys="ctrl+s"),
        act("copy", "copy", "Copy it.", letter="d"),
        act("open", "open", "Open it.", letter="o", shelves=(PROGRAM,)),
    ),
)


def test_every_action_is_listed_under_its_heading() -> None:
    blocks = list(help_blocks((("rate", "How stiff it is."),), GROUPS))
    assert [(getattr(block, "lead", None), getattr(block, "text", "")) for block in blocks] == [
        (None, "rate"),
        ("", "How stiff it is."),
        (None, "Values"),
        ("+ =            ", "One step up."),
        (None, "Job"),
        ("Ctrl+S         ", "Save [b]it[/b]."),
        ("Space d        ", "Copy it."),
        ("Space Space o  ", "Open it."),
    ]


@pytest.mark.parametrize(
    ("key", "name"),
    [
        ("a", "a"),
        ("A", "A"),
        ("+", "+"),
        ("ctrl+r", "Ctrl+R"),
        ("f10", "F10"),
        ("pageup", "PgUp"),
        ("shift+tab", "Shift+Tab"),
    ],
)
def test_keys_are_named_as_on_the_keyboard(key: str, name: str) -> None:
    assert key_name(key) == name


# --- faults ----------------------------------------------------------------------------------

FAULTS = (
    JobFault(("setup", 0, "rate"), '"500" has no unit', "a spring rate is accepted"),
    JobFault((), "not TOML: [b]\x1b[2J", "a job file in TOML is accepted"),
)


def test_every_fault_is_listed_with_its_place() -> None:
    lines = fault_lines(FAULTS)
    assert [line.text for line in lines[1:3]] == [
        "setup.0.rate",
        '"500" has no unit; a spring rate is accepted.',
    ]
    assert lines[0].text.startswith("2 faults to fix")
    assert fault_lines(FAULTS[:1])[0].text.startswith("1 fault to fix")
    assert lines[3].text == "file"


# --- on the screen ---------------------------------------------------------------------------

NAMED = replace(CASE, setups=tuple(replace(setup, name=f"[i]{setup.name}\x1b[J") for setup in CASE.setups))


def page(
    what: str,
    subject: Callable[[Answer, int, ShopUnits], Document],
    setup: int,
    glyphs: Glyphs,
) -> Page:
    found = answer(NAMED, spacers=True)
    paragraphs = tuple(page_paragraphs(subject(found, setup, USUAL)))
    return Page(f"{what} {found.setups[setup].name}", paragraphs, glyphs)


PAGES: dict[str, Callable[[Glyphs], Page]] = {
    "filling": lambda glyphs: page("Pumping", pumping.document, 1, glyphs),
    "springs": lambda glyphs: page("A spring for", ordered, 0, glyphs),
    "spacers": lambda glyphs: page("Spacers for", ordered, 1, glyphs),
    "faults": lambda glyphs: faults_page("[i]x.toml", FAULTS * 9, glyphs),
}


@pytest.mark.fast_cases(2)
@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("glyphs", [UTF8, ASCII], ids=["utf8", "ascii"])
async def test_every_page_can_be_read_to_its_end_and_left(
    name: str, size: tuple[int, int], glyphs: Glyphs
) -> None:
    page = PAGES[name](glyphs)
    app = Waiting(page)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        assert (shown := painted(pilot)).count("\x1b") == 0
        assert "Escape  back" in shown
        assert "[i]" in shown
        if glyphs.ascii:
            assert shown.isascii()
        await pilot.press("end")
        await pilot.pause()
        last = page.paragraphs[-1].text.split()[-1]
        assert last in painted(pilot)
        await pilot.press("home", "down", "space", "pageup", "up")
        assert app.result == NOTHING
        await pilot.press("escape")
        assert app.result is None


async def test_a_long_page_says_where_it_is() -> None:
    async with Waiting(PAGES["filling"](UTF8)).run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "lines 1 to 18 of" in painted(pilot)
        await pilot.press("down")
        await pilot.pause()
        assert "lines 2 to 19 of" in painted(pilot)


def test_after_pumping_the_page_says_what_sag_to_read_and_when() -> None:
    told = [line.text for line in filling(of(limited(320)), 0, USUAL)]
    found = of(limited(320)).setups[0]
    settled, once = (float(length) * 1e3 for length in (found.sag.wheel, found.at_once.wheel))
    after = told[told.index("Sag at the wheel") + 1]
    assert after.startswith(f"Expect {settled:.1f} mm, {once:.1f} mm at once: sit still for about ")
    assert after.endswith(" s, then measure.")
    assert settled - once > 3
    assert "Sag at the wheel" not in text(filling(of(limited(20)), 0, USUAL))
