"""The demo's setups on a spring tester, with invented noise."""

import numpy as np

from physics.fit import AskedFriction
from physics.loop import loop_of, ways
from physics.shock import shock_of
from physics.stand import stand
from tests.physics.examples import LBF_IN
from tests.physics.testers import there_and_back
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.job import Job
from tui.tables.source import LoopRead


def demo_set() -> Job:
    """Return the demo's rear with its rate and its pressure typed."""
    job = demo_job().without(("front",))
    job = job.with_value(("setup", 0, "rate"), "450 lbf/in")
    return job.with_value(("setup", 1, "pressure"), "190 psi")


def loop_of_demo(index: int, noise: float = 4.0) -> LoopRead:
    """Return the readings of a setup of it, in and out over most of the stroke."""
    case = answer_job(demo_set()).case
    stroke = there_and_back(41, 0.95 * float(case.frame.stroke))
    setup = case.setups[index]
    spring = shock_of(setup, stand(case).lever, case.shop).at(stroke).force
    off = np.random.default_rng(index).normal(0.0, noise, len(stroke))
    return LoopRead(loop_of(stroke, spring + ways(stroke) * setup.friction + off), "tester.csv")


def spring_alone(noise: float = 2.0) -> LoopRead:
    """Return readings of a coil of the rate of its first setup on the tester by itself."""
    case = answer_job(demo_set()).case
    stroke = there_and_back(41, 0.95 * float(case.frame.stroke))
    off = np.random.default_rng(3).normal(0.0, noise, len(stroke))
    return LoopRead(loop_of(stroke, 450 * LBF_IN * stroke + off), "spring.csv")


def one_way(index: int, friction: AskedFriction | None = None) -> LoopRead:
    """Return what of it goes in."""
    loop = loop_of_demo(index).loop
    return LoopRead(loop_of(loop.stroke[:20], loop.force[:20]), "tester.csv", friction)


def bent(index: int) -> LoopRead:
    """Return readings of a spring that stiffens as its law does not, the deepest of them past the stroke."""
    loop, full = loop_of_demo(index).loop, float(answer_job(demo_set()).case.frame.stroke)
    stroke = loop.stroke.copy()
    stroke[20] = full + 0.4e-3
    return LoopRead(loop_of(stroke, loop.force + 0.5 * 0.1 * 80e3 * loop.stroke**2 / full), "bent.csv")


def csv_of_demo(index: int) -> str:
    """Return the same as a file with decimal commas."""
    return csv_of(loop_of_demo(index))


def csv_of(read: LoopRead) -> str:
    """Return readings as a file with decimal commas."""
    loop = read.loop
    rows = (f"{x * 1e3:.3f};{f:.2f}" for x, f in zip(loop.stroke, loop.force, strict=True))
    return "stroke [mm];force [N]\n" + "\n".join(rows).replace(".", ",") + "\n"
