"""Erasing a carer's words, or a whole family, so that nothing of them can be read any more.

What stays: the audit log (who did or saw what and when: ids, no words), and for a carer a nameless row under which the
baby's minutes stand, since the other carers' plan is reckoned from them. What was delivered lies in the messaging
service and in the clinic's own files; nobody can take it back from here, and backups go in their own time.
"""

from __future__ import annotations

import html
import json
from collections.abc import Collection, Iterable
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Table, and_, delete, func, select, update

from bot.domain.actor import Actor
from bot.domain.ids import CarerId, ChatId, FamilyId
from bot.domain.subject import NumberedKind, Subject
from bot.storage.prepared import Prepared
from bot.storage.rows import AnyRow
from bot.storage.tables import (  # fmt: skip
    answers,
    audit,
    carers,
    chats,
    concerns,
    confidences,
    digests,
    families,
    inbox,
    invitations,
    messages,
    metadata,
    observations,
    outbox,
    questions,
    therapists,
)
from bot.storage.unit_of_work import UnitOfWork

NAMELESS = "–"
UNSETTLED = ("waiting", "sending")
ERASED = Subject("erased")  # what the last words to who was erased are about: they go once they are sent
_SETTLED = outbox.c.state.not_in(UNSETTLED)
_PARTED = select(outbox.c.chat_id).where(outbox.c.about == ERASED.stored)
_PARTED_PRESSES = Prepared(
    delete(outbox).where(outbox.c.action == "press", outbox.c.chat_id.in_(_PARTED), _SETTLED)
)
_PARTING_WORDS = Prepared(delete(outbox).where(outbox.c.about == ERASED.stored, _SETTLED))

# Tables that hold a family's rows and are dealt with on their own, not row by row with the family.
APART = {audit.name, chats.name, outbox.name}
# What goes with a carer's words. Minutes (sessions, skips) stay under the nameless carer.
WORDS_OF_A_CARER: tuple[Table, ...] = (
    answers, questions, concerns, observations, confidences, messages, invitations,
)  # fmt: skip
MINUTES_OF_A_CARER = {"sessions", "skips"}
_AFTER_ERASURE: dict[str, Any] = {
    "name": NAMELESS,
    "role": "other",
    "chat_id": None,
    "state": "left",
    "gets_prompts": False,
    "on_duty_until": None,
    "taught": {},
}


def rows_of_family(uow: UnitOfWork, family_id: FamilyId) -> dict[str, int]:
    """Return how many rows each table holds of a family, those with none left out."""
    counts = {}
    for table in _tables_of_a_family():
        count = uow.conn.scalar(select(func.count()).select_from(table).where(table.c.family_id == family_id))
        if count:
            counts[table.name] = int(count)
    return counts


def _tables_of_a_family() -> list[Table]:
    """Return the tables with a family's rows, those that refer to others first."""
    return [
        table
        for table in reversed(metadata.sorted_tables)
        if "family_id" in table.c and table.name not in APART
    ]


def erase_family(uow: UnitOfWork, family_id: FamilyId, now: datetime, *, who: Actor) -> None:
    """Erase every row of a family, its sealed inbox and outbox payloads included. who: for the audit log."""
    _draw_anew(uow)
    family = (uow.conn.execute(select(families).where(families.c.id == family_id))).one()
    its_carers = (uow.conn.execute(select(carers).where(carers.c.family_id == family_id))).all()
    chat_ids = {row.chat_id for row in its_carers if row.chat_id is not None}
    needles = {family.nickname, *(row.name for row in its_carers)}
    needles |= _texts(uow, concerns, family_id) | _texts(uow, questions, family_id)
    abouts = _abouts(uow, family_id, None)
    unlink_messages(uow, messages.c.family_id == family_id)
    for table in _tables_of_a_family():
        uow.conn.execute(delete(table).where(table.c.family_id == family_id))
    uow.conn.execute(delete(outbox).where(outbox.c.family_id == family_id))
    uow.conn.execute(delete(families).where(families.c.id == family_id))
    _forget_chats(uow, chat_ids, family_id)
    _forget_with_therapists(uow, abouts, needles)
    uow.audit.note(who=who, what="family erased", now=now, family_id=family_id)


