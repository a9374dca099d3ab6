"""A therapist's quiet time: setting it, and bringing what it held back in one go when it is over."""

from __future__ import annotations

from datetime import time

from bot.domain.actor import Actor
from bot.domain.outgoing import Button, OutgoingMessage, row
from bot.domain.people import UNTIL_BACK, Therapist
from bot.features import verbs
from bot.features.access.family_choice import say
from bot.features.context import Context
from bot.features.events import Event
from bot.parsing.answers import says_off
from bot.parsing.clock import read_hours
from bot.phrases import words_for


def quiet(context: Context, event: Event, therapist: Therapist, asked: str) -> None:
    """/quiet 21:00-07:00 sets it, /quiet off ends it, /quiet alone shows it."""
    words = words_for(therapist.language)
    if says_off(asked):
        _set(context, therapist, None)
        say(context, event, words("quiet.off"))
        return
    span = read_hours(asked)
    if span is not None:
        _set(context, therapist, span)
        say(context, event, words("quiet.set", **_shown(span)))
        return
    if asked.strip():
        say(context, event, words("quiet.not_read", text=asked.strip()))
        return
    off = (row(Button(words.plain("quiet.off_button"), verbs.QUIET_OFF.data())),)
    if therapist.quiet_from is None or therapist.quiet_to is None:
        say(context, event, words("quiet.none"))
    else:
        span = time.fromisoformat(therapist.quiet_from), time.fromisoformat(therapist.quiet_to)
        say(context, event, words("quiet.now", **_shown(span)), off)


def pressed_off(context: Context, event: Event, therapist: Therapist) -> None:
    quiet(context, event, therapist, "off")


def _shown(span: tuple[time, time]) -> dict[str, str]:
    return {"start": f"{span[0]:%H:%M}", "end": f"{span[1]:%H:%M}"}


def _set(context: Context, therapist: Therapist, span: tuple[time, time] | None) -> None:
    context.uow.therapists.set_quiet_hours(therapist.id, span)
    # What the old hours hold back goes now: the therapist is here.
    if therapist.chat_id is not None and not therapist.unreachable:
        context.uow.outbox.release(therapist.chat_id, until=UNTIL_BACK)
    context.uow.audit.note(who=Actor.therapist(therapist.id), what="quiet time set", now=context.now)


def release_due(context: Context) -> None:
    """Bring what a quiet time that is over held back: a line that says how many, then all of them in their order."""
    for chat_id, count in (context.uow.outbox.due_from_hold(context.now)).items():
        words = words_for(context.uow.chats.language_of(chat_id))
        if count > 1:
            # What waited was written earlier; only a more pressing kind goes before it.
            text = words("quiet.while_quiet", n=count)
            context.say(OutgoingMessage(chat_id=chat_id, text=text, kind="concern"))
        context.uow.outbox.release(chat_id, until=context.now)
