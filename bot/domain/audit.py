"""What somebody did, as the audit log keeps it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from bot.domain.actor import Actor


@dataclass(frozen=True, slots=True)
class Act:
    """One entry of the audit log. detail: ids and numbers only."""

    id: int
    at: datetime
    who: Actor
    what: str
    detail: str | None
