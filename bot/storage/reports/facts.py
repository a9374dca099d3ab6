"""The facts of families in one period, read from the records for the digest: many at once as cheaply as one."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from itertools import pairwise

from bot.activities.arm import rested
from bot.activities.library import load_library
from bot.digest.due import Due, GoalDue
from bot.digest.facts import (
    DayFacts,
    FamilyFacts,
    GradeFact,
    NoteFact,
    NoteKind,
    PlanChangeFact,
    PreviousFacts,
    VisitFact,
    part_of_day,
)
from bot.digest.plan_changes import changes_between
from bot.domain.people import Family
from bot.domain.plans import PlanVersion
from bot.parsing.period import Dates, Instants, Span
from bot.storage.reports.family_log import FamilyLog
from bot.storage.reports.notes import notes_between, pauses_until
from bot.storage.reports.period import Period, period_of
from bot.storage.reports.rows import FamilyRows, rows_of
from bot.storage.repositories.plans import version_of
from bot.storage.unit_of_work import UnitOfWork
from scheduling.day import DayShape, shape_of, target_amount
from scheduling.localtime import instant_for
from scheduling.plan import Activity, Plan
from scheduling.rotation import share_of_left

PAUSED_FROM = 0.5
"""A date counts as paused where the pause held this part of its waking time."""


def facts_of_families(
    uow: UnitOfWork, families: Sequence[Family], now: datetime, span: Span
) -> list[FamilyFacts]:
    """Return the facts of each family, in the given order, in as many queries as for one."""
    rows = rows_of(uow, families, span)
    return [_facts(family, rows[family.id], now, period_of(family, span)) for family in families]


def facts_in(uow: UnitOfWork, family: Family, now: datetime, span: Span) -> FamilyFacts:
    """Return the facts of a span: of instants, or of whole dates in the family's zone."""
    return facts_of_families(uow, [family], now, span)[0]


def facts_between(
    uow: UnitOfWork, family: Family, now: datetime, *, from_at: datetime, to_at: datetime
) -> FamilyFacts:
    """Return the facts of [from_at, to_at), a digest's period, which may begin and end within a day."""
    return facts_in(uow, family, now, Instants(from_at, to_at))


def facts_of(uow: UnitOfWork, family: Family, now: datetime, *, last: date, days: int) -> FamilyFacts:
    """Return the facts of whole local days, `last` included; a session told later belongs to the day it was done on."""
    return facts_in(uow, family, now, Dates(last - timedelta(days=days - 1), last))


def _facts(family: Family, rows: FamilyRows, now: datetime, period: Period) -> FamilyFacts:
    from_at, to_at, by_date = period.from_at, period.to_at, period.by_date
    calendar = _Calendar(family, rows, to_at)
    log = FamilyLog(family, rows)
    baby = calendar.versions[-1].plan.baby
    return FamilyFacts(
        family=family.id,
        nickname=family.nickname,
        time_zone=family.zone.key,
        affected_side=baby.affected_side,
        born=baby.born,
        gestation_weeks=baby.gestation_weeks,
        days=calendar.days(period.first, period.last, from_at, to_at),
        as_of=min(now, to_at),
        from_at=None if by_date else from_at,
        to_at=None if by_date else to_at,
        days_with_word=log.days_with_word(from_at, to_at),
        sessions=log.done_on(period.first, period.last) if by_date else log.logged(from_at, to_at),
        prompts=log.prompts(from_at, to_at),
        skips=log.skips(from_at, to_at),
        observations=log.observations(from_at, to_at),
        confidence=log.confidence(to_at),
        concerns=log.concerns(from_at, to_at),
        questions=log.questions(from_at, to_at),
        unread=log.unread(from_at, to_at),
        carers=tuple(rows.names.values()),
        plan_changes=_plan_changes(calendar.versions, from_at, to_at),
        notes=notes_between(family, rows, from_at, to_at)
        + log.files(from_at, to_at)
        + log.corrections(from_at, to_at)
        + _arm_hold(family, calendar.versions[-1].plan, to_at)
        + _taught(family, rows, calendar.versions[-1].plan, to_at),
        grades=_grades(rows, period.last),
        visits=_visits(rows, from_at, to_at),
        previous=_previous(log, calendar, period) if calendar.began < from_at else None,
    )


def _previous(log: FamilyLog, calendar: _Calendar, period: Period) -> PreviousFacts:
    start, end = period.start_before, period.from_at
    first, last = calendar.dates_of(start, end)
    return PreviousFacts(
        days=calendar.days(first, last, start, end),
        days_with_word=log.days_with_word(start, end),
        sessions=log.done_on(*period.dates_before) if period.by_date else log.logged(start, end),
        observations=log.observations(start, end),
    )


def _plan_changes(
    versions: Sequence[PlanVersion], from_at: datetime, to_at: datetime
) -> tuple[PlanChangeFact, ...]:
    return tuple(
        PlanChangeFact(
            at=version.made_at,
            version=version.version,
            text=version.note or "",
            changes=changes_between(before.plan, version.plan),
        )
        for before, version in pairwise(versions)
        if from_at <= version.made_at < to_at
    )


