"""Wanted figures: called as in the answer; numbers in the unit of the shop, of the name, or as typed."""

from __future__ import annotations

import pytest

from physics.wants import Judged, Want
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.faults import UnusableJob
from tui.job.figures import SWEPT, WANTED, figure_called, figure_named
from tui.shop_units import ALL, IMPERIAL, METRIC, USUAL, ShopUnits
from tui.subjects.answers import answer_object
from tui.subjects.asked import seats
from tui.subjects.match import UnusableWant, judged_text, targets_table, units_text, want_of, wants_of
from tui.subjects.sweep import figure_asked

LBF = 0.45359237 * 9.80665


@pytest.mark.parametrize(
    ("text", "units", "figure", "number"),
    [
        ("support_50>=1.7", USUAL, "support_50", 1.7),
        ("support_50 >= 1,7", METRIC, "support_50", 1.7),
        ("starting_wheel<=60", USUAL, "starting_wheel", 60.0),
        ("starting_wheel<=60", IMPERIAL, "starting_wheel", 60 * LBF),
        ("starting_wheel<=60 N", IMPERIAL, "starting_wheel", 60.0),
        ("starting_wheel_n<=60", IMPERIAL, "starting_wheel", 60.0),
        ("wheel_rate_at_sag>=3", USUAL, "wheel_rate_at_sag", 3000.0),
        ("wheel_rate_at_sag>=17 lbf/in", METRIC, "wheel_rate_at_sag", 17 * LBF / 0.0254),
        ("drop_height>=400", USUAL, "drop_height", 0.4),
        ("drop_height>=15.7in", USUAL, "drop_height", 15.7 * 0.0254),
        ("energy_total=300", METRIC, "energy_total", 300.0),
        ("energy_total_j=300", IMPERIAL, "energy_total", 300.0),
        ("energy_total=220 ft lbf", USUAL, "energy_total", 220 * 0.3048 * LBF),
        ("natural_frequency_hz<=2.4", USUAL, "natural_frequency", 2.4),
        ("natural_frequency<=2.4 Hz", USUAL, "natural_frequency", 2.4),
        ("riding.natural_frequency_hz<=2.4", USUAL, "natural_frequency", 2.4),
        ("figures.natural_frequency_hz<=2.4", USUAL, "slow_natural_frequency", 2.4),
        ("chord_deviation>=-20", USUAL, "chord_deviation", -0.2),
        ("chord_deviation>=-20%", USUAL, "chord_deviation", -0.2),
        ("critical_damping<=900 N s/m", USUAL, "critical_damping", 900.0),
    ],
)
def test_a_number_is_in_the_unit_it_says(text: str, units: ShopUnits, figure: str, number: float) -> None:
    want = want_of(text, units)
    assert want.figure == figure
    assert want.number == pytest.approx(number, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("chord_deviation>=-0.2", 'chord_deviation: "-0.2" may be a share of the whole: write -20 %'),
        ("starting_wheel<=60 psi", '"psi" is not a unit of this figure; use N or lbf'),
        ("support_50>=2 N", '"N" is not a unit of this figure; use a number without a unit'),
        ("starting_wheel>=1,700", '"1,700" may be thousands or decimals; write 1700 or 1.700'),
        ("natural_frequency_psi>=2", 'no figure is called "natural_frequency_psi"; use natural_frequency'),
        ("support_50", '"support_50" cannot be read; use "support_50>=1.7"'),
        ("\x1b]0;\x00\ud800support\r", '"]0;support " cannot be read; use "support_50>=1.7"'),
    ],
)
def test_what_cannot_be_read_says_what_to_write(text: str, said: str) -> None:
    with pytest.raises(UnusableWant) as unusable:
        want_of(text, USUAL)
    assert said in str(unusable.value)


