"""Concerns: what must reach the therapist, and whether it has."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from datetime import datetime

from sqlalchemy import delete, func, insert, select, update

from bot.concerns.finding import URGENCIES, Urgency
from bot.domain.concerns import ConcernRow, ConcernState, UnseenSpell
from bot.domain.ids import CarerId, ConcernId, FamilyId, MessageId
from bot.storage import beat, day_statements
from bot.storage.repository import Repository
from bot.storage.rows import AnyRow, kept, new_id, value_of
from bot.storage.tables import concerns, questions, unseen_spells

MOST_AT_ONCE = 100  # of what is due, in one beat


class Concerns(Repository):
    def add(
        self,
        *,
        family_id: FamilyId,
        carer_id: CarerId,
        urgency: Urgency,
        topics: Sequence[str],
        text: str,
        at: datetime,
        message_id: MessageId | None = None,
        ask_until: datetime | None = None,
        discreet: bool = False,
    ) -> ConcernId:
        """Keep a concern in the carer's own words and return its number.

        ask_until: it is unclear, the carer is asked about it, and it is forwarded then.
        discreet: nothing of it may show where others of the home can read it.
        """
        inserted = self._conn.execute(
            insert(concerns).values(
                family_id=family_id,
                carer_id=carer_id,
                urgency=urgency,
                topics=list(topics),
                text=text,
                at=at,
                message_id=message_id,
                ask_until=ask_until,
                discreet=discreet,
                state="open" if ask_until is None else "asked",
            )
        )
        return ConcernId(new_id(inserted))

    def find(self, concern_id: ConcernId) -> ConcernRow | None:
        row = (self._conn.execute(select(concerns).where(concerns.c.id == concern_id))).first()
        return None if row is None else _concern(row)

    def get(self, concern_id: ConcernId) -> ConcernRow:
        """Return a concern that is known to be kept. Raises NotKept."""
        return kept(self.find(concern_id), "concern", concern_id)

    def set_advice(self, concern_id: ConcernId, advice: str) -> None:
        """Note which reviewed advice the carer got. advice: its phrase key."""
        self._set(concern_id, {"advice": advice})

    def confirm(self, concern_id: ConcernId) -> None:
        """Have an unclear concern stand: the carer said so, or did not answer in time."""
        self._set(concern_id, {"state": "open", "ask_until": None})

    def deny(self, concern_id: ConcernId) -> None:
        """Note that the carer said an unclear concern is none."""
        self._set(concern_id, {"state": "denied", "ask_until": None})

    def note_notified(self, concern_id: ConcernId, *, first_at: datetime | None, count: int) -> None:
        """Note that therapists were told. first_at: of the first time."""
        self._set(concern_id, {"told_at": first_at, "tellings": count})

    def book_how(self, concern_id: ConcernId, at: datetime) -> None:
        """Note when the carer is to be asked how the baby is."""
        self._set(concern_id, {"ask_how_at": at})

    def how_asked(self, ids: Sequence[int]) -> None:
        self._conn.execute(update(concerns).where(concerns.c.id.in_(ids)).values(ask_how_at=None))

    def how_due(self, now: datetime) -> list[ConcernRow]:
        """Return concerns of which it is time to ask how the baby is."""
        rows = beat.HOW_IS_BABY.all(self._conn, {"now": now, "most": MOST_AT_ONCE})
        return [_concern(row) for row in rows]

    def how_waiting(self, family_id: FamilyId) -> list[ConcernRow]:
        """Return a family's concerns of which somebody is yet to be asked how the baby is."""
        rows = self._conn.execute(
            select(concerns)
            .where(concerns.c.family_id == family_id, concerns.c.ask_how_at.is_not(None))
            .order_by(concerns.c.id)
        )
        return [_concern(row) for row in rows]

    def settle(
        self,
        concern_id: ConcernId,
        state: ConcernState,
        *,
        by: str,
        seen_at: datetime,
        answered_at: datetime | None,
    ) -> None:
        """Note what a therapist did with a concern. by: the therapist's id."""
        done = {"seen_at": seen_at, "answered_at": answered_at, "handled_by": by}
        self._set(concern_id, {"state": state, **done})

    def _set(self, concern_id: ConcernId, values: Mapping[str, object]) -> None:
        self._conn.execute(update(concerns).where(concerns.c.id == concern_id).values(values))

    def settle_as(self, concern_id: ConcernId, other_id: ConcernId) -> None:
        """Note of a concern what a therapist did with another one."""
        columns = (concerns.c.state, concerns.c.seen_at, concerns.c.answered_at, concerns.c.handled_by)
        done = self._conn.execute(select(*columns).where(concerns.c.id == other_id)).one()
        self._set(concern_id, dict(done._mapping))

    def of_message(self, message_id: MessageId) -> list[ConcernRow]:
        rows = self._conn.execute(
            select(concerns).where(concerns.c.message_id == message_id).order_by(concerns.c.id)
        )
        return [_concern(row) for row in rows]

    def unanswered_asks(self, now: datetime) -> list[ConcernRow]:
        """Return unclear concerns that were asked about and stayed unanswered too long."""
        rows = beat.UNANSWERED_ASKS.all(self._conn, {"now": now, "most": MOST_AT_ONCE})
        return [_concern(row) for row in rows]

    def asked_about_since(self, start: datetime) -> list[tuple[str, bool]]:
        """Return the messages that carers were asked about from an instant on, and whether they were said to be none.

        What was said to be one is a concern like any other since.
        """
        rows = self._conn.execute(
            select(concerns.c.text, concerns.c.state)
            .where(concerns.c.at >= start, concerns.c.state.in_(("asked", "denied")))
            .order_by(concerns.c.id)
        )
        return [(row.text, row.state == "denied") for row in rows]

    def asked_in_family(self, family_id: FamilyId) -> list[ConcernRow]:
        """Return what a family was asked about and has not answered, the newest first."""
        rows = self._conn.execute(
            select(concerns)
            .where(concerns.c.family_id == family_id, concerns.c.state == "asked")
            .order_by(concerns.c.id.desc())
        )
        return [_concern(row) for row in rows]

    def unseen_in_family(self, family_id: FamilyId) -> list[ConcernRow]:
        """Return urgent concerns that no therapist has seen, the most urgent first, then by time."""
        rows = self._conn.execute(
            select(concerns)
            .where(concerns.c.family_id == family_id, concerns.c.state == "open")
            .where(concerns.c.urgency != "tell_therapist")
            .order_by(concerns.c.at, concerns.c.id)
        )
        return sorted((_concern(row) for row in rows), key=lambda each: URGENCIES.index(each.urgency))

    def spell(self, family_id: FamilyId) -> UnseenSpell | None:
        """Return since when a family's concerns wait to be seen, None where none does."""
        row = self._conn.execute(
            select(unseen_spells).where(unseen_spells.c.family_id == family_id).with_for_update()
        ).first()
        return None if row is None else value_of(UnseenSpell, row)

    def keep_spell(self, spell: UnseenSpell) -> None:
        self.end_spell(spell.family_id)
        self._conn.execute(insert(unseen_spells).values(asdict(spell)))

    def end_spell(self, family_id: FamilyId) -> None:
        self._conn.execute(delete(unseen_spells).where(unseen_spells.c.family_id == family_id))

    def spells_due(self, now: datetime) -> list[UnseenSpell]:
        """Return the spells of families that are to be told of again, the longest overdue first."""
        rows = beat.SPELLS.all(self._conn, {"now": now, "most": MOST_AT_ONCE})
        return [value_of(UnseenSpell, row) for row in rows]

    def next_notification(self) -> datetime | None:
        """Return when a concern next needs something: an ask unanswered, unseen ones told again, a morning after."""
        return beat.first_of(self._conn, beat.NEXT_OF_CONCERNS)

    def open_in_family(self, family_id: FamilyId) -> list[ConcernRow]:
        """Return concerns that no therapist has dealt with (seen is not dealt with), the most urgent told first."""
        rows = self._conn.execute(
            select(concerns)
            .where(concerns.c.family_id == family_id, concerns.c.state.in_(("open", "seen")))
            .where(concerns.c.answered_at.is_(None))
            .order_by(concerns.c.at, concerns.c.id)
        )
        found = [_concern(row) for row in rows]
        return sorted(found, key=lambda each: URGENCIES.index(each.urgency))

    def unreleased(self, family_id: FamilyId) -> list[ConcernRow]:
        """Return concerns that stand and that no therapist has let go on from, whatever they are about, by time."""
        return [_concern(row) for row in day_statements.UNRELEASED.all(self._conn, {"family": family_id})]

    def release(self, ids: Sequence[int], now: datetime) -> None:
        """Note that a therapist lets go on what these concerns held."""
        self._conn.execute(update(concerns).where(concerns.c.id.in_(ids)).values(released_at=now))

    def families_waiting(self, family_ids: Sequence[FamilyId]) -> set[FamilyId]:
        """Return which of these families have an urgent concern or a question that nobody has dealt with."""
        waiting: set[FamilyId] = set()
        for query in (
            select(concerns.c.family_id).where(
                concerns.c.state.in_(("open", "seen")),
                concerns.c.answered_at.is_(None),
                concerns.c.urgency != "tell_therapist",
                concerns.c.family_id.in_(family_ids),
            ),
            select(questions.c.family_id).where(
                questions.c.answered_at.is_(None), questions.c.family_id.in_(family_ids)
            ),
        ):
            waiting |= set((self._conn.scalars(query.distinct())).all())
        return waiting

    def long_unseen(self, before: datetime) -> int:
        """Return how many urgent concerns of before an instant no therapist has seen."""
        found = self._conn.scalar(
            select(func.count())
            .select_from(concerns)
            .where(concerns.c.state == "open", concerns.c.urgency != "tell_therapist", concerns.c.at < before)
        )
        return int(found or 0)


def _concern(row: AnyRow) -> ConcernRow:
    return value_of(
        ConcernRow,
        row,
        topics=tuple(row.topics),
        notified_at=row.told_at,
        notification_count=row.tellings,
    )
