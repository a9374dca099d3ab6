"""What an alert tells beside the carer's words: loaded once for all of a family's concerns in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo

from bot.activities.library import Library
from bot.domain.ids import CarerId, FamilyId
from bot.domain.people import Family
from bot.features.context import Context
from bot.features.reminders import holds
from scheduling.plan import Baby

DAYS = 7  # today and the six days before


@dataclass(frozen=True, slots=True)
class AlertFacts:
    """carers: their names. baby: None while no plan is in force. held: activities that an open concern holds.

    week_minutes: counted in the last DAYS local days, on week_days different days.
    """

    now: datetime
    clinic_zone: tzinfo
    family: Family
    library: Library
    carers: Mapping[CarerId, str]
    baby: Baby | None
    held: tuple[str, ...]
    week_minutes: float
    week_days: int


def load(context: Context, family_id: FamilyId) -> AlertFacts:
    family = context.uow.families.get(family_id)
    version = context.uow.plans.current(family_id)
    today = family.local(context.now).date()
    week = context.uow.entries.counted_between(family_id, today - timedelta(days=DAYS - 1), today)
    return AlertFacts(
        now=context.now,
        clinic_zone=context.clinic.zone,
        family=family,
        library=context.library,
        carers={carer.id: carer.name for carer in context.uow.carers.of_family(family_id)},
        baby=version.plan.baby if version else None,
        held=tuple(sorted(holds.held_by_concern(context, family_id, version.plan))) if version else (),
        week_minutes=sum(entry.minutes or 0 for entry in week),
        week_days=len({entry.local_date for entry in week}),
    )
