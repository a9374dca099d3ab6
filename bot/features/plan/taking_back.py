"""Taking back a plan that was just sent: until its first reminder, and only the newest version.

Versions are kept for ever, so the plan before comes back as a version of its own; what was taken back is a draft again.
"""

from __future__ import annotations

from datetime import datetime

from bot.domain.actor import Actor
from bot.domain.people import Family, Therapist
from bot.features.access.family_choice import say, seen_family
from bot.features.context import Context
from bot.features.events import Event
from bot.features.plan.draft import building_for
from bot.phrases import words_for
from scheduling.plan import document_of


def pressed(context: Context, event: Event, therapist: Therapist, ref: str, number: int) -> None:
    """ "Undo" under "version N is in force". number: that version."""
    family = seen_family(context, event, therapist, ref)
    if family is None:
        return
    words = words_for(therapist.language)
    versions = context.uow.plans.versions(family.id)
    if len(versions) < 2 or versions[-1].version != number:
        say(context, event, words("plan.undo_newer", version=number))
        return
    *_, before, sent = versions
    if _reminded_since(context, family, sent.made_at):
        say(context, event, words("plan.undo_late", version=number))
        return
    context.uow.plans.add(
        family.id,
        document_of(before.plan),
        made_by=Actor.therapist(therapist.id),
        now=context.now,
        note=words.plain("plan.undone_note", version=number),
    )
    building = building_for(context, event, therapist, family)
    if building is not None and not building.changed:
        building.keep(sent.plan)
    context.uow.audit.note(
        who=Actor.therapist(therapist.id),
        what="plan taken back",
        now=context.now,
        family_id=family.id,
        detail=f"version {number}",
    )
    say(context, event, words("plan.undone", version=number))


def _reminded_since(context: Context, family: Family, instant: datetime) -> bool:
    days = context.uow.reminders.recent(family.id, since=family.local(instant).date())
    return any(each.sent_at is not None and each.sent_at >= instant for each in days)
