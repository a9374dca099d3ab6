"""What a message tells: minutes, what was seen, why something was not done. Answered in one short line."""

from __future__ import annotations

from datetime import timedelta

from bot.conversation.carer import counting, following_up, pausing, reminding, unsure
from bot.conversation.desk import Talk
from bot.conversation.shown import minutes_shown
from bot.records import log
from bot.records.day import Reminder
from bot.replies.reading import Entry, Observation, Reading
from bot.say import Buttons

SAME_WORDS_WITHIN = timedelta(
    minutes=2
)  # the same words within this are taken for one message sent twice, and asked about


async def enter(
    talk: Talk, message_id: int, reading: Reading, reminder: Reminder | None, answer_id: int | None
) -> bool:
    """Count entries, note observations and a skip; return whether anything was told.

    answer_id: the outbox id of the line that answered an earlier wording of the message; it changes in place.
    Beside an urgent worry nothing is asked and nothing light is said: what is not sure stays in the worry's own words.
    """
    urgent = reading.concern is not None and reading.concern.urgency != "tell_therapist"
    for observation in reading.observations:
        await _note(talk, message_id, observation, reminder)
    if urgent and not (reading.entries and _is_sure(reading)):
        if reading.skipped is not None:
            await reminding.skip(talk, reminder, reading.skipped, message_id=message_id)
        if reading.skipped == "asleep":
            await pausing.asleep(talk)  # reminders are held back, without a word
        if reading.skipped == "unwell" and reading.concern and reading.concern.urgency == "same_day":
            await talk.answer(talk.words("pause.offer"), buttons=pausing.pause_buttons(talk))
        return False
    if reading.entries:
        await _enter_entries(talk, message_id, reading, reminder, answer_id)
        return True
    if reading.skipped is not None:
        await _enter_skip(talk, message_id, reading, reminder, answer_id)
        return True
    if reading.observations:
        text = talk.words("count.noted", what=_observed(talk, reading))
        await tell(talk, message_id, text, (), answer_id)
        return True
    if reading.confirm and reading.unclear is None and reading.request is None and not reading.concern:
        await _ask_what(talk, message_id, answer_id)
        return True
    return False


async def _enter_skip(
    talk: Talk, message_id: int, reading: Reading, reminder: Reminder | None, answer_id: int | None
) -> None:
    assert reading.skipped is not None
    await reminding.skip(talk, reminder, reading.skipped, message_id=message_id)
    text, buttons = await _skip_answer(talk, reading, reminder)
    if reading.observations:
        text += " " + talk.words("count.noted", what=_observed(talk, reading))
    await tell(talk, message_id, text, buttons, answer_id)


async def _skip_answer(talk: Talk, reading: Reading, reminder: Reminder | None) -> tuple[str, Buttons]:
    match reading.skipped:
        case "asleep":
            return await pausing.asleep(talk)
        case "unwell":
            return pausing.unwell(talk)
        case "away":
            return pausing.away(talk)
        case _ if reminder is not None:
            return talk.words("remind.not_now", activity=talk.activity_name(reminder.activity)), ()
        case _:
            return talk.words("remind.no_trouble"), ()


async def _enter_entries(
    talk: Talk, message_id: int, reading: Reading, reminder: Reminder | None, answer_id: int | None
) -> None:
    again = await _answered_before(talk, reading, reminder)
    sure = not again and _is_sure(reading)
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
    noted = " " + talk.words("count.noted", what=_observed(talk, reading)) if reading.observations else ""
    if not sure:
        text, buttons = await unsure.question_about(talk, sessions)
        if again:
            counted = talk.words("count.already_counted_minutes", minutes=minutes_shown(again))
            text = f"{counted} {talk.words('change.once_more')}"
        await tell(talk, message_id, text + noted, buttons, answer_id)
        return
    sessions = await counting.settle(talk, sessions)
    line = await counting.described(talk, sessions) + noted
    if reading.unread:
        line += "\n" + talk.words("count.rest_kept", therapist=(await talk.therapist()).name)
    await tell(talk, message_id, line, counting.undo_buttons(talk, sessions[0]), answer_id)
    if reading.concern is None and reading.unclear is None:
        await following_up.follow_up(talk, sessions)


def _is_sure(reading: Reading) -> bool:
    return not reading.confirm and all(entry.activity and entry.minutes for entry in reading.entries)


def _answers(entry: Entry, reminder: Reminder | None) -> bool:
    return reminder is not None and entry.activity == reminder.activity and entry.day_offset == 0


async def _answered_before(talk: Talk, reading: Reading, reminder: Reminder | None) -> float:
    """Return the minutes that a reminder has had as its answer already, where a message answers it once more; or those
    of the same words sent a moment ago, as a phone without a network does."""
    twice = await _said_twice(talk, reading)
    if twice:
        return twice
    if reminder is None or len(reading.entries) != 1 or not _answers(reading.entries[0], reminder):
        return 0.0
    return sum(session.minutes or 0.0 for session in await log.sessions_of_reminder(talk.conn, reminder.id))


async def _said_twice(talk: Talk, reading: Reading) -> float:
    """Return the minutes that this carer's last message logged, where it said the very same a moment ago."""
    last = await log.last_counted(talk.conn, talk.family.id, talk.carer.id)
    if not reading.entries or not last or last[0].message_id is None:
        return 0.0
    earlier = await log.message(talk.conn, last[0].message_id)
    same = (
        earlier is not None
        and earlier.chat_id == talk.chat_id
        and earlier.message_id != talk.incoming.message_id
        and earlier.text.strip().casefold() == talk.incoming.text.strip().casefold()
        and talk.now - earlier.at <= SAME_WORDS_WITHIN
    )
    return sum(session.minutes or 0.0 for session in last) if same else 0.0


async def _ask_what(talk: Talk, message_id: int, answer_id: int | None) -> None:
    """ "Done", with no reminder to say what of."""
    entry = Entry(activity=None, minutes=None)
    session = await counting.log_entry(talk, entry, message_id=message_id, reminder=None, state="asked")
    text, buttons = await unsure.question_about(talk, [session])
    await tell(talk, message_id, text, buttons, answer_id)


async def tell(talk: Talk, message_id: int, text: str, buttons: Buttons, answer_id: int | None) -> None:
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
