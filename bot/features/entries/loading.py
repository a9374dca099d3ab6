"""What deciding on log entries needs beyond a carer's state: older entries, lines that told of them, ratings asked for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from bot.domain.entries import LogEntry
from bot.domain.ids import EntryId, OutboxId
from bot.domain.messages import Message
from bot.domain.reminders import Reminder
from bot.domain.subject import Subject
from bot.features.context import CarerContext
from bot.features.entries import note_views as _note_views  # noqa: F401 - registers how contents are shown
from bot.features.entries import times_views as _times_views  # noqa: F401 - as above
from bot.features.entries import views as _views  # noqa: F401 - as above
from bot.features.entries.confidence_rules import may_ask
from bot.features.entries.rules import SAME_WORDS_WITHIN, Confidence
from bot.features.state import CarerState, load_state
from bot.replies.reading import Reading


def state_with(ctx: CarerContext, reminder: Reminder | None = None) -> CarerState:
    """Return the state, with a reminder in it that may be older than what is loaded."""
    state = load_state(ctx)
    if reminder is None or state.reminder(reminder.id) is not None:
        return state
    return state.with_reminder(reminder, ctx.uow.outbox.copies([reminder.about]))


def state_about(ctx: CarerContext, entry_id: EntryId) -> tuple[CarerState, LogEntry | None]:
    """Return the state with an entry and all that its message logged; None where this family has no such entry that stands."""
    state = load_state(ctx)
    entry = state.entry(entry_id) or ctx.uow.entries.find(entry_id)
    if entry is None or entry.family_id != ctx.family.id or entry.state == "replaced":
        return state, None
    return with_entries_of(ctx, state, [entry]), entry


def with_entries_of(ctx: CarerContext, state: CarerState, entries: Iterable[LogEntry]) -> CarerState:
    """Return the state with entries that may be older than what is loaded, their messages' others and their reminders."""
    for entry in entries:
        if state.entry(entry.id) is None:
            others = ctx.uow.entries.of_message(entry.message_id) if entry.message_id is not None else []
            state = state.with_entries([*others, entry])
        if entry.reminder_id is not None and state.reminder(entry.reminder_id) is None:
            reminder = ctx.uow.reminders.find(entry.reminder_id)
            if reminder is not None:
                state = state.with_reminder(reminder, ctx.uow.outbox.copies([reminder.about]))
    return state


def confidence_of(ctx: CarerContext, activities: Iterable[str | None]) -> Confidence:
    """Return what was asked of this carer about activities that are about to count."""
    asked = ctx.uow.confidence_ratings.asked_of(ctx.family.id, ctx.carer.id)
    if not may_ask(asked, ctx.now):
        return Confidence(asked=asked)
    known = frozenset(each for each in activities if each is not None and each in ctx.context.library)
    return Confidence(
        asked=asked,
        tries={each: ctx.uow.entries.tries_of(ctx.family.id, ctx.carer.id, each) for each in known},
        shown={each: load_state(ctx).card_shown(each) for each in known},
        known_activities=known,
    )


def confidence_for(ctx: CarerContext, reading: Reading) -> Confidence:
    """Return the same for a message; nothing is looked up where it logs nothing."""
    return (
        confidence_of(ctx, [each.activity for each in reading.entries]) if reading.entries else Confidence()
    )


def message_before(ctx: CarerContext, state: CarerState, reading: Reading) -> Message | None:
    """Return the message behind the carer's last counted entries, where it came a moment ago."""
    last = state.last_counted()
    if not reading.entries or not last or last[0].message_id is None:
        return None
    if state.now - last[0].logged_at > SAME_WORDS_WITHIN:
        return None
    return ctx.uow.messages.find(last[0].message_id)


def line_of(ctx: CarerContext, entry: LogEntry) -> OutboxId | None:
    """Return the outbox id of the message in this chat that tells of an entry; None where there is none."""
    if entry.message_id is not None:
        kept = ctx.uow.messages.find(entry.message_id)
        return kept.answer_id if kept is not None and kept.chat_id == ctx.chat_id else None
    if entry.reminder_id is None:
        return None
    copies = ctx.uow.outbox.copies([Subject.of("reminder", entry.reminder_id)])
    return next((copy.outbox_id for copy in copies if copy.chat_id == ctx.chat_id), None)


def counted(entries: Sequence[LogEntry]) -> list[LogEntry]:
    return [each for each in entries if each.state == "counted"]
