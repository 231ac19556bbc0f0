"""The plain report: lines that can be read aloud, with a unit on every number and the cautions in words."""

import re

import pytest

from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.figures import figure_rows
from tui.job.job import Job
from tui.job.wheels import wheel_job
from tui.sheet.build import curves_section
from tui.shop_units import IMPERIAL, METRIC, USUAL
from tui.subjects import conditions, riding, tolerance
from tui.subjects.report import report

DEMO = wheel_job(demo_job(), "rear")


def lines(job: Job = DEMO) -> list[str]:
    return [line.strip() for line in report(answer_job(job, spacers=True)).splitlines()]


def starting(word: str, job: Job = DEMO) -> list[str]:
    return [line for line in lines(job) if line.startswith(word)]


def test_each_setup_says_what_it_is_set_to_and_where_it_settles() -> None:
    assert lines()[0] == DEMO.title
    assert starting("Setup") == ["Setup 1 of 2: coil, coil spring", "Setup 2 of 2: air, air spring"]
    assert starting("Rests") == ["Rests at its sag"] * 2
    (rate,) = starting("Spring rate")
    assert re.fullmatch(r"Spring rate: \d+ lbf/in, that is \d+\.\d N/mm, solved for the target", rate)
    (pressure,) = starting("Set pressure")
    assert re.fullmatch(
        r"Set pressure at full extension: \d+ psi, that is \d+\.\d bar, solved for the target", pressure
    )
    assert starting("Sag at the wheel") == ["Sag at the wheel: 42.9 mm, 29.0 % of travel"] * 2


def test_every_ratio_of_a_load_says_so_in_the_report() -> None:
    text = report(answer_job(demo_job()))
    ratios = re.findall(
        r"(?:support at \d\d %|bottom-out ratio)(?::| )[^,;\n]*\d\.\d\d[^,;(\n]*", text, re.IGNORECASE
    )
    assert len(ratios) > 20
    assert [ratio for ratio in ratios if "x static" not in ratio] == []


def test_typed_values_are_told_from_solved_ones() -> None:
    typed = DEMO.with_value(("setup", 0, "rate"), "450 lbf/in").with_value(("setup", 1, "pressure"), "15 bar")
    assert starting("Spring rate", typed) == ["Spring rate: 450 lbf/in, that is 78.8 N/mm, as typed"]
    assert starting("Set pressure", typed)[0].endswith("218 psi, that is 15.0 bar, as typed")


def test_coils_to_buy_filling_and_spacers_are_listed() -> None:
    assert [line.split(":")[0] for line in lines() if "gives the target" in line] == [
        "400 lbf/in",
        "375 lbf/in",
    ], "first the one nearer to the 393 lbf/in solved"
    rounds = starting("After round")
    assert len(rounds) >= 2
    assert starting("It holds after") == [f"It holds after {len(rounds)} rounds"]
    assert [
        line
        for line in lines()
        if re.match(r"1: set \d+ psi, peak \d+ psi, bottom-out \d+ N at the wheel", line)
    ]


def test_cautions_stand_with_their_setup() -> None:
    over = lines(DEMO.with_value(("setup", 1, "max_pressure"), "150 psi"))
    assert [line for line in over if line.startswith("Caution: ") and "max pressure of 150 psi" in line]
    place = next(index for index, line in enumerate(over) if line.startswith("Setup 2"))
    assert all("max pressure of 150 psi" not in line for line in over[:place])


def test_the_caution_comes_before_the_pumping() -> None:
    told = lines()
    never = next(index for index, line in enumerate(told) if line.startswith("Caution: Never pump above"))
    assert never < next(index for index, line in enumerate(told) if line.startswith("Filling: pump to"))


@pytest.mark.slow
def test_a_setup_that_does_not_settle_says_so_and_gives_no_number() -> None:
    soft = DEMO.with_value(("setup", 0, "rate"), "50 lbf/in")
    soft = soft.without(("setup", 0, "bumper_length")).without(("setup", 0, "bumper_force"))
    assert starting("Bottoms out", soft)
    assert len(starting("Sag at the wheel", soft)) == 1
    (row,) = starting("sag at wheel", soft)
    assert row.startswith("sag at wheel: coil -; air 42.9 mm")


