"""Which entry a short correction means ("wrong side, did left", "oh wait that was 8"), and how it changes. Pure.

Decided: the quoted line first, then what this carer told last. Where a reminder came since, minutes and a side are of that
reminder; a day can only be of what was told. Where one message told several entries, the carer is asked which.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

from bot.domain.entries import LogEntry
from bot.domain.ids import MessageId, OutboxId
from bot.domain.subject import Subject
from bot.features.effects import Effects, Reply
from bot.features.entries.contents import ChangeWhich
from bot.features.entries.correction_rules import CORRECTED_WITHIN, change, corrected
from bot.features.entries.question_rules import ANSWER_WITHIN, waiting_for_answer
from bot.features.entries.times_rules import known_times
from bot.features.state import CarerState, other_side
from bot.parsing.mends import Mend
from bot.replies.reading import Entry
from scheduling.sides import Side

MINUTES_WITHIN = timedelta(hours=1)  # a bare number later than this is no correction


def meant(state: CarerState, quoted: Sequence[LogEntry], mend: Mend) -> tuple[LogEntry, ...]:
    """Return the entries that a correction may mean; none where it is about something else."""
    candidates = tuple(quoted) or tuple(state.last_counted())
    if mend.times is not None:
        candidates = tuple(
            each for each in candidates if each.activity and state.plan.times_of(each.activity)
        )
    if not candidates:
        return ()
    told_at = max(each.logged_at for each in candidates)
    a_number = mend.minutes is not None or mend.times is not None
    within = MINUTES_WITHIN if a_number and not quoted else CORRECTED_WITHIN
    within = ANSWER_WITHIN if mend.added else within
    if state.now - told_at > within:
        return ()
    if not quoted and mend.days is None and _reminded_since(state, candidates):
        return ()
    if mend.side is not None:
        sided = tuple(each for each in candidates if each.side is not None)
        return sided or candidates
    return candidates


def waits_for(state: CarerState, mend: Mend) -> LogEntry | None:
    """Return the entry that was asked about last, where other minutes are meant for it and not for what was counted before."""
    waiting = waiting_for_answer(state) if mend.minutes is not None else None
    counted = state.last_counted()
    if waiting is None or waiting.minutes is None:
        return None
    return waiting if all(each.logged_at <= waiting.logged_at for each in counted) else None


def _reminded_since(state: CarerState, entries: Sequence[LogEntry]) -> bool:
    """Say whether a reminder came after all of some entries and is still open."""
    open_one = state.open_reminder()
    if open_one is None or open_one.sent_at is None:
        return False
    return all(each.logged_at < open_one.sent_at for each in entries)


def mended(
    state: CarerState, found: Sequence[LogEntry], mend: Mend, *, message_id: MessageId, line: OutboxId | None
) -> Effects:
    """Put one entry right, or ask which of several is meant; a day that was wrong is wrong for all that were told with it."""
    if mend.days is not None:
        right = Entry(None, None, day_offset=mend.days)
        effects: Effects = ()
        for entry in found[:-1]:
            effects += change(state, entry, right)[0]
            state = state.with_entries([replace(entry, local_date=state.today + timedelta(days=mend.days))])
        return (*effects, *corrected(state, found[-1], right, message_id=message_id, line=line))
    if len(found) > 1 and not known_times(found):
        about = Subject.of("message", message_id)
        return (Reply(content=ChangeWhich(tuple(found)), about=about, answers=message_id),)
    entry = found[0]
    right = Entry(None, mend.minutes, _side(entry, mend), times=mend.times, of_day=mend.of_day)
    return corrected(state, entry, right, message_id=message_id, line=line)


def _side(entry: LogEntry, mend: Mend) -> Side | None:
    if mend.side != "other":
        return mend.side
    return other_side(entry.side) if entry.side is not None else None
