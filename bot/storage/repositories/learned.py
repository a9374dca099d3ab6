"""What was heard of a family's day, and what it was asked about."""

from __future__ import annotations

from datetime import date, datetime
from typing import Literal

from sqlalchemy import insert, select, update

from bot.domain.ids import FamilyId
from bot.domain.learned import (
    AskedSuggestion,
    SuggestionState,
    suggestion_as_json,
    suggestion_from_json,
)
from bot.domain.people import Family
from bot.storage import day_statements
from bot.storage.repository import Repository
from bot.storage.rows import AnyRow, new_id, value_of
from bot.storage.tables import sightings, suggestions
from scheduling.learned.heard import Heard, Outcome
from scheduling.learned.suggestion import Suggestion

OUTCOMES: dict[str, Outcome] = {
    "answered": "done", "later": "later", "skipped": "refused", "expired": "no_answer", "sent": "no_answer",
}  # fmt: skip


class Learned(Repository):
    def note_sighting(
        self, family_id: FamilyId, what: Literal["told_asleep", "told_awake"], at: datetime
    ) -> None:
        """Keep that a carer said whether the baby sleeps."""
        self._conn.execute(insert(sightings).values(family_id=family_id, what=what, at=at))

    def heard(self, family: Family, *, since: date, before: datetime) -> list[Heard]:
        """Return what was heard from a local date on, before an instant: reminders, what was told, sessions of the family's own.

        A reminder that went to nobody says nothing.
        """
        when = {"family": family.id, "since": since, "before": before}
        found = [_outcome(row) for row in day_statements.ASKED.all(self._conn, when)]
        start = datetime.combine(since, datetime.min.time(), tzinfo=family.zone)
        told = day_statements.TOLD.all(self._conn, {"family": family.id, "start": start, "before": before})
        found += [Heard(row.what, row.at) for row in told]
        return found + [Heard("session", row.at) for row in day_statements.BEGUN.all(self._conn, when)]

    def ask(
        self, family_id: FamilyId, suggestion: Suggestion, *, day: date, now: datetime
    ) -> AskedSuggestion:
        """Keep that a family was asked about a change."""
        kept = new_id(
            self._conn.execute(
                insert(suggestions).values(
                    family_id=family_id,
                    local_date=day,
                    asked_at=now,
                    suggestion=suggestion_as_json(suggestion),
                    state="asked",
                )
            )
        )
        return AskedSuggestion(kept, family_id, day, suggestion, "asked")

    def find(self, suggestion_id: int) -> AskedSuggestion | None:
        row = self._conn.execute(select(suggestions).where(suggestions.c.id == suggestion_id)).first()
        return None if row is None else _asked(row)

    def asked_since(self, family_id: FamilyId, since: date) -> list[AskedSuggestion]:
        """Return what a family was asked from a local date on, the oldest first."""
        rows = self._conn.execute(
            select(suggestions)
            .where(suggestions.c.family_id == family_id, suggestions.c.local_date >= since)
            .order_by(suggestions.c.id)
        )
        return [_asked(row) for row in rows]

    def settle(self, suggestion_id: int, state: SuggestionState, now: datetime) -> None:
        """Keep what a carer answered; a later answer takes the place of an earlier one."""
        self._conn.execute(
            update(suggestions).where(suggestions.c.id == suggestion_id).values(state=state, settled_at=now)
        )


def _outcome(row: AnyRow) -> Heard:
    what = OUTCOMES[row.state]
    if what == "refused" and row.reason == "asleep":
        what = "asleep"
    return Heard(what, row.due_at, None if what == "no_answer" else row.closed_at)


def _asked(row: AnyRow) -> AskedSuggestion:
    return value_of(AskedSuggestion, row, suggestion=suggestion_from_json(row.suggestion))
