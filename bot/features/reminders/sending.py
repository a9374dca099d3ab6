"""A reminder on its way out, and closed when nobody answered."""

from __future__ import annotations

from datetime import timedelta

from bot.domain.outgoing import OutgoingMessage
from bot.domain.people import Carer, Family
from bot.domain.reminders import Reminder
from bot.features.context import Context
from bot.features.reminders import inactivity
from bot.features.reminders.views import reminder_buttons, reminder_text
from bot.phrases import words_for
from scheduling.plan import Plan

HINTS = 3  # reminders that say how to answer them
HINT_AFTER = timedelta(days=7)


def send(context: Context, reminder: Reminder, family: Family, plan: Plan) -> int:
    """Say a due reminder to every carer who gets them, closing the one before; return to how many it goes."""
    for earlier in context.uow.reminders.unanswered(family.id):
        close(context, earlier)
    carers = context.uow.carers.to_remind(family.id, context.now)
    inactivity.noticed(context, family, carers)
    context.uow.reminders.mark(reminder.id, "sent" if carers else "dropped", now=context.now)
    for carer in carers:
        context.say(
            OutgoingMessage(
                chat_id=carer.address,
                family=family.id,
                text=reminder_text(
                    context.library, reminder, plan, carer, hint=_wants_hint(context, family, carer)
                ),
                kind="reminder",
                buttons=reminder_buttons(reminder, words_for(carer.language)),
                about=reminder.about,
                key=f"{reminder.about.stored}:{carer.id}",
                expires_at=reminder.late_after,
            )
        )
    return len(carers)


def _wants_hint(context: Context, family: Family, carer: Carer) -> bool:
    """Say whether a carer is told how to answer: in their first reminders, and after a week without a word."""
    quiet = family.heard_at is None or context.now - family.heard_at >= HINT_AFTER
    return quiet or context.uow.outbox.count_reminders(carer.address, most=HINTS) < HINTS


def close(context: Context, reminder: Reminder) -> None:
    """Close an unanswered reminder quietly: its buttons go, nothing is said. A typed reply to it still counts."""
    context.uow.reminders.mark(reminder.id, "expired", now=context.now)
    context.uow.outbox.drop_about(reminder.about)  # what has not even gone out
    for copy in context.uow.outbox.copies([reminder.about]):
        context.say(
            OutgoingMessage(
                chat_id=copy.chat_id, family=reminder.family_id, edits=copy.outbox_id, kind="tidy"
            )
        )
