"""A therapist's quiet time: setting it, and bringing what it held back in one go when it is over."""

from __future__ import annotations

from datetime import time

from bot.conversation.desk import Desk
from bot.conversation.incoming import Incoming
from bot.conversation.quiet_hours import read_span
from bot.conversation.therapist.therapist_talk import say
from bot.phrases import words_for
from bot.records import audit, outbox, people
from bot.records.people import Therapist
from bot.say import Button, Say, row

OFF = {"off", "no", "none", "stop", "nunca", "quita"}


async def quiet(desk: Desk, incoming: Incoming, therapist: Therapist, asked: str) -> None:
    """/quiet 21:00-07:00 sets it, /quiet off ends it, /quiet alone shows it."""
    words = words_for(therapist.language)
    if asked.strip().lower() in OFF:
        await _set(desk, therapist, None)
        await say(desk, incoming, words("quiet.off"))
        return
    span = read_span(asked)
    if span is not None:
        await _set(desk, therapist, span)
        await say(desk, incoming, words("quiet.set", **_shown(span)))
        return
    if asked.strip():
        await say(desk, incoming, words("quiet.not_read", text=asked.strip()))
        return
    off = (row(Button(words.plain("quiet.off_button"), "quietoff")),)
    if therapist.quiet_from is None or therapist.quiet_to is None:
        await say(desk, incoming, words("quiet.none"))
    else:
        span = time.fromisoformat(therapist.quiet_from), time.fromisoformat(therapist.quiet_to)
        await say(desk, incoming, words("quiet.now", **_shown(span)), off)


async def pressed_off(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    await quiet(desk, incoming, therapist, "off")


def _shown(span: tuple[time, time]) -> dict[str, str]:
    return {"start": f"{span[0]:%H:%M}", "end": f"{span[1]:%H:%M}"}


async def _set(desk: Desk, therapist: Therapist, span: tuple[time, time] | None) -> None:
    shown = _shown(span) if span else {"start": None, "end": None}
    await people.change_therapist(desk.conn, therapist.id, quiet_from=shown["start"], quiet_to=shown["end"])
    # What the old hours hold back goes now: the therapist is here.
    if therapist.chat_id is not None and not therapist.unreachable:
        await outbox.release(desk.conn, therapist.chat_id, until=people.UNTIL_BACK)
    await audit.note(desk.conn, who=f"therapist:{therapist.id}", what="quiet time set", now=desk.now)


async def release_due(desk: Desk) -> None:
    """Bring what a quiet time that is over held back: a line that says how many, then all of them in their order."""
    for chat_id, count in (await outbox.due_from_hold(desk.conn, desk.now)).items():
        words = words_for(await people.language_of(desk.conn, chat_id))
        if count > 1:
            # What waited was written earlier; only a more pressing kind goes before it.
            text = words("quiet.while_quiet", n=count)
            await desk.say(Say(chat_id=chat_id, text=text, kind="concern"))
        await outbox.release(desk.conn, chat_id, until=desk.now)