def test_a_want_may_be_a_fraction() -> None:
    assert want_of("bottom_ratio>=9/2", USUAL).number == 4.5
    assert want_of("drop_height>=12 1/2 in", USUAL).number == pytest.approx(0.3175)
    for text in ("bottom_ratio>=4 3/2", "bottom_ratio>=1/0", "bottom_ratio>=1.5/2", "bottom_ratio>=4 1/2/3"):
        with pytest.raises(UnusableWant):
            want_of(text, USUAL)


@pytest.mark.parametrize("units", ALL)
def test_what_became_of_a_want_is_in_the_shops_units_and_can_be_typed_again(units: ShopUnits) -> None:
    for figure in WANTED:
        want = Want(figure, "at least", 1234.5)
        told = judged_text(Judged(want, 1500.0, 1600.0, met=False, reachable=False), units)
        number = told.removeprefix(f"{figure_named(figure).label} at least ").partition(":")[0]
        if "e+" not in number:
            assert want_of(f"{figure}>={number}", units).number == pytest.approx(1234.5, rel=1e-3)
    assert f"wheel_rate_at_sag {units.unit(figure_named('wheel_rate_at_sag').measure)}" in units_text(units)
    assert len(wants_of("support_50>=1.7; bottom_ratio=4.3 x static;", units)) == 2
    with pytest.raises(UnusableWant, match="is not a unit of this figure"):
        want_of("natural_frequency>=2.1 x static", units)


@pytest.mark.parametrize("units", ALL)
def test_every_ratio_among_the_targets_says_of_what_and_no_two_have_one_name(units: ShopUnits) -> None:
    bike = answer_job(demo_job())
    for seat in seats(bike):
        _, *rows = targets_table(seat, units).rows
        labels = [str(label).strip() for *_, label in rows]
        assert len(set(labels)) == len(labels)
        shown = {str(name): str(now) for name, now, _ in rows}
        assert shown["support_50"].endswith(" x static")
        assert shown["bottom_ratio"].endswith(" x static")
        assert not [name for name, now in shown.items() if now.replace(".", "").isdigit()]


@pytest.mark.parametrize(
    ("figure", "said"),
    [
        ("support_25", "support at 25 % at least 1 x static: does not exist at this sag"),
        ("compression_ratio", "compression ratio at least 1: air springs only"),
    ],
)
def test_a_figure_that_does_not_exist_says_why(figure: str, said: str) -> None:
    nothing = Judged(Want(figure, "at least", 1.0), float("nan"), float("nan"), met=False, reachable=False)
    assert judged_text(nothing, USUAL) == said


@pytest.mark.slow
def test_every_key_of_the_answers_figures_names_its_figure() -> None:
    setup = answer_object(answer_job(demo_job()))["setups"][1]
    for table in ("figures", "riding"):
        for key in setup[table]:
            name = figure_asked(key)
            assert name in SWEPT
            assert key.startswith(name)
            assert figure_asked(f"{table}.{key}") in (name, f"slow_{name}")
    assert figure_asked("riding.natural_frequency_hz") == "natural_frequency"
    assert figure_asked("figures.natural_frequency_hz") == "slow_natural_frequency"
    assert figure_asked("figures.starting_shaft_n") == "starting_shaft"
    assert [figure_asked(f"sag.{key}") for key in ("wheel_mm", "wheel_fraction", "stroke_mm")] == [
        "sag_wheel",
        "sag_fraction",
        "sag_stroke",
    ]
    for key in ("set_pressure_psi", "set_pressure_bar", "peak_pressure_psi", "rest_stroke_mm"):
        assert key.startswith(figure_asked(key))
    for key in ("rate_n_per_mm", "rate_lbf_per_in", "preload_mm"):
        assert key.startswith(figure_asked(key))


def test_a_key_in_another_unit_names_no_figure() -> None:
    assert figure_called("natural_frequency_psi", SWEPT) is None
    with pytest.raises(UnusableJob, match="use natural_frequency, the nearest"):
        figure_asked("natural_frequency_psi")
