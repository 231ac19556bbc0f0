"""Processor time of the commands that have no screen."""

from __future__ import annotations

import resource
import subprocess
import sys
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from tests.test_readme import block

ROOT = Path(__file__).parents[2]


def processor_time() -> float:
    """Clock for the benchmarks: seconds that finished child processes were computing."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


@pytest.mark.benchmark(timer=processor_time)
@pytest.mark.parametrize("words", [["--help"], ["--version"], ["solve", "JOB", "--json"]], ids=" ".join)
def test_a_command_answers(benchmark: BenchmarkFixture, words: list[str], tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(block("job"), "utf-8")
    asked = [str(job) if word == "JOB" else word for word in words]

    def run() -> str:
        done = subprocess.run(
            [sys.executable, "-m", "tui", *asked], capture_output=True, text=True, cwd=ROOT, check=True
        )
        return done.stdout

    assert benchmark.pedantic(run, rounds=10, warmup_rounds=1)
