"""A carer's message, read and acted on: concerns first, then what they ask, then what they did."""

from __future__ import annotations

import re
from dataclasses import replace

from bot.domain.messages import Message
from bot.domain.reminders import Reminder
from bot.features.concerns import alert
from bot.features.context import CarerContext
from bot.features.digests import family_week
from bot.features.entries import clarify, confidence, correct, record, reminder_buttons
from bot.features.refreshers import refresher
from bot.features.reminders import frequency, lifecycle, pauses
from bot.features.routing import dialogs
from bot.features.threads import questions
from bot.parsing import awake, pleasantries
from bot.replies.reader import read_reply
from bot.replies.reading import Entry, Prompted, Reading, ReplyContext, Request
from bot.storage.repositories.outbox import Said

DONE_SIGNS = frozenset(["👍", "✅", "☑", "✔", "👌", "💯"])
# Beside an emergency these wait: the advice is the answer, and the therapist has the words.
EXPLAINED = frozenset({"refresher", "question", "contact", "today", "week", "help"})
SKIN_AND_STYLE = re.compile("[\U0001f3fb-\U0001f3ff\ufe0f]")
MORE = re.compile(r"\b(more|another|again|extra|m[aá]s|otr[oa]s?)\b", re.IGNORECASE)


def read_message(ctx: CarerContext) -> None:
    """Keep a message verbatim, then do what it says. The same message twice is kept and counted once."""
    event = ctx.event
    assert event.message_id is not None
    if ctx.uow.messages.in_chat(ctx.chat_id, event.message_id) is not None:
        return
    reminder, quoted = _answered_reminder(ctx)
    kept = _keep(ctx, reminder)
    reading = read_reply(event.text, context_of(ctx, reminder))
    act(ctx, kept, reading, reminder, quoted)


def reading_of(ctx: CarerContext) -> Reading:
    """Return what a message says, without keeping it or doing anything."""
    reminder, _ = _answered_reminder(ctx)
    return read_reply(ctx.event.text, context_of(ctx, reminder))


def read_kept(ctx: CarerContext, kept: Message) -> None:
    """Read a message that was kept before it was known which baby it is about; its concerns were raised then."""
    reminder, quoted = _answered_reminder(ctx)
    if reminder is not None:
        ctx.uow.messages.change(kept.id, reminder_id=reminder.id)
    reading = read_reply(kept.text, context_of(ctx, reminder))
    act(ctx, kept.id, reading, reminder, quoted)


def _keep(ctx: CarerContext, reminder: Reminder | None) -> int:
    event = ctx.event
    assert event.message_id is not None
    return ctx.uow.messages.keep(
        chat_id=ctx.chat_id,
        message_id=event.message_id,
        kind="text" if event.what in ("text", "edited") else event.what,
        text=event.text,
        at=event.at,
        family_id=ctx.family.id,
        carer_id=ctx.carer.id,
        file_id=event.file_id,
        reminder_id=reminder.id if reminder else None,
    )


def read_sign(ctx: CarerContext, sign: str) -> bool:
    """Take a thumbs-up (a sticker, a reaction) for "done" of the open reminder; return whether it was taken so."""
    if SKIN_AND_STYLE.sub("", sign) not in DONE_SIGNS:
        return False
    since = ctx.now - lifecycle.ANSWERS_WITHIN
    reminder = ctx.uow.reminders.open_in_family(ctx.family.id, since=since)
    if reminder is None:
        return False
    entry = Entry(reminder.activity, reminder.minutes, reminder.side)
    if ctx.event.what == "reaction":
        said = ctx.uow.outbox.said_as(ctx.chat_id, ctx.event.message_id or 0)
        if said is None or said.about != reminder.about:
            return False
        reminder_buttons.count_for(ctx, reminder, entry)
        return True
    if ctx.uow.messages.in_chat(ctx.chat_id, ctx.event.message_id or 0) is None:
        kept = _keep(ctx, reminder)
        record.enter(ctx, kept, Reading(entries=(entry,)), reminder, None)
    return True


