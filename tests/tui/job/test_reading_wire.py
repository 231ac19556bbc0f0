"""The keys of a coil's wire: what is enough, what follows from what, and what is refused in words."""

import pytest

from physics.case import Coil, Wire
from physics.wire_stock import COIL_ENDS, MATERIALS
from tests.tui.job.wired import faults, wired
from tui.job.answer import answer_job
from tui.job.case import case_of
from tui.job.demo import demo_job
from tui.job.files import toml_text
from tui.job.job import Job, parse
from tui.job.reading import read


def wire(job: Job) -> Wire | None:
    spring = case_of(read(job)).setups[0].spring
    assert isinstance(spring, Coil)
    return spring.wire


def test_thickness_a_width_and_a_count_are_enough() -> None:
    found = wire(wired())
    assert found is not None
    assert found == Wire("chrome_silicon", 0.0084, found.mean_diameter, 7.5, 9.5, "closed_ground", 2)
    assert found.mean_diameter == pytest.approx(0.0444)
    for key in ("wire_diameter", "inner_diameter", "total_coils"):
        assert wire(wired(**{key: None})) is None
    assert wire(demo_job()) is None


@pytest.mark.parametrize(
    ("key", "width"),
    [("inner_diameter", "36 mm"), ("outer_diameter", "52.8 mm"), ("mean_diameter", "44.4 mm")],
)
def test_a_coil_is_measured_inside_outside_or_in_the_middle(key: str, width: str) -> None:
    found = wire(wired(**{"inner_diameter": None, key: width}))
    assert found is not None
    assert found.mean_diameter == pytest.approx(0.0444)


def test_a_count_left_out_follows_from_the_ends() -> None:
    for ends, shape in COIL_ENDS.items():
        by_total = wire(wired(ends=ends))
        by_active = wire(wired(ends=ends, total_coils=None, active_coils=7.5))
        assert by_total is not None
        assert by_active is not None
        assert by_total.active_coils == pytest.approx(9.5 - shape.dead_coils)
        assert by_active.total_coils == pytest.approx(7.5 + shape.dead_coils)
    both = wire(wired(active_coils=7.0))
    assert both is not None
    assert (both.active_coils, both.total_coils) == (7.0, 9.5)


def test_two_widths_are_one_too_many() -> None:
    said = faults(wired(outer_diameter="52 mm"))
    assert set(said) == {"setup.0.outer_diameter"}
    assert "given together with inner_diameter" in said["setup.0.outer_diameter"]


def test_every_slip_is_told_with_what_to_use() -> None:
    said = faults(
        wired(material="stainless", ends="hooked", grade=4, wire_diameter="84 mm", total_coils="9", coils=3)
    )
    assert set(said) == {
        f"setup.0.{key}" for key in ("material", "ends", "grade", "wire_diameter", "total_coils", "coils")
    }
    assert said["setup.0.material"].endswith(f"; use one of {', '.join(MATERIALS)}")
    assert "from 1 to 3" in said["setup.0.grade"]
    assert "from 0.5 mm to 30 mm" in said["setup.0.wire_diameter"]


def test_a_coil_that_cannot_be_is_told_at_its_measure() -> None:
    thick = faults(wired(inner_diameter=None, outer_diameter="20 mm", wire_diameter="12 mm"))
    assert "too thick for a mean diameter" in thick["setup.0.wire_diameter"]
    assert "no active coil left" in faults(wired(total_coils=1.5))["setup.0.total_coils"]
    assert "at least the 9.75 active coils" in faults(wired(active_coils=9.75))["setup.0.total_coils"]
    assert "79.8 mm" in faults(wired(free_length="70 mm", solid_length=None))["setup.0.free_length"]


def test_what_the_wire_says_is_saved_and_read_again() -> None:
    job = wired(material="titanium", ends="closed", grade=1)
    assert parse(toml_text(job, None)) == job


def test_the_rate_of_the_wire_is_held_against_the_one_typed() -> None:
    def codes(rate: str) -> set[str]:
        return {c.code for c in answer_job(wired(rate=rate)).answer.setups[0].cautions}

    # 8.4 mm wire, 7.5 coils on 44.4 mm make 73.2 N/mm, give or take about 6 %.
    assert "wire_rate" not in codes("73 N/mm")
    assert "wire_rate" in codes("85 N/mm")
    assert "wire_rate" in codes("62 N/mm")
