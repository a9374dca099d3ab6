"""A sent reminder: what it says, its buttons, and what becomes of it.

Decided: when the answer to a reminder is taken back, the reminder opens again with its buttons, in every chat that
has it, as long as it is the last one sent and could still be answered without a quote. Otherwise it counts as
unanswered, since nothing of it was done.
"""

from __future__ import annotations

from datetime import timedelta

from bot.domain.outgoing import Button, Buttons, OutgoingMessage, row
from bot.domain.people import Carer
from bot.domain.reminders import Reminder
from bot.features.chat import pressed_message
from bot.features.context import CarerContext, Context
from bot.features.formats import minutes_shown
from bot.phrases import Words, words_for
from scheduling.plan import Plan

# A reply without a quote answers the last reminder for this long, unless the next one has come.
ANSWERS_WITHIN = timedelta(hours=3)


def text_of(context: Context, reminder: Reminder, plan: Plan, words: Words, carer: Carer) -> str:
    """Return the reminder's text. It may show on a locked screen: the nickname, and nothing of a diagnosis."""
    library, language = context.library, carer.language
    lines = [
        words(
            "remind.title_sided" if reminder.side else "remind.title",
            nickname=plan.baby.nickname,
            activity=library.name(reminder.activity, language),
            minutes=minutes_shown(reminder.minutes),
            **({"side": words.plain(f"count.{reminder.side}")} if reminder.side else {}),
        )
    ]
    if reminder.activity in library:
        lines.append(
            library.cue(
                reminder.activity,
                language,
                reminder.id,
                nickname=plan.baby.nickname,
                affected_side=plan.baby.affected_side,
                side=reminder.side,
            )
        )
    lines.append(words("remind.how_to_answer"))
    return "\n".join(lines)


def buttons_of(reminder: Reminder, words: Words) -> Buttons:
    minutes = minutes_shown(reminder.minutes)
    return (
        row(
            Button(words.plain("remind.done_button", minutes=minutes), f"done:{reminder.id}"),
            Button(words.plain("remind.minutes_button"), f"mins:{reminder.id}"),
        ),
        row(
            Button(words.plain("remind.later_button"), f"later:{reminder.id}"),
            Button(words.plain("remind.asleep_button"), f"asleep:{reminder.id}"),
        ),
        row(
            Button(words.plain("remind.not_now_button"), f"notnow:{reminder.id}"),
            Button(words.plain("remind.show_button"), f"show:{reminder.id}"),
        ),
    )


def close(context: Context, reminder: Reminder) -> None:
    """Close an unanswered reminder quietly: its buttons go, nothing is said. A typed reply to it still counts."""
    context.uow.reminders.mark(reminder.id, "expired", now=context.now)
    without_buttons(context, reminder)


def without_buttons(context: Context, reminder: Reminder, *, but: int | None = None) -> None:
    """Take the buttons from every copy of a reminder. but: the outbox id of one that is changed anyway."""
    context.uow.outbox.drop_about(reminder.about)  # what has not even gone out
    for outbox_id, chat_id in context.uow.outbox.said_about(reminder.about):
        if outbox_id != but:
            context.say(
                OutgoingMessage(chat_id=chat_id, family=reminder.family_id, edits=outbox_id, kind="tidy")
            )


def answered(ctx: CarerContext, reminder: Reminder) -> None:
    """Mark a reminder answered; the buttons go from every copy, and other carers see who did it."""
    ctx.uow.reminders.mark(reminder.id, "answered", now=ctx.now)
    pressed = pressed_message(ctx)
    languages = _languages_of_others(ctx)
    for outbox_id, chat_id in ctx.uow.outbox.said_about(reminder.about):
        if chat_id == ctx.chat_id:
            if outbox_id != pressed:
                ctx.edit(outbox_id, "")
        elif chat_id in languages:
            words = words_for(languages[chat_id])
            done = words(
                "remind.done_by",
                carer=ctx.carer.name,
                activity=ctx.context.library.name(reminder.activity, languages[chat_id]),
            )
            ctx.context.say(
                OutgoingMessage(chat_id=chat_id, family=reminder.family_id, edits=outbox_id, text=done)
            )


def _languages_of_others(ctx: CarerContext) -> dict[int, str]:
    return {
        carer.chat_id: carer.language
        for carer in ctx.uow.carers.of_family(ctx.family.id)
        if carer.chat_id is not None and carer.id != ctx.carer.id
    }


def answer_taken_back(ctx: CarerContext, reminder_id: int) -> bool:
    """Settle a reminder whose answer is gone; return whether it is open again, its copies as they first stood."""
    reminder = ctx.uow.reminders.find(reminder_id)
    if reminder is None or reminder.state not in ("answered", "skipped"):
        return False
    if ctx.uow.entries.of_reminder(reminder.id):
        return False  # something else still answers it
    newest = ctx.uow.reminders.last_sent(ctx.family.id)
    fresh = reminder.sent_at is not None and reminder.sent_at >= ctx.now - ANSWERS_WITHIN
    if newest is None or newest.id != reminder.id or not fresh:
        ctx.uow.reminders.mark(reminder.id, "expired", now=ctx.now)
        return False
    ctx.uow.reminders.reopen(reminder.id)
    plan = (ctx.plan()).plan
    carers = {carer.chat_id: carer for carer in ctx.uow.carers.of_family(ctx.family.id)}
    for outbox_id, chat_id in ctx.uow.outbox.said_about(reminder.about):
        carer = carers.get(chat_id)
        if carer is not None:
            words = words_for(carer.language)
            text = text_of(ctx.context, reminder, plan, words, carer)
            ctx.context.say(
                OutgoingMessage(
                    chat_id=chat_id,
                    family=reminder.family_id,
                    edits=outbox_id,
                    text=text,
                    buttons=buttons_of(reminder, words),
                )
            )
    return True
