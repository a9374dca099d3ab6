"""The facts of one family in one period, read from the records for the digest."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from itertools import pairwise
from typing import Any

from bot.digest.facts import (
    DayFacts,
    Due,
    FamilyFacts,
    PlanChangeFact,
    PreviousFacts,
    VisitFact,
    part_of_day,
)  # fmt: skip
from bot.digest.plan_changes import changes_between
from bot.domain.people import Family
from bot.domain.plans import PlanVersion
from bot.parsing.period import Instants, Span
from bot.storage.reports.family_log import Told
from bot.storage.reports.notes import notes_between
from bot.storage.unit_of_work import UnitOfWork
from scheduling.day import shape_of, target_minutes
from scheduling.localtime import instant_for
from scheduling.plan import Plan
from scheduling.rotation import share_of_left


def facts_in(uow: UnitOfWork, family: Family, now: datetime, span: Span) -> FamilyFacts:
    """Return the facts of a span: of instants, or of whole dates in the family's zone."""
    if isinstance(span, Instants):
        return facts_between(uow, family, now, from_at=span.from_at, to_at=span.to_at)
    return facts_of(uow, family, now, last=span.last, days=(span.last - span.first).days + 1)


def facts_between(
    uow: UnitOfWork, family: Family, now: datetime, *, from_at: datetime, to_at: datetime
) -> FamilyFacts:
    """Return the facts of [from_at, to_at), a digest's period, which may begin and end within a day."""
    first = family.local(from_at).date()
    last = family.local(to_at - timedelta(microseconds=1)).date()
    return _facts(uow, family, now, (first, last), (from_at, to_at), by_date=False)


def facts_of(uow: UnitOfWork, family: Family, now: datetime, *, last: date, days: int) -> FamilyFacts:
    """Return the facts of whole local days, `last` included; a session told later belongs to the day it was done on."""
    first = last - timedelta(days=days - 1)
    from_at = instant_for(first, time(0), family.zone)
    to_at = instant_for(last + timedelta(days=1), time(0), family.zone)
    return _facts(uow, family, now, (first, last), (from_at, to_at), by_date=True)


def _facts(
    uow: UnitOfWork,
    family: Family,
    now: datetime,
    dates: tuple[date, date],
    period: tuple[datetime, datetime],
    *,
    by_date: bool,
) -> FamilyFacts:
    (first, last), (from_at, to_at) = dates, period
    versions = uow.plans.versions(family.id)
    held = uow.notes.pauses(family.id, to_at)
    newest = versions[-1].plan
    began = uow.plans.began_at(family.id, versions[0].made_at)
    names = {carer.id: carer.name for carer in uow.carers.of_family(family.id)}
    known = uow.digests.known_messages(family.therapist_id, from_at) if not by_date else None
    reader = Told(uow, family, names, known)
    span = to_at - from_at
    days_before = last - first + timedelta(days=1)
    return FamilyFacts(
        family=family.id,
        nickname=family.nickname,
        time_zone=family.zone.key,
        affected_side=newest.baby.affected_side,
        born=newest.baby.born,
        gestation_weeks=newest.baby.gestation_weeks,
        days=tuple(_day(each, versions, began, family, from_at, to_at, held) for each in _dates(first, last)),
        as_of=min(now, to_at),
        from_at=None if by_date else from_at,
        to_at=None if by_date else to_at,
        days_with_word=reader.days_with_word(from_at, to_at),
        sessions=(reader.done_on(first, last) if by_date else reader.logged(from_at, to_at)),
        prompts=reader.prompts(from_at, to_at),
        skips=reader.skips(from_at, to_at),
        observations=reader.observations(from_at, to_at),
        confidence=reader.confidence(to_at),
        concerns=reader.concerns(from_at, to_at),
        questions=reader.questions(from_at, to_at),
        unread=reader.unread(from_at, to_at),
        carers=tuple(names.values()),
        plan_changes=tuple(
            PlanChangeFact(
                at=version.made_at,
                version=version.version,
                text=version.note or "",
                changes=changes_between(before.plan, version.plan),
            )
            for before, version in pairwise(versions)
            if from_at <= version.made_at < to_at
        ),
        notes=notes_between(uow, family, names, from_at, to_at)
        + reader.files(from_at, to_at)
        + reader.corrections(from_at, to_at),
        grades=uow.scale_scores.of_family(family.id, until=last),
        visits=_visits(uow, family.id, from_at, to_at),
        previous=PreviousFacts(
            days=tuple(_day(each, versions, began, family, from_at - span, from_at, held) for each in _dates(
                family.local(from_at - span).date(), family.local(from_at - timedelta(microseconds=1)).date()
            )),
            days_with_word=reader.days_with_word(from_at - span, from_at),
            sessions=(
                reader.done_on(first - days_before, last - days_before)
                if by_date
                else reader.logged(from_at - span, from_at)
            ),
            observations=reader.observations(from_at - span, from_at),
        )
        if began < from_at
        else None,
    )  # fmt: skip


def _visits(uow: UnitOfWork, family_id: str, from_at: datetime, to_at: datetime) -> tuple[VisitFact, ...]:
    """Return the visits of the period, and the next one after it."""
    found = uow.visits.of_family(family_id, since=from_at)
    inside = [visit for visit in found if visit.at < to_at]
    return tuple(VisitFact(visit.at, visit.minutes) for visit in found[: len(inside) + 1])


def _dates(first: date, last: date) -> list[date]:
    return [first + timedelta(days=offset) for offset in range((last - first).days + 1)]


def _day(
    local_day: date,
    versions: Sequence[PlanVersion],
    began: datetime,
    family: Family,
    from_at: datetime,
    to_at: datetime,
    held: Sequence[tuple[datetime, datetime | None]],
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
        date=local_day,
        awake_minutes=shape.awake_minutes,
        due=due,
        part=part_of_day(awake, from_at, to_at),
        paused=any(part_of_day(awake, start, end or to_at) >= PAUSED_FROM for start, end in held),
    )


def _left_share(plan: Plan, activity: Any) -> float | None:
    shares = share_of_left(activity.side, plan.baby.affected_side)
    return None if shares is None else shares[0] / (shares[0] + shares[1])


PAUSED_FROM = 0.5
"""A date counts as paused where the pause held this part of its waking time."""