def erase_carer(
    uow: UnitOfWork, family_id: FamilyId, carer_id: CarerId, now: datetime, *, who: Actor
) -> None:
    """Erase one carer's words and name; the baby's minutes stay, nameless."""
    _draw_anew(uow)
    carer = (
        uow.conn.execute(select(carers).where(carers.c.family_id == family_id, carers.c.id == carer_id))
    ).one()
    needles = {carer.name} | _texts(uow, concerns, family_id, carer_id)
    needles |= _texts(uow, questions, family_id, carer_id)
    abouts = _abouts(uow, family_id, carer_id)
    mine = and_(messages.c.family_id == family_id, messages.c.carer_id == carer_id)
    unlink_messages(uow, mine)
    for table in WORDS_OF_A_CARER:
        uow.conn.execute(delete(table).where(table.c.family_id == family_id, table.c.carer_id == carer_id))
    uow.conn.execute(
        update(carers).where(carers.c.family_id == family_id, carers.c.id == carer_id).values(_AFTER_ERASURE)
    )
    uow.plans.forget_notes_of(family_id, Actor.carer(carer_id))
    others = _chats_of(uow, family_id)
    if carer.chat_id is not None:
        uow.conn.execute(
            delete(outbox).where(outbox.c.chat_id == carer.chat_id, outbox.c.family_id == family_id)
        )
        _forget_chats(uow, {carer.chat_id}, family_id)
    for chat_id in others:
        if chat_id < 0:  # the family's group: what everybody wrote there
            _empty_inbox(uow, chat_id, inbox.c.state != "new")
    _forget_told(uow, others, needles)
    _forget_with_therapists(uow, abouts, needles)
    uow.audit.note(who=who, what="carer erased", now=now, family_id=family_id, detail=carer_id)


def _chats_of(uow: UnitOfWork, family_id: FamilyId) -> set[ChatId]:
    return {each.chat_id for each in uow.carers.of_family(family_id) if each.chat_id is not None}


def open_concerns(uow: UnitOfWork, family_id: FamilyId, carer_id: CarerId | None = None) -> list[str]:
    """Return the urgencies of concerns that no therapist has seen yet (of one carer, or of the family)."""
    query = select(concerns.c.urgency).where(
        concerns.c.family_id == family_id,
        concerns.c.state.in_(("asked", "open")),
        concerns.c.seen_at.is_(None),
    )
    if carer_id is not None:
        query = query.where(concerns.c.carer_id == carer_id)
    return [str(urgency) for urgency in uow.conn.scalars(query)]


def forget_last_words(uow: UnitOfWork) -> None:
    """Remove the sent words of parting to those who were erased, and the notes on the buttons that they pressed."""
    for which in (_PARTED_PRESSES, _PARTING_WORDS):
        if which.change(uow.conn, {}):
            uow.erased = True


def _draw_anew(uow: UnitOfWork) -> None:
    """Have all that is being drawn read its facts anew: they were read before the erasure."""
    uow.erased = True
    uow.renderings.free_all()


def _texts(uow: UnitOfWork, table: Table, family_id: FamilyId, carer_id: CarerId | None = None) -> set[str]:
    query = select(table.c.text).where(table.c.family_id == family_id)
    if carer_id is not None:
        query = query.where(table.c.carer_id == carer_id)
    return {text for text in uow.conn.scalars(query) if text}


def _abouts(uow: UnitOfWork, family_id: FamilyId, carer_id: CarerId | None) -> set[str]:
    """Return what messages to therapists about these concerns, questions and people are marked with.

    carer_id: None for the whole family, each of its carers included.
    """
    whom = [each.id for each in uow.carers.of_family(family_id)] if carer_id is None else [carer_id]
    found = {Subject.family(family_id, each) for each in whom}
    if carer_id is None:
        found.add(Subject.family(family_id))
    kinds: tuple[tuple[Table, NumberedKind], ...] = ((concerns, "concern"), (questions, "question"))
    for table, kind in kinds:
        query = select(table.c.id).where(table.c.family_id == family_id)
        if carer_id is not None:
            query = query.where(table.c.carer_id == carer_id)
        found |= {Subject.of(kind, row_id) for row_id in uow.conn.scalars(query)}
    return {each.stored for each in found}


def unlink_messages(uow: UnitOfWork, which: ColumnElement[bool]) -> None:
    """Let go of messages that are about to be deleted; minutes and a twin's concern refer to them."""
    gone = select(messages.c.id).where(which)
    for table in metadata.sorted_tables:
        column = table.c.get("message_id")
        if column is not None and any(key.column.table is messages for key in column.foreign_keys):
            uow.conn.execute(update(table).where(column.in_(gone)).values(message_id=None))


