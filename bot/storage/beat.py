"""What every beat of the clock asks for, built once: what is due now, when something is next, what may go."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import (
    Column,
    ColumnElement,
    Connection,
    Integer,
    Select,
    and_,
    bindparam,
    delete,
    func,
    or_,
    select,
)

from bot.storage.prepared import Prepared
from bot.storage.tables import concerns, families, inbox, outbox, plans, questions, reminders, unseen_spells

_NOW = bindparam("now", type_=reminders.c.due_at.type)
_BEFORE = bindparam("before", type_=reminders.c.due_at.type)
_MOST = bindparam("most", type_=Integer)


def _locked(query: Select[Any]) -> Select[Any]:
    """Two processes may beat at once: each takes what the other has not."""
    return query.with_for_update(skip_locked=True)


# ---------------------------------------------------------------- what is due: now, most

REMINDERS = Prepared(
    _locked(
        select(reminders)
        .where(reminders.c.state == "planned", reminders.c.due_at <= _NOW)
        .order_by(reminders.c.due_at, reminders.c.id)
        .limit(_MOST)
    )
)
FAMILIES_TO_PLAN = Prepared(
    _locked(
        select(families.c.id)
        .where(
            or_(
                and_(families.c.state == "active", families.c.plan_at <= _NOW),
                and_(families.c.state == "paused", families.c.paused_until <= _NOW),
            )
        )
        .order_by(families.c.plan_at)
        .limit(_MOST)
    )
)
FROM_HOLD = Prepared(
    select(outbox.c.chat_id, func.count().label("messages"))
    .where(outbox.c.state == "held", outbox.c.held_until <= _NOW)
    .group_by(outbox.c.chat_id)
    .limit(_MOST)
)


def _concerns_due(*due: ColumnElement[bool]) -> Prepared:
    return Prepared(_locked(select(concerns).where(*due).order_by(concerns.c.id).limit(_MOST)))


HOW_IS_BABY = _concerns_due(concerns.c.ask_how_at <= _NOW)
UNANSWERED_ASKS = _concerns_due(concerns.c.state == "asked", concerns.c.ask_until <= _NOW)
SPELLS = Prepared(
    _locked(
        select(unseen_spells)
        .where(unseen_spells.c.next_at <= _NOW)
        .order_by(unseen_spells.c.next_at)
        .limit(_MOST)
    )
)

# ---------------------------------------------------------------- what stands, at whatever time: most

AWAY = Prepared(select(families).where(families.c.away_until.is_not(None)).order_by(families.c.id))
UNNOTIFIED = Prepared(
    select(questions)
    .where(questions.c.told_at.is_(None), questions.c.answered_at.is_(None))
    .order_by(questions.c.id)
    .limit(_MOST)
)
UNANNOUNCED = Prepared(
    select(plans.c.family_id)
    .join(families, families.c.id == plans.c.family_id)
    .where(plans.c.told_at.is_(None), plans.c.version > 1, families.c.state == "active")
    .distinct()
    .order_by(plans.c.family_id)
    .limit(_MOST)
)
_NEWEST = (
    select(plans.c.family_id, func.max(plans.c.version).label("version"))
    .group_by(plans.c.family_id)
    .subquery()
)
WITH_ARM_HOLD = Prepared(
    select(plans.c.family_id)
    .join(_NEWEST, and_(plans.c.family_id == _NEWEST.c.family_id, plans.c.version == _NEWEST.c.version))
    .where(plans.c.may_hold_arm)
    .order_by(plans.c.family_id)
)
ANY_WAITING = Prepared(select(outbox.c.id).where(outbox.c.state == "waiting").limit(1))

# ---------------------------------------------------------------- what is old: before, most

STALE_REMINDERS = Prepared(
    select(reminders)
    .where(reminders.c.state == "sent", reminders.c.sent_at < _BEFORE)
    .order_by(reminders.c.id)
    .limit(_MOST)
)


def _old(key: Column[int], *old: ColumnElement[bool]) -> Prepared:
    gone = select(key).where(*old).order_by(key).limit(_MOST)
    return Prepared(delete(key.table).where(key.in_(gone)))


SETTLED_MESSAGES = _old(
    outbox.c.id,
    outbox.c.created_at < _BEFORE,
    outbox.c.state.in_(("sent", "failed", "unknown", "dropped")),
)
HANDLED_UPDATES = _old(
    inbox.c.seq,
    inbox.c.state == "done",
    inbox.c.received_at < _BEFORE,
    inbox.c.seq < select(func.max(inbox.c.seq)).scalar_subquery(),
)

# ---------------------------------------------------------------- when something is next


def _first(column: Column[datetime | None], *where: ColumnElement[bool]) -> Prepared:
    return Prepared(select(func.min(column).label("at")).where(*where))


NEXT_REMINDER = (_first(reminders.c.due_at, reminders.c.state == "planned"),)
NEXT_PLANNING = (
    _first(families.c.plan_at, families.c.state == "active"),
    _first(families.c.paused_until, families.c.state == "paused"),
)
NEXT_OF_CONCERNS = (
    _first(concerns.c.ask_until, concerns.c.state == "asked"),
    _first(unseen_spells.c.next_at),
    _first(concerns.c.ask_how_at),
)
NEXT_RELEASE = (_first(outbox.c.held_until, outbox.c.state == "held"),)


def first_of(conn: Connection, asked: tuple[Prepared, ...]) -> datetime | None:
    """Return the earliest instant that any of these tells, None where none does."""
    found = (row.at for each in asked if (row := each.first(conn, {})) is not None)
    return min((at for at in found if at is not None), default=None)
