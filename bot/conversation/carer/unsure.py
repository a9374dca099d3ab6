"""An entry that must be asked about before it counts: which activity, how many minutes, or simply whether."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from bot.conversation.carer import counting, following_up
from bot.conversation.carer.counting import describe_all
from bot.conversation.desk import Talk
from bot.conversation.shown import minutes_shown
from bot.records import day, log
from bot.records.log import Session
from bot.replies.reading import Reading
from bot.say import Button, Buttons, row

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


async def question_about(talk: Talk, sessions: Sequence[Session]) -> tuple[str, Buttons]:
    """Return what must be asked about entries that wait, with its buttons: what is missing first."""
    first = next((each for each in sessions if not _complete(each)), sessions[0])
    words = talk.words
    if first.activity is None:
        text = (
            words("count.which_one")
            if first.minutes is None
            else words("count.which_activity", minutes=minutes_shown(first.minutes))
        )
        return text, await _activity_buttons(talk, first)
    if not first.minutes:
        text = words("count.how_many", activity=talk.activity_name(first.activity))
        return text, (*counting.minute_buttons(f"set:{first.id}", None), _no(talk, first))
    text = words("count.shall_i", what=describe_all(talk, sessions))
    yes = Button(words.plain("count.yes_button"), f"count:{first.id}")
    change = Button(words.plain("count.change_button"), f"change:{first.id}")
    return text, (row(yes, change, *_no(talk, first)),)


def _complete(session: Session) -> bool:
    return session.activity is not None and bool(session.minutes)


def _no(talk: Talk, session: Session) -> tuple[Button, ...]:
    return row(Button(talk.words.plain("count.no_button"), f"drop:{session.id}"))


async def _activity_buttons(talk: Talk, session: Session) -> Buttons:
    plan = (await talk.plan()).plan
    buttons = [
        Button(
            talk.desk.library.name(each.activity, talk.carer.language)[:24],
            f"which:{session.id}:{each.activity}",
        )
        for each in plan.activities
        if each.activity in talk.desk.library
    ]
    rows = [row(*buttons[i : i + 2]) for i in range(0, len(buttons), 2)]
    return (*rows, _no(talk, session))


async def go_on(talk: Talk, session: Session) -> tuple[str, Buttons, list[Session]]:
    """Ask what is still missing of a message's entries, or count them all when nothing is; return what to show."""
    waiting = [each for each in await counting.together(talk, session) if each.state == "asked"]
    if any(not _complete(each) for each in waiting):
        text, buttons = await question_about(talk, waiting)
        return text, buttons, []
    counted = await counting.settle(talk, waiting)
    return await counting.described(talk, counted), counting.undo_buttons(talk, counted[0]), counted


# ---------------------------------------------------------------- answers in words


async def answer_in_words(talk: Talk, message_id: int, alone: Reading) -> bool:
    """Take a message as the answer to what was asked last; return whether it was one.

    alone: the message read as if no reminder were open, since a question that came after the reminder is answered first.
    """
    waiting = await log.waiting_session(
        talk.conn, talk.family.id, talk.carer.id, since=talk.now - ANSWER_WITHIN
    )
    if waiting is None or not await _asked_after_the_reminder(talk, waiting):
        return False
    group = [each for each in await counting.together(talk, waiting) if each.state == "asked"]
    waiting = next((each for each in group if not _complete(each)), waiting)
    said = talk.incoming.text.strip().strip(".!¡").casefold()
    if said in NO:
        await drop(talk, waiting)
        await _tell_below(talk, message_id, waiting, talk.words("count.not_counted"), ())
        return True
    if _complete(waiting) and said in YES:
        await _told(talk, message_id, waiting)
        return True
    missing = _missing(waiting, alone)
    if not missing:
        return False
    await log.change_session(talk.conn, waiting.id, **missing)
    await _told(talk, message_id, waiting)
    return True


async def _asked_after_the_reminder(talk: Talk, waiting: Session) -> bool:
    newest = await day.last_sent(talk.conn, talk.family.id)
    return newest is None or newest.sent_at is None or newest.sent_at <= waiting.logged_at


def _missing(waiting: Session, alone: Reading) -> dict[str, object]:
    """Return what a message adds to a waiting entry; nothing where it speaks of something else."""
    if len(alone.entries) != 1:
        return {}
    entry = alone.entries[0]
    if entry.day_offset or (waiting.activity is not None and entry.activity not in (None, waiting.activity)):
        return {}
    if waiting.activity is None and entry.activity is None and waiting.minutes is not None:
        return {}  # minutes again, of we still do not know what
    found = {"activity": entry.activity, "minutes": entry.minutes, "side": entry.side}
    return {name: value for name, value in found.items() if value is not None}


async def _told(talk: Talk, message_id: int, session: Session) -> None:
    text, buttons, counted = await go_on(talk, session)
    await _tell_below(talk, message_id, session, text, buttons)
    await following_up.follow_up(talk, counted)


async def _tell_below(talk: Talk, message_id: int, session: Session, text: str, buttons: Buttons) -> None:
    """Answer below what was just written; the question above loses its buttons, and the new line stands for it."""
    asked = await counting.counted_line(talk, session)
    await talk.edit(asked, "")
    said = await talk.answer(text, buttons=buttons, about=f"message:{session.message_id}")
    await log.change_message(talk.conn, message_id, answer_id=said, corrects=session.id)
    if session.message_id is not None:
        await log.change_message(talk.conn, session.message_id, answer_id=said)


async def drop(talk: Talk, session: Session) -> None:
    for each in await counting.together(talk, session):
        if each.state == "asked":
            await log.change_session(talk.conn, each.id, state="undone")


# ---------------------------------------------------------------- answers by button


async def pressed_count(talk: Talk, argument: str) -> None:
    """ "Yes, count it"."""
    session = await own_session(talk, argument)
    if session is None:
        return
    if session.state != "asked":
        await talk.note(
            talk.words("count.already_counted" if session.state == "counted" else "count.not_counted")
        )
        return
    await show_next(talk, session)


async def pressed_which(talk: Talk, argument: str) -> None:
    """The carer named the activity of an entry that had none."""
    session_id, _, activity = argument.partition(":")
    session = await own_session(talk, session_id)
    if session is None:
        return
    if session.state != "asked":
        await talk.note(
            talk.words("count.already_counted" if session.state == "counted" else "count.not_counted")
        )
        return
    await log.change_session(talk.conn, session.id, activity=activity)
    await show_next(talk, session)


async def pressed_drop(talk: Talk, argument: str) -> None:
    session = await own_session(talk, argument)
    if session is None:
        return
    await drop(talk, session)
    await talk.note()
    await counting.edit_pressed(talk, talk.words("count.not_counted"))


async def show_next(talk: Talk, session: Session) -> None:
    """Show under the pressed button what is asked next, or what was counted."""
    text, buttons, counted = await go_on(talk, session)
    await talk.note(talk.words("count.counted_note") if counted else "")
    await counting.edit_pressed(talk, text, buttons)
    await following_up.follow_up(talk, counted)


async def own_session(talk: Talk, argument: str) -> Session | None:
    """Return the session that a button names, if it is this family's and stands; otherwise say that the button is old."""
    session = await log.session(talk.conn, int(argument)) if argument.isdigit() else None
    if session is None or session.family_id != talk.family.id or session.state == "replaced":
        await talk.note(talk.words("edge.old_button"))
        return None
    return session
