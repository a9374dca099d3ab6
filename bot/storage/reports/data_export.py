"""A carer's copy of what is kept: their own words whole, and the baby's figures, plan and log.

Other carers' words are theirs and are left out, because one carer may have written what another must not read. Day
care gets what it wrote itself and no more; and so does who left, up to when they left.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Table, or_, select

from bot.concerns.finding import LEARNED
from bot.domain.actor import Actor
from bot.domain.ids import CarerId
from bot.domain.people import Carer, Family
from bot.domain.subject import Subject
from bot.storage.tables import (  # fmt: skip
    concerns,
    confidences,
    messages,
    observations,
    questions,
    reminders,
    sessions,
    skips,
)
from bot.storage.unit_of_work import UnitOfWork

FORMAT = 1


def copy_of(
    uow: UnitOfWork, family: Family, carer: Carer, now: datetime, *, whole_family: bool
) -> dict[str, Any]:
    """Return the copy as JSON values, times as ISO 8601 local ones. whole_family: not for day care, nor who left."""
    whole_family = whole_family and carer.state != "left"
    names = {each.id: each.name for each in uow.carers.of_family(family.id)}
    reader = _Reader(uow, family, carer, names)
    unshown = reader.unshown()
    copy: dict[str, Any] = {
        "format": FORMAT,
        "made_at": _local(family, now),
        "for": {"name": carer.name, "role": carer.role, "language": carer.language},
        "baby": family.nickname,
        "time_zone": family.zone.key,
        "messages": reader.rows(
            messages,
            ("at", "kind", "text", "edited_at"),
            own=True,
            but=messages.c.id.not_in(unshown.messages),
        ),
        "concerns": reader.rows(
            concerns,
            ("at", "urgency", "text", "state", "seen_at", "answered_at"),
            own=True,
            but=concerns.c.id.not_in([int(each) for each in unshown.concerns]),
        ),
        "questions": reader.rows(
            questions,
            ("at", "kind", "activity", "text", "answered_at", "answer"),
            own=True,
            but=or_(questions.c.thread.is_(None), questions.c.thread.not_in(unshown.threads)),
        ),
        "confidence": reader.rows(confidences, ("at", "activity", "value"), own=True),
        **_of_baby(reader, own=not whole_family),
    }
    if whole_family:
        copy |= {"reminders": reader.reminders()} | _of_whole_family(uow, family, names, unshown)
    return copy


def _of_baby(reader: _Reader, *, own: bool) -> dict[str, Any]:
    return {
        "minutes": reader.rows(
            sessions, ("at", "local_date", "activity", "minutes", "side", "state"), own=own
        ),
        "not_done": reader.rows(skips, ("at", "activity", "reason"), own=own),
        "observations": reader.rows(observations, ("at", "kind", "side", "activity"), own=own),
    }


def _of_whole_family(
    uow: UnitOfWork, family: Family, names: dict[CarerId, str], unshown: _Unshown
) -> dict[str, Any]:
    return {
        "plan": _plan_versions(uow, family, names),
        "carers": [
            {"name": each.name, "role": each.role, "state": each.state}
            for each in uow.carers.of_family(family.id)
        ],
        "who_saw_what": [
            {"at": _local(family, act.at), "who": _called(act.who, names), "what": act.what}
            for act in uow.audit.of_family(family.id, most=10_000)
            if act.detail not in unshown.concerns or not act.what.startswith("concern ")
        ],
    }


def _local(family: Family, instant: datetime | None) -> str | None:
    return None if instant is None else family.local(instant).isoformat(timespec="seconds")


def _called(who: Actor, names: dict[CarerId, str]) -> str:
    """Return the name of a carer, others as they are kept."""
    return names.get(CarerId(who.id), who.id) if who.kind == "carer" else who.stored


def _plan_versions(uow: UnitOfWork, family: Family, names: dict[CarerId, str]) -> list[dict[str, Any]]:
    return [
        {
            "version": each.version,
            "made_at": _local(family, each.made_at),
            "made_by": _called(each.made_by, names),
            "note": each.note,
            "plan": each.document,
        }
        for each in uow.plans.versions(family.id)
    ]


@dataclass(frozen=True, slots=True)
class _Unshown:
    """What a copy leaves out, since others of the home may read it: numbers of concerns and messages, and threads."""

    concerns: frozenset[str]
    messages: frozenset[int]
    threads: frozenset[str]


class _Reader:
    def __init__(self, uow: UnitOfWork, family: Family, carer: Carer, names: dict[CarerId, str]) -> None:
        self._uow, self._family, self._carer, self._names = uow, family, carer, names
        # What came after they left is not theirs to see.
        self._until = carer.left_at if carer.state == "left" else None

    def unshown(self) -> _Unshown:
        """Return the family's concerns that must not show in the home, and what was written about them.

        What no rule names, and its carer has not denied, may be of the home.
        """
        kept = select(concerns).where(concerns.c.family_id == self._family.id)
        found = [
            row
            for row in self._uow.conn.execute(kept)
            if row.discreet or (LEARNED in row.topics and row.state != "denied")
        ]
        return _Unshown(
            concerns=frozenset(str(row.id) for row in found),
            messages=frozenset(row.message_id for row in found if row.message_id is not None),
            threads=frozenset(Subject.of("concern", row.id).stored for row in found),
        )

    def rows(
        self, table: Table, fields: tuple[str, ...], *, own: bool, but: ColumnElement[bool] | None = None
    ) -> list[dict[str, Any]]:
        """Return rows in the order of time. own: this carer's alone; else each names its carer. but: which of them."""
        query = select(table).where(table.c.family_id == self._family.id).order_by(table.c.at, table.c.id)
        if but is not None:
            query = query.where(but)
        if own:
            query = query.where(table.c.carer_id == self._carer.id)
        if self._until is not None:
            query = query.where(table.c.at <= self._until)
        found = []
        for row in self._uow.conn.execute(query):
            values = {field: self._plain(getattr(row, field)) for field in fields}
            if self._is_later(getattr(row, "answered_at", None)):
                values |= {field: None for field in ("answered_at", "answer") if field in values}
            if not own:
                values["carer"] = self._names.get(row.carer_id, row.carer_id)
            found.append(values)
        return found

    def reminders(self) -> list[dict[str, Any]]:
        rows = self._uow.conn.execute(
            select(reminders)
            .where(reminders.c.family_id == self._family.id, reminders.c.sent_at.is_not(None))
            .order_by(reminders.c.sent_at, reminders.c.id)
        )
        fields = ("sent_at", "activity", "side", "minutes", "state")
        return [{field: self._plain(getattr(row, field)) for field in fields} for row in rows]

    def _is_later(self, instant: datetime | None) -> bool:
        return self._until is not None and instant is not None and instant > self._until

    def _plain(self, value: Any) -> Any:
        if isinstance(value, datetime):
            return None if self._is_later(value) else _local(self._family, value)
        return value.isoformat() if hasattr(value, "isoformat") else value
