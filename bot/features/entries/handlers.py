"""What a message tells about minutes, and what puts it right: load, decide, apply."""

from __future__ import annotations

from datetime import timedelta
from typing import Literal

from bot.domain.entries import LogEntry
from bot.domain.ids import EntryId, MessageId, OutboxId, ReminderId
from bot.domain.messages import Message
from bot.domain.reminders import Reminder
from bot.domain.subject import Subject
from bot.features.apply import apply
from bot.features.content import Content
from bot.features.context import CarerContext
from bot.features.effects import AddEntries, EditLine, Reply
from bot.features.entries import (
    correction_rules,
    entry_rules,
    first_times,
    mend_rules,
    question_rules,
    rules,
    several_rules,
)
from bot.features.entries.contents import Undone
from bot.features.entries.loading import (
    confidence_for,
    confidence_of,
    counted,
    line_of,
    message_before,
    state_about,
    state_with,
    with_entries_of,
)
from bot.features.events import message_of
from bot.features.state import load_state
from bot.parsing.mends import Mend
from bot.replies.reading import Entry, Reading
from bot.storage.repositories.outbox import Said


def tell(
    ctx: CarerContext,
    message_id: MessageId,
    reading: Reading,
    reminder: Reminder | None,
    answer_id: OutboxId | None = None,
) -> bool:
    """Count entries, note observations and a skip; return whether anything was told.

    answer_id: the outbox id of the line that answered an earlier wording of the message; it changes in place.
    """
    state = state_with(ctx, reminder)
    told = rules.Told(
        message_id=message_id,
        text=ctx.text,
        chat_message_id=message_of(ctx.event),
        reading=reading,
        reminder=reminder,
        answer_id=answer_id,
        before=message_before(ctx, state, reading),
        written=ctx.event.at,
    )
    new = first_times.milestones_in(reading) if answer_id is None else ()
    before = ctx.uow.observations.kinds_of(ctx.family.id, new) if new else ()
    decision = rules.tell(state, told, confidence_for(ctx, reading))
    apply(ctx, (*decision.effects, *first_times.noticed(new, before)))
    return decision.told


def answer_line(
    ctx: CarerContext, message_id: MessageId, content: Content, answer_id: OutboxId | None
) -> None:
    """Answer a message with a content; the answer to an edited one changes in place."""
    if answer_id is not None:
        apply(ctx, (EditLine(answer_id, content),))
    else:
        apply(ctx, (Reply(content=content, about=Subject.of("message", message_id), answers=message_id),))


def count_reaction(ctx: CarerContext, reminder: Reminder, entry: Entry) -> None:
    """Count a reminder that was answered by a reaction: its own message becomes the counted line."""
    state = state_with(ctx, reminder)
    new = entry_rules.new_entry(state, entry, None, reminder, "counted", 1)
    state = state.with_entries([new])
    settled, entries = entry_rules.settle(state, [new])
    line = next((copy.outbox_id for copy in state.copies_of(reminder) if copy.chat_id == ctx.chat_id), None)
    asked = rules.follow_up(state, entries, confidence_of(ctx, [entry.activity]))
    apply(
        ctx, (AddEntries((new,)), *settled, EditLine(line, entry_rules.counted_line(state, entries)), *asked)
    )


# ---------------------------------------------------------------- answers to what was asked


def answers_question(ctx: CarerContext, message_id: MessageId, alone: Reading, of_question: Reading) -> bool:
    """Take a message as the answer to what was asked last; return whether it was one.

    alone: the message read as if no reminder were open, since a question that came after the reminder is answered first.
    of_question: read as if what was asked about were the reminder.
    """
    state = load_state(ctx)
    waiting = question_rules.waiting_for_answer(state)
    if waiting is None:
        return False
    activities = [waiting.activity, *(each.activity for each in alone.entries)]
    effects = question_rules.answer_in_words(
        with_entries_of(ctx, state, state.together(waiting)),
        waiting,
        ctx.text,
        alone,
        of_question,
        confidence_of(ctx, activities),
        message_id=message_id,
        line=line_of(ctx, waiting),
    )
    apply(ctx, effects or ())
    return effects is not None


def asks_for_several(ctx: CarerContext, message_id: MessageId, wanted: int | Literal["all"]) -> bool:
    """Ask whether several reminders of today are done; return False where not several are open."""
    effects = several_rules.ask(load_state(ctx), message_id, wanted)
    apply(ctx, effects)
    return bool(effects)


def asks_as_yesterday(ctx: CarerContext, message_id: MessageId) -> bool:
    """Ask whether yesterday's minutes are today's too; return False where nothing was counted yesterday."""
    day = ctx.today - timedelta(days=1)
    told = ctx.uow.entries.counted_between(ctx.family.id, day, day)
    effects = several_rules.ask_as_yesterday(load_state(ctx), message_id, told)
    apply(ctx, effects)
    return bool(effects)


