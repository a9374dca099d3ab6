"""What carers saw, and why something was not done."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import bindparam, delete, insert, select, update

from bot.domain.ids import CarerId, FamilyId, MessageId, ReminderId
from bot.storage.prepared import Prepared
from bot.storage.repository import Repository
from bot.storage.tables import observations, skips
from scheduling.sides import Side


class Observations(Repository):
    def add(
        self,
        *,
        family_id: FamilyId,
        carer_id: CarerId,
        kind: str,
        at: datetime,
        side: Side | None = None,
        activity: str | None = None,
        message_id: MessageId | None = None,
    ) -> None:
        """Note what a carer saw. activity: of the reminder that the message answered, where there was one."""
        values = {
            "family_id": family_id, "carer_id": carer_id, "message_id": message_id,
            "kind": kind, "side": side, "activity": activity, "at": at,
        }  # fmt: skip
        _ADD.change(self._conn, values)

    def kinds_of(self, family_id: FamilyId, kinds: Sequence[str]) -> list[str]:
        """Return which of some kinds anybody of a family has told of."""
        rows = self._conn.scalars(_KINDS_OF, {"family": family_id, "kinds": list(kinds)})
        return [str(kind) for kind in rows]

    def add_skip(
        self,
        *,
        family_id: FamilyId,
        carer_id: CarerId,
        reason: str,
        at: datetime,
        activity: str | None = None,
        message_id: MessageId | None = None,
        reminder_id: ReminderId | None = None,
    ) -> None:
        """Note why something was not done."""
        values = {
            "family_id": family_id, "carer_id": carer_id, "message_id": message_id,
            "reminder_id": reminder_id, "activity": activity, "reason": reason, "at": at,
        }  # fmt: skip
        _ADD_SKIP.change(self._conn, values)

    def taken_since(self, family_id: FamilyId, since: datetime) -> list[tuple[str, datetime, bool]]:
        """Return how activities were taken: (activity, when, whether well), of what carers said since an instant."""
        rows = self._conn.execute(
            select(observations.c.activity, observations.c.at, observations.c.kind).where(
                observations.c.family_id == family_id,
                observations.c.at >= since,
                observations.c.activity.is_not(None),
                observations.c.kind.in_(("tolerated_well", "tolerated_poorly")),
            )
        )
        return [(row.activity, row.at, row.kind == "tolerated_well") for row in rows]

    def skip_reasons(self, message_id: MessageId) -> set[str]:
        """Return why a message said that something was not done."""
        return set(self._conn.scalars(select(skips.c.reason).where(skips.c.message_id == message_id)))

    def correct_skip(self, reminder_id: ReminderId, *, reason: str) -> None:
        """Set the reason of the skip that closed a reminder."""
        self._conn.execute(update(skips).where(skips.c.reminder_id == reminder_id).values(reason=reason))

    def forget_those_of(self, message_id: MessageId) -> None:
        """Take back what an edited message had told, before it is read again."""
        self._conn.execute(delete(observations).where(observations.c.message_id == message_id))
        self._conn.execute(delete(skips).where(skips.c.message_id == message_id))


# Built once: every message that tells of something asks for them.
_ADD, _ADD_SKIP = Prepared(insert(observations)), Prepared(insert(skips))
_KINDS_OF = (
    select(observations.c.kind)
    .where(observations.c.family_id == bindparam("family"))
    .where(observations.c.kind.in_(bindparam("kinds", expanding=True)))
    .distinct()
)
