"""The buttons under a counted line: take it back, count it again, change its minutes or its side."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from bot.conversation.carer import counting, following_up, unsure
from bot.conversation.carer.counting import describe_all
from bot.conversation.carer.unsure import own_session
from bot.conversation.desk import Talk
from bot.conversation.shown import minutes_shown
from bot.records import log, outbox, people
from bot.records.log import Session
from bot.say import Button, Buttons, row

MOST_LABEL = 24


async def pressed_undo(talk: Talk, argument: str) -> None:
    """Take back all that the message logged; a reminder that is open again by it shows its own buttons again."""
    session = await own_session(talk, argument)
    if session is None:
        return
    counted = [each for each in await counting.together(talk, session) if each.state == "counted"]
    if not counted:
        await talk.note(talk.words("count.already_undone"))
        return
    reopened = await counting.take_back(talk, counted)
    await talk.note(talk.words("count.undone_note"))
    if not await _stands_under_a_reminder(talk, reopened):
        text = talk.words("count.undone", what=describe_all(talk, counted))
        await counting.edit_pressed(talk, text, counting.redo_buttons(talk, session))


async def _stands_under_a_reminder(talk: Talk, reopened: list[int]) -> bool:
    assert talk.incoming.message_id is not None
    said = await outbox.said_as(talk.conn, talk.chat_id, talk.incoming.message_id)
    return said is not None and said.about in {f"reminder:{reminder_id}" for reminder_id in reopened}


async def pressed_redo(talk: Talk, argument: str) -> None:
    session = await own_session(talk, argument)
    if session is None:
        return
    if session.state == "counted":
        await talk.note(talk.words("count.already_counted"))
        return
    sessions = await counting.settle(talk, await counting.together(talk, session))
    await talk.note(talk.words("count.counted_note"))
    await counting.show_counted(talk, sessions)
    await following_up.follow_up(talk, sessions)


async def pressed_change(talk: Talk, argument: str) -> None:
    """Offer other minutes (and the other side) under the same message; of several entries, ask which one first."""
    session = await own_session(talk, argument)
    if session is None:
        return
    standing = [each for each in await counting.together(talk, session) if each.state in ("counted", "asked")]
    if not standing:
        await talk.note(talk.words("count.already_undone"))
        return
    await talk.note()
    if len(standing) == 1:
        await _offer(talk, standing[0])
        return
    rows = [row(Button(_label(talk, each, standing), f"changeone:{each.id}")) for each in standing]
    await counting.edit_pressed(talk, talk.words("change.which"), (*rows, _leave_it(talk, session)))


def _label(talk: Talk, session: Session, among: Sequence[Session]) -> str:
    """Name an entry by what tells it from the others: its activity, its side, or both."""
    parts = [f"{minutes_shown(session.minutes or 0)} min"]
    alike = [each for each in among if each.activity == session.activity]
    if session.side is not None and len(alike) > 1:
        parts.append(talk.side_name(session.side))
    if session.activity is not None and len(alike) < len(among):
        parts.append(talk.desk.library.name(session.activity, talk.carer.language))
    return " · ".join(parts)[:MOST_LABEL]


async def pressed_change_one(talk: Talk, argument: str) -> None:
    session = await own_session(talk, argument)
    if session is not None:
        await talk.note()
        await _offer(talk, session)


async def _offer(talk: Talk, session: Session) -> None:
    pressed = await outbox.said_as(talk.conn, talk.chat_id, talk.incoming.message_id or 0)
    await people.set_step(
        talk.conn,
        talk.chat_id,
        "minutes",
        session=session.id,
        line=pressed.id if pressed else None,
        asked_at=talk.now.isoformat(),
    )
    name = talk.activity_name(session.activity) if session.activity else talk.words.plain("count.something")
    buttons: Buttons = counting.minute_buttons(f"set:{session.id}", session.minutes)
    if session.side is not None:
        other: Literal["left", "right"] = "left" if session.side == "right" else "right"
        label = talk.words.plain("change.side_button", side=talk.side_name(other))
        buttons = (*buttons, row(Button(label, f"side:{session.id}:{other}")))
    await counting.edit_pressed(
        talk, talk.words("count.how_many", activity=name), (*buttons, _leave_it(talk, session))
    )


def _leave_it(talk: Talk, session: Session) -> tuple[Button, ...]:
    return row(Button(talk.words.plain("change.keep_button"), f"keep:{session.id}"))


async def pressed_keep(talk: Talk, argument: str) -> None:
    """ "Leave it": the line as it was."""
    session = await own_session(talk, argument)
    if session is not None:
        await talk.note()
        await _show_changed(talk, session)


async def pressed_set(talk: Talk, argument: str) -> None:
    session_id, _, minutes = argument.partition(":")
    session = await own_session(talk, session_id)
    if session is None or not minutes.isdigit() or int(minutes) < 1:
        return
    await _change(talk, session, minutes=float(minutes))


async def pressed_side(talk: Talk, argument: str) -> None:
    session_id, _, side = argument.partition(":")
    session = await own_session(talk, session_id)
    if session is None or side not in ("left", "right"):
        return
    await _change(talk, session, side=side)


async def _change(talk: Talk, session: Session, **values: float | str) -> None:
    if session.state == "undone":
        await talk.note(talk.words("count.already_undone"))
        return
    await log.change_session(talk.conn, session.id, **values)
    if session.state == "asked":
        await unsure.show_next(talk, session)
        return
    await counting.settle(talk, [session])
    await talk.note(talk.words("change.changed_note"))
    await _show_changed(talk, session)


async def _show_changed(talk: Talk, session: Session) -> None:
    await people.set_step(talk.conn, talk.chat_id, None)
    sessions = await counting.together(talk, await counting.session_now(talk, session.id))
    standing = [each for each in sessions if each.state == "counted"]
    if standing:
        await counting.show_counted(talk, standing)
    else:
        waiting = [each for each in sessions if each.state == "asked"] or sessions
        text, buttons = await unsure.question_about(talk, waiting)
        await counting.edit_pressed(talk, text, buttons)
