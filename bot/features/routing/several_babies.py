"""Several babies in one chat, twins say: which one a message is about, asked where it could be either.

A button or a quote tells; so does a name, or an open reminder of only one of them. A concern never waits for that answer:
it is raised at once for each baby named, or for all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

from bot.concerns.finding import URGENCIES
from bot.domain.ids import MessageId
from bot.domain.messages import Message
from bot.domain.names import speaks_of
from bot.domain.outgoing import Button, OutgoingMessage, row
from bot.domain.people import Carer
from bot.features import verbs
from bot.features.concerns import handlers as concerns
from bot.features.context import CarerContext, Context
from bot.features.events import Edited, Event, TextWritten, pressed_under, reply_of
from bot.features.routing import carer_message
from bot.features.routing.babies_named import parts_for
from bot.features.schedule import travel
from bot.features.state import ANSWERS_WITHIN
from bot.replies.reading import Reading

NO_BABY_NEEDED = {"help"}
ALL = "*"  # in place of a family's id: every baby of the chat
STILL_SPOKEN_OF = timedelta(minutes=30)


def context_for(context: Context, event: Event, carers: list[Carer]) -> CarerContext:
    """Return the talk that a chat's act belongs to, about the baby that it is most likely about."""
    if len(carers) == 1:
        family = context.uow.families.get(carers[0].family_id)
        return CarerContext(context, event, carers[0], family)
    family_id = _family_meant(context, event, carers)
    chosen = next((carer for carer in carers if carer.family_id == family_id), carers[0])
    context.uow.chats.set_family(event.chat_id, chosen.family_id)
    return context_about(context, event, chosen)


def context_about(context: Context, event: Event, carer: Carer) -> CarerContext:
    family = context.uow.families.get(carer.family_id)
    return CarerContext(context, event, carer, family, several=True)


def _family_meant(context: Context, event: Event, carers: list[Carer]) -> str | None:
    """Return the family by the message that was pressed or quoted, by the words, else the last talked about."""
    shown = pressed_under(event) or reply_of(event)
    if shown is not None:
        said = context.uow.outbox.said_as(event.chat_id, shown)
        if said is not None and said.family_id is not None:
            return said.family_id
    found = meant([context_about(context, event, carer) for carer in carers])
    if len(found) == 1:
        return found[0].family.id
    return (context.uow.chats.get(event.chat_id)).family_id


def meant(contexts: list[CarerContext]) -> list[CarerContext]:
    """Return the talks that a written message may be about.

    Those named in it; else the one just spoken of, where its question or its last line is being answered; else the one
    with an open reminder, if it is only one.
    """
    said = contexts[0].text.casefold()
    named = [ctx for ctx in contexts if speaks_of(said, ctx.family.nickname)]
    if named:
        return named
    spoken_of = _spoken_of(contexts)
    if spoken_of is not None:
        return [spoken_of]
    since = contexts[0].now - ANSWERS_WITHIN
    prompted = [
        ctx for ctx in contexts if ctx.uow.reminders.open_in_family(ctx.family.id, since=since) is not None
    ]
    return prompted if len(prompted) == 1 else contexts


def _spoken_of(contexts: list[CarerContext]) -> CarerContext | None:
    """Return the talk whose last word from us was a moment ago, where a question of it is open or a line is corrected."""
    first = contexts[0]
    last = first.uow.outbox.last_said(first.chat_id)
    if last is None or last.kind != "reply" or first.now - last.created_at > STILL_SPOKEN_OF:
        return None
    found = next((ctx for ctx in contexts if ctx.family.id == last.family_id), None)
    if found is None:
        return None
    chat = first.uow.chats.get(first.chat_id)
    if chat.dialog.step is not None and chat.family_id == last.family_id:
        return found
    request = (carer_message.reading_of(found)).request
    return found if request is not None and request.kind in ("undo", "correct") else None


def ask_which(contexts: list[CarerContext], event: TextWritten) -> None:
    """Keep a message that could be about any of these babies, raise its concerns for all of them, and ask."""
    first = contexts[0]
    if first.uow.messages.in_chat(first.chat_id, event.message_id) is not None:
        return
    readings = [carer_message.reading_of(ctx) for ctx in contexts]
    if all(_needs_no_baby(reading) for reading in readings) or travel.tells_a_place(first):
        carer_message.read_message(first, event)
        return
    kept = kept_of(first, event)
    parts = parts_for(event.text, [ctx.family.nickname for ctx in contexts])
    if parts is not None and not any(reading.concern or reading.unclear for reading in readings):
        read_apart(contexts, kept, parts)
        return
    if _raise_concerns(contexts, readings, kept) and not any(_tells_more(reading) for reading in readings):
        first.uow.messages.assign(kept, first.family.id, first.carer.id)
        return
    buttons = [Button(ctx.family.nickname[:24], verbs.BABY.data(kept, ctx.family.id)) for ctx in contexts]
    both = first.words.plain("babies.both_button" if len(contexts) == 2 else "babies.all_button")
    first.context.say(
        OutgoingMessage(
            chat_id=first.chat_id,
            text=first.words("babies.which"),
            buttons=(row(*buttons), row(Button(both, verbs.BABY.data(kept, ALL)))),
        )
    )


