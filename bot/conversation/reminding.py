"""A reminder: what it says, its buttons, and what a tap on them does."""

from __future__ import annotations

from datetime import timedelta

from bot.conversation import counting, pausing, refreshing
from bot.conversation.desk import Desk, Talk
from bot.phrases import Words, words_for
from bot.records import day, log, outbox, people
from bot.records.day import Reminder
from bot.records.people import Carer, Family
from bot.replies.reading import Entry, SkipReason
from bot.say import Button, Buttons, Say, row
from scheduling.plan import Plan

# A reply without a quote answers the last reminder for this long, unless the next one has come.
ANSWERS_WITHIN = timedelta(hours=3)


async def send(desk: Desk, reminder: Reminder, family: Family, plan: Plan) -> int:
    """Say a due reminder to every carer who gets them, closing the one before; return to how many it goes."""
    for earlier in await day.unanswered(desk.conn, family.id):
        await close(desk, earlier)
    carers = await people.prompted_carers(desk.conn, family.id, desk.now)
    await day.mark_reminder(desk.conn, reminder.id, "sent" if carers else "dropped", now=desk.now)
    for carer in carers:
        assert carer.chat_id is not None
        words = words_for(carer.language)
        await desk.say(
            Say(
                chat_id=carer.chat_id,
                text=text_of(desk, reminder, plan, words, carer),
                kind="reminder",
                buttons=buttons_of(reminder, words),
                about=reminder.about,
                key=f"{reminder.about}:{carer.id}",
                expires_at=reminder.late_after,
                family=family.id,
            )
        )
    return len(carers)


