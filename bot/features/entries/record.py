"""What a message tells: minutes, what was seen, why something was not done. Answered in one short line."""

from __future__ import annotations

from datetime import timedelta

from bot.domain.outgoing import Buttons
from bot.domain.reminders import Reminder
from bot.features.context import CarerContext
from bot.features.entries import clarify, follow_up, log
from bot.features.formats import minutes_shown
from bot.features.reminders import pauses, sending
from bot.replies.reading import Entry, Observation, Reading

SAME_WORDS_WITHIN = timedelta(
    minutes=2
)  # the same words within this are taken for one message sent twice, and asked about


def enter(
    ctx: CarerContext, message_id: int, reading: Reading, reminder: Reminder | None, answer_id: int | None
) -> bool:
    """Count entries, note observations and a skip; return whether anything was told.

    answer_id: the outbox id of the line that answered an earlier wording of the message; it changes in place.
    Beside an urgent concern nothing is asked and nothing light is said: what is not sure stays in the worry's own words.
    """
    urgent = reading.concern is not None and reading.concern.urgency != "tell_therapist"
    for observation in reading.observations:
        _note(ctx, message_id, observation, reminder)
    if urgent and not (reading.entries and _is_sure(reading)):
        if reading.skipped is not None:
            sending.skip(ctx, reminder, reading.skipped, message_id=message_id)
        if reading.skipped == "asleep":
            pauses.asleep(ctx)  # reminders are held back, without a word
        if reading.skipped == "unwell" and reading.concern and reading.concern.urgency == "same_day":
            ctx.answer(ctx.words("pause.offer"), buttons=pauses.pause_buttons(ctx))
        return False
    if reading.entries:
        _enter_entries(ctx, message_id, reading, reminder, answer_id)
        return True
    if reading.skipped is not None:
        _enter_skip(ctx, message_id, reading, reminder, answer_id)
        return True
    if reading.observations:
        text = ctx.words("count.noted", what=_observed(ctx, reading))
        tell(ctx, message_id, text, (), answer_id)
        return True
    if reading.confirm and reading.unclear is None and reading.request is None and not reading.concern:
        _ask_what(ctx, message_id, answer_id)
        return True
    return False


def _enter_skip(
    ctx: CarerContext, message_id: int, reading: Reading, reminder: Reminder | None, answer_id: int | None
) -> None:
    assert reading.skipped is not None
    sending.skip(ctx, reminder, reading.skipped, message_id=message_id)
    text, buttons = _skip_answer(ctx, reading, reminder)
    if reading.observations:
        text += " " + ctx.words("count.noted", what=_observed(ctx, reading))
    tell(ctx, message_id, text, buttons, answer_id)


def _skip_answer(ctx: CarerContext, reading: Reading, reminder: Reminder | None) -> tuple[str, Buttons]:
    match reading.skipped:
        case "asleep":
            return pauses.asleep(ctx)
        case "unwell":
            return pauses.unwell(ctx)
        case "away":
            return pauses.away(ctx)
        case _ if reminder is not None:
            return ctx.words("remind.not_now", activity=ctx.activity_name(reminder.activity)), ()
        case _:
            return ctx.words("remind.no_trouble"), ()


def _enter_entries(
    ctx: CarerContext, message_id: int, reading: Reading, reminder: Reminder | None, answer_id: int | None
) -> None:
    again = _answered_before(ctx, reading, reminder)
    sure = not again and _is_sure(reading)
    sessions = [
        log.log_entry(
            ctx,
            entry,
            message_id=message_id,
            reminder=reminder if _answers(entry, reminder) else None,
            state="counted" if sure else "asked",
        )
        for entry in reading.entries
    ]
    noted = " " + ctx.words("count.noted", what=_observed(ctx, reading)) if reading.observations else ""
    if not sure:
        text, buttons = clarify.question_about(ctx, sessions)
        if again:
            counted = ctx.words("count.already_counted_minutes", minutes=minutes_shown(again))
            text = f"{counted} {ctx.words('change.once_more')}"
        tell(ctx, message_id, text + noted, buttons, answer_id)
        return
    sessions = log.settle(ctx, sessions)
    line = log.described(ctx, sessions) + noted
    if reading.unread:
        line += "\n" + ctx.words(
            "count.rest_kept",
            therapist=ctx.therapist().name,
            emergency_line=ctx.context.clinic.emergency_line,
        )
    tell(ctx, message_id, line, log.undo_buttons(ctx, sessions[0]), answer_id)
    if reading.concern is None and reading.unclear is None:
        follow_up.follow_up(ctx, sessions)


def _is_sure(reading: Reading) -> bool:
    return not reading.confirm and all(entry.activity and entry.minutes for entry in reading.entries)


def _answers(entry: Entry, reminder: Reminder | None) -> bool:
    return reminder is not None and entry.activity == reminder.activity and entry.day_offset == 0


def _answered_before(ctx: CarerContext, reading: Reading, reminder: Reminder | None) -> float:
    """Return the minutes that a reminder has had as its answer already, where a message answers it once more; or those
    of the same words sent a moment ago, as a phone without a network does."""
    twice = _said_twice(ctx, reading)
    if twice:
        return twice
    if reminder is None or len(reading.entries) != 1 or not _answers(reading.entries[0], reminder):
        return 0.0
    return sum(session.minutes or 0.0 for session in ctx.uow.entries.of_reminder(reminder.id))


def _said_twice(ctx: CarerContext, reading: Reading) -> float:
    """Return the minutes that this carer's last message logged, where it said the very same a moment ago."""
    last = ctx.uow.entries.last_counted(ctx.family.id, ctx.carer.id)
    if not reading.entries or not last or last[0].message_id is None:
        return 0.0
    earlier = ctx.uow.messages.find(last[0].message_id)
    same = (
        earlier is not None
        and earlier.chat_id == ctx.chat_id
        and earlier.message_id != ctx.event.message_id
        and earlier.text.strip().casefold() == ctx.event.text.strip().casefold()
        and ctx.now - earlier.at <= SAME_WORDS_WITHIN
    )
    return sum(session.minutes or 0.0 for session in last) if same else 0.0


def _ask_what(ctx: CarerContext, message_id: int, answer_id: int | None) -> None:
    """ "Done", with no reminder to say what of."""
    entry = Entry(activity=None, minutes=None)
    session = log.log_entry(ctx, entry, message_id=message_id, reminder=None, state="asked")
    text, buttons = clarify.question_about(ctx, [session])
    tell(ctx, message_id, text, buttons, answer_id)


def tell(ctx: CarerContext, message_id: int, text: str, buttons: Buttons, answer_id: int | None) -> None:
    """Answer a message; the answer to an edited one changes in place."""
    if answer_id is not None:
        ctx.edit(answer_id, ctx.named(text), buttons)
        return
    said = ctx.answer(text, buttons=buttons, about=f"message:{message_id}")
    ctx.uow.messages.change(message_id, answer_id=said)


def _note(ctx: CarerContext, message_id: int, observation: Observation, reminder: Reminder | None) -> None:
    ctx.uow.entries.add_observation(
        family_id=ctx.family.id,
        carer_id=ctx.carer.id,
        message_id=message_id,
        kind=observation.kind,
        side=observation.side,
        activity=reminder.activity if reminder else None,
        at=ctx.now,
    )


def _observed(ctx: CarerContext, reading: Reading) -> str:
    found = []
    for observation in reading.observations:
        what = ctx.words.plain(f"observed.{observation.kind}")
        side = ctx.side_name(observation.side)
        found.append(ctx.words.plain("observed.sided", what=what, side=side) if side else what)
    return ", ".join(found)