def _forget_chats(uow: UnitOfWork, chat_ids: Iterable[ChatId], family_id: FamilyId) -> None:
    """Empty what the edge keeps of chats, and forget where their talks stood."""
    for chat_id in chat_ids:
        elsewhere = uow.conn.scalar(
            select(func.count())
            .select_from(carers)
            .where(carers.c.chat_id == chat_id, carers.c.family_id != family_id, carers.c.state != "left")
        )
        _empty_inbox(uow, chat_id)
        uow.conn.execute(
            delete(messages).where(messages.c.chat_id == chat_id, messages.c.family_id.is_(None))
        )
        if elsewhere:
            uow.conn.execute(
                update(chats)
                .where(chats.c.chat_id == chat_id)
                .values(step=None, step_data=None, family_id=None)
            )
        else:
            uow.conn.execute(delete(outbox).where(outbox.c.chat_id == chat_id))
            uow.conn.execute(delete(chats).where(chats.c.chat_id == chat_id))


def _empty_inbox(
    uow: UnitOfWork, chat_id: ChatId, which: ColumnElement[bool] | None = None, *, keep_chat: bool = False
) -> None:
    """Empty the updates of a chat, those that wait included; the rows stay, since the newest says where to go on."""
    query = select(inbox.c.seq, inbox.c.update_id, inbox.c.state).where(inbox.c.chat_id == chat_id)
    for row in (uow.conn.execute(query if which is None else query.where(which))).all():
        uow.conn.execute(
            update(inbox)
            .where(inbox.c.seq == row.seq)
            .values(
                raw={"update_id": row.update_id},
                chat_id=chat_id if keep_chat else None,
                state="done" if row.state == "new" else row.state,
                error=None,
            )
        )


def _forget_with_therapists(uow: UnitOfWork, abouts: set[str], needles: set[str]) -> None:
    """Empty what therapists' chats hold of these words: alerts, questions, digests, and their own answers."""
    therapist_chats = [
        chat_id for chat_id in uow.conn.scalars(select(therapists.c.chat_id)) if chat_id is not None
    ]
    uow.conn.execute(delete(outbox).where(outbox.c.about.in_(abouts)))
    _forget_told(uow, therapist_chats, needles)
    for chat_id in therapist_chats:
        _empty_inbox(uow, chat_id, inbox.c.state != "new", keep_chat=True)


def _forget_told(uow: UnitOfWork, chat_ids: Collection[ChatId], needles: set[str]) -> None:
    """Empty what was said in chats where it names or quotes them.

    What still waits is left to go out: it may be another family's concern, in which the same name stands. A digest that
    waits is made anew; what is not drawn yet is drawn from what is left.
    """
    rows = uow.conn.execute(
        select(outbox.c.id, outbox.c.chat_id, outbox.c.kind, outbox.c.state, outbox.c.payload).where(
            outbox.c.chat_id.in_(chat_ids)
        )
    )
    for row in rows.all():
        if row.state == "rendering" or not _tells(row, needles):
            continue
        if row.state not in UNSETTLED:
            uow.conn.execute(update(outbox).where(outbox.c.id == row.id).values(payload={"text": ""}))
        elif row.kind == "digest":
            uow.conn.execute(delete(outbox).where(outbox.c.id == row.id))
            _digest_again(uow, row.chat_id)


def _tells(row: AnyRow, needles: set[str]) -> bool:
    payload = row.payload
    if row.kind == "digest" or (payload.get("file") or {}).get("content"):
        return True
    said = html.unescape(json.dumps(payload, ensure_ascii=False))
    return any(json.dumps(needle, ensure_ascii=False)[1:-1] in said for needle in needles if needle)


def _digest_again(uow: UnitOfWork, chat_id: ChatId) -> None:
    """Have a digest that was not sent yet made anew, without what was erased."""
    therapist = (uow.conn.execute(select(therapists).where(therapists.c.chat_id == chat_id))).first()
    if therapist is None or therapist.digest_until is None:
        return
    made = and_(digests.c.therapist_id == therapist.id, digests.c.to_at == therapist.digest_until)
    from_at = uow.conn.scalar(select(digests.c.from_at).where(made))
    uow.conn.execute(delete(digests).where(made))
    uow.conn.execute(
        update(therapists)
        .where(therapists.c.id == therapist.id)
        .values(digest_until=from_at, next_digest_at=therapist.digest_until)
    )
