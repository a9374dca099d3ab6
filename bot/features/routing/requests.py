"""What a carer asks for in a message: explained, brought back, paused, shown, passed on."""

from __future__ import annotations

from dataclasses import dataclass

from bot.domain.ids import MessageId
from bot.domain.reminders import Reminder
from bot.features.content import Content
from bot.features.context import CarerContext
from bot.features.digests import family_week
from bot.features.refreshers import refresher
from bot.features.reminders import handlers as reminders
from bot.features.show import Shown, show
from bot.features.threads import questions
from bot.parsing.pausing import asks_to_pause, pause_said
from bot.replies.reading import Reading

# Beside an emergency these wait: the advice is the answer, and the therapist has the words.
EXPLAINED = frozenset({"refresher", "question", "contact", "today", "week", "help"})


@dataclass(frozen=True, slots=True)
class KeptForTherapist(Content):
    """Nothing was understood; the words are kept."""


@dataclass(frozen=True, slots=True)
class Acknowledged(Content):
    """ "Ok", with nothing asked and no reminder open."""


@show.register
def _(content: Acknowledged, ctx: CarerContext) -> Shown:
    return ctx.words("edge.all_right"), ()


@show.register
def _(content: KeptForTherapist, ctx: CarerContext) -> Shown:
    line = ctx.numbers.emergency_line
    return ctx.words("edge.kept_for_therapist", therapist=ctx.therapist().name, emergency_line=line), ()


def do(ctx: CarerContext, message_id: MessageId, reading: Reading, reminder: Reminder | None) -> bool:
    """Do what a carer asks for; return whether they asked for anything."""
    request = reading.request
    if request is None:
        return False
    if reading.concern is not None and reading.concern.urgency == "act_now" and request.kind in EXPLAINED:
        return False
    match request.kind:
        case "refresher":
            refresher.asked(ctx, message_id, request.activity, reminder)
        case "later":
            reminders.later(ctx, reminder, request.minutes)
        case "pause":
            minutes = request.minutes or pause_said(ctx.text, ctx.family.local(ctx.now))
            reminders.pause(ctx, minutes, asks=minutes is None and asks_to_pause(ctx.text))
        case "resume":
            reminders.resume(ctx)
        case "today":
            family_week.today(ctx)
        case "week":
            family_week.week(ctx)
        case "question" | "contact":
            questions.forward(ctx, message_id, request.kind, request.activity)
        case "stop":
            family_week.stop_offered(ctx)
        case "undo" | "correct":
            return False  # done before, or nothing to do it to
        case "help":
            family_week.help_shown(ctx)
    return True
