"""Why no setting comes into question at all."""

from __future__ import annotations

from typing import Literal

Reason = Literal["goal_unsettled", "out_of_reach"]


class Unmatched(ValueError):
    """The goal does not settle, or no setting of the hardware has its sag."""

    def __init__(self, reason: Reason) -> None:
        """Keep the reason."""
        self.reason: Reason = reason
        super().__init__(reason)
