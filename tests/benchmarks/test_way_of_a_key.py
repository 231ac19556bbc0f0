"""How much of the program a key passes on its way to the screen."""

from __future__ import annotations

import sys
import threading
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from types import FrameType

import pytest

from tests.tui.bench.conftest import bench_app, own_home, started
from tui.job.panels import RIDER_MASS

__all__ = ["own_home"]

ROOT = Path(__file__).parents[2]
FOLDERS = tuple(str(ROOT / name) + "/" for name in ("physics", "tui"))


class Passed:
    """The functions of the program that were called while something was pressed, with how often."""

    def __init__(self) -> None:
        self.calls: Counter[tuple[str, str]] = Counter()
        self.is_on = False

    def __call__(self, frame: FrameType, event: str, _: object) -> None:
        """Count a call, as the profiler of any thread."""
        code = frame.f_code
        if self.is_on and event == "call" and code.co_filename.startswith(FOLDERS):
            self.calls[str(Path(code.co_filename).relative_to(ROOT)), code.co_qualname] += 1

    @property
    def files(self) -> set[str]:
        return {file for file, _ in self.calls}

    @property
    def physics(self) -> set[str]:
        """The files of laws: the comparison of two frozen classes is none."""
        return {file for file in self.files if file.startswith("physics/")} - {"physics/frozen.py"}

    def __str__(self) -> str:
        most = "\n".join(f"{count:6} {file}: {name}" for (file, name), count in self.calls.most_common(25))
        return (
            f"{len(self.files)} files ({len(self.physics)} of physics), {len(self.calls)} functions, "
            f"{self.calls.total()} calls; most often\n{most}"
        )


@pytest.fixture
def passed() -> Iterator[Passed]:
    """Watch every thread that starts from here on, and this one."""
    passed, before = Passed(), sys.getprofile()
    threading.setprofile(passed)
    sys.setprofile(passed)
    yield passed
    sys.setprofile(before)
    threading.setprofile(before)


async def pressed(passed: Passed, key: str) -> None:
    """Press a key on the demo job that was pressed before, until what it changes is on the screen."""
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        assert bench.state.row.path == RIDER_MASS
        await bench.press("plus", "down", "up")
        before = bench.text("results"), bench.text("grid")
        passed.is_on = True
        await bench.press(key)
        passed.is_on = False
        assert (bench.text("results") != before[0]) == (key == "plus")
        assert bench.text("grid") != before[1]


async def test_a_nudge_passes_few_files(passed: Passed) -> None:
    await pressed(passed, "plus")
    assert passed.physics
    assert len(passed.files) <= 60, str(passed)


@pytest.mark.slow
async def test_an_arrow_passes_few_files(passed: Passed) -> None:
    await pressed(passed, "down")
    assert 0 < len(passed.files) <= 30, str(passed)


async def test_an_arrow_enters_no_physics(passed: Passed) -> None:
    await pressed(passed, "down")
    assert passed.files
    assert not passed.physics, str(passed)
