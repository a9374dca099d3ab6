"""The facts of one family in one period, read from the records for the digest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from typing import Any

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.digest.facts import (
    ConcernFact,
    ConfidenceFact,
    DayFacts,
    Due,
    FamilyFacts,
    NoteFact,
    ObservationFact,
    PlanChangeFact,
    PreviousFacts,
    PromptFact,
    QuestionFact,
    SessionFact,
    SkipFact,
    UnreadFact,
    part_of_day,
)  # fmt: skip
from bot.phrases import Words, words_for
from bot.records import day as days_of
from bot.records import log, people, worries
from bot.records.day import PlanVersion
from bot.records.notes import Note
from bot.records.notes import between as notes_between
from bot.records.notes import pauses as pauses_of
from bot.records.people import Family
from bot.records.tables import confidences, messages, observations, reminders, skips
from scheduling.day import shape_of, target_minutes
from scheduling.localtime import instant_for
from scheduling.plan import Plan
from scheduling.rotation import share_of_left


async def facts_between(
    conn: AsyncConnection, family: Family, now: datetime, *, from_at: datetime, to_at: datetime
) -> FamilyFacts:
    """Return the facts of [from_at, to_at), a digest's period, which may begin and end within a day."""
    first = family.local(from_at).date()
    last = family.local(to_at - timedelta(microseconds=1)).date()
    return await _facts(conn, family, now, (first, last), (from_at, to_at), by_date=False)


async def facts_of(
    conn: AsyncConnection, family: Family, now: datetime, *, last: date, days: int
) -> FamilyFacts:
    """Return the facts of whole local days, `last` included; a session told later belongs to the day it was done on."""
    first = last - timedelta(days=days - 1)
    from_at = instant_for(first, time(0), family.zone)
    to_at = instant_for(last + timedelta(days=1), time(0), family.zone)
    return await _facts(conn, family, now, (first, last), (from_at, to_at), by_date=True)


async def _facts(
    conn: AsyncConnection,
    family: Family,
    now: datetime,
    dates: tuple[date, date],
    period: tuple[datetime, datetime],
    *,
    by_date: bool,
) -> FamilyFacts:
    (first, last), (from_at, to_at) = dates, period
    versions = await days_of.plan_versions(conn, family.id)
    newest = versions[-1].plan
    began = await days_of.began_at(conn, family.id, versions[0].made_at)
    names = {carer.id: carer.name for carer in await people.carers_of(conn, family.id)}
    reader = _Reader(conn, family, names)
    pauses = await pauses_of(conn, family.id, to_at)
    span = to_at - from_at
    days_before = last - first + timedelta(days=1)
    return FamilyFacts(
        family=family.id,
        nickname=family.nickname,
        time_zone=family.zone.key,
        affected_side=newest.baby.affected_side,
        born=newest.baby.born,
        gestation_weeks=newest.baby.gestation_weeks,
        days=tuple(
            _marked(_day(each, versions, began, family, from_at, to_at), pauses, family)
            for each in _dates(first, last)
        ),
        as_of=min(now, to_at),
        from_at=from_at,
        to_at=to_at,
        days_with_word=await reader.days_with_word(from_at, to_at),
        sessions=await (reader.done_on(first, last) if by_date else reader.logged(from_at, to_at)),
        prompts=await reader.prompts(from_at, to_at),
        skips=await reader.skips(from_at, to_at),
        observations=await reader.observations(from_at, to_at),
        confidence=await reader.confidence(to_at),
        concerns=await reader.concerns(from_at, to_at),
        questions=await reader.questions(from_at, to_at),
        unread=await reader.unread(from_at, to_at),
        carers=tuple(names.values()),
        plan_changes=tuple(
            PlanChangeFact(at=version.made_at, version=version.version, text=version.note or "")
            for version in versions
            if version.version > 1 and from_at <= version.made_at < to_at
        ),
        notes=await reader.notes(from_at, to_at),
        previous=PreviousFacts(
            days=tuple(_day(each, versions, began, family, from_at - span, from_at) for each in _dates(
                family.local(from_at - span).date(), family.local(from_at - timedelta(microseconds=1)).date()
            )),
            days_with_word=await reader.days_with_word(from_at - span, from_at),
            sessions=await (
                reader.done_on(first - days_before, last - days_before)
                if by_date
                else reader.logged(from_at - span, from_at)
            ),
            observations=await reader.observations(from_at - span, from_at),
        )
        if began < from_at
        else None,
    )  # fmt: skip


