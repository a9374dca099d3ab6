"""A reminder on its way out, and closed when nobody answered."""

from __future__ import annotations

from datetime import timedelta

from bot.domain.outgoing import MessageEdit, OutgoingMessage
from bot.domain.people import Carer, Family
from bot.domain.reminders import Reminder
from bot.features.context import Context
from bot.features.reminders import inactivity
from bot.features.reminders.views import reminder_buttons, reminder_text
from bot.phrases import words_for
from scheduling.next_step import hard_twice
from scheduling.plan import Plan

HINTS = 3  # reminders that say how to answer them
HINT_AFTER = timedelta(days=7)


def send(context: Context, reminder: Reminder, family: Family, plan: Plan) -> int:
    """Say a due reminder to every carer who gets them, closing the one before; return to how many it goes."""
    for earlier in context.uow.reminders.unanswered(family.id):
        close(context, earlier)
    carers = context.uow.carers.to_remind(family.id, context.now)
    if context.library.must_be_taught(reminder.activity):
        carers = [each for each in carers if reminder.activity in each.taught]
        if not carers:
            context.uow.families.request_replan(family.id, context.now)  # something else may take its place
    inactivity.noticed(context, family, carers)
    context.uow.reminders.mark(reminder.id, "sent" if carers else "dropped", now=context.now)
    easier = _easier_form(context, reminder, plan)
    for carer in carers:
        context.say(
            OutgoingMessage(
                chat_id=carer.address,
                family=family.id,
                text=reminder_text(
                    context.library,
                    reminder,
                    plan,
                    carer,
                    hint=_wants_hint(context, family, carer),
                    easier=easier,
                ),
                kind="reminder",
                buttons=reminder_buttons(reminder, words_for(carer.language), easier),
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


def _easier_form(context: Context, reminder: Reminder, plan: Plan) -> str | None:
    """Return the easier form of an activity that was hard twice running, refused or taken badly; None otherwise."""
    planned = plan.activity(reminder.activity)
    if planned is None or planned.easier is None or planned.easier not in context.library:
        return None
    newest = context.uow.reminders.last_two(reminder.family_id, reminder.activity)
    if len(newest) < 2:
        return None
    taken = context.uow.observations.taken_since(reminder.family_id, newest[-1][0])
    poorly = [at for activity, at, well in taken if activity == reminder.activity and not well]
    ends = (context.now, newest[0][0])
    hard = (
        refused or any(sent <= at < end for at in poorly)
        for (sent, refused), end in zip(newest, ends, strict=True)
    )
    return planned.easier if hard_twice(hard) else None


def close(context: Context, reminder: Reminder) -> None:
    """Close an unanswered reminder quietly: its buttons go, nothing is said. A typed reply to it still counts."""
    context.uow.reminders.mark(reminder.id, "expired", now=context.now)
    context.uow.outbox.drop_about(reminder.about)  # what has not even gone out
    for copy in context.uow.outbox.copies([reminder.about]):
        context.say(
            MessageEdit(chat_id=copy.chat_id, family=reminder.family_id, edits=copy.outbox_id, kind="tidy")
        )
