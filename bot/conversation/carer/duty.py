"""Who has the baby today: the reminders go to that carer alone until the local day ends, then to whom they went before.

Reminders go by the baby's clock, wherever a carer is. A carer in another home, time zone or night gets none unless the
baby is with them, which is what being on duty means; the family's quiet time holds for whoever is on duty.
"""

from __future__ import annotations

from datetime import timedelta

from bot.conversation import planning
from bot.conversation.carer import counting
from bot.conversation.carer.roles import is_group
from bot.conversation.desk import Talk
from bot.phrases import words_for
from bot.records import audit, people
from bot.records.people import Carer
from bot.say import Button, Say, row


async def asked(talk: Talk) -> None:
    """/duty: who has the baby today?"""
    carers = [carer for carer in await _able(talk) if carer.id != talk.carer.id]
    if not carers and not await _anyone_on_duty(talk):
        await talk.answer(talk.words("duty.nobody_else", nickname=talk.family.nickname))
        return
    me = Button(talk.words.plain("duty.me_button"), "duty:me")
    buttons = [row(me), *(row(Button(carer.name[:24], f"duty:to:{carer.id}")) for carer in carers)]
    if await _anyone_on_duty(talk):
        buttons.append(row(Button(talk.words.plain("duty.as_before_button"), "duty:off")))
    await talk.answer(talk.words("duty.who", nickname=talk.family.nickname), buttons=tuple(buttons))


async def _able(talk: Talk) -> list[Carer]:
    return [
        carer
        for carer in await people.carers_of(talk.conn, talk.family.id)
        if carer.state == "active" and carer.chat_id is not None and not carer.blocked and not is_group(carer)
    ]


async def _anyone_on_duty(talk: Talk) -> bool:
    return any(
        carer.on_duty_until is not None and carer.on_duty_until > talk.now for carer in await _able(talk)
    )


async def pressed(talk: Talk, argument: str) -> None:
    """duty:me, duty:to:CARER, duty:off."""
    await talk.note()
    what, _, carer_id = argument.partition(":")
    able = await _able(talk)
    chosen = next((c for c in able if c.id == (talk.carer.id if what == "me" else carer_id)), None)
    if what != "off" and chosen is None:
        await counting.edit_pressed(talk, talk.words("duty.nobody_else", nickname=talk.family.nickname))
        return
    for carer in able:
        if carer.on_duty_until is not None:
            await people.change_carer(talk.conn, carer, on_duty_until=None)
    if chosen is None:
        await counting.edit_pressed(talk, talk.words("duty.as_before", nickname=talk.family.nickname))
        return
    tomorrow = planning.start_of(talk.today + timedelta(days=1), talk.family)
    await people.change_carer(talk.conn, chosen, on_duty_until=tomorrow)
    await audit.note(
        talk.conn,
        who=f"carer:{talk.family.id}/{talk.carer.id}",
        what="duty given",
        now=talk.now,
        family_id=talk.family.id,
        detail=chosen.id,
    )
    if chosen.chat_id == talk.chat_id:
        text = talk.words("duty.you", nickname=talk.family.nickname)
    else:
        text = talk.words("duty.given", nickname=talk.family.nickname, carer=chosen.name)
        await _tell(talk, chosen)
    await counting.edit_pressed(talk, text)


async def _tell(talk: Talk, chosen: Carer) -> None:
    assert chosen.chat_id is not None
    words = words_for(chosen.language)
    await talk.desk.say(
        Say(
            chat_id=chosen.chat_id,
            family=talk.family.id,
            text=words("duty.you_by", nickname=talk.family.nickname, carer=talk.carer.name),
            buttons=(row(Button(words.plain("duty.not_me_button"), "duty:off")),),
        )
    )
