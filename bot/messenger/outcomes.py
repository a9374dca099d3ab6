"""What follows from how a sending went: noted, tried again after a pause, or given up.

What must arrive (a concern, an answer to a person, a digest) is tried until it does, for seven days. A reminder is not:
its moment passes. Where nobody knows whether a message went through, what must arrive goes again, the rest does not.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from bot.clock import backoff
from bot.messenger.api import Outcome
from bot.phrases import Words
from bot.storage.repositories.deliveries import LONGEST_PAUSE, SENT_AT_LEAST_ONCE, UNKNOWN, Outgoing, Sent
from bot.storage.unit_of_work import UnitOfWork

TRIED_FOR = timedelta(days=7)
MOST_ATTEMPTS = 12  # of what need not arrive
LATE = timedelta(minutes=15)

# The longest pause between two tries, in seconds. Where an earlier try may have gone through, a copy too many is the price.
MOST_PAUSE, MOST_PAUSE_CONCERN = 300.0, 30.0
MOST_PAUSE_UNKNOWN, MOST_PAUSE_CONCERN_UNKNOWN = LONGEST_PAUSE, 900.0

Settled = Sequence[tuple[Outgoing, Outcome]]


def record(uow: UnitOfWork, settled: Settled, *, now: datetime, real_now: float) -> None:
    """Write down what became of messages. now: the families' clock. real_now: real seconds, for retries."""
    uow.deliveries.sent(
        [Sent(out.id, done.message_id, done.file_id) for out, done in settled if done.meaning == "sent"], now
    )
    for out, outcome in settled:
        if outcome.meaning != "sent":
            _record_failure(uow, out, outcome, now, real_now)


def due_times_of_sent(uow: UnitOfWork, settled: Settled) -> list[datetime]:
    """Return when the reminders among these messages were due that arrived."""
    ids = [
        out.about.number
        for out, done in settled
        if done.meaning == "sent" and out.kind == "reminder" and out.about and out.about.kind == "reminder"
    ]
    return uow.reminders.due_times(ids) if ids else []


def _record_failure(uow: UnitOfWork, out: Outgoing, outcome: Outcome, now: datetime, real_now: float) -> None:
    deliveries = uow.deliveries
    match outcome.meaning:
        case "later":
            deliveries.retry(out.id, at=real_now + min(outcome.wait, LONGEST_PAUSE), attempt_counts=False)
        case "not_sent" if outcome.new_chat_id is not None:
            uow.chats.move(out.chat_id, outcome.new_chat_id)
            deliveries.retry(out.id, at=0.0)
        case "not_sent" | "fatal" if _goes_on(out, now):
            most = MOST_PAUSE_CONCERN if out.kind == "concern" else MOST_PAUSE
            deliveries.retry(out.id, at=real_now + backoff(out.attempts, most=most))
        case "unknown" if must_arrive(out) and _goes_on(out, now):
            # An edit that is repeated changes nothing more; anything else may be a second copy.
            most = MOST_PAUSE_CONCERN_UNKNOWN if out.kind == "concern" else MOST_PAUSE_UNKNOWN
            deliveries.retry(out.id, at=real_now + backoff(out.attempts, most=most), error=UNKNOWN)
        case "unknown":
            deliveries.settle(out.id, "unknown", outcome.error)
        case "unreachable":
            deliveries.settle(out.id, "failed", outcome.error)
            uow.chats.mark_unreachable(out.chat_id, now)
        case "refused" if deliveries.retry_as_text(out, outcome.error):
            pass  # a picture that is not taken must not keep its words back
        case _:
            deliveries.settle(out.id, "failed", outcome.error)


def must_arrive(out: Outgoing) -> bool:
    return out.kind in SENT_AT_LEAST_ONCE and out.action != "press"


def _goes_on(out: Outgoing, now: datetime) -> bool:
    """Whether a message is tried once more."""
    if must_arrive(out):
        return now - out.ready_at < TRIED_FOR
    return out.attempts < MOST_ATTEMPTS


def late_line(words: Words, seconds: float) -> str:
    """Return the words that a message comes so many seconds late."""
    minutes = int(seconds // 60)
    if minutes < 120:
        return words("edge.late_minutes", n=minutes)
    if minutes < 48 * 60:
        return words("edge.late_hours", n=minutes // 60)
    return words("edge.late_days", n=minutes // (24 * 60))
