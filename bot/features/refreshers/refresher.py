"""Explaining a hold again: a short card for this baby's side, the therapist's own photo or video first, the whole card one tap away."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Literal

from bot.activities.card import part_card, refresher_card, short_card
from bot.domain.ids import MessageId
from bot.domain.outgoing import Attachment, Button, row
from bot.domain.reminders import Reminder
from bot.domain.subject import Subject
from bot.features import verbs
from bot.features.context import CarerContext
from bot.features.formats import date_shown, day_shown
from bot.features.reminders.hold_views import arm_rests
from bot.features.reminders.holds import held_now
from bot.features.threads import questions
from bot.replies.reading import Side

MOST_NOTES = 2  # what a therapist said long ago is replaced by what was said since
SIDES: dict[str, Side] = {"left": "left", "right": "right"}


def asked(ctx: CarerContext, message_id: MessageId, activity: str | None, reminder: Reminder | None) -> None:
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


def unknown(ctx: CarerContext, message_id: MessageId) -> None:
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
    if ctx.context.library.must_be_taught(activity) and activity not in ctx.carer.taught:
        return ctx.words("howto.taught_first", activity=name, therapist=ctx.therapist().name)
    if activity in held_now(ctx.context, ctx.family, ctx.plan().plan):
        return ctx.words("arm.card_refused", activity=name, therapist=ctx.therapist().name)
    if planned.held_on(ctx.today):
        if planned.from_ is not None and planned.from_ > ctx.today:
            return ctx.words("howto.rests_until", activity=name, day=day_shown(planned.from_, ctx.words))
        return ctx.words("howto.rests", activity=name)
    return None


def show(ctx: CarerContext, activity: str, side: Side | None) -> None:
    """Send the short card of an activity of the plan, with all its stop signs; the therapist's own way first."""
    why_not = _why_not(ctx, activity)
    if why_not is not None:
        ctx.answer(why_not, buttons=(row(_ask(ctx, activity)),) if activity in ctx.context.library else ())
        return
    for material in ctx.uow.media.of_activity(ctx.family.id, activity):
        ctx.answer(
            ctx.words("refresh.from_therapist", caption=material.caption or ctx.activity_name(activity)),
            attachment=Attachment(material.kind, activity, file_id=material.file_id),
            about=material.about,
        )
    more = Button(ctx.words.plain("refresh.more_button"), verbs.MORE.data(activity, side))
    ctx.answer(
        _card(ctx, short_card, activity, side),
        about=Subject.card(activity),
        buttons=(row(more, _ask(ctx, activity)),),
    )


def show_part(ctx: CarerContext, activity: str, side: Side | None, part: Literal["hands", "side"]) -> None:
    """Send one part of a card with its stop signs; [More] brings the whole."""
    if _why_not(ctx, activity) is not None:
        show(ctx, activity, side)
        return
    more = Button(ctx.words.plain("refresh.more_button"), verbs.MORE.data(activity, side))
    ctx.answer(
        _card(ctx, partial(part_card, part=part), activity, side),
        about=Subject.card(activity),
        buttons=(row(more, _ask(ctx, activity)),),
    )


def pressed_more(ctx: CarerContext, activity: str, named: str | None) -> None:
    """Send the whole card behind a short one. named: the side, where one was asked for."""
    ctx.note()
    if _why_not(ctx, activity) is not None:
        show(ctx, activity, None)
        return
    side = SIDES.get(named or "")
    ctx.answer(
        _card(ctx, refresher_card, activity, side),
        about=Subject.card(activity),
        buttons=(row(_ask(ctx, activity)),),
    )


def _ask(ctx: CarerContext, activity: str) -> Button:
    return Button(ctx.words.plain("refresh.ask_button"), verbs.ASK.data(activity))


def _card(ctx: CarerContext, made: Callable[..., str], activity: str, side: Side | None) -> str:
    plan = ctx.plan().plan
    planned = plan.activity(activity)
    card = made(
        ctx.context.library[activity],
        language=ctx.carer.language,
        nickname=plan.baby.nickname,
        affected_side=plan.baby.affected_side,
        side=side,
        after_feed=planned.after_feed if planned else None,
    )
    rests = arm_rests(ctx)
    return "\n\n".join([card, *([rests] if rests else []), *_said_of_it(ctx, activity)])


def _said_of_it(ctx: CarerContext, activity: str) -> list[str]:
    """Return what the therapist said after looking at how this family does it, the newest last."""
    lines = []
    for note in ctx.uow.hold_notes.of_activity(ctx.family.id, activity, most=MOST_NOTES):
        name = "check.note" if note.text else "check.seen"
        day = date_shown(ctx.family.local(note.at).date(), ctx.words)
        lines.append(f"<b>{ctx.words(name, therapist=note.therapist, day=day, text=note.text)}</b>")
    return lines


def choose(ctx: CarerContext) -> None:
    """Let the carer pick one of their plan's activities."""
    plan = (ctx.plan()).plan
    names = [
        Button(ctx.context.library.name(each.activity, ctx.carer.language), verbs.HOW.data(each.activity))
        for each in plan.activities
        if each.activity in ctx.context.library
    ]
    ctx.answer(ctx.words("refresh.which"), buttons=tuple(row(button) for button in names))


def pressed_how(ctx: CarerContext, argument: str) -> None:
    ctx.note()
    show(ctx, argument, None)
