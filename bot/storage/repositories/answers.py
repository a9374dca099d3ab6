"""What therapists wrote to families, message by message, so that a thread stays together and an edit finds its copy."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import insert, select, update

from bot.domain.ids import AnswerId, CarerId, ChatId, FamilyId, OutboxId, TherapistId
from bot.domain.subject import Subject
from bot.domain.threads import Answer
from bot.storage.repository import Repository
from bot.storage.rows import AnyRow, value_of
from bot.storage.tables import answers


class Answers(Repository):
    def keep(
        self,
        *,
        family_id: FamilyId,
        carer_id: CarerId,
        therapist_id: TherapistId,
        thread: Subject | None,
        chat_id: ChatId,
        message_id: int,
        kind: str,
        text: str,
        at: datetime,
    ) -> AnswerId:
        """Keep what a therapist wrote to one carer; return its number.

        chat_id, message_id: of the therapist's message. thread: None for a letter, until it is known what it begins.
        """
        inserted = self._conn.execute(
            insert(answers)
            .values(
                family_id=family_id,
                carer_id=carer_id,
                therapist_id=therapist_id,
                thread=thread.stored if thread else "letter",
                chat_id=chat_id,
                message_id=message_id,
                kind=kind,
                text=text,
                at=at,
            )
            .returning(answers.c.id)
        )
        return AnswerId(inserted.scalar_one())

    def note_sent(self, answer_id: AnswerId, *, thread: Subject, outbox_id: OutboxId | None) -> None:
        """Note what the carer got, and the thread that it stands in."""
        self._conn.execute(
            update(answers).where(answers.c.id == answer_id).values(thread=thread.stored, outbox_id=outbox_id)
        )

    def edit(self, answer_id: AnswerId, text: str, now: datetime) -> None:
        """Keep the new wording of what a therapist wrote."""
        self._conn.execute(update(answers).where(answers.c.id == answer_id).values(text=text, edited_at=now))

    def find(self, answer_id: AnswerId) -> Answer | None:
        row = (self._conn.execute(select(answers).where(answers.c.id == answer_id))).first()
        return None if row is None else _answer(row)

    def of_thread(self, thread: Subject) -> list[Answer]:
        """Return what answers one concern, question or letter, the oldest first."""
        rows = self._conn.execute(
            select(answers).where(answers.c.thread == thread.stored).order_by(answers.c.id)
        )
        return [_answer(row) for row in rows]

    def of_message(self, chat_id: ChatId, message_id: int) -> list[Answer]:
        """Return the copies of one message of a therapist: one a carer whom it went to."""
        rows = self._conn.execute(
            select(answers)
            .where(answers.c.chat_id == chat_id, answers.c.message_id == message_id)
            .order_by(answers.c.id)
        )
        return [_answer(row) for row in rows]


def _answer(row: AnyRow) -> Answer:
    thread = Subject.from_stored(row.thread) or Subject.of("letter", row.id)
    return value_of(Answer, row, thread=thread, text=row.text or "")
