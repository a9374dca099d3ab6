"""What each id and number stands for, so that one is never taken for another."""

from __future__ import annotations

from typing import NewType

FamilyId = NewType("FamilyId", str)  # as the caseload file gives it, or "f" and a number
CarerId = NewType("CarerId", str)  # unique in its family only
TherapistId = NewType("TherapistId", str)
ChatId = NewType("ChatId", int)  # the messaging service's number of a chat
MessageId = NewType(
    "MessageId", int
)  # the row of what a person wrote; not the service's number within a chat
EntryId = NewType("EntryId", int)
ReminderId = NewType("ReminderId", int)
ConcernId = NewType("ConcernId", int)
QuestionId = NewType("QuestionId", int)
AnswerId = NewType("AnswerId", int)  # what a therapist wrote to one carer
OutboxId = NewType("OutboxId", int)  # the row of what must be said