def _answered_reminder(ctx: CarerContext) -> tuple[Reminder | None, Said | None]:
    """Return the reminder that this message answers (by its quote, else by time), and what it quotes."""
    if ctx.event.reply_to is not None:
        quoted = ctx.uow.outbox.said_as(ctx.chat_id, ctx.event.reply_to)
        if quoted is not None and quoted.about is not None and quoted.about.startswith("reminder:"):
            return ctx.uow.reminders.find(int(quoted.about.removeprefix("reminder:"))), quoted
        if quoted is not None:
            return None, quoted
    since = ctx.now - lifecycle.ANSWERS_WITHIN
    return ctx.uow.reminders.open_in_family(ctx.family.id, since=since), None


def context_of(ctx: CarerContext, reminder: Reminder | None) -> ReplyContext:
    plan = (ctx.plan()).plan
    age = (ctx.today - plan.baby.born).days // 7
    return ReplyContext(
        now=ctx.family.local(ctx.now),
        language=ctx.carer.language,
        affected_side=plan.baby.affected_side,
        age_weeks=max(0, age),
        plan=tuple(each.activity for each in plan.activities),
        prompt=Prompted(reminder.activity, reminder.side, reminder.minutes) if reminder else None,
    )


def act(
    ctx: CarerContext,
    message_id: int,
    reading: Reading,
    reminder: Reminder | None,
    quoted: Said | None,
    *,
    answer_id: int | None = None,
) -> bool:
    """Do what a message says; return whether the line at `answer_id` (if there is one) was changed to tell of it."""
    raise_concerns(ctx, message_id, reading)
    if quoted is not None and questions.belongs_to_thread(ctx, message_id, quoted, reading):
        return False
    if answer_id is None and _answers_a_question(ctx, message_id, reading, quoted):
        return False
    if answer_id is None and dialogs.taken(ctx, message_id, reading):
        return False
    if _wakes(ctx, reading) or _is_pleasantry(ctx, reading):
        return False
    if reading.unread:
        ctx.uow.messages.change(message_id, unread=reading.unread)
    if _corrects(ctx, message_id, reading, quoted):
        return False
    wish = frequency.wish_in(ctx.event.text)
    if wish is not None and not reading.entries:
        ctx.uow.messages.change(message_id, unread=None)
        text, buttons = frequency.asked(ctx, wish)
        ctx.answer(text, buttons=buttons, about=frequency.ABOUT)
        return False
    told = record.enter(ctx, message_id, reading, reminder, answer_id)
    did = _do_request(ctx, message_id, reading, reminder)
    if not (told or did or reading.concern is not None or reading.unclear is not None):
        text = ctx.words(
            "edge.kept_for_therapist",
            therapist=ctx.therapist().name,
            emergency_line=ctx.context.clinic.emergency_line,
        )
        record.tell(ctx, message_id, text, (), answer_id)
        return True
    return told


def _wakes(ctx: CarerContext, reading: Reading) -> bool:
    """ "She's up now", while reminders are held back for her sleep."""
    until = ctx.family.asleep_until
    asleep = until is not None and until > ctx.now
    if not asleep or not _says_nothing(reading) or not awake.says_awake(ctx.event.text):
        return False
    pauses.awake(ctx)
    ctx.answer(ctx.words("pause.awake", nickname=ctx.family.nickname))
    return True


def _is_pleasantry(ctx: CarerContext, reading: Reading) -> bool:
    """ "Thanks!": answered in a word."""
    key = pleasantries.phrase_for(ctx.event.text)
    if key is None or not _says_nothing(reading):
        return False
    ctx.answer(ctx.words(key))
    return True


def _says_nothing(reading: Reading) -> bool:
    """OutgoingMessage whether nothing was read from a message, whatever its words."""
    found = (
        reading.entries,
        reading.skipped,
        reading.observations,
        reading.request,
        reading.concern,
        reading.unclear,
    )
    return not any(found)


def raise_concerns(ctx: CarerContext, message_id: int, reading: Reading) -> None:
    """A concern is told first and apart, and nothing else in the message hides it."""
    if ctx.concerns_raised:
        return
    if reading.concern is not None:
        alert.raise_concern(ctx, message_id, reading.concern)
    elif reading.unclear is not None:
        # An edited message that is as unclear as before is not asked about twice.
        earlier = ctx.uow.concerns.of_message(message_id)
        if not any(each.state == "asked" for each in earlier):
            alert.ask_about(ctx, message_id, reading.unclear)


