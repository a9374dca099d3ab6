"""The therapist's own photos, clips and voice notes for one family's holds.

A file is known by the messaging service's id for it, which only this bot can use. Its content is fetched afterwards by the
messenger edge and kept sealed, so that another bot token can send it too.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy import insert, select, update

from bot.domain.ids import FamilyId
from bot.domain.media import Material
from bot.storage.repository import Repository
from bot.storage.rows import AnyRow, new_id, value_of
from bot.storage.tables import materials

FIRST_WAIT, LONGEST_WAIT = timedelta(minutes=1), timedelta(hours=1)

MOST_FETCHES = 12  # tries, about half a day; then only the service's own id is left

# Not the content: a clip has megabytes, and a list needs none of them.
_FACTS = [
    materials.c.id, materials.c.family_id, materials.c.activity, materials.c.kind, materials.c.file_id,
    materials.c.caption, materials.c.added_at,
]  # fmt: skip


class Media(Repository):
    def of_activity(self, family_id: FamilyId, activity: str) -> list[Material]:
        """Return what is in force for one hold of one family, the oldest first."""
        return [each for each in self.of_family(family_id) if each.activity == activity]

    def of_family(self, family_id: FamilyId) -> list[Material]:
        """Return what is in force for one family, the oldest first."""
        rows = self._conn.execute(
            select(*_FACTS)
            .where(materials.c.family_id == family_id, materials.c.withdrawn_at.is_(None))
            .order_by(materials.c.id)
        )
        return [_material(row) for row in rows]

    def find(self, material_id: int) -> Material | None:
        """Return what is in force by that number, None where it was taken back or never was."""
        row = (
            self._conn.execute(
                select(*_FACTS).where(materials.c.id == material_id, materials.c.withdrawn_at.is_(None))
            )
        ).first()
        return None if row is None else _material(row)

    def add(
        self,
        *,
        family_id: FamilyId,
        activity: str,
        kind: str,
        file_id: str,
        caption: str | None,
        added_by: str,
        now: datetime,
    ) -> int:
        """Keep what the therapist said the family agreed to; its content is fetched at the next beat."""
        inserted = self._conn.execute(
            insert(materials).values(
                family_id=family_id,
                activity=activity,
                kind=kind,
                file_id=file_id,
                caption=caption,
                added_by=added_by,
                added_at=now,
                agreed_at=now,
                fetch_at=now,
            )
        )
        return new_id(inserted)

    def withdraw(self, material_id: int, now: datetime) -> None:
        """Take something back: it is shown no more, and its content is forgotten."""
        self._conn.execute(
            update(materials)
            .where(materials.c.id == material_id)
            .values(withdrawn_at=now, content=None, fetch_at=None)
        )

    def to_fetch(self, now: datetime, *, limit: int) -> list[tuple[int, str]]:
        """Return (id, file id) of what must be fetched now, the longest waiting first."""
        rows = self._conn.execute(
            select(materials.c.id, materials.c.file_id)
            .where(materials.c.fetch_at <= now, materials.c.withdrawn_at.is_(None))
            .order_by(materials.c.fetch_at, materials.c.id)
            .limit(limit)
        )
        return [(row.id, row.file_id) for row in rows]

    def fetched(self, material_id: int, content: bytes | None) -> None:
        """Keep the content of a file; None: it cannot be had, now or later."""
        self._conn.execute(
            update(materials)
            .where(materials.c.id == material_id, materials.c.withdrawn_at.is_(None))
            .values(content=content, fetch_at=None)
        )

    def fetch_failed(self, material_id: int, now: datetime) -> None:
        """Try again later: after 1, 2, 4 … minutes, at most an hour; in the end not any more."""
        failed = self._conn.scalar(select(materials.c.fetch_failed).where(materials.c.id == material_id))
        times = (failed or 0) + 1
        again = None if times >= MOST_FETCHES else now + min(LONGEST_WAIT, FIRST_WAIT * 2 ** (times - 1))
        self._conn.execute(
            update(materials).where(materials.c.id == material_id).values(fetch_failed=times, fetch_at=again)
        )

    def content_of(self, material_id: int) -> bytes | None:
        """Return the kept content of what is in force, None where there is none."""
        found: bytes | None = self._conn.scalar(
            select(materials.c.content).where(
                materials.c.id == material_id, materials.c.withdrawn_at.is_(None)
            )
        )
        return found

    def known_as(self, material_id: int, file_id: str) -> None:
        """Note the id by which this bot's service knows a file that was sent anew."""
        self._conn.execute(update(materials).where(materials.c.id == material_id).values(file_id=file_id))


def _material(row: AnyRow) -> Material:
    return value_of(Material, row)
