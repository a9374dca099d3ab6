"""Entries that must be asked about before they count: what is asked next, and what a message or a tap answers. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

from bot.domain.entries import LogEntry
from bot.domain.ids import MessageId, OutboxId
from bot.domain.subject import Subject
from bot.features.content import Content
from bot.features.effects import ChangeEntry, EditLine, Effects, Reply, SetEntries
from bot.features.entries.contents import CountedLine, NotCounted, Question, YesToWhich
from bot.features.entries.entry_rules import counted_line, settle
from bot.features.entries.rules import Confidence, follow_up
from bot.features.entries.times_rules import put_right
from bot.features.state import CarerState
from bot.parsing.answers import says_no, says_yes
from bot.replies.reading import Reading

SETTLED_WITHIN = timedelta(hours=12)  # what is not answered then goes to the digest as it is
ANSWER_WITHIN = timedelta(minutes=30)  # words without a quote answer the question for this long


def complete(entry: LogEntry) -> bool:
    """Say whether an entry that waits misses nothing. How often it was, where it counts by times, is asked for itself."""
    return entry.activity is not None and bool(entry.minutes)


def first_to_ask(waiting: Sequence[LogEntry]) -> LogEntry:
    """Return the entry whose missing part is asked for first; where none misses anything, the first."""
    return next((each for each in waiting if not complete(each)), waiting[0])


def go_on(state: CarerState, entry: LogEntry) -> tuple[Effects, Question | CountedLine]:
    """Ask what is still missing of a message's entries, or count them all when nothing is."""
    waiting = tuple(each for each in state.together(entry) if each.state == "asked")
    if not waiting or any(not complete(each) for each in waiting):
        return (), Question(waiting or (entry,))
    effects, counted = settle(state, waiting)
    after = state.with_entries(counted)
    return effects, counted_line(after, [each for each in after.together(entry) if each.state == "counted"])


def waiting_for_answer(state: CarerState) -> LogEntry | None:
    """Return the entry that a message without a quote may answer; a reminder that came since is answered first."""
    waiting = state.waiting_entry(state.now - ANSWER_WITHIN)
    if waiting is None or state.reminded_since(waiting.logged_at):
        return None
    group = [each for each in state.together(waiting) if each.state == "asked"]
    return next((each for each in group if not complete(each)), waiting)


def asked_before_reminder(state: CarerState) -> LogEntry | None:
    """Return the entry of today's that still waits for a yes, where a reminder that is open came after the question."""
    waiting = state.waiting_entry(state.now - SETTLED_WITHIN)
    reminder = state.open_reminder()
    if waiting is None or not complete(waiting) or reminder is None or reminder.sent_at is None:
        return None
    return waiting if waiting.logged_at < reminder.sent_at else None


def asked_how_much(state: CarerState) -> LogEntry | None:
    """Return the entry of today's of which a part was asked for, where no reminder came since: a yes is no answer to that."""
    waiting = state.waiting_entry(state.now - SETTLED_WITHIN)
    if waiting is None or state.reminded_since(waiting.logged_at) or waiting.local_date != state.today:
        return None
    group = [each for each in state.together(waiting) if each.state == "asked"]
    return next((each for each in group if not complete(each)), None)


def no_answer_of_yes(state: CarerState) -> bool:
    """Say whether a bare yes leaves open what it answers."""
    return asked_before_reminder(state) is not None or asked_how_much(state) is not None


def which_yes(state: CarerState, message_id: MessageId) -> Effects:
    """Ask what a bare yes answers: the question, or the reminder that came after it; or ask anew for what is missing."""
    missing = asked_how_much(state)
    if missing is not None:
        group = tuple(each for each in state.together(missing) if each.state == "asked")
        about = Subject.of("message", missing.message_id or message_id)
        return (Reply(content=Question(group), about=about, answers=message_id, retells=missing.message_id),)
    waiting, reminder = asked_before_reminder(state), state.open_reminder()
    if waiting is None or reminder is None:
        return ()
    content = YesToWhich(waiting, reminder)
    return (Reply(content=content, about=Subject.of("message", message_id), answers=message_id),)


