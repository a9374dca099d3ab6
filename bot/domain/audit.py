"""TODO bot.domain.audit."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class Act:
    """One entry. who: "therapist:t1", "carer:f1/c2", "server". detail: ids and numbers only."""

    id: int
    at: datetime
    who: str
    what: str
    detail: str | None