def text_of(desk: Desk, reminder: Reminder, plan: Plan, words: Words, carer: Carer) -> str:
    """Return the reminder's text. It may show on a locked screen: the nickname, and nothing of a diagnosis."""
    library, language = desk.library, carer.language
    lines = [
        words(
            "remind.title_sided" if reminder.side else "remind.title",
            nickname=plan.baby.nickname,
            activity=library.in_sentence(reminder.activity, language),
            minutes=counting.minutes_shown(reminder.minutes),
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
    minutes = counting.minutes_shown(reminder.minutes)
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


async def without_buttons(desk: Desk, reminder: Reminder, *, but_chat: int | None = None) -> None:
    await outbox.drop_about(desk.conn, reminder.about)  # what has not even gone out
    for outbox_id, chat_id in await outbox.said_about(desk.conn, reminder.about):
        if chat_id != but_chat:
            await desk.say(Say(chat_id=chat_id, edits=outbox_id, kind="tidy"))


async def answered(talk: Talk, reminder: Reminder, *, by_button: bool) -> None:
    """Mark a reminder answered; the buttons go from every copy, and other carers see who did it."""
    await day.mark_reminder(talk.conn, reminder.id, "answered", now=talk.now)
    others = [
        carer
        for carer in await people.carers_of(talk.conn, talk.family.id)
        if carer.chat_id is not None and carer.id != talk.carer.id
    ]
    languages = {carer.chat_id: carer.language for carer in others}
    for outbox_id, chat_id in await outbox.said_about(talk.conn, reminder.about):
        if chat_id == talk.chat_id:
            if not by_button:
                await talk.edit(outbox_id, "")
        elif chat_id in languages:
            words = words_for(languages[chat_id])
            done = words(
                "remind.done_by",
                carer=talk.carer.name,
                activity=talk.desk.library.in_sentence(reminder.activity, languages[chat_id]),
            )
            await talk.desk.say(Say(chat_id=chat_id, edits=outbox_id, text=done))


# ---------------------------------------------------------------- buttons


async def pressed_done(talk: Talk, argument: str) -> None:
    reminder = await _pressed_reminder(talk, argument)
    if reminder is not None:
        await _count(talk, reminder, reminder.minutes)


async def pressed_minutes(talk: Talk, argument: str) -> None:
    """Offer other minutes in place of the buttons."""
    reminder = await _pressed_reminder(talk, argument)
    if reminder is None:
        return
    await talk.note()
    buttons = counting.minute_buttons(f"did:{reminder.id}", reminder.minutes)
    plan = (await talk.plan()).plan
    await counting.edit_pressed(talk, text_of(talk.desk, reminder, plan, talk.words, talk.carer), buttons)


async def pressed_did(talk: Talk, argument: str) -> None:
    reminder_id, _, minutes = argument.partition(":")
    reminder = await _pressed_reminder(talk, reminder_id)
    if reminder is not None and minutes.isdigit() and int(minutes) > 0:
        await _count(talk, reminder, float(minutes))


async def _count(talk: Talk, reminder: Reminder, minutes: float) -> None:
    entry = Entry(activity=reminder.activity, minutes=minutes, side=reminder.side)
    session = await counting.log_entry(talk, entry, message_id=None, reminder=reminder)
    await answered(talk, reminder, by_button=True)
    await day.plan_anew(talk.conn, talk.family.id, talk.now)
    await talk.note(talk.words("count.counted_note"))
    await counting.edit_pressed(
        talk, await counting.described(talk, [session]), counting.undo_buttons(talk, session)
    )
    await counting.twins_asked(talk, [session])


async def pressed_later(talk: Talk, argument: str) -> None:
    reminder = await _pressed_reminder(talk, argument)
    if reminder is None:
        return
    await talk.note()
    text = await pausing.later(talk, reminder, None)
    await counting.edit_pressed(talk, text)


async def pressed_asleep(talk: Talk, argument: str) -> None:
    reminder = await _pressed_reminder(talk, argument)
    if reminder is None:
        return
    await skip(talk, reminder, "asleep", message_id=None)
    await talk.note()
    text, buttons = await pausing.asleep(talk)
    await counting.edit_pressed(talk, text, buttons)


async def pressed_not_now(talk: Talk, argument: str) -> None:
    reminder = await _pressed_reminder(talk, argument)
    if reminder is None:
        return
    await skip(talk, reminder, "other", message_id=None)
    await talk.note()
    await counting.edit_pressed(
        talk, talk.words("remind.not_now", activity=talk.activity_name(reminder.activity))
    )


async def pressed_show(talk: Talk, argument: str) -> None:
    """Show the card; the reminder keeps its buttons."""
    reminder = await day.reminder(talk.conn, int(argument)) if argument.isdigit() else None
    if reminder is None or reminder.family_id != talk.family.id:
        await talk.note(talk.words("edge.old_button"))
        return
    await talk.note()
    await refreshing.show(talk, reminder.activity, reminder.side)


async def skip(talk: Talk, reminder: Reminder | None, reason: SkipReason, *, message_id: int | None) -> None:
    """Note that a prompted activity was not done; its buttons go and the day is planned anew."""
    await log.add_skip(
        talk.conn,
        family_id=talk.family.id,
        carer_id=talk.carer.id,
        message_id=message_id,
        reminder_id=reminder.id if reminder else None,
        activity=reminder.activity if reminder else None,
        reason=reason,
        at=talk.now,
    )
    if reminder is not None and reminder.state in ("sent", "expired"):
        await day.mark_reminder(talk.conn, reminder.id, "skipped", now=talk.now, reason=reason)
        await without_buttons(talk.desk, reminder, but_chat=talk.chat_id if talk.incoming.press else None)
    await day.plan_anew(talk.conn, talk.family.id, talk.now)


async def _pressed_reminder(talk: Talk, argument: str) -> Reminder | None:
    """Return the reminder that a button names while it can still be answered; otherwise say what became of it."""
    reminder = await day.reminder(talk.conn, int(argument)) if argument.isdigit() else None
    if reminder is None or reminder.family_id != talk.family.id:
        await talk.note(talk.words("edge.old_button"))
        return None
    if reminder.state in ("sent", "expired", "later"):
        return reminder
    sessions = await log.sessions_of_reminder(talk.conn, reminder.id)
    minutes = sum(session.minutes or 0 for session in sessions)
    if minutes:
        await talk.note(talk.words("count.already_counted_minutes", minutes=counting.minutes_shown(minutes)))
    else:
        await talk.note(talk.words("remind.closed"))
    return None
