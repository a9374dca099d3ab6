"""A sent reminder: what it says, its buttons, and what becomes of it.

Decided: when the answer to a reminder is taken back, the reminder opens again with its buttons, in every chat that
has it, as long as it is the last one sent and could still be answered without a quote. Otherwise it counts as
unanswered, since nothing of it was done.
"""

from __future__ import annotations

from datetime import timedelta

from bot.conversation.desk import Desk, Talk
from bot.conversation.shown import minutes_shown
from bot.phrases import Words, words_for
from bot.records import day, log, outbox, people
from bot.records.day import Reminder
from bot.records.people import Carer
from bot.say import Button, Buttons, Say, row
from scheduling.plan import Plan

# A reply without a quote answers the last reminder for this long, unless the next one has come.
ANSWERS_WITHIN = timedelta(hours=3)


def text_of(desk: Desk, reminder: Reminder, plan: Plan, words: Words, carer: Carer) -> str:
    """Return the reminder's text. It may show on a locked screen: the nickname, and nothing of a diagnosis."""
    library, language = desk.library, carer.language
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


async def close(desk: Desk, reminder: Reminder) -> None:
    """Close an unanswered reminder quietly: its buttons go, nothing is said. A typed reply to it still counts."""
    await day.mark_reminder(desk.conn, reminder.id, "expired", now=desk.now)
    await without_buttons(desk, reminder)


async def without_buttons(desk: Desk, reminder: Reminder, *, but: int | None = None) -> None:
    """Take the buttons from every copy of a reminder. but: the outbox id of one that is changed anyway."""
    await outbox.drop_about(desk.conn, reminder.about)  # what has not even gone out
    for outbox_id, chat_id in await outbox.said_about(desk.conn, reminder.about):
        if outbox_id != but:
            await desk.say(Say(chat_id=chat_id, family=reminder.family_id, edits=outbox_id, kind="tidy"))


async def pressed_message(talk: Talk) -> int | None:
    """Return the outbox id of the message under which a button was pressed; None for anything else."""
    if talk.incoming.press is None or talk.incoming.message_id is None:
        return None
    said = await outbox.said_as(talk.conn, talk.chat_id, talk.incoming.message_id)
    return said.id if said else None


async def answered(talk: Talk, reminder: Reminder) -> None:
    """Mark a reminder answered; the buttons go from every copy, and other carers see who did it."""
    await day.mark_reminder(talk.conn, reminder.id, "answered", now=talk.now)
    pressed = await pressed_message(talk)
    languages = await _languages_of_others(talk)
    for outbox_id, chat_id in await outbox.said_about(talk.conn, reminder.about):
        if chat_id == talk.chat_id:
            if outbox_id != pressed:
                await talk.edit(outbox_id, "")
        elif chat_id in languages:
            words = words_for(languages[chat_id])
            done = words(
                "remind.done_by",
                carer=talk.carer.name,
                activity=talk.desk.library.name(reminder.activity, languages[chat_id]),
            )
            await talk.desk.say(Say(chat_id=chat_id, family=reminder.family_id, edits=outbox_id, text=done))


async def _languages_of_others(talk: Talk) -> dict[int, str]:
    return {
        carer.chat_id: carer.language
        for carer in await people.carers_of(talk.conn, talk.family.id)
        if carer.chat_id is not None and carer.id != talk.carer.id
    }


async def answer_taken_back(talk: Talk, reminder_id: int) -> bool:
    """Settle a reminder whose answer is gone; return whether it is open again, its copies as they first stood."""
    reminder = await day.reminder(talk.conn, reminder_id)
    if reminder is None or reminder.state not in ("answered", "skipped"):
        return False
    if await log.sessions_of_reminder(talk.conn, reminder.id):
        return False  # something else still answers it
    newest = await day.last_sent(talk.conn, talk.family.id)
    fresh = reminder.sent_at is not None and reminder.sent_at >= talk.now - ANSWERS_WITHIN
    if newest is None or newest.id != reminder.id or not fresh:
        await day.mark_reminder(talk.conn, reminder.id, "expired", now=talk.now)
        return False
    await day.reopen_reminder(talk.conn, reminder.id)
    plan = (await talk.plan()).plan
    carers = {carer.chat_id: carer for carer in await people.carers_of(talk.conn, talk.family.id)}
    for outbox_id, chat_id in await outbox.said_about(talk.conn, reminder.about):
        carer = carers.get(chat_id)
        if carer is not None:
            words = words_for(carer.language)
            text = text_of(talk.desk, reminder, plan, words, carer)
            await talk.desk.say(
                Say(
                    chat_id=chat_id,
                    family=reminder.family_id,
                    edits=outbox_id,
                    text=text,
                    buttons=buttons_of(reminder, words),
                )
            )
    return True
