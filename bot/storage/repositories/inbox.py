"""What the messaging service handed over, kept raw before it is acknowledged.

States: new → done, or dead where it cannot be handled, which `underwing check` shows.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, cast

from sqlalchemy import Float, Integer, Select, and_, bindparam, case, func, or_, select, text, update
from sqlalchemy.dialects import postgresql, sqlite

from bot.storage import beat
from bot.storage.prepared import Prepared
from bot.storage.repository import Repository
from bot.storage.tables import carers, inbox, therapists


class Inbox(Repository):
    def keep(
        self, updates: Sequence[Mapping[str, Any]], now: datetime, *, urgent: Collection[int] = frozenset()
    ) -> int:
        """Store updates, each once whatever comes twice. Return how many were new.

        urgent: ids of the updates whose words may hold a concern; these are read first.
        """
        values = [
            {
                "update_id": raw["update_id"],
                "chat_id": chat_of(raw),
                "raw": dict(raw),
                "state": "new",
                "urgent": raw["update_id"] in urgent,
                "received_at": now,
            }
            for raw in updates
        ]
        ids = [value["update_id"] for value in values]
        known = set(self._conn.scalars(select(inbox.c.update_id).where(inbox.c.update_id.in_(ids))))
        fresh = {value["update_id"]: value for value in values if value["update_id"] not in known}
        if fresh:
            build: Any = sqlite.insert if self._conn.dialect.name == "sqlite" else postgresql.insert
            self._conn.execute(
                build(inbox).on_conflict_do_nothing(index_elements=["update_id"]), list(fresh.values())
            )
        return len(fresh)

    def last_update_id(self) -> int | None:
        """Return the id of the update stored last (by order of storing: ids may start anew after a quiet week)."""
        found = self._conn.scalar(select(inbox.c.update_id).order_by(inbox.c.seq.desc()).limit(1))
        return None if found is None else int(found)

    def take(self, *, real_now: float, limit: int, strangers: int) -> list[Stored]:
        """Return updates that may be handled now, in the order to handle them, holding their rows until the transaction ends.

        First what may hold a concern, with all that the same chat wrote before it; then the first of each other chat. At
        most `strangers` of them are of chats that nobody is known by. What one chat writes is read in order: an update that
        failed holds back the later ones of its chat until its retry, but for those that may hold a concern.
        """
        found = self._stored(_URGENT, real_now, limit)
        if not found or not found[0].known:
            seqs = {stored.seq for stored in found}
            rest = self._stored(_FIRST_OF_EACH_CHAT, real_now, limit)
            found += [stored for stored in rest if stored.seq not in seqs]
        unknown = [stored.seq for stored in found if not stored.known]
        return [stored for stored in found if stored.seq not in unknown[strangers:]][:limit]

    def _stored(self, query: Prepared, real_now: float, limit: int) -> list[Stored]:
        rows = query.all(self._conn, {"real_now": real_now, "most": limit})
        return [Stored(row.seq, row.update_id, row.raw, row.attempts, row.urgent, row.known) for row in rows]

    def done(self, handled: Sequence[Stored]) -> None:
        """Note that updates are handled; of what strangers wrote nothing is kept from then on."""
        _DONE.change(self._conn, {"seqs": [stored.seq for stored in handled]})
        for stored in handled:
            if not stored.known:
                emptied = update(inbox).where(inbox.c.seq == stored.seq)
                self._conn.execute(emptied.values(raw={"update_id": stored.update_id}))

    def set_aside(self, seq: int, error: str) -> None:
        """Give an update up for good; `underwing check` shows it."""
        self._conn.execute(update(inbox).where(inbox.c.seq == seq).values(state="dead", error=error[:500]))

    def failed(self, seq: int, *, error: str, retry_at: float) -> None:
        """Note a failure after which the update is tried again from the real second `retry_at`."""
        self._conn.execute(
            update(inbox)
            .where(inbox.c.seq == seq)
            .values(attempts=inbox.c.attempts + 1, error=error[:500], retry_at=retry_at)
        )

    def counts(self) -> dict[str, int]:
        rows = self._conn.execute(select(inbox.c.state, func.count()).group_by(inbox.c.state))
        return {row[0]: row[1] for row in rows}

    def oldest_waiting(self) -> datetime | None:
        """Return when the oldest update came that is not handled."""
        found = self._conn.scalar(select(func.min(inbox.c.received_at)).where(inbox.c.state == "new"))
        return cast("datetime | None", found)

    def dead(self) -> list[tuple[int, str]]:
        """Return (update id, error) of what was given up, the oldest first."""
        rows = self._conn.execute(
            select(inbox.c.update_id, inbox.c.error).where(inbox.c.state == "dead").order_by(inbox.c.seq)
        )
        return [(row.update_id, row.error or "") for row in rows]

    def forget(self, *, before: datetime, limit: int) -> int:
        """Remove up to `limit` handled updates that came before an instant, but the last, which tells where to go on."""
        return beat.HANDLED_UPDATES.change(self._conn, {"before": before, "most": limit})


# ---------------------------------------------------------------- what may be handled, built once for every turn

_KNOWN = or_(
    select(carers.c.id).where(carers.c.chat_id == inbox.c.chat_id).exists(),
    select(therapists.c.id).where(therapists.c.chat_id == inbox.c.chat_id).exists(),
)
_DONE = Prepared(
    update(inbox).where(inbox.c.seq.in_(bindparam("seqs", expanding=True))).values(state="done", error=None),
    lists=["seqs"],
)
_NOW = bindparam("real_now", type_=Float)
# As the index of urgent updates has it: SQLite knows it again by its letters alone.
_MARKED_URGENT = text("inbox.urgent")
_WAITING = (
    select(
        inbox.c.seq, inbox.c.update_id, inbox.c.raw, inbox.c.attempts, inbox.c.urgent, _KNOWN.label("known")
    )
    .where(inbox.c.state == "new", inbox.c.retry_at <= _NOW)
    .limit(bindparam("most", type_=Integer))
    .with_for_update(skip_locked=True, of=inbox)
)


def _urgent() -> Select[Any]:
    """What may hold a concern, and all that its chat wrote before it unless something there waits for a retry."""
    last = (
        select(inbox.c.chat_id, func.max(inbox.c.seq).label("seq"))
        .where(inbox.c.state == "new", _MARKED_URGENT)
        .group_by(inbox.c.chat_id)
        .subquery()
    )
    failed = inbox.alias()
    held_back = (
        select(failed.c.seq)
        .where(failed.c.state == "new", failed.c.chat_id == inbox.c.chat_id)
        .where(failed.c.seq < inbox.c.seq, failed.c.retry_at > _NOW)
        .exists()
    )
    return (
        _WAITING.where(inbox.c.urgent | ~held_back)
        .join(last, and_(last.c.chat_id == inbox.c.chat_id, inbox.c.seq <= last.c.seq))
        .order_by(_KNOWN.desc(), inbox.c.seq)
    )


def _first_of_each_chat() -> Select[Any]:
    first = (
        select(func.min(inbox.c.seq).label("seq"), func.count().label("waiting"))
        .where(inbox.c.state == "new")
        .group_by(inbox.c.chat_id)
        .subquery()
    )
    # Who is known first; of strangers the quiet before the talkative, so that one who was just invited is not shut out.
    return _WAITING.join(first, first.c.seq == inbox.c.seq).order_by(
        case((_KNOWN, 0), else_=first.c.waiting), inbox.c.seq
    )


_URGENT, _FIRST_OF_EACH_CHAT = Prepared(_urgent()), Prepared(_first_of_each_chat())


@dataclass(frozen=True, slots=True)
class Stored:
    """An update that waits. attempts: failures so far. known: its chat is a carer's or a therapist's."""

    seq: int
    update_id: int
    raw: dict[str, Any]
    attempts: int
    urgent: bool
    known: bool


def can_be_kept(number: object) -> bool:
    """Whether a number that the service gave fits the databases' 64 bits, as every real one does."""
    return isinstance(number, int) and not isinstance(number, bool) and -(2**63) <= number < 2**63


def chat_of(raw: Mapping[str, Any]) -> int | None:
    """Return the chat that an update belongs to, as far as its raw form tells; order is kept within a chat."""
    for name, part in raw.items():
        if name == "update_id" or not isinstance(part, Mapping):
            continue
        message = part.get("message")
        chat = part.get("chat") or (message.get("chat") if isinstance(message, Mapping) else None)
        for place in (chat, part.get("from")):
            if isinstance(place, Mapping) and can_be_kept(place.get("id")):
                return int(place["id"])
    return None
