"""How far apart two colours look, to normal, protan and deutan eyes, and how well one is read on another.

Colours are text like "#7fd1ae". sRGB: IEC 61966-2-1. CIELAB for D65. Colour difference CIEDE2000: Sharma,
Wu, Dalal, "The CIEDE2000 color-difference formula", Color Research and Application 30 (2005), 21-30. Colour
vision: Machado, Oliveira, Fernandes, "A physiologically-based model for simulation of color vision
deficiency", IEEE Transactions on Visualization and Computer Graphics 15 (2009), 1291-1298, severity 1.0, at
https://www.inf.ufrgs.br/~oliveira/pubs_files/CVD_Simulation/CVD_Simulation.html, on linear RGB. Contrast: W3C
Web Content Accessibility Guidelines 2.1, "relative luminance" and "contrast ratio".
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from physics.arrays import Values, values

EYES: Mapping[str, Values] = {
    "normal": values(np.eye(3)),
    "protan": values(
        [
            [0.152286, 1.052583, -0.204868],
            [0.114503, 0.786281, 0.099216],
            [-0.003882, -0.048116, 1.051998],
        ]
    ),
    "deutan": values(
        [
            [0.367322, 0.860646, -0.227968],
            [0.280085, 0.672501, 0.047413],
            [-0.011820, 0.042940, 0.968881],
        ]
    ),
}
_TO_XYZ = values([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
_D65 = values([0.9505, 1.0, 1.089])


def linear(colours: list[str]) -> Values:
    """Return colours (n, 3) as linear RGB, 0 to 1."""
    parts = values([[int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)] for colour in colours])
    return values(np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4))


def lab(rgb: Values) -> Values:
    """Return linear RGB (n, 3) as CIELAB (n, 3)."""
    share = rgb @ _TO_XYZ.T / _D65
    root = np.where(share > (6 / 29) ** 3, np.cbrt(share), share / (3 * (6 / 29) ** 2) + 4 / 29)
    x, y, z = root[:, 0], root[:, 1], root[:, 2]
    return values(np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1))


def seen(colours: list[str], eyes: str) -> Values:
    """Return colours (n, 3) in CIELAB as these eyes see them."""
    return lab(values(np.clip(linear(colours) @ EYES[eyes].T, 0.0, 1.0)))


def apart(one: str, other: str, eyes: str = "normal") -> float:
    """Return how far apart two colours look to these eyes, CIEDE2000."""
    first, second = seen([one, other], eyes)
    return float(ciede2000(first, second))


def least_apart(one: str, other: str) -> float:
    """Return how far apart two colours look to those eyes that find them closest."""
    return min(apart(one, other, eyes) for eyes in EYES)


def hue(colour: str) -> float:
    """Return the hue angle [degrees] in CIELAB."""
    _, a, b = seen([colour], "normal")[0]
    return float(np.degrees(np.arctan2(b, a)) % 360)


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours, 1 to 21."""
    low, high = sorted(linear([one, other]) @ values([0.2126, 0.7152, 0.0722]))
    return float((high + 0.05) / (low + 0.05))


def ciede2000(first: Values, second: Values) -> Values:
    """Return the difference of colours in CIELAB (..., 3), all weights 1."""
    (l1, a1, b1), (l2, a2, b2) = (np.moveaxis(np.asarray(lab), -1, 0) for lab in (first, second))
    mean = ((np.hypot(a1, b1) + np.hypot(a2, b2)) / 2) ** 7
    g = 0.5 * (1 - np.sqrt(mean / (mean + 25.0**7)))
    a1, a2 = a1 * (1 + g), a2 * (1 + g)
    c1, c2 = np.hypot(a1, b1), np.hypot(a2, b2)
    h1, h2 = (np.degrees(np.arctan2(b, a)) % 360 for a, b in ((a1, b1), (a2, b2)))
    grey = c1 * c2 == 0
    turn = h2 - h1
    turn = np.where(turn > 180, turn - 360, np.where(turn < -180, turn + 360, turn))
    turn = np.where(grey, 0.0, turn)
    dl, dc, dh = l2 - l1, c2 - c1, 2 * np.sqrt(c1 * c2) * np.sin(np.radians(turn / 2))
    light, chroma = (l1 + l2) / 2, (c1 + c2) / 2
    around = np.where(h1 + h2 < 360, h1 + h2 + 360, h1 + h2 - 360)
    mid = np.where(np.abs(h1 - h2) <= 180, h1 + h2, around) / 2
    mid = np.where(grey, h1 + h2, mid)
    t = 1 + sum(
        share * np.cos(np.radians(times * mid + shift))
        for share, times, shift in ((-0.17, 1, -30), (0.24, 2, 0), (0.32, 3, 6), (-0.20, 4, -63))
    )
    sl = 1 + 0.015 * (light - 50) ** 2 / np.sqrt(20 + (light - 50) ** 2)
    sc, sh = 1 + 0.045 * chroma, 1 + 0.015 * chroma * t
    rc = 2 * np.sqrt(chroma**7 / (chroma**7 + 25.0**7))
    rt = -rc * np.sin(np.radians(60 * np.exp(-(((mid - 275) / 25) ** 2))))
    return values(np.sqrt((dl / sl) ** 2 + (dc / sc) ** 2 + (dh / sh) ** 2 + rt * (dc / sc) * (dh / sh)))