def _answers_a_question(ctx: CarerContext, message_id: int, reading: Reading, quoted: Said | None) -> bool:
    """Take the message as the answer to what the bot asked last, if it is one."""
    timed = any(entry.minutes for entry in reading.entries)
    chat = ctx.uow.chats.get(ctx.chat_id)
    if chat.step == "question" and quoted is None:
        ctx.uow.chats.set_dialog(ctx.chat_id, None)
        asks = "?" in ctx.event.text
        if asks or not (timed or reading.skipped):
            questions.forward(
                ctx, message_id, "question", chat.data.get("activity"), thread=chat.data.get("thread")
            )
            if timed:
                record.enter(ctx, message_id, reading, None, None)
            return True
    alone = read_reply(ctx.event.text, context_of(ctx, None))
    wants = reading.request is not None and reading.request.kind not in ("question", "refresher")
    logs = timed and reading.unread is None
    says_more = logs or bool(reading.skipped) or wants or reading.concern is not None
    answered = confidence.answered_in_words(ctx, message_id, quoted, alone, says_more=says_more)
    if answered is not None:
        if answered == "teachback" and timed:
            # Told how, and for how long: the minutes are asked about before they count.
            record.enter(ctx, message_id, replace(reading, confirm=True, unread=None), None, None)
        return True
    if quoted is not None or reading.concern is not None or reading.unclear is not None:
        return False
    return correct.minutes_answered(ctx, message_id, alone) or clarify.answer_in_words(ctx, message_id, alone)


def _corrects(ctx: CarerContext, message_id: int, reading: Reading, quoted: Said | None) -> bool:
    """Put right what was counted, where a message says so or answers the counted line with other minutes."""
    sessions = correct.sessions_quoted(ctx, quoted)
    kind = reading.request.kind if reading.request else None
    if kind == "undo":
        correct.undo(ctx, sessions)
        return True
    if kind == "correct":
        correct.correct(ctx, message_id, reading, sessions)
        return True
    if not sessions or kind is not None or MORE.search(ctx.event.text):
        return False
    alone = read_reply(ctx.event.text, context_of(ctx, None))
    only = alone.entries[0] if len(alone.entries) == 1 else None
    if only is None or not only.minutes or only.activity not in (None, *(s.activity for s in sessions)):
        return False
    correct.correct(ctx, message_id, alone, sessions)
    return True


def _do_request(ctx: CarerContext, message_id: int, reading: Reading, reminder: Reminder | None) -> bool:
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
            text = pauses.later(ctx, reminder, request.minutes)
            if reminder is not None:
                lifecycle.without_buttons(ctx.context, reminder)
            ctx.answer(text)
        case "pause":
            text, buttons = pauses.pause(ctx, request.minutes)
            ctx.answer(text, buttons=buttons)
        case "resume":
            ctx.answer(pauses.resume(ctx))
        case "today":
            family_week.today(ctx)
        case "week":
            family_week.week(ctx)
        case "question" | "contact":
            questions.forward(ctx, message_id, request.kind, request.activity)
        case "stop":
            family_week.stop_offered(ctx)
        case _:
            family_week.help_shown(ctx)
    return True


def howto(ctx: CarerContext, rest: str) -> None:
    """/howto in everyday words: "/howto rugby hold"."""
    event = ctx.event
    assert event.message_id is not None
    if ctx.uow.messages.in_chat(ctx.chat_id, event.message_id) is not None:
        return
    kept = _keep(ctx, None)
    reading = read_reply(rest, context_of(ctx, None))
    raise_concerns(ctx, kept, reading)
    asked = read_reply(f"how do I do {rest}?", context_of(ctx, None)).request or Request("refresher")
    if asked.kind == "refresher" and asked.activity is not None:
        refresher.asked(ctx, kept, asked.activity, None)
    else:
        refresher.unknown(ctx, kept)