def asks_which_yes(ctx: CarerContext, message_id: MessageId) -> bool:
    effects = question_rules.which_yes(load_state(ctx), message_id)
    apply(ctx, effects)
    return bool(effects)


def answers_minutes(ctx: CarerContext, message_id: MessageId, alone: Reading) -> bool:
    """Take a typed number as the answer to "Change"; return whether it was one."""
    dialog = ctx.dialog()
    entry_id, asked_at = dialog.number("session"), dialog.instant("asked_at")
    if dialog.step != "minutes" or entry_id is None or asked_at is None:
        return False
    state, entry = state_about(ctx, EntryId(entry_id))
    effects = correction_rules.minutes_answered(
        state,
        entry,
        alone,
        asked_at,
        message_id=message_id,
        line=line_of(ctx, entry) if entry is not None else None,
    )
    apply(ctx, effects or ())
    return effects is not None


# ---------------------------------------------------------------- corrections in words


def entries_quoted(ctx: CarerContext, quoted: Said | None) -> list[LogEntry]:
    """Return the counted entries of the counted line, or of their own message, that a message quotes."""
    if quoted is not None and quoted.about is not None:
        about = quoted.about
        found: list[LogEntry] = []
        if about.kind == "message":
            found = ctx.uow.entries.of_message(MessageId(about.number))
        elif about.kind == "session" and (entry := ctx.uow.entries.find(EntryId(about.number))):
            found = [entry] if entry.message_id is None else ctx.uow.entries.of_message(entry.message_id)
        if found:
            return counted(found)
        if about.kind == "reminder":
            by_button = ctx.uow.entries.of_reminder(ReminderId(about.number))
            return [each for each in by_button if each.message_id is None]
    if quoted is None and ctx.reply_to is not None:
        own = ctx.uow.messages.in_chat(ctx.chat_id, ctx.reply_to)
        if own is not None:
            return counted(ctx.uow.entries.of_message(own.id))
    return []


def correct(
    ctx: CarerContext,
    message_id: MessageId,
    reading: Reading,
    quoted: list[LogEntry],
    named: frozenset[str] = frozenset(),
) -> bool:
    """Give the entry that is meant the right value; its own line changes too. Return False where there is none.

    named: the activities that the message's own words name.
    """
    state = with_entries_of(ctx, load_state(ctx), quoted)
    right = reading.entries[0] if reading.entries else None
    target = correction_rules.to_correct(state, quoted, right, named)
    if target is not None:
        state = with_entries_of(ctx, state, [target])
    if right is None or target is None:
        return False
    line = line_of(ctx, target)
    apply(ctx, correction_rules.corrected(state, target, right, message_id=message_id, line=line))
    return True


def nothing_to_correct(ctx: CarerContext, message_id: MessageId) -> None:
    apply(ctx, correction_rules.nothing_to_correct(message_id))


def mend(ctx: CarerContext, message_id: MessageId, right: Mend, quoted: list[LogEntry]) -> bool:
    """Put right what a short correction means; return False where it is about something else."""
    state = with_entries_of(ctx, load_state(ctx), quoted)
    waiting = None if quoted else mend_rules.waits_for(state, right)
    if waiting is not None and right.minutes is not None:
        line = line_of(ctx, waiting)
        apply(ctx, question_rules.ask_again(state, waiting, right.minutes, message_id=message_id, line=line))
        return True
    found = mend_rules.meant(state, quoted, right)
    if not found:
        return False
    line = line_of(ctx, found[-1])
    apply(ctx, mend_rules.mended(state, found, right, message_id=message_id, line=line))
    return True


def undo(ctx: CarerContext, quoted: list[LogEntry]) -> None:
    """ "Undo": what is quoted, else what this carer logged last."""
    state = with_entries_of(ctx, load_state(ctx), quoted)
    meant = quoted or state.last_counted()
    line = line_of(ctx, meant[0]) if meant else None
    apply(ctx, correction_rules.undo(state, quoted, line))


def change_again(ctx: CarerContext, kept: Message, alone: Reading) -> bool:
    """Take the edit of a message that put an entry right; return whether it still does.

    alone: the edited message read as if no reminder were open.
    """
    if kept.corrects is None:
        return False
    state, target = state_about(ctx, kept.corrects)
    only = alone.entries[0] if len(alone.entries) == 1 else None
    if target is None or target.state != "counted" or only is None or not only.minutes:
        return False
    effects, content = correction_rules.change(state, target, only)
    apply(ctx, (*effects, EditLine(kept.answer_id, content)))
    return True


def show_undone(ctx: CarerContext, line: OutboxId | None, entries: list[LogEntry]) -> None:
    """Have an old line say that what it counted is taken back."""
    apply(ctx, (EditLine(line, Undone(tuple(entries), redo=False)),))
