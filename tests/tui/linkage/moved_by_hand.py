"""Sketches moved without a job around them."""

from physics.case import Linkage
from physics.linkage import eye_to_eye, move
from tui.job.demo import demo_job
from tui.linkage.sketch import Moved, Sketch, with_sketch


def linkage_in_mm(sketch: Sketch) -> Linkage:
    """Return a sketch whose numbers are all sound, in mm, as a linkage in SI."""
    places = tuple((x / 1000, y / 1000) for x, y in sketch.places.values())
    fixed = tuple(point.name for point in sketch.points if point.fixed)
    return Linkage(sketch.names, places, fixed, sketch.bars, sketch.axle, sketch.shock)


def moved_in_mm(sketch: Sketch, stroke: float = 0.06) -> Moved:
    linkage = linkage_in_mm(sketch)
    return Moved(with_sketch(demo_job(), sketch), linkage, move(linkage, stroke), eye_to_eye(linkage))
