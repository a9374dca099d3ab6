"""An entry that must be asked about before it counts: which activity, how many minutes, or simply whether."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from bot.domain.entries import LogEntry
from bot.domain.outgoing import Button, Buttons, row
from bot.domain.subject import Subject
from bot.features import chat
from bot.features.context import CarerContext
from bot.features.entries import follow_up, log
from bot.features.entries.log import describe_all
from bot.features.formats import minutes_shown
from bot.replies.reading import Entry, Reading

ANSWER_WITHIN = timedelta(hours=1)  # words without a quote answer the question for this long
YES = frozenset(
    [
        "yes",
        "y",
        "yep",
        "yeah",
        "ok",
        "okay",
        "sure",
        "right",
        "correct",
        "si",
        "sí",
        "claro",
        "vale",
        "dale",
        "bueno",
        "👍",
        "✅",
        "👌",
    ]
)
NO = frozenset(["no", "nope", "nah"])


def question_about(ctx: CarerContext, sessions: Sequence[LogEntry]) -> tuple[str, Buttons]:
    """Return what must be asked about entries that wait, with its buttons: what is missing first."""
    first = next((each for each in sessions if not _complete(each)), sessions[0])
    words = ctx.words
    if first.activity is None:
        text = (
            words("count.which_one")
            if first.minutes is None
            else words("count.which_activity", minutes=minutes_shown(first.minutes))
        )
        return text, _activity_buttons(ctx, first)
    if not first.minutes:
        text = words("count.how_many", activity=ctx.activity_name(first.activity))
        return text, (*log.minute_buttons(f"set:{first.id}", None), _no(ctx, first))
    text = words("count.shall_i", what=describe_all(ctx, sessions))
    yes = Button(words.plain("count.yes_button"), f"count:{first.id}")
    change = Button(words.plain("count.change_button"), f"change:{first.id}")
    return text, (row(yes, change, *_no(ctx, first)),)


def _complete(session: LogEntry) -> bool:
    return session.activity is not None and bool(session.minutes)


def _no(ctx: CarerContext, session: LogEntry) -> tuple[Button, ...]:
    return row(Button(ctx.words.plain("count.no_button"), f"drop:{session.id}"))


def _activity_buttons(ctx: CarerContext, session: LogEntry) -> Buttons:
    plan = (ctx.plan()).plan
    buttons = [
        Button(
            ctx.context.library.name(each.activity, ctx.carer.language)[:24],
            f"which:{session.id}:{each.activity}",
        )
        for each in plan.activities
        if each.activity in ctx.context.library
    ]
    rows = [row(*buttons[i : i + 2]) for i in range(0, len(buttons), 2)]
    return (*rows, _no(ctx, session))


def go_on(ctx: CarerContext, session: LogEntry) -> tuple[str, Buttons, list[LogEntry]]:
    """Ask what is still missing of a message's entries, or count them all when nothing is; return what to show."""
    waiting = [each for each in log.together(ctx, session) if each.state == "asked"]
    if any(not _complete(each) for each in waiting):
        text, buttons = question_about(ctx, waiting)
        return text, buttons, []
    counted = log.settle(ctx, waiting)
    return log.described(ctx, counted), log.undo_buttons(ctx, counted[0]), counted


# ---------------------------------------------------------------- answers in words


def answer_in_words(ctx: CarerContext, message_id: int, alone: Reading) -> bool:
    """Take a message as the answer to what was asked last; return whether it was one.

    alone: the message read as if no reminder were open, since a question that came after the reminder is answered first.
    """
    waiting = ctx.uow.entries.waiting(ctx.family.id, ctx.carer.id, since=ctx.now - ANSWER_WITHIN)
    if waiting is None or not _asked_after_the_reminder(ctx, waiting):
        return False
    group = [each for each in log.together(ctx, waiting) if each.state == "asked"]
    waiting = next((each for each in group if not _complete(each)), waiting)
    said = ctx.event.text.strip().strip(".!¡").casefold()
    if said in NO:
        drop(ctx, waiting)
        _tell_below(ctx, message_id, waiting, ctx.words("count.not_counted"), ())
        return True
    if _complete(waiting) and said in YES:
        _told(ctx, message_id, waiting)
        return True
    missing = _missing(waiting, alone)
    if missing is None:
        return False
    ctx.uow.entries.correct(waiting.id, activity=missing.activity, minutes=missing.minutes, side=missing.side)
    _told(ctx, message_id, waiting)
    return True


