"""What is said about log entries, as values; views.py turns them into words."""

from __future__ import annotations

from dataclasses import dataclass

from bot.domain.entries import LogEntry
from bot.domain.reminders import Reminder
from bot.features.content import Content
from bot.replies.reading import Observation, ObservationKind, SkipReason
from scheduling.plan import Plan

Entries = tuple[LogEntry, ...]
Seen = tuple[Observation, ...]


@dataclass(frozen=True, slots=True)
class CountedLine(Content):
    """What was counted. total: minutes of that activity so far today, None where it says nothing more.

    rest_kept: part of the message was not understood and goes to the therapist. buttons: to undo and change it.
    times: of what is counted by times, how many today so far.
    """

    entries: Entries
    total: float | None = None
    seen: Seen = ()
    rest_kept: bool = False
    buttons: bool = True
    times: int | None = None


@dataclass(frozen=True, slots=True)
class Question(Content):
    """What must be asked about entries that wait: what is missing first. again: what the same words or the same reminder had
    counted before."""

    waiting: Entries
    again: Entries = ()
    seen: Seen = ()


@dataclass(frozen=True, slots=True)
class TimesSoFar(Content):
    """A day has so many times of what is counted by times. entry: one of them. said: the fewer that somebody told of."""

    entry: LogEntry
    times: int
    said: int | None = None


@dataclass(frozen=True, slots=True)
class HowManyTimes(Content):
    """How often something was done on a day in all. entry: one that tells of what, and when."""

    entry: LogEntry


@dataclass(frozen=True, slots=True)
class PartlyCounted(Content):
    """What was clear of a message is counted; the question is about the rest."""

    counted: CountedLine
    question: Question | TimesSoFar


@dataclass(frozen=True, slots=True)
class YesToWhich(Content):
    """A bare yes, with an entry asked about before and a reminder that came since."""

    waiting: LogEntry
    reminder: Reminder


@dataclass(frozen=True, slots=True)
class FirstTime(Content):
    """What the baby did that nobody of the family had told of before."""

    kinds: tuple[ObservationKind, ...]


@dataclass(frozen=True, slots=True)
class Noted(Content):
    seen: Seen


@dataclass(frozen=True, slots=True)
class WithSeen(Content):
    """A content, and what was seen beside it."""

    content: Content
    seen: Seen


@dataclass(frozen=True, slots=True)
class NotNow(Content):
    """A reminder was let go; activity None where there was none."""

    activity: str | None


@dataclass(frozen=True, slots=True)
class NotNowReasons(Content):
    """A reminder was let go by a tap; the reason is one tap more."""

    reminder: Reminder


@dataclass(frozen=True, slots=True)
class ReasonNoted(Content):
    reason: SkipReason


@dataclass(frozen=True, slots=True)
class Undone(Content):
    """redo: with the button that counts them again."""

    entries: Entries
    redo: bool = True


@dataclass(frozen=True, slots=True)
class ChangeWhich(Content):
    entries: Entries


@dataclass(frozen=True, slots=True)
class ChangeMinutes(Content):
    entry: LogEntry


@dataclass(frozen=True, slots=True)
class OtherMinutes(Content):
    """A reminder with choices of minutes in place of its buttons."""

    reminder: Reminder
    plan: Plan


@dataclass(frozen=True, slots=True)
class TwinQuestion(Content):
    """Two carers logged the same. entry: the later; other: the earlier, and the name of who logged it."""

    entry: LogEntry
    other: LogEntry
    carer: str


@dataclass(frozen=True, slots=True)
class TwinsWere(Content):
    one: bool


@dataclass(frozen=True, slots=True)
class NothingTo(Content):
    undo: bool  # else: nothing to correct


@dataclass(frozen=True, slots=True)
class NotCounted(Content):
    pass


@dataclass(frozen=True, slots=True)
class AlreadyCounted(Content):
    minutes: float | None = None


@dataclass(frozen=True, slots=True)
class AlreadyUndone(Content):
    pass


@dataclass(frozen=True, slots=True)
class ReminderClosed(Content):
    pass


@dataclass(frozen=True, slots=True)
class OldButton(Content):
    pass


@dataclass(frozen=True, slots=True)
class CountedNote(Content):
    pass


@dataclass(frozen=True, slots=True)
class UndoneNote(Content):
    pass


@dataclass(frozen=True, slots=True)
class ChangedNote(Content):
    pass
