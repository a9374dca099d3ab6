"""Concerns, carers and therapists as values, for the rules."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

from bot.domain.concerns import ConcernRow
from bot.domain.people import Carer, Therapist

NOW = datetime(2026, 3, 30, 12, 0, tzinfo=UTC)

CONCERN = ConcernRow(
    id=7,
    family_id="f1",
    carer_id="c1",
    message_id=3,
    urgency="act_now",
    topics=("blue_or_grey",),
    text="she is blue",
    state="open",
    advice=None,
    at=NOW,
    notified_at=None,
    notification_count=0,
    seen_at=None,
    answered_at=None,
)
MUM = Carer("f1", "c1", 5001, "Mum", "parent", "en", "active", True, None, None, False)


def concern(**values: Any) -> ConcernRow:
    return replace(CONCERN, **values)


def therapist(number: int, name: str) -> Therapist:
    return Therapist(f"t{number}", 9000 + number, name, "en", None, None, None, None, None, None, None)
