"""Explaining a hold again: the card for this baby's side, with the therapist's own photo or clip where there is one."""

from __future__ import annotations

from bot.activities.card import refresher_card
from bot.conversation.carer import asking
from bot.conversation.desk import Talk
from bot.conversation.shown import day_shown
from bot.records import materials
from bot.records.day import Reminder
from bot.replies.reading import Side
from bot.say import Attachment, Button, row


async def asked(talk: Talk, message_id: int, activity: str | None, reminder: Reminder | None) -> None:
    """Answer "how do I do that again?": the activity named, else the one just prompted, else a choice.

    An activity that is not in the plan, or rests, is not explained: the therapist hears of the question.
    """
    if activity is None and reminder is not None:
        activity = reminder.activity
    if activity is None:
        await choose(talk)
        return
    why_not = await _why_not(talk, activity)
    if why_not is not None:
        await talk.answer(why_not)
        await asking.forward(talk, message_id, "question", activity)
        return
    same = reminder is not None and reminder.activity == activity
    await show(talk, activity, reminder.side if same and reminder else None)


async def unknown(talk: Talk, message_id: int) -> None:
    """Say that a hold by that name is not known, pass the words on, and show what the plan holds."""
    await talk.answer(talk.words("howto.unknown"))
    await asking.forward(talk, message_id, "question", None)
    await choose(talk)


async def _why_not(talk: Talk, activity: str) -> str | None:
    """Return why an activity is not explained to this family now; None where it may be."""
    planned = (await talk.plan()).plan.activity(activity)
    nickname = talk.family.nickname
    if activity not in talk.desk.library:
        return talk.words("howto.unknown")
    name = talk.desk.library.name(activity, talk.carer.language)
    if planned is None:
        therapist = (await talk.therapist()).name
        return talk.words("howto.not_in_plan", activity=name, nickname=nickname, therapist=therapist)
    if planned.held_on(talk.today):
        if planned.from_ is not None and planned.from_ > talk.today:
            return talk.words("howto.rests_until", activity=name, day=day_shown(planned.from_, talk.words))
        return talk.words("howto.rests", activity=name)
    return None


async def show(talk: Talk, activity: str, side: Side | None) -> None:
    """Send the refresher card of an activity of the plan, whole, with its stop signs; the therapist's own way first."""
    plan = (await talk.plan()).plan
    why_not = await _why_not(talk, activity)
    if why_not is not None:
        ask = row(Button(talk.words.plain("refresh.ask_button"), f"ask:{activity}"))
        await talk.answer(why_not, buttons=(ask,) if activity in talk.desk.library else ())
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
