"""A carer's message, read and acted on: worries first, then what they ask, then what they did."""

from __future__ import annotations

import re
from dataclasses import replace

from bot.conversation import worrying
from bot.conversation.carer import (
    asking,
    confidence,
    correcting,
    entering,
    load,
    pausing,
    pleasantries,
    prompted,
    refreshing,
    reminding,
    steps,
    their_day,
    unsure,
    waking,
)
from bot.conversation.desk import Talk
from bot.records import day, log, outbox, people, worries
from bot.records.day import Reminder
from bot.replies.reader import read_reply
from bot.replies.reading import Entry, Prompted, Reading, ReplyContext, Request

DONE_SIGNS = frozenset(["👍", "✅", "☑", "✔", "👌", "💯"])
# Beside an emergency these wait: the advice is the answer, and the therapist has the words.
EXPLAINED = frozenset({"refresher", "question", "contact", "today", "week", "help"})
SKIN_AND_STYLE = re.compile("[\U0001f3fb-\U0001f3ff\ufe0f]")
MORE = re.compile(r"\b(more|another|again|extra|m[aá]s|otr[oa]s?)\b", re.IGNORECASE)


async def read_message(talk: Talk) -> None:
    """Keep a message verbatim, then do what it says. The same message twice is kept and counted once."""
    incoming = talk.incoming
    assert incoming.message_id is not None
    if await log.message_in_chat(talk.conn, talk.chat_id, incoming.message_id) is not None:
        return
    reminder, quoted = await _answered_reminder(talk)
    kept = await _keep(talk, reminder)
    reading = read_reply(incoming.text, await context_of(talk, reminder))
    await act(talk, kept, reading, reminder, quoted)


async def reading_of(talk: Talk) -> Reading:
    """Return what a message says, without keeping it or doing anything."""
    reminder, _ = await _answered_reminder(talk)
    return read_reply(talk.incoming.text, await context_of(talk, reminder))


async def read_kept(talk: Talk, kept: log.Message) -> None:
    """Read a message that was kept before it was known which baby it is about; its worries were raised then."""
    reminder, quoted = await _answered_reminder(talk)
    if reminder is not None:
        await log.change_message(talk.conn, kept.id, reminder_id=reminder.id)
    reading = read_reply(kept.text, await context_of(talk, reminder))
    await act(talk, kept.id, reading, reminder, quoted)


async def _keep(talk: Talk, reminder: Reminder | None) -> int:
    incoming = talk.incoming
    assert incoming.message_id is not None
    return await log.keep_message(
        talk.conn,
        chat_id=talk.chat_id,
        message_id=incoming.message_id,
        kind="text" if incoming.what in ("text", "edited") else incoming.what,
        text=incoming.text,
        at=incoming.at,
        family_id=talk.family.id,
        carer_id=talk.carer.id,
        file_id=incoming.file_id,
        reminder_id=reminder.id if reminder else None,
    )


async def read_sign(talk: Talk, sign: str) -> bool:
    """Take a thumbs-up (a sticker, a reaction) for "done" of the open reminder; return whether it was taken so."""
    if SKIN_AND_STYLE.sub("", sign) not in DONE_SIGNS:
        return False
    since = talk.now - prompted.ANSWERS_WITHIN
    reminder = await day.open_reminder(talk.conn, talk.family.id, since=since)
    if reminder is None:
        return False
    entry = Entry(reminder.activity, reminder.minutes, reminder.side)
    if talk.incoming.what == "reaction":
        said = await outbox.said_as(talk.conn, talk.chat_id, talk.incoming.message_id or 0)
        if said is None or said.about != reminder.about:
            return False
        await reminding.count_for(talk, reminder, entry)
        return True
    if await log.message_in_chat(talk.conn, talk.chat_id, talk.incoming.message_id or 0) is None:
        kept = await _keep(talk, reminder)
        await entering.enter(talk, kept, Reading(entries=(entry,)), reminder, None)
    return True


