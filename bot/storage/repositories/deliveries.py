"""The outbox as its sender sees it: what may go now, what became of it, and what could not be told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, cast

from sqlalchemy import (
    BigInteger,
    ColumnElement,
    Float,
    FromClause,
    Integer,
    Select,
    and_,
    bindparam,
    func,
    or_,
    select,
    tuple_,
    update,
)

from bot.domain.ids import ChatId
from bot.domain.outgoing import PRIORITY, Kind
from bot.domain.subject import Subject
from bot.storage import beat
from bot.storage.prepared import Prepared
from bot.storage.repository import Repository
from bot.storage.tables import outbox

# A reminder and a press note go at most once.
SENT_AT_LEAST_ONCE: tuple[Kind, ...] = ("concern", "digest", "reply")
UNKNOWN = "outcome unknown"

# No pause between two tries is longer: a retry that stands further off was set before the clock went back.
LONGEST_PAUSE = 3600.0
# A message that fails holds back what comes after it in its chat for so many tries, that is for about a minute.
HOLDS_ORDER_FOR = 6


class Deliveries(Repository):
    def waiting(self, *, real_now: float, limit: int) -> list[Waiting]:
        """Return what may be sent now: of each chat the first only, the most pressing first, the oldest first within that.

        A message that failed and is to be tried again is its chat's first until then, so that order is kept.
        """
        rows = _WAITING.all(self._conn, {"real_now": real_now, "most": limit})
        return [
            Waiting(
                row.id,
                row.chat_id,
                row.kind,
                press=row.action == "press",
                stranger=row.priority != PRIORITY["press" if row.action == "press" else row.kind],
            )
            for row in rows
        ]

    def reminders_waiting(self, *, most: int) -> tuple[int, datetime | None]:
        """Return how many reminders wait, counted up to `most`, and when the first of them is too late to go."""
        row = _REMINDERS_WAITING.all(self._conn, {"most": most})[0]
        return row.waiting, row.first_expires

    def to_groups_since(self, since: datetime) -> list[tuple[ChatId, datetime]]:
        """Return what went to groups from an instant on, as (chat, when it arrived), the oldest first."""
        rows = self._conn.execute(
            select(outbox.c.chat_id, outbox.c.sent_at)
            .where(outbox.c.chat_id < 0, outbox.c.sent_at >= since)
            .order_by(outbox.c.sent_at)
        )
        return [(ChatId(row.chat_id), row.sent_at) for row in rows]

    def oldest_waiting(self) -> datetime | None:
        """Return since when the longest waiting message might have gone."""
        ready_at = func.min(func.coalesce(outbox.c.held_until, outbox.c.created_at))
        return cast("datetime | None", self._conn.scalar(select(ready_at).where(outbox.c.state == "waiting")))

    def any_waiting(self) -> bool:
        return beat.ANY_WAITING.first(self._conn, {}) is not None

    def claim(self, ids: Sequence[int], *, lease_until: float) -> list[Outgoing]:
        """Mark rows as being sent and return them. Commit before sending: from here the outcome may be unknown."""
        rows = _CLAIM.all(self._conn, {"ids": list(ids), "until": lease_until})
        found = [
            Outgoing(
                id=row.id,
                kind=row.kind,
                chat_id=row.chat_id,
                action=row.action,
                payload=row.payload,
                about=Subject.from_stored(row.about),
                attempts=row.attempts,
                repeat=row.error == UNKNOWN,
                expires_at=row.expires_at,
                ready_at=row.held_until or row.created_at,
            )
            for row in rows
        ]
        order = {row_id: place for place, row_id in enumerate(ids)}
        return sorted(found, key=lambda out: order[out.id])

    def sent(self, messages: Sequence[Sent], now: datetime) -> None:
        """Note what arrived. An edit has no message id of its own and leaves the row's as it is."""
        if not messages:
            return
        self._conn.execute(
            _SENT,
            [
                {"row": one.id, "now": now, "known_as": one.message_id, "file": one.file_id}
                for one in messages
            ],
        )

    def settle(self, row_id: int, state: str, error: str) -> None:
        """End a row without its having been sent: failed, unknown or dropped."""
        self._conn.execute(update(outbox).where(outbox.c.id == row_id).values(state=state, error=error[:500]))

    def retry(self, row_id: int, *, at: float, error: str | None = None, attempt_counts: bool = True) -> None:
        """Put a row back to be sent from the real second `at`. error UNKNOWN marks the next sending as a repeat."""
        values: dict[str, Any] = {"state": "waiting", "retry_at": at}
        if error is not None:
            values["error"] = error[:500]
        if not attempt_counts:
            values["attempts"] = outbox.c.attempts - 1
        self._conn.execute(update(outbox).where(outbox.c.id == row_id).values(**values))

    def retry_as_text(self, out: Outgoing, error: str) -> bool:
        """Put a row whose file the service refuses back as its text alone; return whether it has any."""
        if "file" not in out.payload or not out.payload["text"]:
            return False
        payload = {name: value for name, value in out.payload.items() if name != "file"}
        self._conn.execute(
            update(outbox)
            .where(outbox.c.id == out.id)
            .values(action="send", payload=payload, state="waiting", retry_at=0.0, error=error[:500])
        )
        return True

    def sweep(self, *, real_now: float) -> int:
        """Deal with rows whose sender died: say again what must be said at least once, give up the rest.

        A row that never reached a "sent" mark may have been delivered; its repeat says that it is one.
        """
        stalled = and_(outbox.c.state == "sending", outbox.c.lease_until < real_now)
        again = self._conn.execute(
            update(outbox)
            .where(stalled, outbox.c.kind.in_(SENT_AT_LEAST_ONCE), outbox.c.action != "press")
            .values(state="waiting", retry_at=0.0, error=UNKNOWN)
        )
        given_up = self._conn.execute(update(outbox).where(stalled).values(state="unknown", error=UNKNOWN))
        return int(again.rowcount + given_up.rowcount)

    def message_of(self, row_id: int) -> tuple[str, int | None] | None:
        """Return (state, message id) of an earlier row, or None where there is none."""
        row = self._conn.execute(
            select(outbox.c.state, outbox.c.message_id).where(outbox.c.id == row_id)
        ).first()
        return None if row is None else (row.state, row.message_id)

    def untold(self, now: datetime, *, after: timedelta, since: datetime) -> dict[str, int]:
        """Return how many messages that must arrive did not, by kind.

        Counted is what was given up since an instant, but for who blocked us, and what has waited for longer than `after`.
        """
        must = and_(
            outbox.c.kind.in_(SENT_AT_LEAST_ONCE), outbox.c.action.not_in(("press", "edit", "buttons"))
        )
        given_up = and_(
            outbox.c.state.in_(("failed", "unknown")),
            outbox.c.created_at >= since,
            or_(outbox.c.error.is_(None), outbox.c.error.not_like("Forbidden%")),
        )
        ready_at = func.coalesce(outbox.c.held_until, outbox.c.created_at)
        overdue = and_(outbox.c.state.in_(("rendering", "waiting", "sending")), ready_at < now - after)
        found: dict[str, int] = {}
        for which in (given_up, overdue):
            rows = self._conn.execute(
                select(outbox.c.kind, func.count()).where(must, which).group_by(outbox.c.kind)
            )
            for kind, count in rows:
                found[kind] = found.get(kind, 0) + count
        return found


