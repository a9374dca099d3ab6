"""The sides of a baby, as every room names them."""

from __future__ import annotations

from typing import Literal

Side = Literal["left", "right"]
AffectedSide = Literal["left", "right", "both"]
"""The side of the weak arm; "both" where both arms are weak."""
