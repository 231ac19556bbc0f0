"""Why no setting can be offered: which limit stands in the way of all of them."""

from __future__ import annotations

from typing import Literal

Limit = Literal["no_room", "no_pressure", "label", "pumps", "gas_law", "rest", "preload", "elsewhere"]
"""What bars a setting: no air left in a chamber; no pressure that holds the load at the sag; more than the
label or, without one, common pumps allow; air beyond the checked gas law; a rest position too far in; no
force left for a coil; another place where the wheel settles first.
"""
Reason = Literal["target_unsettled"] | Limit


class Unmatched(ValueError):
    """The target setup does not settle, or every setting of the hardware is beyond a limit."""

    def __init__(self, reason: Reason) -> None:
        """Keep the reason."""
        self.reason: Reason = reason
        super().__init__(reason)
