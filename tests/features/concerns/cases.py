"""Concerns, carers and therapists as values, for the rules."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

from bot.domain.concerns import ConcernRow
from bot.domain.ids import CarerId, ChatId, ConcernId, FamilyId, MessageId, TherapistId
from bot.domain.people import Carer, Therapist

NOW = datetime(2026, 3, 30, 12, 0, tzinfo=UTC)

CONCERN = ConcernRow(
    id=ConcernId(7),
    family_id=FamilyId("f1"),
    carer_id=CarerId("c1"),
    message_id=MessageId(3),
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
MUM = Carer(
    FamilyId("f1"), CarerId("c1"), ChatId(5001), "Mum", "parent", "en", "active", True, None, None, False
)


def concern(**values: Any) -> ConcernRow:
    return replace(CONCERN, **values)


def therapist(number: int, name: str) -> Therapist:
    return Therapist(
        TherapistId(f"t{number}"), ChatId(9000 + number), name, "en", None, None, None, None, None, None, None
    )
