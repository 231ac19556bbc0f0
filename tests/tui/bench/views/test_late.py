"""What is loaded with the views: rides in time, and their physics, only once they are looked at."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

SCRIPT = """
import sys
from tests.tui.bench.views.test_tolerance import on_bench
from tests.tui.looks import LOOK
from tui.bench.state import show_view
from tui.bench.views.pane import views
from tui.job.demo import demo_job
from tui.job.wheels import wheel_job

HEAVY = {"physics.ride", "physics.motion", "physics.ride_search", "physics.log", "tui.ride.riding"}
state = show_view(on_bench(wheel_job(demo_job(), "rear")), "tolerance")
views()["tolerance"].draw(state, 80, LOOK)
assert "events" in views()
print(sorted(HEAVY & set(sys.modules)))
views()["events"].draw(show_view(state, "events"), 80, LOOK)
print("physics.ride" in sys.modules)
"""


@pytest.mark.slow
def test_another_view_loads_no_ride_in_time() -> None:
    root = Path(__file__).parents[4]
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT], capture_output=True, text=True, cwd=root, check=True
    )
    assert done.stdout.split("\n")[:2] == ["[]", "True"]
