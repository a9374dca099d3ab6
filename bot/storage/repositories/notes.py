"""What the bot did by itself and the therapist should see: kinds and numbers, never anybody's words."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from sqlalchemy import insert

from bot.domain.ids import FamilyId
from bot.domain.notes import NoteKind
from bot.storage.repository import Repository
from bot.storage.tables import notes


class Notes(Repository):
    def add_frequency(
        self, family_id: FamilyId, now: datetime, *, before: int, after: int, asked: bool
    ) -> None:
        """Note another number of reminders a day. asked: a carer asked for it."""
        self._add(family_id, "load", now, {"before": before, "after": after, "asked": asked})

    def add_inactivity(self, family_id: FamilyId, now: datetime, *, days: int) -> None:
        """Note that nobody of a family wrote or pressed anything for so many days."""
        self._add(family_id, "quiet", now, {"days": days})

    def add_pause(self, family_id: FamilyId, now: datetime, *, until: datetime | None) -> None:
        """Note that reminders were paused; until None: with no end."""
        self._add(family_id, "pause", now, {"until": int(until.timestamp()) if until is not None else 0})

    def add_resume(self, family_id: FamilyId, now: datetime) -> None:
        """Note that a carer ended a pause."""
        self._add(family_id, "resume", now, {})

    def add_hold(self, family_id: FamilyId, now: datetime, *, activities: int) -> None:
        """Note that a concern about the arm held so many activities."""
        self._add(family_id, "held", now, {"n": activities})

    def add_go_on(self, family_id: FamilyId, now: datetime, *, activities: int) -> None:
        """Note that a therapist let so many held activities go on."""
        self._add(family_id, "go_on", now, {"n": activities})

    def add_best_hour(
        self, family_id: FamilyId, now: datetime, *, hour: int, answered: int, asked: int
    ) -> None:
        """Note the hour of the clock at which a family mostly takes reminders up."""
        self._add(family_id, "best_hour", now, {"hour": hour, "answered": answered, "asked": asked})

    def _add(
        self, family_id: FamilyId, kind: NoteKind, now: datetime, data: Mapping[str, int | bool]
    ) -> None:
        self._conn.execute(insert(notes).values(family_id=family_id, kind=kind, data=dict(data), at=now))
