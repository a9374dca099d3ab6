"""What is kept no longer than the clinic's settings say, and is then gone for good, as after an erasure.

Each group of tables has days of its own. What stands in none stays as long as the family: its plans, scores, photos and the
therapist's notes on holds are the treatment's record. The audit log stays, without words.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from sqlalchemy import Column, ColumnElement, Table, and_, delete, or_, select, update

from bot.concerns.advice import holds_arm
from bot.domain.actor import SERVER
from bot.domain.keeping import Keeping
from bot.storage import erasure
from bot.storage.tables import (  # fmt: skip
    answers,
    carers,
    chats,
    concerns,
    confidences,
    families,
    inbox,
    messages,
    notes,
    observations,
    outbox,
    questions,
    reminders,
    sessions,
    sightings,
    skips,
    suggestions,
    therapists,
    visits,
)
from bot.storage.unit_of_work import UnitOfWork

PASSED_THROUGH = 30  # days at most that what came from the messaging service and went there is kept, sealed
AT_ONCE = 200  # rows of one table


# Table and the instant by which a row is as old as it is.
MESSAGES: dict[Table, Column[datetime]] = {each: each.c.at for each in (answers, questions, messages)}
LOG: dict[Table, Column[datetime]] = {
    **{each: each.c.at for each in (sessions, observations, skips, sightings, notes, visits)},
    confidences: confidences.c.asked_at,
    suggestions: suggestions.c.asked_at,
    reminders: reminders.c.due_at,
}
UNDER_WAY = ("planned", "sent", "later")  # a reminder that is not closed


def forget(uow: UnitOfWork, keeping: Keeping, now: datetime) -> bool:
    """Remove a part of what is past its days; return whether there is more."""
    removed = [
        *_passed_through(uow, now - timedelta(days=min(PASSED_THROUGH, keeping.messages or PASSED_THROUGH))),
        *(_messages(uow, now - timedelta(days=keeping.messages)) if keeping.messages else ()),
        *(_log(uow, now - timedelta(days=keeping.log)) if keeping.log else ()),
        *((_concerns(uow, now - timedelta(days=keeping.concerns)),) if keeping.concerns else ()),
        *((_strangers(uow, now - timedelta(days=keeping.strangers)),) if keeping.strangers else ()),
        *((_discharged(uow, now - timedelta(days=keeping.discharged), now),) if keeping.discharged else ()),
    ]
    more = any(count >= AT_ONCE for count in removed)
    # The file is written anew once, after the last part, and not after each.
    uow.erased = uow.erased or (any(removed) and not more)
    return more


def _passed_through(uow: UnitOfWork, before: datetime) -> Iterator[int]:
    yield uow.inbox.forget(before=before, limit=AT_ONCE)
    yield uow.outbox.forget(before=before, limit=AT_ONCE)


def _messages(uow: UnitOfWork, before: datetime) -> Iterator[int]:
    """What was set aside unread goes too; a question that no therapist was told yet stays."""
    told = {questions: questions.c.told_at.is_not(None)}
    for table, at in MESSAGES.items():
        gone = _numbers(uow, table, and_(at < before, told.get(table, at.is_not(None))))
        if table is messages:
            erasure.unlink_messages(uow, messages.c.id.in_(gone))
        yield _delete(uow, table, gone)
    given_up = _numbers(uow, inbox, and_(inbox.c.state == "dead", inbox.c.received_at < before))
    yield _delete(uow, inbox, given_up)


def _log(uow: UnitOfWork, before: datetime) -> Iterator[int]:
    closed = {reminders: reminders.c.state.not_in(UNDER_WAY)}
    for table, at in LOG.items():
        gone = _numbers(uow, table, and_(at < before, closed.get(table, at.is_not(None))))
        if table is reminders:
            uow.conn.execute(
                update(sessions).where(sessions.c.reminder_id.in_(gone)).values(reminder_id=None)
            )
        yield _delete(uow, table, gone)


def _concerns(uow: UnitOfWork, before: datetime) -> int:
    """Not one that may still hold the arm: while it stands, no activity that loads the arm is prompted."""
    query = select(concerns.c.id, concerns.c.topics).where(
        concerns.c.at < before,
        concerns.c.ask_how_at.is_(None),
        concerns.c.state.in_(("seen", "answered", "wrong", "denied")),
    )
    released = or_(concerns.c.released_at.is_not(None), concerns.c.state.in_(("wrong", "denied")))
    let_go = set(uow.conn.scalars(select(concerns.c.id).where(concerns.c.at < before, released)))
    found = uow.conn.execute(query.order_by(concerns.c.id)).all()
    gone = [row.id for row in found if row.id in let_go or not holds_arm(row.topics)]
    return _delete(uow, concerns, gone[:AT_ONCE])


def _strangers(uow: UnitOfWork, before: datetime) -> int:
    """Chats of nobody: that they wrote, and how often they tried a code."""
    gone = uow.conn.scalars(
        select(chats.c.chat_id)
        .where(
            chats.c.chat_id.not_in(select(carers.c.chat_id).where(carers.c.chat_id.is_not(None))),
            chats.c.chat_id.not_in(select(therapists.c.chat_id).where(therapists.c.chat_id.is_not(None))),
            or_(chats.c.stranger_told_at.is_(None), chats.c.stranger_told_at < before),
            or_(chats.c.wrong_code_at.is_(None), chats.c.wrong_code_at < before),
        )
        .limit(AT_ONCE)
    ).all()
    uow.conn.execute(delete(outbox).where(outbox.c.chat_id.in_(gone), outbox.c.created_at < before))
    return uow.conn.execute(delete(chats).where(chats.c.chat_id.in_(gone))).rowcount


def _discharged(uow: UnitOfWork, before: datetime, now: datetime) -> int:
    """Erase one family; as if there were many more, so that the rest has its turn soon."""
    family_id = uow.conn.scalar(
        select(families.c.id)
        .where(families.c.state == "discharged", families.c.discharged_at < before)
        .order_by(families.c.discharged_at)
        .limit(1)
    )
    if family_id is None:
        return 0
    erasure.erase_family(uow, family_id, now, who=SERVER)
    return AT_ONCE


def _numbers(uow: UnitOfWork, table: Table, which: ColumnElement[bool]) -> list[int]:
    """Return the primary keys of the oldest rows that are meant, at most AT_ONCE."""
    key = table.primary_key.columns[0]
    return list(uow.conn.scalars(select(key).where(which).order_by(key).limit(AT_ONCE)))


def _delete(uow: UnitOfWork, table: Table, numbers: list[int]) -> int:
    if numbers:
        uow.conn.execute(delete(table).where(table.primary_key.columns[0].in_(numbers)))
    return len(numbers)
