"""A family offered to a colleague."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

State = Literal["asked", "accepted", "declined", "replaced"]


@dataclass(frozen=True, slots=True)
class Handover:
    id: int
    family_id: str
    from_id: str
    to_id: str
    state: State
