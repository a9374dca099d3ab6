"""What planning a family's day anew asks for, built once: every answer of a carer has it done."""

from __future__ import annotations

from sqlalchemy import ColumnElement, FromClause, and_, bindparam, delete, func, insert, select

from bot.storage.prepared import Prepared
from bot.storage.tables import concerns, reminders, sessions, sightings

_BEFORE = bindparam("before", type_=reminders.c.due_at.type)
_TOLD_SINCE = bindparam("start", type_=sightings.c.at.type)
_WENT_OUT = reminders.c.state.in_(("sent", "answered", "later", "skipped", "expired"))


def _theirs(table: FromClause) -> ColumnElement[bool]:
    return and_(table.c.family_id == bindparam("family"), table.c.local_date >= bindparam("since"))


_OF_DAY = and_(reminders.c.family_id == bindparam("family"), reminders.c.local_date == bindparam("day"))


def _to_come(*, pinned: bool) -> ColumnElement[bool]:
    """What holds for the reminders of a day that are still to come. pinned: somebody asked for them."""
    return and_(_OF_DAY, reminders.c.state == "planned", reminders.c.pinned.is_(pinned))


# ---------------------------------------------------------------- the log that the planner reads: family, since

COUNTED = Prepared(
    select(
        sessions.c.activity, sessions.c.minutes, sessions.c.side, sessions.c.at, sessions.c.local_date,
        sessions.c.local_at, sessions.c.reminder_id, reminders.c.due_at, reminders.c.local_date.label("prompt_date"),
    )
    .outerjoin(reminders, reminders.c.id == sessions.c.reminder_id)
    .where(_theirs(sessions), sessions.c.state == "counted")
    .order_by(sessions.c.at, sessions.c.id)
)  # fmt: skip
SENT = Prepared(
    select(reminders.c.id, reminders.c.activity, reminders.c.side, reminders.c.due_at)
    .where(_theirs(reminders), _WENT_OUT)
    .order_by(reminders.c.due_at)
)

# ---------------------------------------------------------------- when a family answers: family, since or start, before

ASKED = Prepared(
    select(reminders.c.due_at, reminders.c.state, reminders.c.reason, reminders.c.closed_at).where(
        _theirs(reminders), reminders.c.due_at < _BEFORE, _WENT_OUT
    )
)
TOLD = Prepared(
    select(sightings.c.what, sightings.c.at).where(
        sightings.c.family_id == bindparam("family"), sightings.c.at >= _TOLD_SINCE, sightings.c.at < _BEFORE
    )
)
BEGUN = Prepared(
    select(sessions.c.at)
    .where(
        _theirs(sessions),
        sessions.c.at < _BEFORE,
        sessions.c.state == "counted",
        sessions.c.reminder_id.is_(None),
        sessions.c.local_at.is_not(None),
    )
    .distinct()  # several times of one movement tell of one time of day
    .order_by(sessions.c.at)
)

# ---------------------------------------------------------------- the day: family, day

ON_DAY = Prepared(select(reminders).where(_OF_DAY).order_by(reminders.c.due_at))
PINNED = Prepared(select(reminders).where(_to_come(pinned=True)).order_by(reminders.c.due_at))
STANDING = Prepared(
    select(reminders.c.due_at, reminders.c.activity, reminders.c.minutes)
    .where(_to_come(pinned=False))
    .order_by(reminders.c.due_at)
)
DROP = Prepared(delete(reminders).where(_to_come(pinned=False)))
SLOTS = Prepared(
    select(reminders.c.activity, func.max(reminders.c.slot).label("last"))
    .where(_OF_DAY)
    .group_by(reminders.c.activity)
)
ADD = Prepared(insert(reminders))

# ---------------------------------------------------------------- what may hold the arm: family

UNRELEASED = Prepared(
    select(concerns)
    .where(concerns.c.family_id == bindparam("family"), concerns.c.released_at.is_(None))
    .where(concerns.c.state.in_(("open", "seen", "answered")))
    .order_by(concerns.c.at, concerns.c.id)
)
