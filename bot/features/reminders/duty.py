"""Who has the baby today: the reminders go to that carer alone until the local day ends, then to whom they went before.

Reminders go by the baby's clock, wherever a carer is. A carer in another home, time zone or night gets none unless the
baby is with them, which is what being on duty means; the family's quiet time holds for whoever is on duty.
"""

from __future__ import annotations

from datetime import timedelta
from typing import Literal

from bot.domain.actor import Actor
from bot.domain.ids import CarerId
from bot.domain.outgoing import Button, OutgoingMessage, row
from bot.domain.people import Carer
from bot.domain.roles import is_group
from bot.features import chat, verbs
from bot.features.context import CarerContext
from bot.features.reminders import replanning
from bot.phrases import words_for


def asked(ctx: CarerContext) -> None:
    """/duty: who has the baby today?"""
    carers = [carer for carer in _able(ctx) if carer.id != ctx.carer.id]
    if not carers and not _anyone_on_duty(ctx):
        ctx.answer(ctx.words("duty.nobody_else", nickname=ctx.family.nickname))
        return
    me = Button(ctx.words.plain("duty.me_button"), verbs.DUTY.data("me", None))
    buttons = [row(me), *(row(Button(carer.name[:24], verbs.DUTY.data("to", carer.id))) for carer in carers)]
    if _anyone_on_duty(ctx):
        buttons.append(row(Button(ctx.words.plain("duty.as_before_button"), verbs.DUTY.data("off", None))))
    ctx.answer(ctx.words("duty.who", nickname=ctx.family.nickname), buttons=tuple(buttons))


def _able(ctx: CarerContext) -> list[Carer]:
    return [
        carer
        for carer in ctx.uow.carers.of_family(ctx.family.id)
        if carer.state == "active" and carer.chat_id is not None and not carer.blocked and not is_group(carer)
    ]


def _anyone_on_duty(ctx: CarerContext) -> bool:
    return any(carer.on_duty_until is not None and carer.on_duty_until > ctx.now for carer in _able(ctx))


def pressed(ctx: CarerContext, what: Literal["me", "to", "off"], carer_id: CarerId | None) -> None:
    """duty:me, duty:to:CARER, duty:off."""
    ctx.note()
    able = _able(ctx)
    chosen = next((c for c in able if c.id == (ctx.carer.id if what == "me" else carer_id)), None)
    if what != "off" and chosen is None:
        chat.edit_pressed(ctx, ctx.words("duty.nobody_else", nickname=ctx.family.nickname))
        return
    for carer in able:
        if carer.on_duty_until is not None:
            ctx.uow.carers.set_on_duty(carer, None)
    ctx.uow.families.request_replan(
        ctx.family.id, ctx.now
    )  # what was taught to one carer only depends on who has her
    if chosen is None:
        chat.edit_pressed(ctx, ctx.words("duty.as_before", nickname=ctx.family.nickname))
        return
    tomorrow = replanning.start_of(ctx.today + timedelta(days=1), ctx.family)
    ctx.uow.carers.set_on_duty(chosen, tomorrow)
    ctx.uow.audit.note(
        who=Actor.carer(ctx.carer.id),
        what="duty given",
        now=ctx.now,
        family_id=ctx.family.id,
        detail=chosen.id,
    )
    if chosen.chat_id == ctx.chat_id:
        text = ctx.words("duty.you", nickname=ctx.family.nickname)
    else:
        text = ctx.words("duty.given", nickname=ctx.family.nickname, carer=chosen.name)
        _tell(ctx, chosen)
    chat.edit_pressed(ctx, text)


def _tell(ctx: CarerContext, chosen: Carer) -> None:
    words = words_for(chosen.language)
    ctx.context.say(
        OutgoingMessage(
            chat_id=chosen.address,
            family=ctx.family.id,
            text=words("duty.you_by", nickname=ctx.family.nickname, carer=ctx.carer.name),
            buttons=(row(Button(words.plain("duty.not_me_button"), verbs.DUTY.data("off", None))),),
        )
    )
