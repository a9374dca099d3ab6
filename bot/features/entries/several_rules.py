"""One answer for several reminders of today: each is named and asked about, none is counted unasked. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from bot.domain.entries import LogEntry
from bot.domain.ids import MessageId
from bot.domain.reminders import Reminder
from bot.domain.subject import Subject
from bot.features.effects import AddEntries, Effects, Reply
from bot.features.entries.contents import Question
from bot.features.entries.entry_rules import new_entry
from bot.features.state import CarerState
from bot.replies.reading import Entry


def unanswered(state: CarerState) -> tuple[Reminder, ...]:
    """Return today's reminders that were sent and that nothing answers yet, the oldest first."""
    sent = [
        each
        for each in state.reminders
        if each.sent_at is not None and each.local_date == state.today and each.state in ("sent", "expired")
    ]
    left = [each for each in sent if not state.counted_of_reminder(each.id)]
    return tuple(sorted(left, key=lambda each: (each.sent_at or each.due_at, each.id)))


def ask(state: CarerState, message_id: MessageId, wanted: int | Literal["all"]) -> Effects:
    """Ask whether the last `wanted` unanswered reminders, or all of them, are done; nothing where fewer than two are open."""
    meant = unanswered(state)
    if wanted != "all":
        meant = meant[-wanted:]
    if len(meant) < 2:
        return ()
    told = [(Entry(each.activity, each.minutes, each.side), each) for each in meant]
    return _asked(state, message_id, told)


def ask_as_yesterday(state: CarerState, message_id: MessageId, yesterday: Sequence[LogEntry]) -> Effects:
    """Ask whether what was counted yesterday was done today too: of the open reminder's activity, else of all.

    Nothing where there is none of it.
    """
    reminder = state.open_reminder()
    same = [each for each in yesterday if reminder is None or each.activity == reminder.activity]
    told = [
        (Entry(each.activity, each.minutes, each.side), reminder if number == 0 else None)
        for number, each in enumerate(same)
    ]
    return _asked(state, message_id, told) if told else ()


def _asked(
    state: CarerState, message_id: MessageId, told: Sequence[tuple[Entry, Reminder | None]]
) -> Effects:
    entries = tuple(
        new_entry(state, each, message_id, reminder, "asked", number)
        for number, (each, reminder) in enumerate(told, start=1)
    )
    about = Subject.of("message", message_id)
    return (AddEntries(entries), Reply(content=Question(entries), about=about, answers=message_id))
