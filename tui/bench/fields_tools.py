"""Rows of the errors in what is known: the bands of the tolerance view come from them."""

from __future__ import annotations

from tui.bench.fields_row import Amount, Row, Share
from tui.shop_units import Measure

_CAREFUL = "Common practice, no source, until you type your own."

TOOLS = (
    Row(
        "scale",
        ("tolerance", "scale"),
        Amount(Measure.MASS, {"kg": "0.1", "lb": "0.2", "lbs": "0.2", "g": "50"}),
        "How far the scale may be off either way, each time something is weighed: stands on it or in its "
        f"papers. {_CAREFUL}",
        usual="0.5 kg",
        head="tool errors, either way",
    ),
    Row(
        "rider's share",
        ("tolerance", "share"),
        Share(as_text=True, small=True),
        "How far the rider's share on this wheel may be off, either way: a little further back or forward. "
        f"With a scale under the wheel it does not count. {_CAREFUL}",
        usual="2 %",
    ),
    Row(
        "gauge",
        ("tolerance", "gauge"),
        Amount(Measure.PRESSURE, {"psi": "0.5", "bar": "0.05"}),
        "How far the pump's gauge may be off either way, the same for both chambers: compare two gauges on "
        f"one shock. {_CAREFUL}",
        usual="2 psi",
    ),
    Row(
        "coil rate",
        ("tolerance", "rate"),
        Share(as_text=True, small=True),
        "How far a coil may be off the rate printed on it, either way: a spring tester knows better. Left "
        f"out, a coil whose wire is measured strays as its grade allows. {_CAREFUL}",
        usual="5 %",
    ),
    Row(
        "air volumes",
        ("tolerance", "volume"),
        Amount(Measure.VOLUME, {"cm3": "0.5", "ml": "0.5", "cc": "0.5", "in3": "0.05"}),
        f"How far the volume of an air chamber may be off, either way: oil in it counts too. {_CAREFUL}",
        usual="1 cm3",
    ),
)
"""The last rows of the rider panel."""
