"""The buttons under a counted line: take it back, count it again, change its minutes or its side."""

from __future__ import annotations

from collections.abc import Sequence

from bot.domain.entries import LogEntry, Side
from bot.domain.outgoing import Button, Buttons, row
from bot.domain.subject import Subject
from bot.features import chat
from bot.features.context import CarerContext
from bot.features.entries import clarify, follow_up, log
from bot.features.entries.clarify import own_session
from bot.features.entries.log import describe_all
from bot.features.formats import minutes_shown

MOST_LABEL = 24
SIDES: dict[str, Side] = {"left": "left", "right": "right"}


def pressed_undo(ctx: CarerContext, argument: str) -> None:
    """Take back all that the message logged; a reminder that is open again by it shows its own buttons again."""
    session = own_session(ctx, argument)
    if session is None:
        return
    counted = [each for each in log.together(ctx, session) if each.state == "counted"]
    if not counted:
        ctx.note(ctx.words("count.already_undone"))
        return
    reopened = log.take_back(ctx, counted)
    ctx.note(ctx.words("count.undone_note"))
    if not _stands_under_a_reminder(ctx, reopened):
        text = ctx.words("count.undone", what=describe_all(ctx, counted))
        chat.edit_pressed(ctx, text, log.redo_buttons(ctx, session))


def _stands_under_a_reminder(ctx: CarerContext, reopened: list[int]) -> bool:
    assert ctx.event.message_id is not None
    said = ctx.uow.outbox.said_as(ctx.chat_id, ctx.event.message_id)
    return said is not None and said.about in {
        Subject.of("reminder", reminder_id) for reminder_id in reopened
    }


def pressed_redo(ctx: CarerContext, argument: str) -> None:
    session = own_session(ctx, argument)
    if session is None:
        return
    if session.state == "counted":
        ctx.note(ctx.words("count.already_counted"))
        return
    sessions = log.settle(ctx, log.together(ctx, session))
    ctx.note(ctx.words("count.counted_note"))
    log.show_counted(ctx, sessions)
    follow_up.follow_up(ctx, sessions)


def pressed_change(ctx: CarerContext, argument: str) -> None:
    """Offer other minutes (and the other side) under the same message; of several entries, ask which one first."""
    session = own_session(ctx, argument)
    if session is None:
        return
    standing = [each for each in log.together(ctx, session) if each.state in ("counted", "asked")]
    if not standing:
        ctx.note(ctx.words("count.already_undone"))
        return
    ctx.note()
    if len(standing) == 1:
        _offer(ctx, standing[0])
        return
    rows = [row(Button(_label(ctx, each, standing), f"changeone:{each.id}")) for each in standing]
    chat.edit_pressed(ctx, ctx.words("change.which"), (*rows, _leave_it(ctx, session)))


def _label(ctx: CarerContext, session: LogEntry, among: Sequence[LogEntry]) -> str:
    """Name an entry by what tells it from the others: its activity, its side, or both."""
    parts = [f"{minutes_shown(session.minutes or 0)} min"]
    alike = [each for each in among if each.activity == session.activity]
    if session.side is not None and len(alike) > 1:
        parts.append(ctx.side_name(session.side))
    if session.activity is not None and len(alike) < len(among):
        parts.append(ctx.context.library.name(session.activity, ctx.carer.language))
    return " · ".join(parts)[:MOST_LABEL]


def pressed_change_one(ctx: CarerContext, argument: str) -> None:
    session = own_session(ctx, argument)
    if session is not None:
        ctx.note()
        _offer(ctx, session)


def _offer(ctx: CarerContext, session: LogEntry) -> None:
    pressed = ctx.uow.outbox.said_as(ctx.chat_id, ctx.event.message_id or 0)
    asked = {
        "session": session.id,
        "line": pressed.id if pressed else None,
        "asked_at": ctx.now.isoformat(),
    }
    ctx.uow.chats.start_dialog(ctx.chat_id, "minutes", asked)
    name = ctx.activity_name(session.activity) if session.activity else ctx.words.plain("count.something")
    buttons: Buttons = log.minute_buttons(f"set:{session.id}", session.minutes)
    if session.side is not None:
        other: Side = "left" if session.side == "right" else "right"
        label = ctx.words.plain("change.side_button", side=ctx.side_name(other))
        buttons = (*buttons, row(Button(label, f"side:{session.id}:{other}")))
    chat.edit_pressed(ctx, ctx.words("count.how_many", activity=name), (*buttons, _leave_it(ctx, session)))


def _leave_it(ctx: CarerContext, session: LogEntry) -> tuple[Button, ...]:
    return row(Button(ctx.words.plain("change.keep_button"), f"keep:{session.id}"))


def pressed_keep(ctx: CarerContext, argument: str) -> None:
    """ "Leave it": the line as it was."""
    session = own_session(ctx, argument)
    if session is not None:
        ctx.note()
        _show_changed(ctx, session)


def pressed_set(ctx: CarerContext, argument: str) -> None:
    session_id, _, minutes = argument.partition(":")
    session = own_session(ctx, session_id)
    if session is None or not minutes.isdigit() or int(minutes) < 1:
        return
    _change(ctx, session, minutes=float(minutes))


def pressed_side(ctx: CarerContext, argument: str) -> None:
    session_id, _, named = argument.partition(":")
    session, side = own_session(ctx, session_id), SIDES.get(named)
    if session is not None and side is not None:
        _change(ctx, session, side=side)


def _change(
    ctx: CarerContext, session: LogEntry, *, minutes: float | None = None, side: Side | None = None
) -> None:
    if session.state == "undone":
        ctx.note(ctx.words("count.already_undone"))
        return
    ctx.uow.entries.correct(session.id, minutes=minutes, side=side)
    if session.state == "asked":
        clarify.show_next(ctx, session)
        return
    log.settle(ctx, [session])
    ctx.note(ctx.words("change.changed_note"))
    _show_changed(ctx, session)


def _show_changed(ctx: CarerContext, session: LogEntry) -> None:
    ctx.uow.chats.end_dialog(ctx.chat_id)
    sessions = log.together(ctx, ctx.uow.entries.get(session.id))
    standing = [each for each in sessions if each.state == "counted"]
    if standing:
        log.show_counted(ctx, standing)
    else:
        waiting = [each for each in sessions if each.state == "asked"] or sessions
        text, buttons = clarify.question_about(ctx, waiting)
        chat.edit_pressed(ctx, text, buttons)
