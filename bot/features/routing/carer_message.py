"""A carer's message, read once and acted on: concerns first, then what they ask, then what they did."""

from __future__ import annotations

from dataclasses import replace

from bot.concerns.finding import LEARNED
from bot.domain.ids import MessageId, ReminderId
from bot.domain.messages import Message
from bot.domain.reminders import Reminder
from bot.features.concerns import handlers as concerns
from bot.features.concerns import thermometer
from bot.features.context import CarerContext
from bot.features.entries import handlers
from bot.features.events import FileSent, Sent, kind_kept
from bot.features.routing import requests, rules
from bot.features.routing.takers import TAKE
from bot.features.routing.turn import Turn, context_of
from bot.features.state import ANSWERS_WITHIN, load_state
from bot.parsing import answers
from bot.parsing.journeys import says_only_days
from bot.parsing.legs import there_and_back
from bot.parsing.schedule import tells_only_the_day
from bot.parsing.sleep import speaks_of_unsafe_sleep, told_beside_sleep
from bot.phrases import Verbatim
from bot.replies.reader import read_reply
from bot.replies.reading import Entry, Prompted, Reading
from bot.storage.repositories.outbox import Said

# ---------------------------------------------------------------- in


def read_message(ctx: CarerContext, sent: Sent) -> None:
    """Keep a message verbatim, then do what it says. The same message twice is kept and counted once."""
    reminder, quoted = _answered_reminder(ctx)
    kept = keep(ctx, sent, reminder)
    if kept is not None:
        reading = _read(ctx, ctx.text, reminder)
        act(Turn(ctx, kept, reading, reminder, quoted))


def reading_of(ctx: CarerContext) -> Reading:
    """Return what a message says, without keeping it or doing anything."""
    reminder, _ = _answered_reminder(ctx)
    return _read(ctx, ctx.text, reminder)


def _read(ctx: CarerContext, text: str, reminder: Reminder | None) -> Reading:
    """Read a message. A way there and back is asked about, of whatever it was. What the learned reader alone flags is no doubt where every word tells the family's day."""
    reading = read_reply(text, context_of(ctx, reminder))
    if reading.entries and speaks_of_unsafe_sleep(text):
        reading = _without_sleeps(ctx, text, reminder, reading)
    legs = there_and_back(text)
    if legs is not None and reading.concern is None and reading.unclear is None:
        return Reading(entries=(Entry(None, legs),), confirm=True)
    doubt = reading.unclear
    if doubt is None or doubt.topics != (LEARNED,):
        return reading
    answers_when = ctx.dialog().step == "travel" and says_only_days(text)
    if answers_when or tells_only_the_day(text, (ctx.family.nickname,)):
        return replace(reading, unclear=None)
    return reading


def _without_sleeps(ctx: CarerContext, text: str, reminder: Reminder | None, reading: Reading) -> Reading:
    """Return a reading in which no length of a sleep counts; minutes told after one are asked about."""
    before, rest = told_beside_sleep(text)
    known = context_of(ctx, reminder)
    entries = read_reply(rest, known).entries if rest else ()
    sure = entries == (read_reply(before, known).entries if before else ())
    return replace(
        reading, entries=entries, confirm=reading.confirm or not sure, unread=reading.unread or text
    )


def read_kept(ctx: CarerContext, kept: Message) -> None:
    """Read a message that was kept before it was known which baby it is about; its concerns were raised then."""
    reminder, quoted = _answered_reminder(ctx)
    if reminder is not None:
        ctx.uow.messages.set_reminder(kept.id, reminder.id)
    act(Turn(ctx, kept.id, _read(ctx, kept.text, reminder), reminder, quoted))


def keep(ctx: CarerContext, sent: Sent, reminder: Reminder | None) -> MessageId | None:
    """Keep a message and return its number; None where it is kept already."""
    return ctx.uow.messages.keep_new(
        chat_id=ctx.chat_id,
        message_id=sent.message_id,
        kind=kind_kept(sent),
        text=sent.text,
        at=sent.at,
        family_id=ctx.family.id,
        carer_id=ctx.carer.id,
        file_id=sent.file_id if isinstance(sent, FileSent) else None,
        reminder_id=reminder.id if reminder else None,
    )


def _answered_reminder(ctx: CarerContext) -> tuple[Reminder | None, Said | None]:
    """Return the reminder that this message answers (by its quote, else by time), and what it quotes."""
    if ctx.reply_to is not None:
        quoted = ctx.uow.outbox.said_as(ctx.chat_id, ctx.reply_to)
        if quoted is not None and quoted.about is not None and quoted.about.kind == "reminder":
            return ctx.uow.reminders.find(ReminderId(quoted.about.number)), quoted
        if quoted is not None:
            return None, quoted
    return open_reminder(ctx), None


