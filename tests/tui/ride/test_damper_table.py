"""A damper tester's table: columns and units found, directions told apart, taken into the job as it is."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from physics.arrays import values
from physics.damper import damper_force
from tui.cli import main
from tui.job.case import case_of
from tui.job.demo import demo_job
from tui.job.job import parse
from tui.job.reading import read
from tui.job.wheels import wheel_job
from tui.ride.damper_table import DamperRead, command, damper_in, taken_into, understood
from tui.subjects.asked import Unanswered
from tui.tables.questions import Told, Unclear
from tui.tables.source import UnusableReadings
from tui.tables.table import table_of

DEMO = wheel_job(demo_job(), "rear")
SIGNED = "speed [m/s];force [N]\n-0,5;-900\n-0,1;-300\n0;0\n0,1;120\n0,4;450\n"
UNSIGNED = "Velocity (in/s), Force (lbf)\n5, 40\n10, 70\n5, -90\n10, -150\n"


def read_in(text: str, **told: object) -> DamperRead:
    return damper_in(table_of(text, "dyno.csv"), Told(**told))  # type: ignore[arg-type]


def test_speed_and_force_are_found_with_their_units() -> None:
    found = read_in(SIGNED)
    assert found.speed == (-0.5, -0.1, 0.0, 0.1, 0.4)
    assert found.force == (-900.0, -300.0, 0.0, 120.0, 450.0)
    assert understood(found) == (
        "Shaft speed [m/s] in column 1, force [N] in column 2: 5 rows, rebound to 0.5 m/s, "
        "compression to 0.4 m/s"
    )


def test_a_speed_without_a_sign_has_the_direction_of_its_force() -> None:
    found = read_in(UNSIGNED)
    assert found.speed == pytest.approx((-0.254, -0.127, 0.127, 0.254), abs=1e-4)
    assert found.force == pytest.approx((-667.2, -400.3, 177.9, 311.4), abs=0.06)


def test_a_file_with_the_other_sign_of_force_is_turned_and_says_so() -> None:
    found = read_in("speed [mm/s], force [N]\n-500, 900\n-100, 300\n100, -120\n400, -450\n")
    assert found.force == (-900.0, -300.0, 120.0, 450.0)
    assert "opposite signs in the file: sign of the force reversed" in understood(found)


def test_a_run_to_and_fro_is_averaged_in_each_direction() -> None:
    phase = np.linspace(0.0, 20 * np.pi, 4000)
    speed = 0.6 * np.sin(phase)
    force = np.where(speed > 0, 1000.0, 2500.0) * speed
    rows = "\n".join(f"{v:.5f},{f:.2f}" for v, f in zip(speed, force, strict=True))
    found = read_in(f"speed [m/s],force [N]\n{rows}\n")
    assert len(found.speed) <= 40
    assert np.all(np.diff(found.speed) > 0)
    job = taken_into(DEMO, found)
    damper = case_of(read(job)).setups[0].damper
    at = values([-0.5, -0.2, 0.2, 0.5])
    assert damper_force(damper, at, 0.0).tolist() == pytest.approx([-1250, -500, 200, 500], rel=0.01)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("speed [m/s], force [N]\n0.1, 100\n0.2, 200\n", "no rebound speed"),
        ("speed [m/s], force [N]\n-0.1, -100\n-0.2, -200\n", "no compression speed"),
        ("speed [m/s], force [N]\n-0.2, -90\n-0.1, 5\n0.1, 90\n0.2, 95\n", "line 3: 5 N at -0.1 m/s, opp"),
        ("speed [m/s], force [N]\n-0.2, -90\n0.1, much\n", "line 3: .* is not a number"),
        ("speed [m/s], force [N]\n-90, -90\n0.1, 90\n", "line 2: -90 m/s; use -20 to 20 m/s"),
    ],
)
def test_what_cannot_be_a_damper_is_refused_by_line(text: str, told: str) -> None:
    with pytest.raises(UnusableReadings, match=told):
        read_in(text)


def test_a_table_without_units_asks_for_them() -> None:
    with pytest.raises(Unclear, match="units of shaft speed and force are not given"):
        read_in("speed, force\n-0.1, -100\n0.1, 50\n")
    found = read_in("speed, force\n-100, -100\n100, 50\n", units={"speed": "mm/s", "force": "N"})
    assert found.speed == (-0.1, 0.1)


def test_the_damper_takes_the_place_of_what_the_job_had() -> None:
    job = DEMO.with_value(("damper",), {"rebound_low": "1500 N s/m", "compression_low": "700 N s/m"})
    after = taken_into(job, read_in(SIGNED))
    assert set(after.tree["damper"]) == {"speed_m_per_s", "force_n"}
    read(after)


def test_the_command_prints_what_goes_into_a_job_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "dyno.csv"
    file.write_text(SIGNED)
    assert main(["table", str(file), "--damper"]) == 0
    printed = capsys.readouterr().out
    assert printed.startswith("# Shaft speed [m/s] in column 1")
    assert parse(printed).get(("damper", "force_n")) == (-900.0, -300.0, 0.0, 120.0, 450.0)
    file.write_text("speed, force\n-0.1, -100\n0.1, 50\n")
    assert main(["table", str(file), "--damper"]) == 2
    assert "--units m/s,N" in capsys.readouterr().err
    with pytest.raises(Unanswered):
        command(str(file), "", "")
