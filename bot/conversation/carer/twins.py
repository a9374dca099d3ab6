"""Two carers who log the same session: both count, and the family is asked once whether they were one."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from bot.conversation.carer import counting
from bot.conversation.desk import Talk
from bot.records import day, log, people
from bot.records.log import Session
from bot.say import Button, row

LIKE_WITHIN = timedelta(minutes=45)  # two carers who log the same within this may mean one session


async def asked_about(talk: Talk, sessions: Sequence[Session]) -> bool:
    """Ask whether a like entry of another carer was the same session; return whether there was one to ask about."""
    for session in sessions:
        if session.twin_of is not None:
            continue
        like = [
            other
            for other in await log.like_sessions(talk.conn, session, within=LIKE_WITHIN)
            if other.twin_of is None
        ]
        if not like:
            continue
        other = like[-1]
        await log.change_session(talk.conn, session.id, twin_of=other.id)
        await log.change_session(talk.conn, other.id, twin_of=session.id)
        carer = await people.carer(talk.conn, talk.family.id, other.carer_id)
        await talk.answer(
            talk.words(
                "count.twin_question",
                carer=carer.name if carer else other.carer_id,
                what=counting.describe_one(talk, other),
            ),
            buttons=(
                row(
                    Button(talk.words.plain("count.twin_one"), f"one:{session.id}"),
                    Button(talk.words.plain("count.twin_two"), f"two:{session.id}"),
                ),
            ),
        )
        return True
    return False


async def pressed_one(talk: Talk, argument: str) -> None:
    """They were one session: the later entry is taken back, as long as the other still counts."""
    session = await _asked_session(talk, argument)
    if session is None:
        return
    other = await log.session(talk.conn, session.twin_of) if session.twin_of else None
    standing = await _standing(talk, session)
    others = await _standing(talk, other) if other is not None else None
    if standing is not None and others is not None:
        await log.change_session(talk.conn, standing.id, state="undone")
        if standing.reminder_id is not None and others.reminder_id is None:
            # The reminder was answered all the same, by the entry that stays.
            await log.change_session(talk.conn, others.id, reminder_id=standing.reminder_id)
        await day.plan_anew(talk.conn, talk.family.id, talk.now)
    await talk.note()
    await counting.edit_pressed(talk, talk.words("count.twin_was_one"))


async def pressed_two(talk: Talk, argument: str) -> None:
    session = await _asked_session(talk, argument)
    if session is not None:
        await talk.note()
        await counting.edit_pressed(talk, talk.words("count.twin_were_two"))


async def _asked_session(talk: Talk, argument: str) -> Session | None:
    """Return the session that was asked about, even where an edit has put another in its place."""
    session = await log.session(talk.conn, int(argument)) if argument.isdigit() else None
    if session is None or session.family_id != talk.family.id:
        await talk.note(talk.words("edge.old_button"))
        return None
    return session


async def _standing(talk: Talk, session: Session) -> Session | None:
    """Return what counts of an entry now: itself, or what its edited message says of the same activity."""
    for each in await counting.together(talk, session):
        if each.state == "counted" and each.activity == session.activity:
            return each
    return None
