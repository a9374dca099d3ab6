"""The clinic, its therapists, families and their carers."""

from __future__ import annotations

from datetime import time
from functools import cached_property
from zoneinfo import ZoneInfo

from sqlalchemy import select

from bot.domain.people import Clinic
from bot.storage.prepared import Prepared
from bot.storage.repository import Repository
from bot.storage.rows import AnyRow, value_of
from bot.storage.tables import clinics


class Clinics(Repository):
    def find(self) -> Clinic | None:
        """Return the clinic, read once in a transaction; None before a caseload was loaded."""
        return self._found

    @cached_property
    def _found(self) -> Clinic | None:
        row = _THE_ONE.first(self._conn, {})
        return None if row is None else _clinic(row)


_THE_ONE = Prepared(select(clinics).limit(1))


def _clinic(row: AnyRow) -> Clinic:
    return value_of(
        Clinic,
        row,
        zone=ZoneInfo(row.time_zone),
        crisis_line=row.crisis_line or row.emergency_line,
        digest_at=time.fromisoformat(row.digest_at),
    )
