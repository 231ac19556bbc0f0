"""A bike with both ends, invented, and how its front would be written as a file of its own."""

from __future__ import annotations

from tests.confirmed import confirmed_demo
from tui.job.job import Job, parse
from tui.job.tree import Raw, Tree

FRONT: Raw = parse(
    """
[load]
unsprung_mass = "2.1 kg"

[frame]
stroke = "160 mm"

[frame.leverage]
kind = "fork"
head_angle = "64.5 deg"

[target]
sag = "22 %"

[[setup]]
name = "fork air"
kind = "air"
pressure = "solve"
bore = "34 mm"
body = "10 mm"
positive_volume = "235 cm3"
positive_spacers = 1
positive_spacer_volume = "7 cm3"
negative = "equalised"
negative_volume = "28 cm3"
port = "6 mm"
friction = "22 N"

[[setup]]
name = "fork coil"
kind = "coil"
rate = "solve"
preload = "4 mm"
friction = "15 N"
"""
).tree

REAR = confirmed_demo().without(("front",))
BIKE = REAR.with_value(("front",), FRONT)


def single_front(bike: Job, load: dict[str, Raw]) -> Job:
    """Return the front of a bike as a mechanic would write it alone, with a load of its own."""
    top = {key: bike.tree[key] for key in ("format", "title", "ambient", "ride") if key in bike.tree}
    return Job(Tree({**top, **bike.tree["front"], "load": load}))
