"""Keeping a day that a carer changed: a new version of the plan, seen by the therapist and told to the other carers."""

from __future__ import annotations

from bot.domain.actor import Actor
from bot.domain.outgoing import Button, OutgoingMessage, row
from bot.features import verbs
from bot.features.chat import say
from bot.features.context import CarerContext
from bot.features.schedule import views
from bot.parsing.stay import city_of
from bot.phrases import Verbatim, words_for
from scheduling.plan import Plan, document_of


def change(ctx: CarerContext, new: Plan) -> None:
    """Make a new version of the plan with another day, have the day replanned, and tell the other carers."""
    old = (ctx.plan()).plan
    ctx.uow.families.confirm_schedule(ctx.family.id, ctx.now)
    if new == old:
        say(ctx, ctx.words("shape.as_before"))
        return
    keep_version(ctx, new)
    lines = views.change_shown(old, new, ctx.words)
    if new.time_zone != old.time_zone:
        zone_line = ctx.words("shape.line_zone", city=city_of(new.time_zone, ctx.words.language))
        lines = f"{lines}\n{zone_line}".strip()
    back = (ctx.plan()).version
    say(
        ctx,
        ctx.words("shape.changed", nickname=ctx.family.nickname, day=Verbatim(lines)),
        (row(Button(ctx.words.plain("shape.undo_button"), verbs.DAY_BACK.data(back))),),
    )


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
    lines = [views.part_shown(new, part, words) for part in views.changed_parts(old, new)]
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
