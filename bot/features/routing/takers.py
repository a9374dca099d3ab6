"""What each feature does with a message that it is offered; each says whether it took it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from bot.domain.entries import LogEntry
from bot.domain.subject import Subject
from bot.features.entries import confidence, handlers
from bot.features.entries.handlers import entries_quoted
from bot.features.learned import handlers as learned
from bot.features.reminders import frequency
from bot.features.reminders import handlers as reminders
from bot.features.reminders import hours as reminder_hours
from bot.features.routing import asides, dialogs, rules, yes_no
from bot.features.routing.rules import Taker
from bot.features.routing.turn import Turn, context_of, keep_unread
from bot.features.state import load_state
from bot.features.threads import how_is_baby, questions
from bot.parsing import answers
from bot.parsing.mends import read_mend
from bot.replies.reader import activities_named
from bot.replies.reading import Entry, Reading


def _yes_no(turn: Turn) -> bool:
    assert turn.yes_no is not None
    turn.ctx.uow.messages.set_unparsed(turn.message_id, None)
    yes_no.press(turn.ctx, turn.yes_no)
    return True


def _thread(turn: Turn) -> bool:
    assert turn.quoted is not None
    return questions.belongs_to_thread(turn.ctx, turn.message_id, turn.quoted, turn.reading)


def _written_question(turn: Turn) -> bool:
    """ "Ask the therapist" was tapped: the next message is the question, where it is none of minutes."""
    ctx, reading = turn.ctx, turn.reading
    dialog = ctx.dialog()
    timed = any(entry.minutes or entry.times for entry in reading.entries)
    ctx.end_dialog()
    if (timed or reading.skipped) and "?" not in ctx.text:
        return False
    activity, thread = dialog.text("activity"), Subject.from_stored(dialog.text("thread"))
    questions.forward(ctx, turn.message_id, "question", activity, thread=thread)
    if timed:
        handlers.tell(ctx, turn.message_id, reading, None)
    return True


def _confidence(turn: Turn) -> bool:
    alone = turn.alone
    answered = confidence.answered_in_words(
        turn.ctx, turn.message_id, turn.quoted, alone, says_more=rules.says_more(alone)
    )
    timed = any(entry.minutes or entry.times for entry in turn.reading.entries)
    if answered == "teachback" and timed:
        # Told how, and for how long: the minutes are asked about before they count.
        asked = replace(turn.reading, confirm=True, unread=None)
        handlers.tell(turn.ctx, turn.message_id, asked, None)
    return answered is not None


def _minutes(turn: Turn) -> bool:
    return handlers.answers_minutes(turn.ctx, turn.message_id, turn.alone)


def _entry_question(turn: Turn) -> bool:
    return handlers.answers_question(turn.ctx, turn.message_id, turn.alone, turn.of_question)


def _dialog(turn: Turn) -> bool:
    return dialogs.taken(turn.ctx, turn.message_id, turn.reading)


def _older_question(turn: Turn) -> bool:
    """A bare yes, which may answer the newer reminder or what was asked before it: neither counts unasked."""
    return handlers.asks_which_yes(turn.ctx, turn.message_id)


def _awake(turn: Turn) -> bool:
    """ "She's up now", while reminders are held back for her sleep."""
    reminders.wakes(turn.ctx)
    return True


def _pleasantry(turn: Turn) -> bool:
    """ "Thanks!": answered in a word."""
    match answers.pleasantry_in(turn.ctx.text):
        case "thanks":
            turn.ctx.answer(turn.ctx.words("pleasantry.welcome"))
        case "greeting":
            turn.ctx.answer(turn.ctx.words("pleasantry.hello"))
        case None:
            return False
    return True


def _several(turn: Turn) -> bool:
    """ "Did it, all of them": asked about, where several reminders are open; its number is never minutes."""
    assert turn.several is not None
    as_yesterday = turn.several == "yesterday"
    if turn.several == "yesterday":
        asked = handlers.asks_as_yesterday(turn.ctx, turn.message_id)
    else:
        asked = handlers.asks_for_several(turn.ctx, turn.message_id, turn.several)
    if asked or turn.several == "all":
        return asked
    open_one = None if as_yesterday else turn.reminder
    entries = (Entry(open_one.activity, open_one.minutes, open_one.side),) if open_one else ()
    handlers.tell(turn.ctx, turn.message_id, Reading(entries=entries, confirm=True), open_one)
    return True


def _correction(turn: Turn) -> bool:
    """Put right what was counted, where a message says so or answers the counted line with other minutes."""
    ctx, mend = turn.ctx, read_mend(turn.ctx.text)
    keep_unread(turn)
    kind = turn.reading.request.kind if turn.reading.request else None
    if kind is None and mend is None and turn.quoted is None and ctx.reply_to is None:
        return False
    quoted = entries_quoted(ctx, turn.quoted)
    if kind == "undo":
        handlers.undo(ctx, quoted)
        return True
    if mend is not None and handlers.mend(ctx, turn.message_id, mend, quoted):
        ctx.uow.messages.set_unparsed(turn.message_id, None)
        return True
    if mend is not None and mend.days is not None:
        handlers.nothing_to_correct(ctx, turn.message_id)
        return True
    if kind == "correct":
        return _corrected(turn, quoted)
    if not quoted or kind is not None or answers.says_more(ctx.text):
        return False
    only = turn.alone.entries[0] if len(turn.alone.entries) == 1 else None
    if (
        only is None
        or not (only.minutes or only.times)
        or only.activity not in (None, *(each.activity for each in quoted))
    ):
        return False
    return handlers.correct(ctx, turn.message_id, turn.alone, quoted)


def _corrected(turn: Turn, quoted: list[LogEntry]) -> bool:
    """A correction with its own words. Where a reminder came since, its answer is what a side or an amount means."""
    ctx, reminder = turn.ctx, turn.reminder
    last = load_state(ctx).last_counted()
    since = reminder is None or any(reminder.sent_at and each.logged_at > reminder.sent_at for each in last)
    alone = since and turn.alone.request is not None and turn.alone.request.kind == "correct"
    reading = turn.alone if alone else turn.reading
    named = activities_named(ctx.text, context_of(ctx, None))
    if handlers.correct(ctx, turn.message_id, reading, quoted, named):
        return True
    if reading.entries and reminder is not None:
        return False  # it is told for the first time
    handlers.nothing_to_correct(ctx, turn.message_id)
    return True


def _frequency(turn: Turn) -> bool:
    assert turn.wish is not None
    if turn.reading.unread:
        turn.ctx.uow.messages.set_unparsed(turn.message_id, None)
    frequency.asked(turn.ctx, turn.wish)
    return True


def _aside(turn: Turn) -> bool:
    """Something asked of the bot itself."""
    turn.ctx.uow.messages.set_unparsed(turn.message_id, None)
    if turn.aside is not None:
        asides.answer(turn.ctx, turn.message_id, turn.aside, turn.reminder, turn.named)
    elif turn.why_not is not None:
        asides.why_not(turn.ctx, turn.message_id, turn.why_not)
    elif turn.meant is not None:
        asides.show_named(turn.ctx, turn.message_id, turn.meant)
    return True


def _news(turn: Turn) -> bool:
    """News of a concern that is open: "false alarm, it was 37.2". Minutes of an activity that it names count as ever."""
    turn.ctx.uow.messages.set_unparsed(turn.message_id, None)
    passed_on = how_is_baby.news(turn.ctx, turn.message_id)
    return passed_on and not any(each.whole for each in turn.alone.entries)


def _fixed_times(turn: Turn) -> bool:
    """ "Keep my times"."""
    turn.ctx.uow.messages.set_unparsed(turn.message_id, None)
    learned.asked_times(turn.ctx)
    return True


def _pause(turn: Turn) -> bool:
    """ "Quiet till tomorrow"."""
    turn.ctx.uow.messages.set_unparsed(turn.message_id, None)
    reminders.pause(turn.ctx, turn.pause)
    return True


def _hours(turn: Turn) -> bool:
    """ "No messages before 8"."""
    assert turn.hours is not None
    turn.ctx.uow.messages.set_unparsed(turn.message_id, None)
    if turn.hours == "weekends":
        reminder_hours.ask_weekends(turn.ctx)
    else:
        reminder_hours.asked(turn.ctx, turn.hours)
    return True


TAKE: dict[Taker, Callable[[Turn], bool]] = {
    "yes_no": _yes_no,
    "thread": _thread,
    "written_question": _written_question,
    "confidence": _confidence,
    "minutes": _minutes,
    "entry_question": _entry_question,
    "dialog": _dialog,
    "older_question": _older_question,
    "awake": _awake,
    "pleasantry": _pleasantry,
    "aside": _aside,
    "pause": _pause,
    "hours": _hours,
    "news": _news,
    "fixed_times": _fixed_times,
    "several": _several,
    "correction": _correction,
    "frequency": _frequency,
}