def kept_of(first: CarerContext, event: TextWritten) -> MessageId:
    return first.uow.messages.keep(
        chat_id=first.chat_id,
        message_id=event.message_id,
        kind="text",
        text=event.text,
        at=event.at,
    )


def read_apart(contexts: list[CarerContext], kept: MessageId, parts: Sequence[str | None]) -> None:
    """Read for each baby its part of a kept message; None: all of it."""
    for number, (ctx, part) in enumerate(zip(contexts, parts, strict=True)):
        _read_for(ctx, ctx.uow.messages.get(kept), number, part)


def _needs_no_baby(reading: Reading) -> bool:
    return (
        reading.request is not None
        and reading.request.kind in NO_BABY_NEEDED
        and not (reading.entries or reading.observations or reading.skipped)
        and reading.concern is None
        and reading.unclear is None
    )


def _tells_more(reading: Reading) -> bool:
    """Say whether there is more in a concern's message that must be counted."""
    return bool(reading.entries or reading.observations or reading.skipped)


def _raise_concerns(contexts: list[CarerContext], readings: list[Reading], kept: MessageId) -> bool:
    """Raise a concern for every baby it may be about: the carer is advised once, the therapist told of each."""
    worried = [
        (ctx, found)
        for ctx, reading in zip(contexts, readings, strict=True)
        if (found := reading.concern or reading.unclear) is not None
    ]
    if not worried:
        return False
    together = " / ".join(ctx.family.nickname for ctx, _ in worried)
    # The advice is given once, so it must be the most urgent one.
    (first, found), *others = sorted(worried, key=lambda each: URGENCIES.index(each[1].urgency))
    speaking = replace(first, names=together)
    unclear = all(reading.concern is None for reading in readings)
    if unclear:
        for ctx, unsure in worried:
            concerns.ask_about(ctx, kept, unsure)
        return True
    concerns.raise_concern(speaking, kept, found)
    for ctx, also in others:
        concerns.raise_beside(ctx, kept, also)
    return True


def pressed_baby(ctx: CarerContext, kept_id: MessageId, family_ref: str) -> None:
    """ "Which baby?" answered: the kept message is read for that one, or for each."""
    ctx.note()
    kept = ctx.uow.messages.find(kept_id)
    carers = ctx.uow.carers.in_chat(ctx.chat_id)
    chosen = [c for c in carers if c.state == "active" and family_ref in (c.family_id, ALL)]
    if kept is None or not chosen or kept.chat_id != ctx.chat_id or kept.family_id is not None:
        return
    contexts = [context_about(ctx.context, ctx.event, carer) for carer in chosen]
    _settle_question(ctx, " / ".join(each.family.nickname for each in contexts))
    for number, each in enumerate(contexts):
        _read_for(each, kept, number)
    if len(contexts) == 1:
        ctx.uow.chats.set_family(ctx.chat_id, contexts[0].family.id)


def _read_for(ctx: CarerContext, kept: Message, number: int, part: str | None = None) -> None:
    """Read a kept message for one baby. number: 0 for the first, to which the message itself belongs.

    part: what of it is about this baby; None: all of it.
    """
    if number == 0:
        ctx.uow.messages.assign(kept.id, ctx.family.id, ctx.carer.id)
        row_id = kept.id
    else:
        row_id = ctx.uow.messages.keep(
            chat_id=kept.chat_id,
            message_id=_copy_of(kept.message_id, number),
            kind=kept.kind,
            text=part or kept.text,
            at=kept.at,
            family_id=ctx.family.id,
            carer_id=ctx.carer.id,
        )
    own = ctx.uow.messages.get(row_id)
    if part is not None:
        own = replace(own, text=part)
    ctx.event = TextWritten(
        chat_id=ctx.chat_id,
        at=ctx.event.at,
        user_id=ctx.event.user_id,
        user_name=ctx.event.user_name,
        language=ctx.event.language,
        message_id=own.message_id,
        text=own.text,
    )
    ctx.concerns_raised = True
    ctx.loaded = None
    carer_message.read_kept(ctx, own)


def _copy_of(message_id: int, number: int) -> int:
    """Return the number under which a message about several babies is kept for the further ones; never the service's."""
    return -(message_id * 10 + number)


def edits(context: Context, event: Edited, carers: list[Carer]) -> list[tuple[CarerContext, Edited]]:
    """Return a talk for each baby that an edited message was counted for, and the edit under its own number there."""
    ids = [event.message_id, *(_copy_of(event.message_id, n) for n in range(1, len(carers)))]
    contexts = [context_about(context, event, carer) for carer in carers]
    parts = parts_for(event.text, [ctx.family.nickname for ctx in contexts])
    told = {} if parts is None else dict(zip((ctx.family.id for ctx in contexts), parts, strict=True))
    found = []
    for message_id in ids:
        kept = context.uow.messages.in_chat(event.chat_id, message_id)
        carer = next((c for c in carers if kept is not None and c.family_id == kept.family_id), None)
        if carer is not None:
            edit = replace(event, message_id=message_id, text=told.get(carer.family_id, event.text))
            found.append((context_about(context, edit, carer), edit))
    return found


def _settle_question(ctx: CarerContext, nicknames: str) -> None:
    asked = ctx.pressed()
    if asked is not None:
        ctx.edit(asked.id, ctx.words("babies.chosen", nickname=nicknames))
