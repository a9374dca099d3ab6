"""When a family is asked about its day: with the first reminder of a date, so within its own hours, and seldom."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from bot.domain.learned import AskedSuggestion
from bot.domain.outgoing import OutgoingMessage
from bot.domain.people import Family
from bot.domain.roles import is_day_care
from bot.features.context import Context
from bot.features.learned import views
from bot.features.learned.contents import DayQuestion
from bot.phrases import words_for
from scheduling.learned.changes import WINDOW, suggest
from scheduling.learned.heard import Sighting, heard_before
from scheduling.learned.receptive import Window, windows
from scheduling.localtime import day_begins
from scheduling.plan import Plan

HEARD_DAYS = 28
ASKED_DAYS = timedelta(days=WINDOW)
LEAST_TOLD = 5
"""Reminders in an hour below which the therapist is not told that a family answers best then; ours, no source."""


def after_first_reminder(context: Context, family: Family, plan: Plan) -> None:
    """See what was learned, once a local date, and ask or tell what is due."""
    today = family.local(context.now).date()
    if not context.learning or family.keeps_times:
        return
    if context.uow.reminders.sent_and_answered(family.id, today)[0] != 1:
        return
    before = day_begins(today, family.zone)
    heard = context.uow.learned.heard(family, since=today - timedelta(days=HEARD_DAYS), before=before)
    sightings = heard_before(heard, today, family.zone)
    _tell_best_hour(context, family, sightings, today)
    earlier = context.uow.learned.asked_since(family.id, today - ASKED_DAYS)
    found = suggest(
        plan,
        today,
        sightings,
        [each.as_asked for each in earlier if each.state != "yes"],
        [each.as_asked for each in earlier if each.state == "yes"],
    )
    if found is not None:
        _ask(context, family, context.uow.learned.ask(family.id, found, day=today, now=context.now))


def _ask(context: Context, family: Family, asked: AskedSuggestion) -> None:
    for carer in context.uow.carers.to_remind(family.id, context.now):
        if is_day_care(carer):
            continue
        text, buttons = views.question(DayQuestion(asked), family.nickname, words_for(carer.language))
        context.say(
            OutgoingMessage(
                chat_id=carer.address, family=family.id, text=text, buttons=buttons, about=asked.about
            )
        )


def _tell_best_hour(context: Context, family: Family, sightings: Sequence[Sighting], today: date) -> None:
    """Note for the therapist's digest, on its weekday, at which hour the family answers best."""
    best = best_hour(windows(sightings, today))
    if best is not None and today.weekday() == context.clinic.digest_weekday:
        context.uow.notes.add_best_hour(
            family.id, context.now, hour=best.start // 60, answered=best.answered, asked=best.asked
        )


def best_hour(found: Sequence[Window]) -> Window | None:
    """Return the hour whose reminders were mostly taken up, half of them at the least; the earlier of two alike."""
    enough = [each for each in found if each.asked >= LEAST_TOLD and 2 * each.answered >= each.asked]
    return max(enough, key=lambda each: (each.answered / each.asked, -each.start), default=None)
