"""Putting right what was counted: "sorry, meant 15", "undo", other minutes by a tap. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from bot.domain.entries import LogEntry
from bot.domain.ids import MessageId, OutboxId
from bot.domain.subject import Subject
from bot.features.effects import (
    ChangeEntry,
    EditLine,
    Effects,
    EndDialog,
    Reply,
    RequestReplan,
)
from bot.features.entries.contents import CountedLine, NothingTo, Undone
from bot.features.entries.entry_rules import counted_line, take_back
from bot.features.entries.times_rules import put_right
from bot.features.state import CarerState
from bot.replies.reading import Entry, Reading

CORRECTED_WITHIN = timedelta(days=2)
ASKED_WITHIN = timedelta(hours=1)  # a typed number answers "how many minutes?" for this long


def to_correct(
    state: CarerState,
    quoted: Sequence[LogEntry],
    right: Entry | None,
    named: frozenset[str] = frozenset(),
) -> LogEntry | None:
    """Return the entry that a correction means; None where there is none, or it is too old.

    The quoted one, else the carer's last; where an activity is said, the last of that activity. An entry of another
    activity is meant only where the message names that one too ("football, not tummy"). named: the activities in its words.
    """
    if right is None:
        return None
    candidates = list(quoted) or state.last_counted()
    of_it = [each for each in candidates if each.activity == right.activity]
    if right.activity is not None and not of_it and not quoted:
        of_it = [
            each
            for each in state.entries
            if each.state == "counted" and (each.carer_id, each.activity) == (state.carer.id, right.activity)
        ]
        of_it = of_it if not (named - {right.activity}) else []
    other = [each for each in candidates if right.activity is None or each.activity in named or quoted]
    target = next(reversed(of_it), None) or next(reversed(other), None)
    return None if target is None or target.logged_before(state.now - CORRECTED_WITHIN) else target


def nothing_to_correct(message_id: MessageId) -> Effects:
    return (
        Reply(content=NothingTo(undo=False), about=Subject.of("message", message_id), answers=message_id),
    )


def corrected(
    state: CarerState, target: LogEntry, right: Entry, *, message_id: MessageId, line: OutboxId | None
) -> Effects:
    """Give one counted entry the right value; the old line shows it, the new one has the buttons. Of what is counted by times
    that is how often.

    line: the outbox id of the line that told of the entry. The newest line is the one that later changes edit.
    """
    changes, content = put_right(state, target, right) or change(state, target, right)
    reply = Reply(
        content=content,
        about=Subject.of("session", target.id),
        answers=message_id,
        corrects=target.id,
        retells=target.message_id,
    )
    old = replace(content, buttons=False) if isinstance(content, CountedLine) else None
    return (*changes, EditLine(line, old), reply)


def change(state: CarerState, target: LogEntry, right: Entry) -> tuple[Effects, CountedLine]:
    """Return how an entry changes, and the line that tells of all that its message logged then."""
    day = state.today + timedelta(days=right.day_offset) if right.day_offset else None
    changed = replace(
        target,
        minutes=target.minutes if right.minutes is None else right.minutes,
        side=right.side or target.side,
        activity=right.activity or target.activity,
        local_date=day or target.local_date,
        at=target.at if day is None else target.at + (day - target.local_date),
    )
    after = state.with_entries([changed])
    standing = [each for each in after.together(changed) if each.state == "counted"]
    effect = ChangeEntry(
        entry_id=target.id,
        minutes=right.minutes,
        side=right.side,
        activity=right.activity,
        local_date=day,
        at=changed.at if day is not None else None,
    )
    return (effect, RequestReplan()), counted_line(after, standing)


def undo(state: CarerState, quoted: Sequence[LogEntry], line: OutboxId | None) -> Effects:
    """ "Undo": what is quoted, else what this carer logged last. line: the outbox id of the line that told of it."""
    entries = list(quoted) or state.last_counted()
    if not entries or (not quoted and entries[-1].logged_before(state.now - CORRECTED_WITHIN)):
        return (Reply(content=NothingTo(undo=True)),)
    effects, reopened = take_back(state, entries)
    content = Undone(tuple(entries))
    # A reminder that is open again shows its own buttons in that very line.
    if not (entries[0].message_id is None and reopened):
        effects += (EditLine(line, replace(content, redo=False)),)
    return (*effects, Reply(content=content))


def minutes_answered(
    state: CarerState,
    entry: LogEntry | None,
    alone: Reading,
    asked_at: datetime,
    *,
    message_id: MessageId,
    line: OutboxId | None,
) -> Effects | None:
    """Take a typed number as the answer to "Change"; None where it is none.

    alone: the message read as if no reminder were open: who was just asked means the question.
    """
    only = alone.entries[0] if len(alone.entries) == 1 else None
    if entry is None or entry.state != "counted" or only is None or only.day_offset:
        return None
    if not only.minutes and not only.times:
        return None
    if only.activity not in (None, entry.activity):
        return None
    if state.now - asked_at > ASKED_WITHIN or state.reminded_since(asked_at):
        return None
    # How many times was asked of the day in all.
    return (
        EndDialog(),
        *corrected(state, entry, replace(only, of_day=True), message_id=message_id, line=line),
    )
