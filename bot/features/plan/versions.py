"""A plan's versions: putting the next one in force, and the list of them with when, by whom, and what each brought."""

from __future__ import annotations

from collections.abc import Sequence

from bot.domain.actor import Actor
from bot.domain.ids import FamilyId
from bot.domain.people import Family, Therapist
from bot.domain.plans import PlanVersion
from bot.features.context import Context
from bot.features.formats import actor_named, date_shown
from bot.phrases import Words
from scheduling.plan import Plan, document_of

MOST_LISTED = 8


def put_in_force(
    context: Context,
    therapist: Therapist,
    family_id: FamilyId,
    plan: Plan,
    *,
    note: str | None = None,
    beside: str = "",
) -> int:
    """Make a plan the family's next version, as its therapist sent it, and return its number. beside: for the audit log."""
    who = Actor.therapist(therapist.id)
    version = context.uow.plans.add(family_id, document_of(plan), made_by=who, now=context.now, note=note)
    context.uow.audit.note(
        who=who,
        what="plan sent",
        now=context.now,
        family_id=family_id,
        detail=f"version {version}{beside}",
    )
    return version


def version_lines(
    context: Context, family: Family, versions: Sequence[PlanVersion], words: Words
) -> list[str]:
    """Return the newest versions in lines of message text, the newest first. versions: the oldest first."""
    lines = []
    for version in reversed(versions[-MOST_LISTED:]):
        lines += version_shown(context, family, version, words)
    return lines


def version_shown(context: Context, family: Family, version: PlanVersion, words: Words) -> list[str]:
    """Return one version in a line or two."""
    by = actor_named(context, version.made_by, family, words)
    day = date_shown(family.local(version.made_at).date(), words)
    lines = [words("change.version", n=version.version, day=day, by=by)]
    if version.note:
        lines.append(words("change.version_note", note=version.note))
    return lines
