"""Explaining a hold again: the card for this baby's side, with the therapist's own photo or clip where there is one."""

from __future__ import annotations

from bot.activities.card import refresher_card
from bot.conversation.desk import Talk
from bot.records import materials
from bot.replies.reading import Side
from bot.say import Attachment, Button, row


async def show(talk: Talk, activity: str, side: Side | None) -> None:
    """Send the refresher card of an activity, whole, with its stop signs."""
    plan = (await talk.plan()).plan
    if activity not in talk.desk.library:
        await choose(talk)
        return
    planned = plan.activity(activity)
    if talk.desk.library[activity].only_if_switched_on and planned is None:
        await talk.answer(talk.words("refresh.not_switched_on", activity=talk.activity_name(activity)))
        return
    for material in await materials.of_activity(talk.conn, talk.family.id, activity):
        await talk.answer(
            talk.words("refresh.from_therapist", caption=material.caption or talk.activity_name(activity)),
            attachment=Attachment(material.kind, activity, file_id=material.file_id),
            about=material.about,
        )
    card = refresher_card(
        talk.desk.library[activity],
        language=talk.carer.language,
        nickname=plan.baby.nickname,
        affected_side=plan.baby.affected_side,
        side=side,
    )
    await talk.answer(
        card,
        about=f"card:{activity}",
        buttons=(row(Button(talk.words.plain("refresh.ask_button"), f"ask:{activity}")),),
    )


async def choose(talk: Talk) -> None:
    """Let the carer pick one of their plan's activities."""
    plan = (await talk.plan()).plan
    names = [
        Button(talk.desk.library.name(each.activity, talk.carer.language), f"how:{each.activity}")
        for each in plan.activities
        if each.activity in talk.desk.library
    ]
    await talk.answer(talk.words("refresh.which"), buttons=tuple(row(button) for button in names))


async def pressed_how(talk: Talk, argument: str) -> None:
    await talk.note()
    await show(talk, argument, None)
