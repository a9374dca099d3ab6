"""What is learned from a family's answers, where it does not stand in the log itself."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import Date, ForeignKey, Index, String
from sqlalchemy.orm import Mapped, mapped_column

from bot.domain.ids import FamilyId
from bot.domain.json_value import JsonValue
from bot.storage.sealed_types import EncryptedJson
from bot.storage.tables.base import Base, Instant, RowId, table_of


class SightingsTable(Base):
    """When a carer said, asked or unasked, that the baby slept or was awake."""

    __tablename__ = "sightings"

    id: Mapped[int] = mapped_column(RowId, primary_key=True, autoincrement=True)
    family_id: Mapped[FamilyId] = mapped_column(String(64), ForeignKey("families.id"))
    what: Mapped[str] = mapped_column(String(12))  # told_asleep, told_awake
    at: Mapped[datetime] = mapped_column(Instant)


sightings = table_of(SightingsTable)
Index("ix_sightings_family_at", sightings.c.family_id, sightings.c.at)


class SuggestionsTable(Base):
    """Changes of the told day that a family was asked about."""

    __tablename__ = "suggestions"

    id: Mapped[int] = mapped_column(RowId, primary_key=True, autoincrement=True)
    family_id: Mapped[FamilyId] = mapped_column(String(64), ForeignKey("families.id"))
    local_date: Mapped[date] = mapped_column(Date)
    asked_at: Mapped[datetime] = mapped_column(Instant)
    suggestion: Mapped[dict[str, JsonValue]] = mapped_column(
        EncryptedJson
    )  # scheduling.learned.suggestion.Suggestion
    state: Mapped[str] = mapped_column(String(8))  # asked, yes, no, other
    settled_at: Mapped[datetime | None] = mapped_column(Instant)


suggestions = table_of(SuggestionsTable)
Index("ix_suggestions_family_date", suggestions.c.family_id, suggestions.c.local_date)
