"""What the messaging service handed over, kept raw before it is acknowledged.

States: new → done, or dead after MOST_ATTEMPTS failures, which `underwing check` shows.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import delete, func, select, update
from sqlalchemy.dialects import postgresql, sqlite

from bot.storage.repository import Repository
from bot.storage.tables import inbox

MOST_ATTEMPTS = 5


class Inbox(Repository):
    def keep(self, updates: Sequence[Mapping[str, Any]], now: datetime) -> int:
        """Store updates, each once whatever comes twice. Return how many were new."""
        if not updates:
            return 0
        build: Any = sqlite.insert if self._conn.dialect.name == "sqlite" else postgresql.insert
        values = [
            {
                "update_id": raw["update_id"],
                "chat_id": chat_of(raw),
                "raw": dict(raw),
                "state": "new",
                "received_at": now,
            }
            for raw in updates
        ]
        known = set(
            (
                self._conn.scalars(
                    select(inbox.c.update_id).where(inbox.c.update_id.in_([v["update_id"] for v in values]))
                )
            ).all()
        )
        fresh = {value["update_id"]: value for value in values if value["update_id"] not in known}
        if fresh:
            self._conn.execute(
                build(inbox).on_conflict_do_nothing(index_elements=["update_id"]), list(fresh.values())
            )
        return len(fresh)

    def last_update_id(self) -> int | None:
        """Return the id of the update stored last (by order of storing: ids may start anew after a quiet week)."""
        found = self._conn.scalar(select(inbox.c.update_id).order_by(inbox.c.seq.desc()).limit(1))
        return None if found is None else int(found)

    def next_waiting(self, *, real_now: float) -> Stored | None:
        """Return the oldest update that waits, holding its row until the transaction ends.

        An update waits while an earlier one of its chat does, so that what one person says is read in order. An update
        that failed waits for its retry, and holds back only its own chat.
        """
        earlier = inbox.alias()
        blocked = (
            select(earlier.c.seq)
            .where(
                earlier.c.state == "new", earlier.c.chat_id == inbox.c.chat_id, earlier.c.seq < inbox.c.seq
            )
            .exists()
        )
        query = (
            select(inbox.c.seq, inbox.c.update_id, inbox.c.raw, inbox.c.attempts)
            .where(inbox.c.state == "new", inbox.c.retry_at <= real_now, ~blocked)
            .order_by(inbox.c.seq)
            .limit(1)
            .with_for_update(skip_locked=True)
        )
        row = (self._conn.execute(query)).first()
        return None if row is None else Stored(row.seq, row.update_id, row.raw, row.attempts)

    def done(self, seq: int) -> None:
        self._conn.execute(update(inbox).where(inbox.c.seq == seq).values(state="done", error=None))

    def failed(self, seq: int, *, error: str, retry_at: float) -> bool:
        """Note a failure. Return True where the update is given up (dead) now."""
        attempts = self._conn.scalar(
            update(inbox)
            .where(inbox.c.seq == seq)
            .values(attempts=inbox.c.attempts + 1, error=error[:500], retry_at=retry_at)
            .returning(inbox.c.attempts)
        )
        if attempts is not None and attempts >= MOST_ATTEMPTS:
            self._conn.execute(update(inbox).where(inbox.c.seq == seq).values(state="dead"))
            return True
        return False

    def counts(self) -> dict[str, int]:
        rows = self._conn.execute(select(inbox.c.state, func.count()).group_by(inbox.c.state))
        return {row[0]: row[1] for row in rows}

    def dead(self) -> list[tuple[int, str]]:
        """Return (update id, error) of what was given up, the oldest first."""
        rows = self._conn.execute(
            select(inbox.c.update_id, inbox.c.error).where(inbox.c.state == "dead").order_by(inbox.c.seq)
        )
        return [(row.update_id, row.error or "") for row in rows]

    def forget(self, *, before: datetime) -> int:
        """Remove handled updates that came before an instant, but the last, which tells where to go on."""
        last = select(func.max(inbox.c.seq)).scalar_subquery()
        gone = self._conn.execute(
            delete(inbox).where(inbox.c.state == "done", inbox.c.received_at < before, inbox.c.seq < last)
        )
        return int(gone.rowcount)


@dataclass(frozen=True, slots=True)
class Stored:
    seq: int
    update_id: int
    raw: dict[str, Any]
    attempts: int


def chat_of(raw: Mapping[str, Any]) -> int | None:
    """Return the chat that an update belongs to, as far as its raw form tells; order is kept within a chat."""
    for name, part in raw.items():
        if name == "update_id" or not isinstance(part, Mapping):
            continue
        chat = part.get("chat") or (part.get("message") or {}).get("chat")
        if isinstance(chat, Mapping) and isinstance(chat.get("id"), int):
            return int(chat["id"])
        sender = part.get("from")
        if isinstance(sender, Mapping) and isinstance(sender.get("id"), int):
            return int(sender["id"])
    return None
