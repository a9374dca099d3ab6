"""What rules decide, as frozen values; features/apply.py carries them out.

A rule reads a state and returns effects; nothing is read or written while it decides. Entries that a rule makes bear
negative numbers; they get their own when they are kept, and contents shown later name them rightly.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from datetime import date, datetime
from typing import Any, Literal, TypeVar

from bot.domain.confidence import AskedKind
from bot.domain.entries import EntryState, LogEntry
from bot.domain.ids import ChatId, EntryId, MessageId, OutboxId, QuestionId, ReminderId
from bot.domain.json_value import JsonValue
from bot.domain.outgoing import Kind
from bot.domain.people import Carer
from bot.domain.reminders import Reminder, ReminderState
from bot.domain.subject import Subject
from bot.features.content import Content
from bot.replies.reading import Observation, SkipReason
from scheduling.sides import Side

# ---------------------------------------------------------------- what is said


@dataclass(frozen=True, slots=True, kw_only=True)
class Reply:
    """Say a content in this chat.

    answers: the kept message whose answering line this becomes; corrects: the entry that the message put right.
    retells: another kept message whose line this is from now on.
    """

    content: Content
    about: Subject | None = None
    kind: Kind = "reply"
    answers: MessageId | None = None
    corrects: EntryId | None = None
    retells: MessageId | None = None


@dataclass(frozen=True, slots=True)
class EditLine:
    """Show a content in place of an earlier message of this chat; None takes its buttons and leaves its words."""

    outbox_id: OutboxId | None
    content: Content | None
    kind: Kind = "reply"
    sent: bool = False  # it is known to have gone out


@dataclass(frozen=True, slots=True)
class EditCopy:
    """Show a content in place of a message in another chat of the family. reader: whose chat it is."""

    outbox_id: OutboxId
    chat_id: ChatId
    reader: Carer | None
    content: Content | None


@dataclass(frozen=True, slots=True)
class Acknowledge:
    """Answer a pressed button with a passing note, or with nothing."""

    content: Content | None = None


# ---------------------------------------------------------------- what is kept


@dataclass(frozen=True, slots=True)
class AddEntries:
    entries: tuple[LogEntry, ...]


@dataclass(frozen=True, slots=True)
class SetEntries:
    """Count, undo or replace entries."""

    ids: tuple[EntryId, ...]
    state: EntryState


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeEntry:
    """Give an entry other values; None leaves a value as it is."""

    entry_id: EntryId
    activity: str | None = None
    minutes: float | None = None
    side: Side | None = None
    local_date: date | None = None
    at: datetime | None = None
    reminder_id: ReminderId | None = None


@dataclass(frozen=True, slots=True)
class PairEntries:
    """Two entries of two carers that were asked about as perhaps one session."""

    first: EntryId
    second: EntryId


@dataclass(frozen=True, slots=True)
class NoteObservation:
    observation: Observation
    message_id: MessageId
    activity: str | None


@dataclass(frozen=True, slots=True)
class NoteSkip:
    reason: SkipReason
    message_id: MessageId | None
    reminder: Reminder | None


@dataclass(frozen=True, slots=True)
class ChangeSkip:
    reminder_id: ReminderId
    reason: SkipReason


@dataclass(frozen=True, slots=True)
class MarkReminder:
    reminder_id: ReminderId
    state: ReminderState
    reason: str | None = None


@dataclass(frozen=True, slots=True)
class ReopenReminder:
    reminder_id: ReminderId


@dataclass(frozen=True, slots=True)
class Unpin:
    """Leave a repeat that somebody asked for to the planner again."""

    activity: str
    day: date


@dataclass(frozen=True, slots=True)
class DropUnsent:
    """Take back what was not sent yet about one thing."""

    about: Subject


@dataclass(frozen=True, slots=True)
class RequestReplan:
    pass


@dataclass(frozen=True, slots=True)
class StartDialog:
    """Remember what the next message of this chat may answer."""

    step: str
    data: Mapping[str, JsonValue]


@dataclass(frozen=True, slots=True)
class EndDialog:
    pass


@dataclass(frozen=True, slots=True)
class AskConfidence:
    """Ask a carer how sure they feel with an activity, or how they do it."""

    activity: str
    kind: AskedKind
    content: Callable[[QuestionId, str], Content]  # of the question's number and the activity


@dataclass(frozen=True, slots=True)
class HoldReminders:
    """Hold reminders back until an instant. why: the baby sleeps, or a carer said "later"."""

    until: datetime
    why: Literal["asleep", "later"]


@dataclass(frozen=True, slots=True)
class EndSleep:
    pass


@dataclass(frozen=True, slots=True)
class NoteSighting:
    """Keep that a carer said whether the baby sleeps, now."""

    what: Literal["told_asleep", "told_awake"]


@dataclass(frozen=True, slots=True)
class PauseFamily:
    """Send no reminders until an instant; None: until somebody says."""

    until: datetime | None


@dataclass(frozen=True, slots=True)
class ResumeFamily:
    """End a pause, a sleep and a "later". was_paused: there was a pause, which the digest tells."""

    was_paused: bool


@dataclass(frozen=True, slots=True)
class AddPlanned:
    """Plan reminders for a local day, beside those that are there."""

    day: date
    reminders: tuple[Mapping[str, Any], ...]


Effect = (
    Reply
    | EditLine
    | EditCopy
    | Acknowledge
    | AddEntries
    | SetEntries
    | ChangeEntry
    | PairEntries
    | NoteObservation
    | NoteSkip
    | ChangeSkip
    | MarkReminder
    | ReopenReminder
    | Unpin
    | DropUnsent
    | RequestReplan
    | StartDialog
    | EndDialog
    | AskConfidence
    | HoldReminders
    | EndSleep
    | NoteSighting
    | PauseFamily
    | ResumeFamily
    | AddPlanned
)
Effects = tuple[Effect, ...]


C = TypeVar("C")


def numbered(value: C, ids: Mapping[EntryId, EntryId]) -> C:
    """Return a content with every new entry in it numbered as kept."""
    if not ids:
        return value
    if isinstance(value, LogEntry):
        return replace(value, id=ids.get(value.id, value.id))
    if isinstance(value, tuple):
        return type(value)(numbered(each, ids) for each in value)
    if is_dataclass(value) and not isinstance(value, type):
        changed = {each.name: numbered(getattr(value, each.name), ids) for each in fields(value)}
        same = all(changed[name] is getattr(value, name) for name in changed)
        return value if same else replace(value, **changed)
    return value