def open_reminder(ctx: CarerContext) -> Reminder | None:
    """Return the reminder that a message without a quote answers."""
    return load_state(ctx).open_reminder()


# ---------------------------------------------------------------- through


def act(turn: Turn) -> bool:
    """Do what a message says; return whether the line that answered an earlier wording was changed to tell of it."""
    turn.ctx.uow.tally.update(("readings", kind) for kind in rules.kinds_said(turn.reading))
    if turn.quoted is None and turn.answer_id is None and thermometer.answered(turn.ctx, turn.message_id):
        return False
    raise_concerns(turn.ctx, turn.message_id, turn.reading, told_else=turn.aside == "unsure")
    _say_safe_sleep(turn)
    for taker in rules.takers(turn.situation()):
        if taker == "entries":
            break
        if TAKE[taker](turn):
            return False
    return _told_or_asked(turn)


def _say_safe_sleep(turn: Turn) -> None:
    """Say the fixed words on sleep before all but a concern's advice; what else the message says is done as ever."""
    ctx, found = turn.ctx, turn.reading.concern
    if turn.answer_id is not None or (found is not None and found.urgency == "act_now"):
        return
    if speaks_of_unsafe_sleep(ctx.text):
        ctx.answer(ctx.words("sleep.unsafe", safe=Verbatim(ctx.words("sleep.safe"))))


def raise_concerns(
    ctx: CarerContext, message_id: MessageId, reading: Reading, *, told_else: bool = False
) -> None:
    """A concern is told first and apart, and nothing else in the message hides it.

    told_else: the carer is answered by a card, so that what only needs telling is kept without advice.
    """
    if ctx.concerns_raised:
        return
    if reading.concern is not None:
        ctx.uow.tally["concerns", f"raised {reading.concern.urgency}"] += 1
        if told_else and reading.concern.urgency == "tell_therapist":
            concerns.raise_beside(ctx, message_id, reading.concern)
        else:
            concerns.raise_concern(ctx, message_id, reading.concern)
    if reading.unclear is not None:
        ctx.uow.tally["concerns", f"asked {reading.unclear.urgency}"] += 1
        concerns.ask_about(ctx, message_id, reading.unclear)


def _told_or_asked(turn: Turn) -> bool:
    """Enter what a message tells and do what it asks for; what is neither is kept for the therapist, and says so."""
    ctx, reading = turn.ctx, turn.reading
    if answers.says_no_length(ctx.text):
        reading = rules.without_lengths(reading, did=answers.says_somebody_did(ctx.text))
    if rules.says_nothing(reading) and answers.says_yes(ctx.text):
        if turn.reminder is None and turn.quoted is None and answers.only_agrees(ctx.text):
            handlers.answer_line(ctx, turn.message_id, requests.Acknowledged(), turn.answer_id)
            return True
        reading = Reading(confirm=True)
    elif rules.says_nothing(reading):
        reading = _about_last_reminder(turn) or reading
    told = handlers.tell(ctx, turn.message_id, reading, turn.reminder, turn.answer_id)
    did = requests.do(ctx, turn.message_id, reading, turn.reminder)
    if told or did or reading.concern is not None or reading.unclear is not None:
        return told
    handlers.answer_line(ctx, turn.message_id, requests.KeptForTherapist(), turn.answer_id)
    return True


def _about_last_reminder(turn: Turn) -> Reading | None:
    """Return what a message that says nothing by itself tells of the last reminder, answered or put aside a while ago; else None.

    "He was poorly all morning" after a tap on "not now" is why; "she screamed" after minutes is how it went. Nothing
    is counted by it.
    """
    last = load_state(turn.ctx).last_sent()
    if turn.reminder is not None or turn.quoted is not None:
        return None
    if last is None or last.sent_at is None or last.sent_at < turn.ctx.now - ANSWERS_WITHIN:
        return _why_nothing(turn)
    read = read_reply(turn.ctx.text, context_of(turn.ctx, last))
    skipped = None if last.state == "answered" else read.skipped
    if not (read.entries or read.concern or read.unclear or skipped or read.observations):
        return _why_nothing(turn)
    if read.entries or read.concern or read.unclear:
        return None
    return replace(
        turn.reading, skipped=skipped, observations=read.observations, unread=read.unread, confirm=False
    )


def _why_nothing(turn: Turn) -> Reading | None:
    """Return why nothing was done, where no reminder asked: "she wasn't having it" of an activity that is not named."""
    plain = context_of(turn.ctx, None)
    if not plain.plan:
        return None
    read = read_reply(turn.ctx.text, replace(plain, prompt=Prompted(plain.plan[0], None, 0)))
    if read.entries or read.concern or read.unclear or read.skipped not in ("refused", "no_time"):
        return None
    return replace(turn.reading, skipped=read.skipped, unread=read.unread, confirm=False)
