"""Where the wheel settles: the first crossing of the wheel force with the load, rising."""

from __future__ import annotations

import numpy as np

from physics.arrays import Marks, Values, per_point, values
from physics.roots import bracketed_root
from physics.shock import Shock

_SCAN = 257


def settle(shock: Shock, static: Values) -> tuple[Values, Marks, Marks]:
    """Return wheel travel [m] (NaN where it does not settle), topped-out and bottomed-out marks.

    Shape (cases...). Topped out: F_w(0) ≥ W_s. Bottomed out: no crossing before the end of the travel.
    """
    full = per_point(shock.lever.wheel_travel)
    travel = full * np.linspace(0.0, 1.0, _SCAN)
    force, _rate = shock.wheel(travel)
    over = force >= per_point(static)
    topped = over[..., 0]
    bottomed = np.asarray(~np.any(over, axis=-1))
    first = np.argmax(over, axis=-1)[..., None]
    wide = np.broadcast_to(travel, over.shape)
    high = np.take_along_axis(wide, first, -1)[..., 0]
    low = np.take_along_axis(wide, np.maximum(first - 1, 0), -1)[..., 0]

    def excess(at: Values) -> tuple[Values, Values]:
        here, rate = shock.wheel(at[..., None])
        return here[..., 0] - static, rate[..., 0]

    root = bracketed_root(excess, low, high)
    return values(np.where(topped | bottomed, np.nan, root)), topped, bottomed
