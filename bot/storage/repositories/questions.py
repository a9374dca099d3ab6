"""Concerns and questions: what must reach the therapist, and whether it has."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import insert, select, update

from bot.domain.concerns import QuestionKind, QuestionRow
from bot.domain.ids import CarerId, FamilyId, MessageId, QuestionId
from bot.domain.subject import Subject
from bot.storage import beat
from bot.storage.repository import Repository
from bot.storage.rows import AnyRow, kept, new_id, value_of
from bot.storage.tables import questions


class Questions(Repository):
    def add(
        self,
        *,
        family_id: FamilyId,
        carer_id: CarerId,
        kind: QuestionKind,
        text: str,
        at: datetime,
        message_id: MessageId | None = None,
        activity: str | None = None,
        thread: Subject | None = None,
    ) -> QuestionId:
        """Keep a question in the carer's own words and return its number. thread: what it goes on from."""
        inserted = self._conn.execute(
            insert(questions).values(
                family_id=family_id,
                carer_id=carer_id,
                kind=kind,
                text=text,
                at=at,
                message_id=message_id,
                activity=activity,
                thread=thread.stored if thread else None,
            )
        )
        return QuestionId(new_id(inserted))

    def find(self, question_id: QuestionId) -> QuestionRow | None:
        row = (self._conn.execute(select(questions).where(questions.c.id == question_id))).first()
        return None if row is None else _question(row)

    def get(self, question_id: QuestionId) -> QuestionRow:
        """Return a question that is known to be kept. Raises NotKept."""
        return kept(self.find(question_id), "question", question_id)

    def set_activity(self, question_id: QuestionId, activity: str) -> None:
        """Note which hold a question is about."""
        self._conn.execute(update(questions).where(questions.c.id == question_id).values(activity=activity))

    def note_notified(self, question_id: QuestionId, now: datetime) -> None:
        """Note that a question has reached a therapist."""
        self._conn.execute(update(questions).where(questions.c.id == question_id).values(told_at=now))

    def answer(self, question_id: QuestionId, text: str, *, by: str, now: datetime) -> None:
        """Keep a therapist's answer. by: the therapist's id."""
        self._conn.execute(
            update(questions)
            .where(questions.c.id == question_id)
            .values(answer=text, answered_by=by, answered_at=now)
        )

    def unnotified(self) -> list[QuestionRow]:
        """Return questions that have reached no therapist yet, the oldest first."""
        return [_question(row) for row in beat.UNNOTIFIED.all(self._conn, {"most": 50})]

    def open_in_family(self, family_id: FamilyId) -> list[QuestionRow]:
        """Return questions without an answer, the oldest first."""
        rows = self._conn.execute(
            select(questions)
            .where(questions.c.family_id == family_id, questions.c.answered_at.is_(None))
            .order_by(questions.c.at, questions.c.id)
        )
        return [_question(row) for row in rows]

    def of_message(self, message_id: MessageId) -> QuestionRow | None:
        """Return the question that a message was passed on as, the newest."""
        row = (
            self._conn.execute(
                select(questions)
                .where(questions.c.message_id == message_id)
                .order_by(questions.c.id.desc())
                .limit(1)
            )
        ).first()
        return None if row is None else _question(row)


def _question(row: AnyRow) -> QuestionRow:
    return value_of(QuestionRow, row, thread=Subject.from_stored(row.thread))
