"""Explaining a hold again: the card for this baby's side, with the therapist's own photo or clip where there is one."""

from __future__ import annotations

from bot.activities.card import refresher_card
from bot.domain.outgoing import Attachment, Button, row
from bot.domain.reminders import Reminder
from bot.domain.subject import Subject
from bot.features.context import CarerContext
from bot.features.formats import day_shown
from bot.features.threads import questions
from bot.replies.reading import Side


def asked(ctx: CarerContext, message_id: int, activity: str | None, reminder: Reminder | None) -> None:
    """Answer "how do I do that again?": the activity named, else the one just prompted, else a choice.

    An activity that is not in the plan, or rests, is not explained: the therapist hears of the question.
    """
    if activity is None and reminder is not None:
        activity = reminder.activity
    if activity is None:
        choose(ctx)
        return
    why_not = _why_not(ctx, activity)
    if why_not is not None:
        ctx.answer(why_not)
        questions.forward(ctx, message_id, "question", activity)
        return
    same = reminder is not None and reminder.activity == activity
    show(ctx, activity, reminder.side if same and reminder else None)


def unknown(ctx: CarerContext, message_id: int) -> None:
    """Say that a hold by that name is not known, pass the words on, and show what the plan holds."""
    ctx.answer(ctx.words("howto.unknown"))
    questions.forward(ctx, message_id, "question", None)
    choose(ctx)


def _why_not(ctx: CarerContext, activity: str) -> str | None:
    """Return why an activity is not explained to this family now; None where it may be."""
    planned = (ctx.plan()).plan.activity(activity)
    nickname = ctx.family.nickname
    if activity not in ctx.context.library:
        return ctx.words("howto.unknown")
    name = ctx.context.library.name(activity, ctx.carer.language)
    if planned is None:
        therapist = (ctx.therapist()).name
        return ctx.words("howto.not_in_plan", activity=name, nickname=nickname, therapist=therapist)
    if planned.held_on(ctx.today):
        if planned.from_ is not None and planned.from_ > ctx.today:
            return ctx.words("howto.rests_until", activity=name, day=day_shown(planned.from_, ctx.words))
        return ctx.words("howto.rests", activity=name)
    return None


def show(ctx: CarerContext, activity: str, side: Side | None) -> None:
    """Send the refresher card of an activity of the plan, whole, with its stop signs; the therapist's own way first."""
    plan = (ctx.plan()).plan
    why_not = _why_not(ctx, activity)
    if why_not is not None:
        ask = row(Button(ctx.words.plain("refresh.ask_button"), f"ask:{activity}"))
        ctx.answer(why_not, buttons=(ask,) if activity in ctx.context.library else ())
        return
    for material in ctx.uow.media.of_activity(ctx.family.id, activity):
        ctx.answer(
            ctx.words("refresh.from_therapist", caption=material.caption or ctx.activity_name(activity)),
            attachment=Attachment(material.kind, activity, file_id=material.file_id),
            about=material.about,
        )
    card = refresher_card(
        ctx.context.library[activity],
        language=ctx.carer.language,
        nickname=plan.baby.nickname,
        affected_side=plan.baby.affected_side,
        side=side,
    )
    ctx.answer(
        card,
        about=Subject.card(activity),
        buttons=(row(Button(ctx.words.plain("refresh.ask_button"), f"ask:{activity}")),),
    )


def choose(ctx: CarerContext) -> None:
    """Let the carer pick one of their plan's activities."""
    plan = (ctx.plan()).plan
    names = [
        Button(ctx.context.library.name(each.activity, ctx.carer.language), f"how:{each.activity}")
        for each in plan.activities
        if each.activity in ctx.context.library
    ]
    ctx.answer(ctx.words("refresh.which"), buttons=tuple(row(button) for button in names))


def pressed_how(ctx: CarerContext, argument: str) -> None:
    ctx.note()
    show(ctx, argument, None)
