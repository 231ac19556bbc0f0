"""Spring wires, coil ends and quality grades: numbers only, so that a file is read without numpy."""

from __future__ import annotations

from collections.abc import Mapping

from physics.frozen import dataclass


@dataclass(frozen=True, slots=True)
class Material:
    """A spring wire: shear modulus G and elastic modulus E [Pa], density [kg/m³], and its strength.

    Where sources differ in G, the other values lie within `shear_spread` of it, a fraction, either way.
    The tensile strength is S_ut = `strength` / (d in mm)^`exponent` [Pa], given by its source for wires
    up to `thickest` [m]. The allowable shear stress is a fraction of it: `as_wound`, and `set_by_maker` for a
    coil pre-set by its maker, that is compressed solid once beforehand so that it takes no further set.

    >>> wire = MATERIALS["chrome_silicon"]
    >>> round(wire.strength / 10**wire.exponent / 1e6)  # S_ut of 10 mm wire [MPa]
    1539
    """

    shear_modulus: float
    elastic_modulus: float
    density: float
    strength: float
    exponent: float
    thickest: float
    as_wound: float
    set_by_maker: float
    shear_spread: float = 0.0


_GPA, _MPA, _MM = 1e9, 1e6, 1e-3
_STEEL = 7850.0
# E of steel: the sample report to EN 13906-1 in the tests. The share of a coil pre-set by its maker is from
# memory, the low end of 0.60 to 0.70 for carbon and of 0.65 to 0.75 for alloy steel in the same table.
_E = 206 * _GPA
_CARBON, _OIL_OR_ALLOY = (0.45, 0.60), (0.50, 0.65)
# Of chrome-silicon: EN 13906-1 for wire to EN 10270-2, and Shigley table 10-5; both second-hand, both in use.
_G_STANDARD, _G_HANDBOOK = 79.5 * _GPA, 77.2 * _GPA

MATERIALS: Mapping[str, Material] = {
    # G above 3 mm.
    "music": Material(80.7 * _GPA, _E, _STEEL, 2211 * _MPA, 0.145, 6.5 * _MM, *_CARBON),
    "oil_tempered": Material(77.2 * _GPA, _E, _STEEL, 1855 * _MPA, 0.187, 12.7 * _MM, *_OIL_OR_ALLOY),
    "chrome_vanadium": Material(77.2 * _GPA, _E, _STEEL, 2005 * _MPA, 0.168, 11.1 * _MM, *_OIL_OR_ALLOY),
    "chrome_silicon": Material(
        _G_STANDARD, _E, _STEEL, 1974 * _MPA, 0.108, 9.5 * _MM, *_OIL_OR_ALLOY, 1 - _G_HANDBOOK / _G_STANDARD
    ),
    # Beta titanium, drawn and aged: every number from memory, strength taken as the same at every diameter.
    "titanium": Material(42.0 * _GPA, 105 * _GPA, 4820.0, 1400 * _MPA, 0.0, 14 * _MM, *_OIL_OR_ALLOY),
}
"""Wires by name. Steel: Shigley's Mechanical Engineering Design, 10th ed., tables 10-4 to 10-6, second-hand;
the largest diameters of music, oil-tempered and chrome-vanadium wire from memory. The G of chrome-silicon is
that of EN 13906-1; the handbook value lies within its spread."""

USUAL_MATERIAL = "chrome_silicon"
USUAL_INNER_DIAMETER = 0.036
"""Inner diameter [m] of a coil if not measured: common practice, from memory."""
TITANIUM = "titanium"
"""The wire whose every property is from memory."""


@dataclass(frozen=True, slots=True)
class CoilEnds:
    """Type of coil ends: number of inactive coils, and wire diameters to add to the solid length."""

    dead_coils: float
    extra: float


COIL_ENDS: Mapping[str, CoilEnds] = {
    "closed_ground": CoilEnds(2.0, 0.0),
    "closed": CoilEnds(2.0, 1.0),
    "open": CoilEnds(0.0, 1.0),
}
"""Coil ends by name: Shigley table 10-1, from memory; closed and ground as in EN 13906-1."""

USUAL_ENDS = "closed_ground"
GRADES: Mapping[int, float] = {1: 0.63, 2: 1.00, 3: 1.60}
"""Factor Q of the load tolerance by quality grade (EN 15800, second-hand)."""
USUAL_GRADE = 2