def _dates(first: date, last: date) -> list[date]:
    return [first + timedelta(days=offset) for offset in range((last - first).days + 1)]


def _day(
    local_day: date,
    versions: Sequence[PlanVersion],
    began: datetime,
    family: Family,
    from_at: datetime,
    to_at: datetime,
) -> DayFacts:
    """Return what the plan in force at the end of a local day asked of it."""
    ends = instant_for(local_day + timedelta(days=1), time(0), family.zone)
    if began >= ends:
        return DayFacts(date=local_day)
    plan = ([version for version in versions if version.made_at < ends] or versions[:1])[-1].plan
    shape = shape_of(plan, local_day)
    awake = [
        (instant_for(local_day, start, family.zone), instant_for(local_day, end, family.zone))
        for start, end in plan.awake
    ]
    due = tuple(
        Due(activity=each.activity, minutes=target_minutes(each, shape), left_share=_left_share(plan, each))
        for each in plan.activities
        if not each.held_on(local_day)
    )
    return DayFacts(
        date=local_day, awake_minutes=shape.awake_minutes, due=due, part=part_of_day(awake, from_at, to_at)
    )


def _marked(day: DayFacts, pauses: Sequence[tuple[datetime, datetime | None]], family: Family) -> DayFacts:
    """Mark a day as paused where its noon lies in a pause."""
    noon = instant_for(day.date, time(12), family.zone)
    return replace(day, paused=any(start <= noon and (end is None or noon < end) for start, end in pauses))


def _left_share(plan: Plan, activity: Any) -> float | None:
    shares = share_of_left(activity.side, plan.baby.affected_side)
    return None if shares is None else shares[0] / (shares[0] + shares[1])