# ---------------------------------------------------------------- built once for every turn

_NOW = bindparam("real_now", type_=Float)


def _due(table: FromClause) -> ColumnElement[bool]:
    return or_(table.c.retry_at <= _NOW, table.c.retry_at > _NOW + LONGEST_PAUSE)


def _first_of_each_chat() -> Select[Any]:
    earlier = outbox.alias()
    not_first = (
        select(earlier.c.id)
        .where(earlier.c.state == "waiting", earlier.c.chat_id == outbox.c.chat_id)
        .where(
            tuple_(earlier.c.priority, earlier.c.id) < tuple_(outbox.c.priority, outbox.c.id),
            or_(_due(earlier), earlier.c.attempts < HOLDS_ORDER_FOR),
        )
        .exists()
    )
    return (
        select(outbox.c.id, outbox.c.chat_id, outbox.c.kind, outbox.c.priority, outbox.c.action)
        .where(outbox.c.state == "waiting", _due(outbox), ~not_first)
        .order_by(outbox.c.priority, outbox.c.id)
        .limit(bindparam("most", type_=Integer))
    )


def _reminders_waiting() -> Select[Any]:
    some = (
        select(outbox.c.expires_at)
        .where(outbox.c.state == "waiting", outbox.c.kind == "reminder")
        .limit(bindparam("most", type_=Integer))
        .subquery()
    )
    found = select(func.count().label("waiting"), func.min(some.c.expires_at).label("first_expires"))
    return cast("Select[Any]", found)


_REMINDERS_WAITING = Prepared(_reminders_waiting())
_WAITING = Prepared(_first_of_each_chat())
_CLAIM = Prepared(
    update(outbox)
    .where(outbox.c.id.in_(bindparam("ids", expanding=True)), outbox.c.state == "waiting")
    .values(state="sending", lease_until=bindparam("until"), attempts=outbox.c.attempts + 1)
    .returning(
        outbox.c.id, outbox.c.kind, outbox.c.chat_id, outbox.c.action, outbox.c.payload, outbox.c.about,
        outbox.c.attempts, outbox.c.error, outbox.c.expires_at, outbox.c.held_until, outbox.c.created_at,
    ),
    lists=["ids"],
)  # fmt: skip
_SENT = (
    update(outbox)
    .where(outbox.c.id == bindparam("row"))
    .values(
        state="sent",
        sent_at=bindparam("now"),
        error=None,
        message_id=func.coalesce(bindparam("known_as", type_=BigInteger), outbox.c.message_id),
        file_id=func.coalesce(bindparam("file", type_=outbox.c.file_id.type), outbox.c.file_id),
    )
)


@dataclass(frozen=True, slots=True)
class Waiting:
    """A message that may be sent. stranger: nobody is known by its chat."""

    id: int
    chat_id: ChatId
    kind: Kind
    press: bool
    stranger: bool

    @property
    def urgent(self) -> bool:
        return self.press or self.kind == "concern"

    @property
    def awaited(self) -> bool:
        """Whether a person waits for it, having just written or pressed something."""
        return self.urgent or self.kind == "reply"


@dataclass(frozen=True, slots=True)
class Outgoing:
    """A row that is about to be sent.

    attempts: tries so far, this one included. repeat: an earlier one may have gone through. ready_at: since when it might go.
    """

    id: int
    kind: Kind
    chat_id: ChatId
    action: str
    payload: dict[str, Any]
    about: Subject | None
    attempts: int
    repeat: bool
    expires_at: datetime | None
    ready_at: datetime


@dataclass(frozen=True, slots=True)
class Sent:
    """A message that arrived, and the service's ids of it and of its file."""

    id: int
    message_id: int | None
    file_id: str | None