async def _answered_reminder(talk: Talk) -> tuple[Reminder | None, outbox.Said | None]:
    """Return the reminder that this message answers (by its quote, else by time), and what it quotes."""
    if talk.incoming.reply_to is not None:
        quoted = await outbox.said_as(talk.conn, talk.chat_id, talk.incoming.reply_to)
        if quoted is not None and quoted.about is not None and quoted.about.startswith("reminder:"):
            return await day.reminder(talk.conn, int(quoted.about.removeprefix("reminder:"))), quoted
        if quoted is not None:
            return None, quoted
    since = talk.now - prompted.ANSWERS_WITHIN
    return await day.open_reminder(talk.conn, talk.family.id, since=since), None


async def context_of(talk: Talk, reminder: Reminder | None) -> ReplyContext:
    plan = (await talk.plan()).plan
    age = (talk.today - plan.baby.born).days // 7
    return ReplyContext(
        now=talk.family.local(talk.now),
        language=talk.carer.language,
        affected_side=plan.baby.affected_side,
        age_weeks=max(0, age),
        plan=tuple(each.activity for each in plan.activities),
        prompt=Prompted(reminder.activity, reminder.side, reminder.minutes) if reminder else None,
    )


async def act(
    talk: Talk,
    message_id: int,
    reading: Reading,
    reminder: Reminder | None,
    quoted: outbox.Said | None,
    *,
    answer_id: int | None = None,
) -> bool:
    """Do what a message says; return whether the line at `answer_id` (if there is one) was changed to tell of it."""
    await raise_worries(talk, message_id, reading)
    if quoted is not None and await asking.belongs_to_thread(talk, message_id, quoted, reading):
        return False
    if answer_id is None and await _answers_a_question(talk, message_id, reading, quoted):
        return False
    if answer_id is None and await steps.taken(talk, message_id, reading):
        return False
    if await _wakes(talk, reading) or await _is_pleasantry(talk, reading):
        return False
    if reading.unread:
        await log.change_message(talk.conn, message_id, unread=reading.unread)
    if await _corrects(talk, message_id, reading, quoted):
        return False
    wish = load.wish_in(talk.incoming.text)
    if wish is not None and not reading.entries:
        await log.change_message(talk.conn, message_id, unread=None)
        text, buttons = await load.asked(talk, wish)
        await talk.answer(text, buttons=buttons, about=load.ABOUT)
        return False
    told = await entering.enter(talk, message_id, reading, reminder, answer_id)
    did = await _do_request(talk, message_id, reading, reminder)
    if not (told or did or reading.concern is not None or reading.unclear is not None):
        text = talk.words("edge.kept_for_therapist", therapist=(await talk.therapist()).name)
        await entering.tell(talk, message_id, text, (), answer_id)
        return True
    return told


async def _wakes(talk: Talk, reading: Reading) -> bool:
    """ "She's up now", while reminders are held back for her sleep."""
    until = talk.family.asleep_until
    asleep = until is not None and until > talk.now
    if not asleep or not _says_nothing(reading) or not waking.says_awake(talk.incoming.text):
        return False
    await pausing.awake(talk)
    await talk.answer(talk.words("pause.awake", nickname=talk.family.nickname))
    return True


async def _is_pleasantry(talk: Talk, reading: Reading) -> bool:
    """ "Thanks!": answered in a word."""
    key = pleasantries.phrase_for(talk.incoming.text)
    if key is None or not _says_nothing(reading):
        return False
    await talk.answer(talk.words(key))
    return True


def _says_nothing(reading: Reading) -> bool:
    """Say whether nothing was read from a message, whatever its words."""
    found = (
        reading.entries,
        reading.skipped,
        reading.observations,
        reading.request,
        reading.concern,
        reading.unclear,
    )
    return not any(found)


async def raise_worries(talk: Talk, message_id: int, reading: Reading) -> None:
    """A worry is told first and apart, and nothing else in the message hides it."""
    if talk.worries_raised:
        return
    if reading.concern is not None:
        await worrying.raise_concern(talk, message_id, reading.concern)
    elif reading.unclear is not None:
        # An edited message that is as unclear as before is not asked about twice.
        earlier = await worries.concerns_of_message(talk.conn, message_id)
        if not any(each.state == "asked" for each in earlier):
            await worrying.ask_about(talk, message_id, reading.unclear)


