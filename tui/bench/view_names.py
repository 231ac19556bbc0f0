"""What the views are called, in their pane's title strip and in the finder, and what each shows."""

from __future__ import annotations

from collections.abc import Mapping

VIEW_NAMES: Mapping[str, str] = {
    "chart": "chart",
    "leverage": "leverage",
    "verdict": "verdict",
    "figures": "figures",
    "difference": "difference",
    "pump": "pump",
    "order": "order",
    "spacers": "spacers",
    "wire": "wire",
    "sweep": "sweep",
    "map": "map",
    "match": "convert",
    "match_volumes": "convert, volumes free",
    "wants": "targets",
    "tolerance": "tolerance",
    "conditions": "conditions",
    "balance": "both ends",
    "pairs": "on the stand",
    "advice": "after the ride",
    "readings": "measurements",
    "events": "events",
    "sheet": "setup sheet",
}
"""By the id of a view its name."""
VIEW_SENTENCES: Mapping[str, str] = {
    "chart": "Force and rate curves of every setup over the travel.",
    "leverage": "Leverage ratio over the wheel travel.",
    "verdict": "How the setups ride, each against the baseline, in words.",
    "figures": "Every figure of every setup, with the difference to the baseline.",
    "difference": "Wheel force of every setup minus that of the baseline.",
    "pump": "The pressure to set, the rounds, the gauge after each.",
    "order": "Springs to buy with their preload, or spacers to fit.",
    "spacers": "Every count of volume spacers in both chambers, at the target sag.",
    "wire": "Stress, coil-bind clearance, mass, and the wire to order for the rate.",
    "sweep": "One figure of every setup over a range of one field.",
    "map": "One figure of the selected setup over the ranges of two fields.",
    "match": "Another spring matched to the selected setup.",
    "match_volumes": "Another spring matched with chamber volumes and port free.",
    "wants": "Settings of the selected setup for target figures.",
    "tolerance": "Spread of sag and bottom-out ratio from the tool errors.",
    "conditions": "The selected setup at other temperatures and altitudes.",
    "balance": "Rear and front side by side, and what balances them.",
    "pairs": "Leverage measured on the stand from travel and stroke.",
    "advice": "Complaints, what to change, and the effect of each change.",
    "readings": "Work back from spring tester, gauge or sag to the setup.",
    "events": "Every setup in time: drop, landing, edge, bumps, compression, road.",
    "sheet": "The setup sheet that goes with the bike.",
}
"""By the id of a view what it shows."""
_READ = (("Left Right", "read"), ("Up Down", "chart"))
LINES = (("Up Down", "line"), ("Enter", "take it"))
"""What keys do in a view with lines that can be taken."""
_MATCH = (("Left Right", "target setup"), ("Up Down", "coil"), ("Enter", "try it"))
VIEW_KEYS: Mapping[str, tuple[tuple[str, str], ...]] = {
    "chart": _READ,
    "leverage": _READ[:1],
    "difference": _READ[:1],
    "figures": (("Up Down", "figure"), ("Left Right", "setup")),
    "order": LINES,
    "spacers": (("Up Down Left Right", "count"), ("Enter", "fit it")),
    "wire": LINES,
    "conditions": LINES,
    "balance": LINES,
    "pairs": LINES,
    "sweep": (("Left Right", "read"), ("< >", "figure"), ("Enter", "take it")),
    "map": (("Up Down Left Right", "read"), ("< >", "figure"), ("Enter", "take it")),
    "match": _MATCH,
    "match_volumes": _MATCH,
    "wants": (("Enter", "try it"),),
    "readings": (("Enter", "apply"),),
    "events": (("Left Right", "choose"), ("+ -", "change"), ("Enter", "type it")),
    "advice": (("Up Down", "symptom"), ("+ -", "tick"), ("Left Right", "change"), ("Enter", "try it")),
}
"""By the id of a view what keys do in it, for the footer."""
