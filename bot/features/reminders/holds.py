"""What is held back of a plan: by a concern about the arm, by the plan's own hold of the arm, and for want of teaching.

Decided: an arm that may be hurt is not exercised on. The hold of a concern is read from the concerns each time, so that no plan
is changed by it; it ends when the therapist lets it go on or changes what the plan asks for. The plan's own hold ends by another
plan alone, never by its date.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from itertools import pairwise

from bot.activities.arm import loading_the_arm
from bot.concerns.advice import holds_arm
from bot.domain.concerns import ConcernRow
from bot.domain.ids import FamilyId
from bot.domain.people import Family
from bot.domain.plans import PlanVersion
from bot.features.context import Context
from bot.features.reminders import sending
from scheduling.plan import Plan


def holding(concerns: Sequence[ConcernRow], versions: Sequence[PlanVersion]) -> tuple[ConcernRow, ...]:
    """Return the concerns that hold the arm's activities: those that no plan of a therapist has come after.

    A version that only places or ends the plan's own hold says nothing of a concern. versions: the oldest first.
    """
    asked_anew = [
        each
        for before, each in pairwise([None, *versions])
        if each is not None and (before is None or _without_hold(before.plan) != _without_hold(each.plan))
    ]
    last_plan: datetime | None = max(
        (each.made_at for each in asked_anew if each.made_by.kind == "therapist"), default=None
    )
    return tuple(
        each for each in concerns if holds_arm(each.topics) and (last_plan is None or last_plan <= each.at)
    )


def _without_hold(plan: Plan) -> Plan:
    return replace(plan, arm_hold=None)


def held_now(context: Context, family: Family, plan: Plan) -> frozenset[str]:
    """Return the activities of a family's plan that may not be prompted now."""
    return (
        held_by_concern(context, family.id, plan)
        | held_by_plan(context, family, plan)
        | held_untaught(context, family, plan)
    )


def held_by_concern(context: Context, family_id: FamilyId, plan: Plan) -> frozenset[str]:
    if not _holding_now(context, family_id):
        return frozenset()
    return frozenset(loading_the_arm(plan, context.library))


def held_by_plan(context: Context, family: Family, plan: Plan) -> frozenset[str]:
    """Return what the plan's own hold of the arm keeps back on the family's present date."""
    if plan.arm_hold is None or not plan.arm_hold.holds_on(family.local(context.now).date()):
        return frozenset()
    return frozenset(loading_the_arm(plan, context.library))


def held_untaught(context: Context, family: Family, plan: Plan) -> frozenset[str]:
    """Return what must be taught first and was taught to none of the carers who are reminded now."""
    asked = [each.activity for each in plan.activities if context.library.must_be_taught(each.activity)]
    if not asked:
        return frozenset()
    carers = context.uow.carers.to_remind(family.id, context.now)
    return frozenset(each for each in asked if not any(each in carer.taught for carer in carers))


def begin(context: Context, found: ConcernRow) -> tuple[str, ...]:
    """Close what is open of the held activities and plan the day without them; return which, none where nothing is held."""
    family = context.uow.families.find(found.family_id)
    version = context.uow.plans.current(found.family_id)
    if family is None or version is None or not holds_arm(found.topics):
        return ()
    held = loading_the_arm(version.plan, context.library)
    if not held:
        return ()
    for reminder in context.uow.reminders.on_day(family.id, family.local(context.now).date()):
        if reminder.activity in held and reminder.state == "planned":
            context.uow.reminders.mark(reminder.id, "dropped", now=context.now)
        elif reminder.activity in held and reminder.state == "sent":
            sending.close(context, reminder)
    context.uow.families.request_replan(family.id, context.now)
    context.uow.notes.add_hold(family.id, context.now, activities=len(held))
    return held


def release(context: Context, family_id: FamilyId) -> bool:
    """Let the held activities of a family go on; return whether any were held."""
    found = _holding_now(context, family_id)
    version = context.uow.plans.current(family_id)
    if not found or version is None:
        return False
    context.uow.concerns.release([each.id for each in found], context.now)
    context.uow.families.request_replan(family_id, context.now)
    held = loading_the_arm(version.plan, context.library)
    context.uow.notes.add_go_on(family_id, context.now, activities=len(held))
    return True


def _holding_now(context: Context, family_id: FamilyId) -> tuple[ConcernRow, ...]:
    concerns = context.uow.concerns.unreleased(family_id)
    if not any(holds_arm(each.topics) for each in concerns):
        return ()
    return holding(concerns, context.uow.plans.versions(family_id))
