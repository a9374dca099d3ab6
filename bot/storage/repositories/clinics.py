"""The clinic, its therapists, families and their carers."""

from __future__ import annotations

from datetime import time
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Row, select

from bot.domain.people import Clinic
from bot.storage.repository import Repository
from bot.storage.tables import clinics


class Clinics(Repository):
    def find(self) -> Clinic | None:
        row = (self._conn.execute(select(clinics).limit(1))).first()
        return None if row is None else _clinic(row)


def _clinic(row: Row[Any]) -> Clinic:
    return Clinic(
        name=row.name,
        zone=ZoneInfo(row.time_zone),
        emergency_line=row.emergency_line,
        nurse_line=row.nurse_line,
        digest_weekday=row.digest_weekday,
        digest_at=time.fromisoformat(row.digest_at),
    )