def _asked_after_the_reminder(ctx: CarerContext, waiting: LogEntry) -> bool:
    newest = ctx.uow.reminders.last_sent(ctx.family.id)
    return newest is None or newest.sent_at is None or newest.sent_at <= waiting.logged_at


def _missing(waiting: LogEntry, alone: Reading) -> Entry | None:
    """Return what a message adds to a waiting entry; None where it adds nothing, or speaks of something else."""
    if len(alone.entries) != 1:
        return None
    entry = alone.entries[0]
    if entry.day_offset or (waiting.activity is not None and entry.activity not in (None, waiting.activity)):
        return None
    if waiting.activity is None and entry.activity is None and waiting.minutes is not None:
        return None  # minutes again, of we still do not know what
    adds = not (entry.activity is None and entry.minutes is None and entry.side is None)
    return entry if adds else None


def _told(ctx: CarerContext, message_id: int, session: LogEntry) -> None:
    text, buttons, counted = go_on(ctx, session)
    _tell_below(ctx, message_id, session, text, buttons)
    follow_up.follow_up(ctx, counted)


def _tell_below(ctx: CarerContext, message_id: int, session: LogEntry, text: str, buttons: Buttons) -> None:
    """Answer below what was just written; the question above loses its buttons, and the new line stands for it."""
    asked = log.counted_line(ctx, session)
    ctx.edit(asked, "")
    first = session.message_id if session.message_id is not None else message_id
    said = ctx.answer(text, buttons=buttons, about=Subject.of("message", first))
    ctx.uow.messages.set_correction(message_id, session.id, said)
    if session.message_id is not None:
        ctx.uow.messages.set_line(session.message_id, said)


def drop(ctx: CarerContext, session: LogEntry) -> None:
    for each in log.together(ctx, session):
        if each.state == "asked":
            ctx.uow.entries.undo(each.id)


# ---------------------------------------------------------------- answers by button


def pressed_count(ctx: CarerContext, argument: str) -> None:
    """ "Yes, count it"."""
    session = own_session(ctx, argument)
    if session is None:
        return
    if session.state != "asked":
        ctx.note(ctx.words("count.already_counted" if session.state == "counted" else "count.not_counted"))
        return
    show_next(ctx, session)


def pressed_which(ctx: CarerContext, argument: str) -> None:
    """The carer named the activity of an entry that had none."""
    session_id, _, activity = argument.partition(":")
    session = own_session(ctx, session_id)
    if session is None:
        return
    if session.state != "asked":
        ctx.note(ctx.words("count.already_counted" if session.state == "counted" else "count.not_counted"))
        return
    ctx.uow.entries.correct(session.id, activity=activity)
    show_next(ctx, session)


def pressed_drop(ctx: CarerContext, argument: str) -> None:
    session = own_session(ctx, argument)
    if session is None:
        return
    drop(ctx, session)
    ctx.note()
    chat.edit_pressed(ctx, ctx.words("count.not_counted"))


def show_next(ctx: CarerContext, session: LogEntry) -> None:
    """Show under the pressed button what is asked next, or what was counted."""
    text, buttons, counted = go_on(ctx, session)
    ctx.note(ctx.words("count.counted_note") if counted else "")
    chat.edit_pressed(ctx, text, buttons)
    follow_up.follow_up(ctx, counted)


def own_session(ctx: CarerContext, argument: str) -> LogEntry | None:
    """Return the session that a button names, if it is this family's and stands; otherwise say that the button is old."""
    session = ctx.uow.entries.find(int(argument)) if argument.isdigit() else None
    if session is None or session.family_id != ctx.family.id or session.state == "replaced":
        ctx.note(ctx.words("edge.old_button"))
        return None
    return session
