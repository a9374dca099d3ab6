"""What a chat of several babies writes for all of them at once, or for another one than it was told for."""

from __future__ import annotations

from typing import Literal

from bot.domain.names import speaks_of
from bot.features.context import CarerContext
from bot.features.entries import handlers
from bot.features.events import TextWritten
from bot.features.routing import carer_message, yes_no
from bot.features.routing.babies_named import DONE, moved_to, only_named, parts_for, without_names
from bot.features.routing.several_babies import STILL_SPOKEN_OF, kept_of, read_apart
from bot.features.state import load_state
from bot.parsing import answers
from bot.parsing.asides import aside_in
from bot.parsing.mends import read_mend
from bot.parsing.pausing import reads_pause
from bot.parsing.reminder_hours import read_hours_wish, wants_fewer_at_weekends
from bot.replies.reading import Entry, Reading

ASIDES_FOR_EACH = {"leave", "my_part", "yesterday", "visit"}
FOR_EACH = {"stop", "pause", "resume", "today", "week"}  # requests about a baby's reminders or its day


def taken(contexts: list[CarerContext], event: TextWritten) -> bool:
    """Do what a message means for all babies or for another one than it was told for; return whether that was all.

    Asked or told of each: when reminders come, how many, pauses, today, and a yes or no to what each was asked.
    """
    first = contexts[0]
    if first.uow.messages.in_chat(first.chat_id, event.message_id) is not None:
        return True
    names = [ctx.family.nickname for ctx in contexts]
    to = moved_to(event.text, names)
    if to is not None and _moved(contexts, event, to):
        return True
    asked = yes_no.asked_together(contexts)
    if asked:
        read_apart(asked, kept_of(first, event), [None] * len(asked))
        return True
    only = [ctx for ctx in contexts if only_named(event.text, ctx.family.nickname)]
    if only:
        read_apart(only, kept_of(first, event), [DONE])
        return True
    named = [ctx for ctx in contexts if speaks_of(event.text, ctx.family.nickname)]
    if len(named) == 1:
        right = without_names(event.text, names)
        if read_mend(right) is None:
            return False
        read_apart(named, kept_of(first, event), [right])
        return True
    if named:
        return False
    everyone = parts_for(event.text, names)
    if everyone is not None and not any(_troubled(ctx) for ctx in contexts):
        read_apart(contexts, kept_of(first, event), everyone)
        return True
    if not goes_for_all(first):
        return False
    read_apart(contexts, kept_of(first, event), [None] * len(contexts))
    return True


def _moved(contexts: list[CarerContext], event: TextWritten, to: int | Literal["other"]) -> bool:
    """Take back what was counted last for one baby and tell it of another; return False where nothing was."""
    told = [(ctx, load_state(ctx).last_counted()) for ctx in contexts]
    told = [(ctx, entries) for ctx, entries in told if entries]
    if not told:
        return False
    source, entries = max(told, key=lambda each: (each[1][-1].logged_at, each[1][-1].id))
    if source.now - entries[-1].logged_at > STILL_SPOKEN_OF:
        return False
    others = [ctx for ctx in contexts if ctx is not source]
    target = others[0] if to == "other" else contexts[to]
    if target is source:
        return False
    kept = kept_of(source, event)
    handlers.undo(source, list(entries))
    target.uow.messages.assign(kept, target.family.id, target.carer.id)
    moved = tuple(
        Entry(each.activity, each.minutes, None, (each.local_date - target.today).days) for each in entries
    )
    handlers.tell(target, kept, Reading(entries=moved), None)
    return True


def _troubled(ctx: CarerContext) -> bool:
    """Say whether a message may hold a concern, which is raised for each baby and never told apart."""
    reading = carer_message.reading_of(ctx)
    return reading.concern is not None or reading.unclear is not None


def goes_for_all(ctx: CarerContext) -> bool:
    """Say whether a message is about all babies of a chat alike: its reminders as a whole, or the day's list."""
    reading = carer_message.reading_of(ctx)
    if reading.concern is not None or reading.unclear is not None:
        return False
    text = ctx.text
    wants = reading.request is not None and reading.request.kind in FOR_EACH and not reading.entries
    return (
        wants
        or read_hours_wish(text) is not None
        or wants_fewer_at_weekends(text)
        or aside_in(text) in ASIDES_FOR_EACH
        or answers.wish_in(text) is not None
        or answers.wants_fixed_times(text)
        or reads_pause(text, ctx.family.local(ctx.now)) is not None
    )
