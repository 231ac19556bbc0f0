"""What is said of a coil's wire: its diameters, materials, ends, and what limits a wire."""

from __future__ import annotations

from collections.abc import Mapping

COIL_DIAMETERS = ("inner_diameter", "outer_diameter", "mean_diameter")
"""Ways to say how wide a coil is; a setup has one of them at most."""
MATERIAL_WORDS: Mapping[str, str] = {
    "music": "music wire",
    "oil_tempered": "oil-tempered",
    "chrome_vanadium": "chrome-vanadium",
    "chrome_silicon": "chrome-silicon",
    "titanium": "beta titanium",
}
END_WORDS: Mapping[str, str] = {
    "closed_ground": "closed, ground",
    "closed": "closed",
    "open": "open",
}
LIMIT_WORDS: Mapping[str, str] = {
    "stress": "stress",
    "coils": "coils",
    "index": "slender",
    "thinnest": "none is",
}
"""What a wire a tenth thinner than the one found fails by, short enough for a column."""

NO_WIRE: Mapping[str, str] = {
    "stress": "thick enough to carry the load, it is too stout to be wound this narrow",
    "coils": "no wire leaves two coils to work",
    "index": "no wire from 2 to 16 mm can be wound this wide or this narrow",
}
"""Why no wire does it."""
