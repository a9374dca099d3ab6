"""Which process does what only one may do at a time: poll, send, keep the timers."""

from __future__ import annotations

from sqlalchemy import delete, insert, select, update
from sqlalchemy.exc import IntegrityError

from bot.storage.repository import Repository
from bot.storage.tables import leases


class Leases(Repository):
    def hold(
        self, name: str, holder: str, *, real_now: float, seconds: float, dead: str | None = None
    ) -> bool:
        """Take or renew the lease `name`; return whether `holder` has it now. Times are real seconds.

        dead: a holder that is known to run no more, whose lease need not be waited out.
        """
        values = {"holder": holder, "until": real_now + seconds}
        free = (leases.c.holder == holder) | (leases.c.until < real_now)
        if dead is not None:
            free |= leases.c.holder == dead
        taken = self._conn.execute(update(leases).where(leases.c.name == name, free).values(**values))
        if taken.rowcount:
            return True
        if self._conn.scalar(select(leases.c.name).where(leases.c.name == name)) is not None:
            return False
        try:
            with self._conn.begin_nested():
                self._conn.execute(insert(leases).values(name=name, **values))
        except IntegrityError:
            return False
        return True

    def holder_of(self, name: str) -> str | None:
        return self._conn.scalar(select(leases.c.holder).where(leases.c.name == name))

    def is_held(self, name: str, *, real_now: float) -> bool:
        return (
            self._conn.scalar(select(leases.c.until).where(leases.c.name == name, leases.c.until > real_now))
            is not None
        )

    def give_up(self, holder: str) -> None:
        self._conn.execute(delete(leases).where(leases.c.holder == holder))
