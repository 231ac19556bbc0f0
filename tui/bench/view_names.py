"""Names and descriptions of the views, for title strip, finder and help."""

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
    "advice": "advice",
    "readings": "measured",
    "events": "events",
    "logged": "log",
    "sheet": "setup sheet",
}
"""Names of the views by id."""
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
    "advice": "Symptoms, what to change, and the effect of each change.",
    "readings": "The setup calculated back from spring tester, gauge or sag.",
    "events": "Every setup through a drop, landing, edge, bumps, compression or road.",
    "logged": "A logged ride, next to what is expected of the setup.",
    "sheet": "The setup sheet that goes with the bike.",
}
"""What a view shows, by id."""
VIEW_HELP: Mapping[str, str] = {
    "chart": "Shaft force, wheel force, wheel rate, spring rate, chamber pressures; sag as a band, the "
    "last tenth of the travel shaded; the slow curve and the riding curve.",
    "leverage": "Leverage ratio is wheel travel per shock stroke; progression, and what makes "
    "travel, stroke and ratios agree where they do not.",
    "verdict": "Small bumps, corners, ramp-up and big hits: which is firmer, which bottoms less easily.",
    "figures": "Breakaway, support, ramp-up, bottom-out, frequencies, damping, pressures, weight.",
    "difference": "Where one setup is firmer or softer than the baseline.",
    "pump": "Equalising the chambers: pump, cycle the shock, read the gauge again. Hose volume, gauge "
    "error, how long to sit still before reading sag at the O-ring.",
    "order": "Nearest rates in stock with preload turns, the rate step, coil bind and free length; each "
    "count of spacers with set pressure and peak pressure.",
    "spacers": "Set pressure, peak pressure, mid-stroke support and bottom-out for each count of positive"
    " and negative spacers.",
    "wire": "Buckling, coil bind, surge frequency, stress as wound and pre-set, rate tolerance by grade, "
    "total and active coils, steel and titanium.",
    "sweep": "Solved again at each point. Why one negative spring suits one rider mass only.",
    "map": "Shaded cells over two fields, above max pressure and impossible cells marked.",
    "match": "Coil like air, air like coil: the RMS difference of the riding curves, and rates to buy.",
    "match_volumes": "Like convert, with chamber volumes and equalising port varied too.",
    "wants": "Inequalities such as support_50>=1.7: which are met, which one limits.",
    "tolerance": "Tool errors of scale, gauge, spring rate and volumes, seal friction, scatter of "
    "measured pairs: the range in nine cases out of ten.",
    "conditions": "Cold, warm, high up: gauge reading, sag and breakaway there, and what to pump here.",
    "balance": "Front against rear: which pressure, rate or spacer count matches one end to the other.",
    "pairs": "Raise the axle, measure the shock: pairs of wheel travel and shock stroke, outlier, "
    "scatter, residual of the fitted curve.",
    "advice": "After the ride: symptoms of the rider, ticked with + and -; changes with side effects, "
    "rebound clicks.",
    "events": "Drop, landing, square edge, bump train, compression, random road: travel used, bottom-outs, "
    "rebound, every setup on the same ground.",
    "logged": "A logger's file: dynamic sag, travel histogram, shaft speed, spectrum, airtime, hardest hits, "
    "bottom-outs, two rides compared, the same ground on every setup.",
    "readings": "Rate, preload and friction from a tester's file or typed pairs; gauge before and after "
    "one cycling gives the negative volume; sag gives the load. Standard error, residuals.",
    "sheet": "What to set, sag to expect, changes, cautions, spring to order; workings as an appendix.",
}
"""Further words by which the finder finds a view, by id."""
_READ = (("Left Right", "read"), ("Up Down", "chart"))
LINES = (("Up Down", "line"), ("Enter", "use it"))
"""Keys of a view with lines that can be taken."""
_SETUP = ("Left Right", "setup")
_MATCH = (("Left Right", "target setup"), ("Up Down", "coil"), ("Enter", "try it"))
VIEW_KEYS: Mapping[str, tuple[tuple[str, str], ...]] = {
    "chart": _READ,
    "leverage": _READ[:1],
    "difference": _READ[:1],
    "figures": (("Up Down", "figure"), _SETUP),
    "order": LINES,
    "spacers": (("Up Down Left Right", "count"), ("Enter", "fit it")),
    "wire": LINES,
    "conditions": (_SETUP, *LINES),
    "balance": LINES,
    "pairs": LINES,
    "sweep": (("Left Right", "read"), ("< >", "figure"), ("Enter", "use it")),
    "map": (("Up Down Left Right", "read"), ("< >", "figure"), ("Enter", "use it")),
    "match": _MATCH,
    "match_volumes": _MATCH,
    "wants": (("Enter", "try it"),),
    "readings": (("Left Right", "spring or shock"), ("Enter", "apply")),
    "events": (("Left Right", "choose"), ("+ -", "change"), ("Enter", "edit")),
    "logged": (("Left Right", "chart"), ("< >", "change"), ("Enter", "try it")),
    "sheet": (("Enter", "save it"),),
    "advice": (("Up Down", "symptom"), ("+ -", "tick"), ("Left Right", "change"), ("Enter", "try it")),
}
"""Keys of a view for the footer, by id."""
