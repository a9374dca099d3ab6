"""Two carers who log the same session: both count, and the family is asked once whether they were one."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from bot.domain.entries import LogEntry
from bot.domain.outgoing import Button, row
from bot.features import chat
from bot.features.context import CarerContext
from bot.features.entries import log

LIKE_WITHIN = timedelta(minutes=45)  # two carers who log the same within this may mean one session


def asked_about(ctx: CarerContext, sessions: Sequence[LogEntry]) -> bool:
    """Ask whether a like entry of another carer was the same session; return whether there was one to ask about."""
    for session in sessions:
        if session.twin_of is not None:
            continue
        like = [
            other for other in ctx.uow.entries.similar(session, within=LIKE_WITHIN) if other.twin_of is None
        ]
        if not like:
            continue
        other = like[-1]
        ctx.uow.entries.note_twins(session.id, other.id)
        carer = ctx.uow.carers.find(ctx.family.id, other.carer_id)
        ctx.answer(
            ctx.words(
                "count.twin_question",
                carer=carer.name if carer else other.carer_id,
                what=log.describe_one(ctx, other),
            ),
            buttons=(
                row(
                    Button(ctx.words.plain("count.twin_one"), f"one:{session.id}"),
                    Button(ctx.words.plain("count.twin_two"), f"two:{session.id}"),
                ),
            ),
        )
        return True
    return False


def pressed_one(ctx: CarerContext, argument: str) -> None:
    """They were one session: the later entry is taken back, as long as the other still counts."""
    session = _asked_session(ctx, argument)
    if session is None:
        return
    other = ctx.uow.entries.find(session.twin_of) if session.twin_of else None
    standing = _standing(ctx, session)
    others = _standing(ctx, other) if other is not None else None
    if standing is not None and others is not None:
        ctx.uow.entries.undo(standing.id)
        if standing.reminder_id is not None and others.reminder_id is None:
            # The reminder was answered all the same, by the entry that stays.
            ctx.uow.entries.answer_reminder(others.id, standing.reminder_id)
        ctx.uow.families.request_replan(ctx.family.id, ctx.now)
    ctx.note()
    chat.edit_pressed(ctx, ctx.words("count.twin_was_one"))


def pressed_two(ctx: CarerContext, argument: str) -> None:
    session = _asked_session(ctx, argument)
    if session is not None:
        ctx.note()
        chat.edit_pressed(ctx, ctx.words("count.twin_were_two"))


def _asked_session(ctx: CarerContext, argument: str) -> LogEntry | None:
    """Return the session that was asked about, even where an edit has put another in its place."""
    session = ctx.uow.entries.find(int(argument)) if argument.isdigit() else None
    if session is None or session.family_id != ctx.family.id:
        ctx.note(ctx.words("edge.old_button"))
        return None
    return session


def _standing(ctx: CarerContext, session: LogEntry) -> LogEntry | None:
    """Return what counts of an entry now: itself, or what its edited message says of the same activity."""
    for each in log.together(ctx, session):
        if each.state == "counted" and each.activity == session.activity:
            return each
    return None