def _arm_hold(family: Family, plan: Plan, to_at: datetime) -> tuple[NoteFact, ...]:
    """Return the hold of the arm that stands at the end of the period, for as long as it stands."""
    hold = plan.arm_hold
    if hold is None:
        return ()
    until = {} if hold.until is None else {"until": hold.until.isoformat()}
    values = {"reason": hold.reason, "from": hold.from_.isoformat(), **until}
    return (NoteFact(family.local(to_at - timedelta(seconds=1)), kind="arm_hold", values=values),)


def _taught(family: Family, rows: FamilyRows, plan: Plan, to_at: datetime) -> tuple[NoteFact, ...]:
    """Return who was taught what must be shown in person first; where nobody was, no reminder for it comes."""
    library = load_library()
    notes = []
    for each in plan.activities:
        if not library.must_be_taught(each.activity):
            continue
        carers = [rows.names[carer] for carer, known in rows.taught.items() if each.activity in known]
        values = {"activity": each.activity, "carers": ", ".join(carers)}
        kind: NoteKind = "taught" if carers else "untaught"
        notes.append(NoteFact(family.local(to_at - timedelta(seconds=1)), kind=kind, values=values))
    return tuple(notes)


def _visits(rows: FamilyRows, from_at: datetime, to_at: datetime) -> tuple[VisitFact, ...]:
    """Return the visits of the period, and the next one after it."""
    found = [row for row in rows.visits if row.at >= from_at]
    inside = [row for row in found if row.at < to_at]
    return tuple(VisitFact(row.at, row.minutes) for row in found[: len(inside) + 1])


def _grades(rows: FamilyRows, until: date) -> tuple[GradeFact, ...]:
    return tuple(
        # A row has a method that is called `values`.
        GradeFact(
            row.scale, row._mapping["values"], row.on_date, row.therapist or row.entered_by, str(row.id)
        )
        for row in rows.grades
        if row.on_date <= until
    )


class _Calendar:
    """What the plans of a family asked of its days. began: with the first plan, or with the first reminder where a
    rehearsed day lies earlier."""

    def __init__(self, family: Family, rows: FamilyRows, to_at: datetime) -> None:
        self._family = family
        self.versions = [version_of(row) for row in rows.plans]
        first_plan = self.versions[0].made_at
        self.began = min(rows.first_due or first_plan, first_plan)
        self._paused = pauses_until(rows, to_at)

    def dates_of(self, from_at: datetime, to_at: datetime) -> tuple[date, date]:
        """Return the first and last local date that [from_at, to_at) touches."""
        last = self._family.local(to_at - timedelta(microseconds=1)).date()
        return self._family.local(from_at).date(), last

    def days(self, first: date, last: date, from_at: datetime, to_at: datetime) -> tuple[DayFacts, ...]:
        dates = [first + timedelta(days=offset) for offset in range((last - first).days + 1)]
        return tuple(self._day(each, from_at, to_at) for each in dates)

    def _day(self, local_day: date, from_at: datetime, to_at: datetime) -> DayFacts:
        """Return what the plan in force at the end of a local day asked of it."""
        zone = self._family.zone
        ends = instant_for(local_day + timedelta(days=1), time(0), zone)
        if self.began >= ends:
            return DayFacts(date=local_day)
        in_force = [version for version in self.versions if version.made_at < ends] or self.versions[:1]
        plan = rested(in_force[-1].plan, load_library())
        shape = shape_of(plan, local_day)
        awake = [
            (instant_for(local_day, start, zone), instant_for(local_day, end, zone))
            for start, end in plan.awake
        ]
        due = tuple(
            Due(
                activity=each.activity,
                minutes=None
                if each.target is None or each.counts_times
                else target_amount(each.target, shape),
                times=int(target_amount(each.target, shape)) if each.target and each.counts_times else None,
                left_share=_left_share(plan, each),
            )
            for each in plan.activities
            if not each.held_on(local_day)
        )
        return DayFacts(
            date=local_day,
            awake_minutes=shape.awake_minutes,
            due=due,
            goals=_goals(plan, shape),
            part=part_of_day(awake, from_at, to_at),
            paused=any(part_of_day(awake, start, end or to_at) >= PAUSED_FROM for start, end in self._paused),
        )


def _goals(plan: Plan, shape: DayShape) -> tuple[GoalDue, ...]:
    held = {each.activity for each in plan.activities if each.held_on(shape.day)}
    found = []
    for goal in plan.goals:
        activities = tuple(each for each in goal.activities if each not in held)
        amount = target_amount(goal.target, shape)
        if activities:
            minutes = None if goal.counts_times else amount
            found.append(GoalDue(goal.goal, activities, minutes, int(amount) if goal.counts_times else None))
    return tuple(found)


def _left_share(plan: Plan, activity: Activity) -> float | None:
    shares = share_of_left(activity.side, plan.baby.affected_side)
    return None if shares is None else shares[0] / (shares[0] + shares[1])
