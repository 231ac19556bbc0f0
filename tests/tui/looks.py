"""A look of a chart to draw with, and six invented setups."""

from dataclasses import replace

from physics.answer import Answer
from physics.bench import answer
from physics.case import Coil, Setup
from tests.physics.test_bench import AIR, CASE, LBF_IN
from tui.kit.look import ASCII, UTF8, ChartLook, LineLook

_LINES = tuple(
    LineLook(colour, marker, marker)
    for colour, marker in (
        ("#d7875f", "●"), ("#5fafaf", "◆"), ("#af87d7", "▲"),
        ("#87af5f", "■"), ("#d7af5f", "▼"), ("#afafaf", "★"),
    )
)  # fmt: skip
LOOK = ChartLook(
    "braille",
    _LINES,
    (_LINES[3], _LINES[4], _LINES[5]),
    "#808080",
    "#808080",
    "#d0d0d0",
    "#ffffff",
    "#707070",
    UTF8,
)
PLAIN_LOOK = LOOK.in_ascii()._replace(glyphs=ASCII)


def two() -> Answer:
    return answer(CASE)


def six() -> Answer:
    coils = [
        Setup(f"coil {rate}", Coil(rate * LBF_IN, 0.001, 25 * LBF_IN), 12.0) for rate in (425, 450, 475, 500)
    ]
    airs = (CASE.setups[1], Setup("two spacers in the can", replace(AIR, positive_spacers=2), 30.0))
    return answer(replace(CASE, setups=(*coils, *airs)))