class _Reader:
    """Reads one family's rows of a period, each with the ids of the messages it came from."""

    def __init__(self, conn: AsyncConnection, family: Family, names: dict[str, str]) -> None:
        self._conn, self._family, self._names = conn, family, names

    def _carer(self, carer_id: str) -> str:
        return self._names.get(carer_id, carer_id)

    def _local(self, instant: datetime) -> datetime:
        return self._family.local(instant)

    async def days_with_word(self, start: datetime, end: datetime) -> frozenset[date]:
        wrote = await self._conn.scalars(
            select(messages.c.at).where(
                messages.c.family_id == self._family.id, messages.c.at >= start, messages.c.at < end
            )
        )
        pressed = await self._conn.scalars(
            select(reminders.c.closed_at).where(
                reminders.c.family_id == self._family.id,
                reminders.c.state.in_(("answered", "later", "skipped")),
                reminders.c.closed_at >= start,
                reminders.c.closed_at < end,
            )
        )
        return frozenset(self._local(at).date() for at in [*wrote, *pressed] if at is not None)

    async def logged(self, start: datetime, end: datetime) -> tuple[SessionFact, ...]:
        """Sessions told of in a digest's period: nothing falls between two digests."""
        return self._sessions(await log.counted_logged(self._conn, self._family.id, start, end))

    async def done_on(self, first: date, last: date) -> tuple[SessionFact, ...]:
        return self._sessions(await log.counted_between(self._conn, self._family.id, first, last))

    def _sessions(self, found: Sequence[log.Session]) -> tuple[SessionFact, ...]:
        return tuple(
            SessionFact(
                id=str(session.id),
                activity=session.activity,
                minutes=session.minutes or None,
                side=session.side,
                date=session.local_date,
                at=self._local(session.at),
                carer=self._carer(session.carer_id),
                messages=_traced(session.message_id),
            )
            for session in found
            if session.activity is not None
        )

    async def prompts(self, start: datetime, end: datetime) -> tuple[PromptFact, ...]:
        rows = await self._conn.execute(
            select(reminders)
            .where(
                reminders.c.family_id == self._family.id,
                reminders.c.sent_at >= start,
                reminders.c.sent_at < end,
            )
            .order_by(reminders.c.sent_at)
        )
        return tuple(
            PromptFact(
                activity=row.activity, side=row.side, date=row.local_date, state=row.state, reason=row.reason
            )
            for row in rows
            if row.state != "dropped"
        )

    async def skips(self, start: datetime, end: datetime) -> tuple[SkipFact, ...]:
        return tuple(
            SkipFact(
                reason=row.reason,
                activity=row.activity,
                date=self._local(row.at).date(),
                at=self._local(row.at),
                carer=self._carer(row.carer_id),
                messages=_traced(row.message_id),
            )
            for row in await self._rows(skips, start, end)
        )

    async def observations(self, start: datetime, end: datetime) -> tuple[ObservationFact, ...]:
        return tuple(
            ObservationFact(
                kind=row.kind,
                side=row.side,
                date=self._local(row.at).date(),
                at=self._local(row.at),
                carer=self._carer(row.carer_id),
                messages=_traced(row.message_id),
            )
            for row in await self._rows(observations, start, end)
        )

    async def confidence(self, until: datetime) -> tuple[ConfidenceFact, ...]:
        rows = await self._conn.execute(
            select(confidences)
            .where(
                confidences.c.family_id == self._family.id,
                confidences.c.value.is_not(None),
                confidences.c.at < until,
            )
            .order_by(confidences.c.at)
        )
        return tuple(
            ConfidenceFact(
                activity=row.activity,
                value=row.value,
                at=self._local(row.at),
                carer=self._carer(row.carer_id),
            )
            for row in rows
        )

    async def concerns(self, start: datetime, end: datetime) -> tuple[ConcernFact, ...]:
        return tuple(
            ConcernFact(
                at=self._local(found.at),
                carer=self._carer(found.carer_id),
                urgency=found.urgency,
                text=found.text,
                answered_at=self._local(found.answered_at) if found.answered_at else None,
                messages=_traced(found.message_id),
            )
            for found in await worries.concerns_between(self._conn, self._family.id, start, end)
        )

    async def questions(self, start: datetime, end: datetime) -> tuple[QuestionFact, ...]:
        return tuple(
            QuestionFact(
                at=self._local(found.at),
                carer=self._carer(found.carer_id),
                text=found.text,
                answered_at=self._local(found.answered_at) if found.answered_at else None,
                messages=_traced(found.message_id),
            )
            for found in await worries.questions_between(self._conn, self._family.id, start, end)
        )

    async def unread(self, start: datetime, end: datetime) -> tuple[UnreadFact, ...]:
        return tuple(
            UnreadFact(
                at=self._local(row.at),
                carer=self._carer(row.carer_id),
                text=row.unread,
                messages=_traced(row.id),
            )
            for row in await self._rows(messages, start, end)
            if row.unread
        )

    async def notes(self, start: datetime, end: datetime) -> tuple[NoteFact, ...]:
        """What the bot could not read at all and passed on, and what it changed by itself, in the therapist's language."""
        therapist = await people.therapist(self._conn, self._family.therapist_id)
        words = words_for(therapist.language if therapist else "en")
        files = [
            NoteFact(
                at=self._local(row.at),
                text=words.plain(
                    "note.sent", carer=self._carer(row.carer_id), what=words.plain(f"note.{row.kind}")
                ),
            )
            for row in await self._rows(messages, start, end)
            if row.kind in ("photo", "video", "voice", "document")
        ]
        found = await notes_between(self._conn, self._family.id, start, end)
        quiet = [
            NoteFact(at=self._local(note.at), text=words.plain("note.quiet", n=note.data["days"]))
            for note in found
            if note.kind == "quiet"
        ]
        return (*files, *quiet, *self._load_notes([note for note in found if note.kind == "load"], words))

    def _load_notes(self, found: Sequence[Note], words: Words) -> list[NoteFact]:
        """Put a period's steps of one kind into one line: from where to where."""
        told = []
        for key in ("note.load_asked", "note.load_fewer", "note.load_more"):
            steps = [note for note in found if _load_key(note) == key]
            if steps:
                before, after = steps[0].data["before"], steps[-1].data["after"]
                told.append(
                    NoteFact(at=self._local(steps[-1].at), text=words.plain(key, before=before, after=after))
                )
        return told

    async def _rows(self, table: Any, start: datetime, end: datetime) -> list[Any]:
        rows = await self._conn.execute(
            select(table)
            .where(table.c.family_id == self._family.id, table.c.at >= start, table.c.at < end)
            .order_by(table.c.at, table.c.id)
        )
        return list(rows)


def _traced(message_id: int | None) -> tuple[str, ...]:
    return () if message_id is None else (str(message_id),)


def _load_key(note: Note) -> str:
    if note.data["asked"]:
        return "note.load_asked"
    return "note.load_fewer" if note.data["after"] < note.data["before"] else "note.load_more"
