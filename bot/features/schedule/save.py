"""Keeping a day that a carer changed, and where a family is: a new version of the plan, seen by the therapist and told to
the other carers. A stay elsewhere is two versions, there and back, so that every record says by which clock it was made.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

from bot.domain.actor import SERVER, Actor
from bot.domain.outgoing import OutgoingMessage
from bot.domain.people import Family
from bot.domain.roles import is_day_care
from bot.features.context import CarerContext, Context
from bot.features.schedule import views
from bot.parsing.stay import city_of
from bot.phrases import words_for
from scheduling.plan import Plan, document_of


def keep_version(ctx: CarerContext, new: Plan) -> None:
    """Keep a plan that a carer changed; tell the other carers now unless it is their quiet time."""
    old = (ctx.plan()).plan
    quiet = views.in_quiet(old, ctx.family.local(ctx.now))
    therapist = ctx.therapist()
    words = words_for(therapist.language)
    version = ctx.uow.plans.add(
        ctx.family.id,
        document_of(new),
        made_by=Actor.carer(ctx.carer.id),
        now=ctx.now,
        note=words.plain("shape.note", carer=ctx.carer.name, day=_one_line(old, new, words.language)),
        told=not quiet,
    )
    ctx.uow.reminders.drop_planned(ctx.family.id)
    ctx.uow.audit.note(
        who=Actor.carer(ctx.carer.id),
        what="day changed",
        now=ctx.now,
        family_id=ctx.family.id,
        detail=f"version {version}",
    )
    if not quiet:
        _tell_others(ctx, old, new)


def _one_line(old: Plan, new: Plan, language: str) -> str:
    words = words_for(language)
    lines = [views.part_shown(new, part, words) for part in views.changed_parts(old, new, words)]
    if new.time_zone != old.time_zone:
        lines.append(words.plain("shape.line_zone", city=city_of(new.time_zone, words.language)))
    return "; ".join(line.replace("<b>", "").replace("</b>", "") for line in lines)


def _tell_others(ctx: CarerContext, old: Plan, new: Plan) -> None:
    told = {ctx.chat_id}
    for other in ctx.uow.carers.of_family(ctx.family.id):
        if other.state != "active" or other.chat_id is None or other.chat_id in told:
            continue
        told.add(other.chat_id)
        words = words_for(other.language)
        ctx.context.say(
            OutgoingMessage(
                chat_id=other.chat_id,
                family=ctx.family.id,
                text=words(
                    "shape.changed_by",
                    carer=ctx.carer.name,
                    nickname=ctx.family.nickname,
                    day=_one_line(old, new, other.language),
                ),
            )
        )


# ---------------------------------------------------------------- stays


def begin_stay(ctx: CarerContext, *, zone: str, home: str, until: date) -> None:
    """Let every baby of the chat that lives by the same clock live by another zone up to and with `until`."""
    for each in _travelling(ctx):
        version = each.plan()
        if zone != version.plan.time_zone:
            keep_version(each, replace(version.plan, time_zone=zone))
        each.uow.families.begin_stay(each.family.id, home_zone=home, until=until)


def end_stay(ctx: CarerContext) -> None:
    for each in _travelling(ctx):
        _use_home_zone(each.context, each.family, made_by=Actor.carer(each.carer.id))


def end_stays_over(context: Context) -> None:
    """Put families whose stay is over back on their home's time. Said nothing of: they were told when they left."""
    for family in context.uow.families.away():
        if family.away_until is not None and family.local(context.now).date() > family.away_until:
            _use_home_zone(context, family, made_by=SERVER)


def _travelling(ctx: CarerContext) -> Iterator[CarerContext]:
    """Yield this talk and those about the other babies of this chat that live by the same clock: they travel together."""
    yield ctx
    for carer in ctx.uow.carers.in_chat(ctx.chat_id):
        family = ctx.uow.families.find(carer.family_id)
        if family is None or family.id == ctx.family.id or carer.state != "active" or is_day_care(carer):
            continue
        if (family.zone, family.home_zone) == (ctx.family.zone, ctx.family.home_zone):
            yield CarerContext(ctx.context, ctx.event, carer, family, several=True)


def _use_home_zone(context: Context, family: Family, *, made_by: Actor) -> None:
    version = context.uow.plans.current(family.id)
    context.uow.families.end_stay(family.id)
    if version is None or family.home_zone is None or version.plan.time_zone == family.home_zone:
        return
    therapist = context.uow.therapists.find(family.therapist_id)
    words = words_for(therapist.language if therapist else "en")
    context.uow.plans.add(
        family.id,
        document_of(replace(version.plan, time_zone=family.home_zone)),
        made_by=made_by,
        now=context.now,
        note=words.plain("travel.note_home", city=city_of(family.home_zone, words.language)),
        told=True,
    )
    context.uow.reminders.drop_planned(family.id)
    context.uow.audit.note(who=made_by, what="back home", now=context.now, family_id=family.id)