def test_figures_compare_setups_with_the_first() -> None:
    (row,) = starting("breakaway, wheel")
    assert re.fullmatch(r"breakaway, wheel: coil \d+ N; air \d+ N \(\+\d+\)", row)
    alone = DEMO.without_setup(1)
    assert re.fullmatch(r"breakaway, wheel: \d+ N", starting("breakaway, wheel", alone)[0])


@pytest.mark.slow
def test_no_line_has_a_number_without_a_unit_in_either_habit() -> None:
    for units in (METRIC, IMPERIAL):
        text = report(answer_job(DEMO, spacers=True), units)
        assert "nan" not in text
        assert "None" not in text
        assert "psi" in text
    assert "lbf" not in report(answer_job(DEMO, spacers=True), METRIC).replace("lbf/in, that is", "")


def test_names_and_titles_cannot_draw_on_the_terminal() -> None:
    job = DEMO.with_value(("title",), "a\x1b[2Jb").with_value(("setup", 0, "name"), "c\u202ed\n")
    text = report(answer_job(job, spacers=True))
    assert text.startswith("a[2Jb\n")
    assert text.replace("\n", "").isprintable()


def test_long_names_and_titles_are_shortened_in_the_report_only() -> None:
    job = DEMO.with_value(("title",), "t" * 5000).with_value(("setup", 0, "name"), "n" * 5000)
    said = lines(job)
    assert said[0] == "t" * 60 + "..."
    assert starting("Setup 1", job) == [f"Setup 1 of 2: {'n' * 60}..., coil spring"]
    assert max(map(len, said)) < 400
    assert answer_job(job).answer.setups[0].name == "n" * 5000


def test_without_friction_no_band_is_told() -> None:
    bare = DEMO.without(("setup", 0, "friction")).without(("setup", 1, "friction"))
    assert not any("within seal friction" in line for line in lines(bare))
    assert any("within seal friction" in line for line in lines(DEMO))


def test_what_explodes_in_a_chamber_filled_up_is_a_bound_or_no_number() -> None:
    full = DEMO.with_value(("setup", 1, "positive_spacers"), 7)
    found = answer_job(full)
    air = found.answer.setups[1]
    rows = {row.key: row for row in figure_rows(found.answer, USUAL)}
    assert rows["fast_peak_pressure"].values[1] == rows["peak_pressure"].values[1] == ">3467"
    for key in ("bottom_ratio", "bottom_wheel_force", "end_ramp", "energy_total", "drop_height"):
        assert (rows[key].values[1], rows[key].changes[1]) == ("?", "-")
        assert rows[f"slow_{key}"].values[1] == "?"
    assert rows["support_50"].values[1] == f"{float(air.riding.support_50):.2f}"
    text = report(found)
    assert "bottom-out, shaft: coil 5981 N; air ?\n" in text
    assert "The peak is over 3467 psi, far outside the tested range of the air model" in text
    assert not re.search(r"\b\d{5,} (psi|N)(?! s)", text)
    curves = str(curves_section(found.answer, USUAL))
    assert curves.count("? at 148.0 mm") == 2  # force and rate of the air spring
    assert "2690 N at 148.0 mm" in curves
    assert not re.search(r"\d{5,}(\.\d)? N", curves)
    said = str(riding.document(found, USUAL).blocks)
    assert "2690 N with coil; far beyond the tested air model with air." in said
    assert "Tolerance, 90 % of cases: sag 27" in text.partition("Setup 2 of 2")[2]
    others = [tolerance.document(found, USUAL), conditions.document(found, 1, USUAL)]
    shown = str([block for page in others for block in page.blocks])
    assert re.search(r"\d{3,}\.\d\d", shown) is None
    usual = {row.key: row for row in figure_rows(answer_job(demo_job()).answer, USUAL)}
    assert "?" not in str(usual)
