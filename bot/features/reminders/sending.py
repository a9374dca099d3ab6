"""A reminder on its way out, and what a tap on it does."""

from __future__ import annotations

from bot.domain.outgoing import OutgoingMessage
from bot.domain.people import Family
from bot.domain.reminders import Reminder
from bot.features.chat import pressed_message
from bot.features.context import CarerContext, Context
from bot.features.reminders import inactivity
from bot.features.reminders.lifecycle import buttons_of, close, text_of, without_buttons
from bot.phrases import words_for
from bot.replies.reading import SkipReason
from scheduling.plan import Plan


def send(context: Context, reminder: Reminder, family: Family, plan: Plan) -> int:
    """Say a due reminder to every carer who gets them, closing the one before; return to how many it goes."""
    for earlier in context.uow.reminders.unanswered(family.id):
        close(context, earlier)
    carers = context.uow.carers.to_remind(family.id, context.now)
    inactivity.noticed(context, family, carers)
    context.uow.reminders.mark(reminder.id, "sent" if carers else "dropped", now=context.now)
    for carer in carers:
        words = words_for(carer.language)
        context.say(
            OutgoingMessage(
                chat_id=carer.address,
                family=family.id,
                text=text_of(context, reminder, plan, words, carer),
                kind="reminder",
                buttons=buttons_of(reminder, words),
                about=reminder.about,
                key=f"{reminder.about.stored}:{carer.id}",
                expires_at=reminder.late_after,
            )
        )
    return len(carers)


# ---------------------------------------------------------------- buttons


def skip(ctx: CarerContext, reminder: Reminder | None, reason: SkipReason, *, message_id: int | None) -> None:
    """Note that a prompted activity was not done; its buttons go and the day is replanned."""
    ctx.uow.entries.add_skip(
        family_id=ctx.family.id,
        carer_id=ctx.carer.id,
        message_id=message_id,
        reminder_id=reminder.id if reminder else None,
        activity=reminder.activity if reminder else None,
        reason=reason,
        at=ctx.now,
    )
    if reminder is not None and reminder.state in ("sent", "expired", "later"):
        ctx.uow.reminders.unpin(ctx.family.id, reminder.activity, reminder.local_date)
        ctx.uow.reminders.mark(reminder.id, "skipped", now=ctx.now, reason=reason)
        without_buttons(ctx.context, reminder, but=pressed_message(ctx))
    ctx.uow.families.request_replan(ctx.family.id, ctx.now)