async def _answers_a_question(
    talk: Talk, message_id: int, reading: Reading, quoted: outbox.Said | None
) -> bool:
    """Take the message as the answer to what the bot asked last, if it is one."""
    timed = any(entry.minutes for entry in reading.entries)
    chat = await people.chat(talk.conn, talk.chat_id)
    if chat.step == "question" and quoted is None:
        await people.set_step(talk.conn, talk.chat_id, None)
        asks = "?" in talk.incoming.text
        if asks or not (timed or reading.skipped):
            await asking.forward(
                talk, message_id, "question", chat.data.get("activity"), thread=chat.data.get("thread")
            )
            if timed:
                await entering.enter(talk, message_id, reading, None, None)
            return True
    alone = read_reply(talk.incoming.text, await context_of(talk, None))
    wants = reading.request is not None and reading.request.kind not in ("question", "refresher")
    logs = timed and reading.unread is None
    says_more = logs or bool(reading.skipped) or wants or reading.concern is not None
    answered = await confidence.answered_in_words(talk, message_id, quoted, alone, says_more=says_more)
    if answered is not None:
        if answered == "teachback" and timed:
            # Told how, and for how long: the minutes are asked about before they count.
            await entering.enter(talk, message_id, replace(reading, confirm=True, unread=None), None, None)
        return True
    if quoted is not None or reading.concern is not None or reading.unclear is not None:
        return False
    return await correcting.minutes_answered(talk, message_id, alone) or await unsure.answer_in_words(
        talk, message_id, alone
    )


async def _corrects(talk: Talk, message_id: int, reading: Reading, quoted: outbox.Said | None) -> bool:
    """Put right what was counted, where a message says so or answers the counted line with other minutes."""
    sessions = await correcting.sessions_quoted(talk, quoted)
    kind = reading.request.kind if reading.request else None
    if kind == "undo":
        await correcting.undo(talk, sessions)
        return True
    if kind == "correct":
        await correcting.correct(talk, message_id, reading, sessions)
        return True
    if not sessions or kind is not None or MORE.search(talk.incoming.text):
        return False
    alone = read_reply(talk.incoming.text, await context_of(talk, None))
    only = alone.entries[0] if len(alone.entries) == 1 else None
    if only is None or not only.minutes or only.activity not in (None, *(s.activity for s in sessions)):
        return False
    await correcting.correct(talk, message_id, alone, sessions)
    return True


async def _do_request(talk: Talk, message_id: int, reading: Reading, reminder: Reminder | None) -> bool:
    """Do what a carer asks for; return whether they asked for anything."""
    request = reading.request
    if request is None:
        return False
    if reading.concern is not None and reading.concern.urgency == "act_now" and request.kind in EXPLAINED:
        return False
    match request.kind:
        case "refresher":
            await refreshing.asked(talk, message_id, request.activity, reminder)
        case "later":
            text = await pausing.later(talk, reminder, request.minutes)
            if reminder is not None:
                await prompted.without_buttons(talk.desk, reminder)
            await talk.answer(text)
        case "pause":
            text, buttons = await pausing.pause(talk, request.minutes)
            await talk.answer(text, buttons=buttons)
        case "resume":
            await talk.answer(await pausing.resume(talk))
        case "today":
            await their_day.today(talk)
        case "week":
            await their_day.week(talk)
        case "question" | "contact":
            await asking.forward(talk, message_id, request.kind, request.activity)
        case "stop":
            await their_day.stop_offered(talk)
        case _:
            await their_day.help_shown(talk)
    return True


async def howto(talk: Talk, rest: str) -> None:
    """/howto in everyday words: "/howto rugby hold"."""
    incoming = talk.incoming
    assert incoming.message_id is not None
    if await log.message_in_chat(talk.conn, talk.chat_id, incoming.message_id) is not None:
        return
    kept = await _keep(talk, None)
    reading = read_reply(rest, await context_of(talk, None))
    await raise_worries(talk, kept, reading)
    asked = read_reply(f"how do I do {rest}?", await context_of(talk, None)).request or Request("refresher")
    if asked.kind == "refresher" and asked.activity is not None:
        await refreshing.asked(talk, kept, asked.activity, None)
    else:
        await refreshing.unknown(talk, kept)
