"""A carer's message, read and acted on: worries first, then what they ask, then what they did."""

from __future__ import annotations

from datetime import timedelta

from bot.conversation import asking, counting, pausing, refreshing, reminding, steps, their_day, worrying
from bot.conversation.desk import Talk
from bot.records import day, log, outbox, people
from bot.records.day import Reminder
from bot.replies.reader import read_reply
from bot.replies.reading import Entry, Observation, Prompted, Reading, ReplyContext
from bot.say import Button, Buttons, row


async def read_message(talk: Talk) -> None:
    """Keep a message verbatim, then do what it says. The same message twice is kept and counted once."""
    incoming = talk.incoming
    assert incoming.message_id is not None
    if await log.message_in_chat(talk.conn, talk.chat_id, incoming.message_id) is not None:
        return
    reminder, quoted = await _answered_reminder(talk)
    kept = await log.keep_message(
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
    reading = read_reply(incoming.text, await _context(talk, reminder))
    await _act(talk, kept, reading, reminder, quoted)


async def reading_of(talk: Talk) -> Reading:
    """Return what a message says, without keeping it or doing anything."""
    reminder, _ = await _answered_reminder(talk)
    return read_reply(talk.incoming.text, await _context(talk, reminder))


async def read_kept(talk: Talk, kept: log.Message) -> None:
    """Read a message that was kept before it was known which baby it is about; its worries were raised then."""
    reminder, quoted = await _answered_reminder(talk)
    if reminder is not None:
        await log.change_message(talk.conn, kept.id, reminder_id=reminder.id)
    reading = read_reply(kept.text, await _context(talk, reminder))
    await _act(talk, kept.id, reading, reminder, quoted)


async def read_edited(talk: Talk) -> None:
    """An edited message corrects what its first version logged."""
    assert talk.incoming.message_id is not None
    kept = await log.message_in_chat(talk.conn, talk.chat_id, talk.incoming.message_id)
    if kept is None:
        await read_message(talk)
        return
    if kept.text == talk.incoming.text:
        return
    await log.forget_readings(talk.conn, kept.id)
    await log.change_message(talk.conn, kept.id, text=talk.incoming.text, edited_at=talk.now, unread=None)
    reminder = await day.reminder(talk.conn, kept.reminder_id) if kept.reminder_id else None
    reading = read_reply(talk.incoming.text, await _context(talk, reminder))
    await _act(talk, kept.id, reading, reminder, None, answer_id=kept.answer_id)
    await day.plan_anew(talk.conn, talk.family.id, talk.now)


async def _answered_reminder(talk: Talk) -> tuple[Reminder | None, outbox.Said | None]:
    """Return the reminder that this message answers (by its quote, else by time), and what it quotes."""
    if talk.incoming.reply_to is not None:
        quoted = await outbox.said_as(talk.conn, talk.chat_id, talk.incoming.reply_to)
        if quoted is not None and quoted.about is not None and quoted.about.startswith("reminder:"):
            return await day.reminder(talk.conn, int(quoted.about.removeprefix("reminder:"))), quoted
        return None, quoted
    since = talk.now - reminding.ANSWERS_WITHIN
    return await day.open_reminder(talk.conn, talk.family.id, since=since), None


async def _context(talk: Talk, reminder: Reminder | None) -> ReplyContext:
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


async def _act(
    talk: Talk,
    message_id: int,
    reading: Reading,
    reminder: Reminder | None,
    quoted: outbox.Said | None,
    *,
    answer_id: int | None = None,
) -> None:
    if reading.unread:
        await log.change_message(talk.conn, message_id, unread=reading.unread)
    # A worry is told first and apart, and nothing else in the message hides it.
    if talk.worries_raised:
        pass
    elif reading.concern is not None:
        await worrying.raise_concern(talk, message_id, reading.concern)
    elif reading.unclear is not None:
        await worrying.ask_about(talk, message_id, reading.unclear)
    if quoted is not None and await asking.belongs_to_thread(talk, message_id, quoted, reading):
        return
    if await _answers_step(talk, message_id, reading) or await steps.taken(talk, message_id, reading):
        return
    if reading.request is not None and reading.request.kind == "correct":
        await _correct(talk, message_id, reading)
        return
    told = await _log(talk, message_id, reading, reminder, answer_id)
    asked = await _do_request(talk, message_id, reading, reminder)
    if told or asked or reading.concern is not None or reading.unclear is not None:
        return
    await talk.answer(talk.words("edge.kept_for_therapist", therapist=(await talk.therapist()).name))


async def _answers_step(talk: Talk, message_id: int, reading: Reading) -> bool:
    """Take a bare number as the answer to "how many minutes was it?", and words as those of an asked question."""
    chat = await people.chat(talk.conn, talk.chat_id)
    if chat.step == "minutes":
        session = await log.session(talk.conn, int(chat.data["session"]))
        only = reading.entries[0] if len(reading.entries) == 1 else None
        if (
            session is not None
            and only is not None
            and only.minutes
            and only.activity in (None, session.activity)
        ):
            await counting.set_minutes(talk, session, only.minutes)
            changed = await log.session(talk.conn, session.id)
            assert changed is not None
            await talk.answer(
                await counting.described(talk, [changed]), buttons=counting.undo_buttons(talk, changed)
            )
            return True
    elif chat.step == "question":
        await people.set_step(talk.conn, talk.chat_id, None)
        await asking.forward(
            talk, message_id, "question", chat.data.get("activity"), thread=chat.data.get("thread")
        )
        return True
    return False


async def _log(
    talk: Talk, message_id: int, reading: Reading, reminder: Reminder | None, answer_id: int | None
) -> bool:
    """Count entries, note observations and a skip; answer in one short line. Return whether anything was told."""
    for observation in reading.observations:
        await _note(talk, message_id, observation, reminder)
    if reading.entries:
        await _log_entries(talk, message_id, reading, reminder, answer_id)
        return True
    if reading.skipped is not None:
        await reminding.skip(talk, reminder, reading.skipped, message_id=message_id)
        if reading.skipped == "asleep":
            text, buttons = await pausing.asleep(talk)
        else:
            text, buttons = _skip_answer(talk, reading, reminder), ()
        await _tell(talk, message_id, text, buttons, answer_id)
        return True
    if reading.observations:
        await _tell(talk, message_id, talk.words("count.noted", what=_observed(talk, reading)), (), answer_id)
        return True
    if reading.confirm and reading.unclear is None and reading.request is None and not reading.concern:
        await _ask_what(talk, message_id, reminder)
        return True
    return False


def _skip_answer(talk: Talk, reading: Reading, reminder: Reminder | None) -> str:
    match reading.skipped:
        case "unwell":
            return talk.words("pause.unwell", nickname=talk.family.nickname)
        case "away":
            return talk.words("pause.away")
        case _ if reminder is not None:
            return talk.words("remind.not_now", activity=talk.activity_name(reminder.activity))
        case _:
            return talk.words("remind.no_trouble")


async def _log_entries(
    talk: Talk, message_id: int, reading: Reading, reminder: Reminder | None, answer_id: int | None
) -> None:
    sure = not reading.confirm and all(entry.activity and entry.minutes for entry in reading.entries)
    sessions = [
        await counting.log_entry(
            talk,
            entry,
            message_id=message_id,
            reminder=reminder if _answers(entry, reminder) else None,
            state="counted" if sure else "asked",
        )
        for entry in reading.entries
    ]
    if not sure:
        await _ask_about_entries(talk, message_id, sessions, answer_id)
        return
    if reminder is not None and any(session.reminder_id == reminder.id for session in sessions):
        await reminding.answered(talk, reminder, by_button=False)
    await day.plan_anew(talk.conn, talk.family.id, talk.now)
    line = await counting.described(talk, sessions)
    if reading.observations:
        line += " " + talk.words("count.noted", what=_observed(talk, reading))
    if reading.unread:
        line += "\n" + talk.words("count.rest_kept", therapist=(await talk.therapist()).name)
    await _tell(talk, message_id, line, counting.undo_buttons(talk, sessions[0]), answer_id)
    await counting.twins_asked(talk, sessions)


def _answers(entry: Entry, reminder: Reminder | None) -> bool:
    return reminder is not None and entry.activity == reminder.activity and entry.day_offset == 0


async def _ask_about_entries(
    talk: Talk, message_id: int, sessions: list[counting.Session], answer_id: int | None
) -> None:
    """Ask before an unsure entry counts: which activity, how many minutes, or simply whether."""
    first = next((s for s in sessions if s.activity is None or s.minutes is None), sessions[0])
    words = talk.words
    if first.activity is None:
        text = words("count.which_activity", minutes=counting.minutes_shown(first.minutes or 0))
        buttons = await _activity_buttons(talk, first)
    elif first.minutes is None:
        text = words("count.how_many", activity=talk.activity_name(first.activity))
        buttons = counting.minute_buttons(f"set:{first.id}", None)
        await people.set_step(talk.conn, talk.chat_id, "minutes", session=first.id)
    else:
        what = "; ".join(counting.describe_one(talk, session) for session in sessions)
        text = words("count.shall_i", what=what)
        buttons = (
            row(
                Button(words.plain("count.yes_button"), f"count:{first.id}"),
                Button(words.plain("count.change_button"), f"change:{first.id}"),
                Button(words.plain("count.no_button"), f"drop:{first.id}"),
            ),
        )
    await _tell(talk, message_id, text, buttons, answer_id)


async def _activity_buttons(talk: Talk, session: counting.Session) -> Buttons:
    plan = (await talk.plan()).plan
    buttons = [
        Button(
            talk.desk.library.name(each.activity, talk.carer.language), f"which:{session.id}:{each.activity}"
        )
        for each in plan.activities
    ]
    rows = [row(*buttons[i : i + 2]) for i in range(0, len(buttons), 2)]
    return (*rows, row(Button(talk.words.plain("count.no_button"), f"drop:{session.id}")))


async def _ask_what(talk: Talk, message_id: int, reminder: Reminder | None) -> None:
    """ "Done", with no reminder to say what of."""
    entry = Entry(activity=reminder.activity if reminder else None, minutes=None)
    session = await counting.log_entry(talk, entry, message_id=message_id, reminder=reminder, state="asked")
    text = talk.words("count.which_one")
    await _tell(talk, message_id, text, await _activity_buttons(talk, session), None)


async def _tell(talk: Talk, message_id: int, text: str, buttons: Buttons, answer_id: int | None) -> None:
    """Answer a message; the answer to an edited one changes in place."""
    if answer_id is not None:
        await talk.edit(answer_id, talk.named(text), buttons)
        return
    said = await talk.answer(text, buttons=buttons, about=f"message:{message_id}")
    await log.change_message(talk.conn, message_id, answer_id=said)


async def _note(talk: Talk, message_id: int, observation: Observation, reminder: Reminder | None) -> None:
    await log.add_observation(
        talk.conn,
        family_id=talk.family.id,
        carer_id=talk.carer.id,
        message_id=message_id,
        kind=observation.kind,
        side=observation.side,
        activity=reminder.activity if reminder else None,
        at=talk.now,
    )


def _observed(talk: Talk, reading: Reading) -> str:
    found = []
    for observation in reading.observations:
        what = talk.words.plain(f"observed.{observation.kind}")
        side = talk.side_name(observation.side)
        found.append(talk.words.plain("observed.sided", what=what, side=side) if side else what)
    return ", ".join(found)


async def _correct(talk: Talk, message_id: int, reading: Reading) -> None:
    """ "Sorry, meant 15": the last entry of this carer gets the right value."""
    right = reading.entries[0] if reading.entries else None
    last = await log.last_counted(talk.conn, talk.family.id, talk.carer.id)
    target = next(
        (s for s in reversed(last) if right and right.activity in (None, s.activity)),
        last[-1] if last else None,
    )
    if right is None or target is None or target.logged_before(talk.now - timedelta(days=2)):
        await _tell(talk, message_id, talk.words("count.nothing_to_correct"), (), None)
        return
    changes = {"minutes": right.minutes, "side": right.side, "activity": right.activity}
    await log.change_session(
        talk.conn, target.id, **{name: value for name, value in changes.items() if value is not None}
    )
    await day.plan_anew(talk.conn, talk.family.id, talk.now)
    changed = await log.session(talk.conn, target.id)
    assert changed is not None
    line = await counting.described(talk, [changed])
    await _tell(talk, message_id, line, counting.undo_buttons(talk, changed), None)


async def _do_request(talk: Talk, message_id: int, reading: Reading, reminder: Reminder | None) -> bool:
    """Do what a carer asks for; return whether they asked for anything."""
    request = reading.request
    if request is None:
        return False
    match request.kind:
        case "refresher":
            await _refresher(talk, request.activity, reminder)
        case "later":
            await talk.answer(await pausing.later(talk, reminder, request.minutes))
        case "undo":
            await _undo(talk)
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
        case "help" | "correct":
            await their_day.help_shown(talk)
    return True


async def _refresher(talk: Talk, activity: str | None, reminder: Reminder | None) -> None:
    if activity is None and reminder is not None:
        activity = reminder.activity
    if activity is None:
        await refreshing.choose(talk)
        return
    same = reminder is not None and reminder.activity == activity
    await refreshing.show(talk, activity, reminder.side if same and reminder else None)


async def _undo(talk: Talk) -> None:
    sessions = await log.last_counted(talk.conn, talk.family.id, talk.carer.id)
    if not sessions:
        await talk.answer(talk.words("count.nothing_to_undo"))
        return
    await counting.take_back(talk, sessions)
    what = "; ".join(counting.describe_one(talk, session) for session in sessions)
    await talk.answer(
        talk.words("count.undone", what=what),
        buttons=(row(Button(talk.words.plain("count.redo_button"), f"redo:{sessions[0].id}")),),
    )


async def howto(talk: Talk, rest: str) -> None:
    """/howto in everyday words: "/howto rugby hold"."""
    reading = read_reply(f"how do I do {rest}?", await _context(talk, None))
    await _refresher(talk, reading.request.activity if reading.request else None, None)
