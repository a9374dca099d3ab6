"""A carer's message, read once and acted on: concerns first, then what they ask, then what they did."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

from bot.domain.entries import LogEntry
from bot.domain.messages import Message
from bot.domain.reminders import Reminder
from bot.domain.roles import is_day_care
from bot.domain.subject import Subject
from bot.features.concerns import handlers as concerns
from bot.features.context import CarerContext
from bot.features.entries import confidence, handlers, question_rules
from bot.features.entries.handlers import entries_quoted
from bot.features.events import FileSent, Sent, kind_kept
from bot.features.learned import handlers as learned
from bot.features.refreshers import refresher
from bot.features.reminders import frequency
from bot.features.reminders import handlers as reminders
from bot.features.reminders import hours as reminder_hours
from bot.features.reminders.rules import is_asleep
from bot.features.routing import asides, dialogs, requests, rules
from bot.features.routing.rules import Situation, Taker
from bot.features.state import load_state
from bot.features.threads import how_is_baby, questions
from bot.parsing import answers
from bot.parsing.asides import Aside, aside_in, asks_why_not, named_loosely
from bot.parsing.mends import read_mend
from bot.parsing.reminder_hours import HoursWish, read_hours_wish
from bot.parsing.retraction import speaks_of_alarm
from bot.parsing.sleep import speaks_of_unsafe_sleep
from bot.phrases import Verbatim
from bot.replies.reader import activities_named, activity_named, read_reply
from bot.replies.reading import Prompted, Reading, ReplyContext
from bot.storage.repositories.outbox import Said


@dataclass
class Turn:
    """One message on its way through the features. answer_id: the line that answered an earlier wording of it."""

    ctx: CarerContext
    message_id: int
    reading: Reading
    reminder: Reminder | None
    quoted: Said | None
    answer_id: int | None = None

    @cached_property
    def alone(self) -> Reading:
        """The message read as if no reminder were open."""
        if self.reminder is None:
            return self.reading
        return read_reply(self.ctx.text, context_of(self.ctx, None))

    @cached_property
    def wish(self) -> answers.Wish | None:
        return answers.wish_in(self.ctx.text)

    @cached_property
    def aside(self) -> Aside | None:
        return aside_in(self.ctx.text)

    @cached_property
    def meant(self) -> str | None:
        """The activity of "the mouth one" or "what's hand to mouth", None for any other message."""
        return asides.loosely_named(self.ctx, named_loosely(self.ctx.text))

    @cached_property
    def why_not(self) -> str | None:
        """The activity of "why no tummy time?", None for any other message."""
        if not asks_why_not(self.ctx.text):
            return None
        return activity_named(self.ctx.text, context_of(self.ctx, None))

    @cached_property
    def speaks_of_alarm(self) -> bool:
        return speaks_of_alarm(self.ctx.text)

    @cached_property
    def concern_open(self) -> bool:
        """Whether a concern is open that this may be news of; not looked up for what plainly says something else."""
        may_be_news = self.speaks_of_alarm or rules.says_nothing(self.reading)
        return self.answer_id is None and may_be_news and how_is_baby.has_open(self.ctx)

    @cached_property
    def hours(self) -> HoursWish | Literal["any"] | None:
        return None if is_day_care(self.ctx.carer) else read_hours_wish(self.ctx.text)

    def situation(self) -> Situation:
        ctx = self.ctx
        return Situation(
            reading=self.reading,
            step=ctx.dialog().step,
            quotes=self.quoted is not None,
            edited=self.answer_id is not None,
            asleep=is_asleep(ctx.family, ctx.now),
            entry_waits=question_rules.waiting_for_answer(load_state(ctx)) is not None,
            thanks=answers.pleasantry_in(ctx.text) is not None,
            awake=answers.says_awake(ctx.text),
            wish=self.wish is not None,
            aside=any(each is not None for each in (self.aside, self.why_not, self.meant)),
            hours=self.hours is not None,
            concern_open=self.concern_open,
            speaks_of_alarm=self.speaks_of_alarm,
            fixed_times=answers.wants_fixed_times(ctx.text) and not is_day_care(ctx.carer),
            older_question=answers.says_yes(ctx.text)
            and question_rules.asked_before_reminder(load_state(ctx)) is not None,
        )


# ---------------------------------------------------------------- in


def read_message(ctx: CarerContext, sent: Sent) -> None:
    """Keep a message verbatim, then do what it says. The same message twice is kept and counted once."""
    reminder, quoted = _answered_reminder(ctx)
    kept = keep(ctx, sent, reminder)
    if kept is not None:
        reading = read_reply(ctx.text, context_of(ctx, reminder))
        act(Turn(ctx, kept, reading, reminder, quoted))


def reading_of(ctx: CarerContext) -> Reading:
    """Return what a message says, without keeping it or doing anything."""
    reminder, _ = _answered_reminder(ctx)
    return read_reply(ctx.text, context_of(ctx, reminder))


def only_asks(ctx: CarerContext) -> bool:
    """Say whether a caption is a question, and nothing that must be done for itself."""
    reading = reading_of(ctx)
    wants = reading.request is None or reading.request.kind in ("question", "refresher")
    return wants and rules.says_nothing(replace(reading, request=None))


def read_kept(ctx: CarerContext, kept: Message) -> None:
    """Read a message that was kept before it was known which baby it is about; its concerns were raised then."""
    reminder, quoted = _answered_reminder(ctx)
    if reminder is not None:
        ctx.uow.messages.set_reminder(kept.id, reminder.id)
    act(Turn(ctx, kept.id, read_reply(kept.text, context_of(ctx, reminder)), reminder, quoted))


def keep(ctx: CarerContext, sent: Sent, reminder: Reminder | None) -> int | None:
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
            return ctx.uow.reminders.find(quoted.about.number), quoted
        if quoted is not None:
            return None, quoted
    return open_reminder(ctx), None


def open_reminder(ctx: CarerContext) -> Reminder | None:
    """Return the reminder that a message without a quote answers."""
    return load_state(ctx).open_reminder()


def context_of(ctx: CarerContext, reminder: Reminder | None) -> ReplyContext:
    plan = ctx.plan().plan
    age = (ctx.today - plan.baby.born).days // 7
    return ReplyContext(
        now=ctx.family.local(min(ctx.event.at, ctx.now)),
        language=ctx.carer.language,
        affected_side=plan.baby.affected_side,
        age_weeks=max(0, age),
        plan=tuple(each.activity for each in plan.activities),
        prompt=Prompted(reminder.activity, reminder.side, reminder.minutes) if reminder else None,
    )


# ---------------------------------------------------------------- through


def act(turn: Turn) -> bool:
    """Do what a message says; return whether the line that answered an earlier wording was changed to tell of it."""
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


def raise_concerns(ctx: CarerContext, message_id: int, reading: Reading, *, told_else: bool = False) -> None:
    """A concern is told first and apart, and nothing else in the message hides it.

    told_else: the carer is answered by a card, so that what only needs telling is kept without advice.
    """
    if ctx.concerns_raised:
        return
    if reading.concern is not None:
        if told_else and reading.concern.urgency == "tell_therapist":
            concerns.raise_beside(ctx, message_id, reading.concern)
        else:
            concerns.raise_concern(ctx, message_id, reading.concern)
    if reading.unclear is not None:
        concerns.ask_about(ctx, message_id, reading.unclear)


def _thread(turn: Turn) -> bool:
    assert turn.quoted is not None
    return questions.belongs_to_thread(turn.ctx, turn.message_id, turn.quoted, turn.reading)


def _written_question(turn: Turn) -> bool:
    """ "Ask the therapist" was tapped: the next message is the question, where it is none of minutes."""
    ctx, reading = turn.ctx, turn.reading
    dialog = ctx.dialog()
    timed = any(entry.minutes for entry in reading.entries)
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
    timed = any(entry.minutes for entry in turn.reading.entries)
    if answered == "teachback" and timed:
        # Told how, and for how long: the minutes are asked about before they count.
        asked = replace(turn.reading, confirm=True, unread=None)
        handlers.tell(turn.ctx, turn.message_id, asked, None)
    return answered is not None


def _minutes(turn: Turn) -> bool:
    return handlers.answers_minutes(turn.ctx, turn.message_id, turn.alone)


def _entry_question(turn: Turn) -> bool:
    return handlers.answers_question(turn.ctx, turn.message_id, turn.alone)


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
    if kind == "correct":
        return _corrected(turn, quoted)
    if not quoted or kind is not None or answers.says_more(ctx.text):
        return False
    only = turn.alone.entries[0] if len(turn.alone.entries) == 1 else None
    if only is None or not only.minutes or only.activity not in (None, *(each.activity for each in quoted)):
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


def keep_unread(turn: Turn) -> None:
    """Keep what was not understood of a message, for the therapist."""
    if turn.reading.unread:
        turn.ctx.uow.messages.set_unparsed(turn.message_id, turn.reading.unread)


def _frequency(turn: Turn) -> bool:
    assert turn.wish is not None
    if turn.reading.unread:
        turn.ctx.uow.messages.set_unparsed(turn.message_id, None)
    text, buttons = frequency.asked(turn.ctx, turn.wish)
    turn.ctx.answer(text, buttons=buttons, about=frequency.ABOUT)
    return True


def _aside(turn: Turn) -> bool:
    """Something asked of the bot itself."""
    turn.ctx.uow.messages.set_unparsed(turn.message_id, None)
    if turn.aside is not None:
        asides.answer(turn.ctx, turn.message_id, turn.aside, turn.reminder)
    elif turn.why_not is not None:
        asides.why_not(turn.ctx, turn.message_id, turn.why_not)
    elif turn.meant is not None:
        refresher.show(turn.ctx, turn.meant, None)
    return True


def _news(turn: Turn) -> bool:
    """News of a concern that is open: "false alarm, it was 37.2". Minutes of an activity that it names count as ever."""
    turn.ctx.uow.messages.set_unparsed(turn.message_id, None)
    passed_on = how_is_baby.news(turn.ctx, turn.message_id)
    return passed_on and not any(each.activity and each.minutes for each in turn.alone.entries)


def _fixed_times(turn: Turn) -> bool:
    """ "Keep my times"."""
    turn.ctx.uow.messages.set_unparsed(turn.message_id, None)
    learned.asked_times(turn.ctx)
    return True


def _hours(turn: Turn) -> bool:
    """ "No messages before 8"."""
    assert turn.hours is not None
    turn.ctx.uow.messages.set_unparsed(turn.message_id, None)
    reminder_hours.asked(turn.ctx, turn.hours)
    return True


TAKE: dict[Taker, Callable[[Turn], bool]] = {
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
    "hours": _hours,
    "news": _news,
    "fixed_times": _fixed_times,
    "correction": _correction,
    "frequency": _frequency,
}


def _told_or_asked(turn: Turn) -> bool:
    """Enter what a message tells and do what it asks for; what is neither is kept for the therapist, and says so."""
    ctx, reading = turn.ctx, turn.reading
    told = handlers.tell(ctx, turn.message_id, reading, turn.reminder, turn.answer_id)
    did = requests.do(ctx, turn.message_id, reading, turn.reminder)
    if told or did or reading.concern is not None or reading.unclear is not None:
        return told
    handlers.answer_line(ctx, turn.message_id, requests.KeptForTherapist(), turn.answer_id)
    return True