def answer_in_words(
    state: CarerState,
    waiting: LogEntry,
    text: str,
    alone: Reading,
    of_question: Reading,
    confidence: Confidence,
    *,
    message_id: MessageId,
    line: OutboxId | None,
) -> Effects | None:
    """Take a message as the answer to what was asked about `waiting`; None where it speaks of something else.

    alone: the message read as if no reminder were open; of_question: as if `waiting` were the reminder. line: the outbox id
    of the question.
    """
    if says_no(text) or _says_none(alone):
        return (*_dropped(state, waiting), *_below(waiting, message_id, line, _left(state, waiting)))
    if len(alone.entries) == 1 and not waiting.minutes:  # how often was asked of the day in all
        often = put_right(state, waiting, replace(alone.entries[0], of_day=True))
        if often is not None:
            return (*often[0], *_below(waiting, message_id, line, often[1]))
    if not (complete(waiting) and says_yes(text)):
        changed = _with_missing(waiting, alone) or _a_part(state, waiting, alone, of_question)
        if changed is None:
            return None
        if changed.minutes and of_question.confirm and changed.activity == waiting.activity:
            return _asked_anew(state, changed, message_id=message_id, line=line)
        change = ChangeEntry(
            entry_id=waiting.id, activity=changed.activity, minutes=changed.minutes, side=changed.side
        )
        state = state.with_entries([changed])
        effects, content = go_on(state, changed)
        effects = (change, *effects)
    else:
        effects, content = go_on(state, waiting)
    asked_more: Effects = ()
    if isinstance(content, CountedLine):
        asked_more = follow_up(state.with_entries(content.entries), content.entries, confidence)
    return (*effects, *_below(waiting, message_id, line, content), *asked_more)


def _says_none(alone: Reading) -> bool:
    only = alone.entries[0] if len(alone.entries) == 1 else None
    return only is not None and only.activity is None and only.minutes == 0


def ask_again(
    state: CarerState, waiting: LogEntry, minutes: float, *, message_id: MessageId, line: OutboxId | None
) -> Effects:
    """Give an entry that still waits for an answer the right minutes, and ask again: "nope it was 6, not 7"."""
    changed = replace(waiting, minutes=minutes)
    effects, content = go_on(state.with_entries([changed]), changed)
    change = ChangeEntry(entry_id=waiting.id, minutes=minutes)
    return (change, *effects, *_below(waiting, message_id, line, content))


def _with_missing(waiting: LogEntry, alone: Reading) -> LogEntry | None:
    """Return a waiting entry with what a message adds to it; None where it speaks of something else."""
    if len(alone.entries) != 1:
        return None
    entry = alone.entries[0]
    if entry.day_offset or (waiting.activity is not None and entry.activity not in (None, waiting.activity)):
        return None
    if waiting.activity is None and entry.activity is None and waiting.minutes is not None:
        return None  # minutes again, of we still do not know what
    if entry.activity is None and entry.minutes is None and entry.side is None:
        return None
    return replace(
        waiting,
        activity=entry.activity or waiting.activity,
        minutes=waiting.minutes if entry.minutes is None else entry.minutes,
        side=entry.side or waiting.side,
    )


def _a_part(state: CarerState, waiting: LogEntry, alone: Reading, of_question: Reading) -> LogEntry | None:
    """Return what was asked about with the minutes of "half of it"; None where a message says no such thing of one entry."""
    said = of_question.entries
    group = [each for each in state.together(waiting) if each.state == "asked"]
    if alone.entries or len(said) != 1 or len(group) != 1 or not complete(waiting) or of_question.confirm:
        return None
    part = said[0]
    if part.activity != waiting.activity or not part.minutes or part.day_offset or of_question.request:
        return None
    return replace(waiting, minutes=part.minutes)


def _asked_anew(
    state: CarerState, changed: LogEntry, *, message_id: MessageId, line: OutboxId | None
) -> Effects:
    """Ask about minutes that the carer is not sure of: "6? 7?"."""
    after = state.with_entries([changed])
    group = tuple(each for each in after.together(changed) if each.state == "asked")
    change = ChangeEntry(entry_id=changed.id, minutes=changed.minutes, side=changed.side)
    return (change, *_below(changed, message_id, line, Question(group)))


def _below(waiting: LogEntry, message_id: MessageId, line: OutboxId | None, content: Content) -> Effects:
    """Answer below what was just written; the question above loses its buttons, and the new line stands for it."""
    return (
        EditLine(line, None),
        Reply(
            content=content,
            about=Subject.of("message", message_id if waiting.message_id is None else waiting.message_id),
            answers=message_id,
            corrects=waiting.id,
            retells=waiting.message_id,
        ),
    )


def _dropped(state: CarerState, entry: LogEntry) -> Effects:
    waiting = tuple(each.id for each in state.together(entry) if each.state == "asked")
    return (SetEntries(waiting, "undone"),)


def drop(state: CarerState, entry: LogEntry) -> tuple[Effects, NotCounted | CountedLine]:
    """Let go what waits of a message; what was counted of it stands."""
    return _dropped(state, entry), _left(state, entry)


def _left(state: CarerState, entry: LogEntry) -> NotCounted | CountedLine:
    counted = [each for each in state.together(entry) if each.state == "counted"]
    return counted_line(state, counted) if counted else NotCounted()
