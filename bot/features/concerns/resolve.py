"""What a therapist does with a concern: seen, called, wrong alarm, or an answer. The carer hears once that it was read."""

from __future__ import annotations

from bot.domain.actor import Actor
from bot.domain.concerns import ConcernRow, ConcernState
from bot.domain.outgoing import Button, Buttons, OutgoingMessage, row
from bot.domain.people import Therapist
from bot.domain.subject import Subject
from bot.features import formats
from bot.features.access import access
from bot.features.context import Context
from bot.features.events import Event
from bot.phrases import Verbatim, Words, words_for

STATES: dict[str, ConcernState] = {
    "seen": "seen",
    "called": "answered",
    "wrong": "wrong",
    "answered": "answered",
}


def alert_buttons(found: ConcernRow, words: Words) -> Buttons:
    """Return what can be done with a concern that nobody has seen."""
    seen, answer, called, wrong = _buttons(found, words)
    return row(seen, answer), row(called, wrong), *_advice_row(found, words)


def _left_buttons(found: ConcernRow, state: str, words: Words) -> Buttons:
    """Return what can still be done once somebody has seen it."""
    _, answer, called, wrong = _buttons(found, words)
    if state == "seen":
        return row(answer, called), row(wrong), *_advice_row(found, words)
    return row(answer), *_advice_row(found, words)


def _buttons(found: ConcernRow, words: Words) -> tuple[Button, Button, Button, Button]:
    return (
        Button(words.plain("therapist.seen_button"), f"seen:{found.id}"),
        Button(words.plain("therapist.answer_button"), f"answer:{found.id}"),
        Button(words.plain("therapist.called_button"), f"called:{found.id}"),
        Button(words.plain("therapist.wrong_button"), f"wrong:{found.id}"),
    )


def _advice_row(found: ConcernRow, words: Words) -> Buttons:
    if not found.advice:
        return ()
    return (row(Button(words.plain("settle.advice_button"), f"advice:{found.id}")),)


def told_to(context: Context, therapist: Therapist, about: Subject) -> bool:
    """Say whether a therapist was told of something in their own chat."""
    return therapist.chat_id is not None and bool(context.uow.outbox.said_in(about, therapist.chat_id))


def own_concern(context: Context, therapist: Therapist, argument: str) -> ConcernRow | None:
    """Return a concern of a family that this therapist sees, or one that was told to them since nobody else could be."""
    found = context.uow.concerns.find(int(argument)) if argument.isdigit() else None
    if found is None:
        return None
    if access.may_see(context, therapist, found.family_id) or told_to(context, therapist, found.about):
        return found
    return None


def settle(context: Context, found: ConcernRow, therapist: Therapist, what: str) -> None:
    """Mark a concern; it is told no more, and the carer hears once that it was read. what: a key of STATES."""
    # An answer says by itself that the concern was read.
    read_note = found.seen_at is None and what != "answered"
    dealt_with = what in ("called", "answered")
    state: ConcernState = STATES[what]
    if what == "seen" and found.state in ("answered", "wrong"):
        state = found.state
    context.uow.concerns.settle(
        found.id,
        state,
        by=therapist.id,
        seen_at=found.seen_at or context.now,
        answered_at=found.answered_at or (context.now if dealt_with else None),
    )
    if read_note:
        _tell_carer_it_was_read(context, found, therapist)
    _show_everywhere(context, found, therapist, state, what)
    context.uow.audit.note(
        who=Actor.therapist(therapist.id),
        what=f"concern {what}",
        now=context.now,
        family_id=found.family_id,
        detail=str(found.id),
    )


def _tell_carer_it_was_read(context: Context, found: ConcernRow, reader: Therapist) -> None:
    carer = context.uow.carers.find(found.family_id, found.carer_id)
    if carer is None or carer.chat_id is None or carer.state == "left":
        return
    text = words_for(carer.language)("worry.read", therapist=reader.name)
    context.say(
        OutgoingMessage(chat_id=carer.chat_id, family=found.family_id, text=text, key=f"read:{found.id}")
    )


def _show_everywhere(
    context: Context, found: ConcernRow, therapist: Therapist, state: str, what: str
) -> None:
    """Show under every telling, in every therapist's chat, who has dealt with it and how."""
    family = context.uow.families.find(found.family_id)
    for reader in context.uow.therapists.all():
        if reader.chat_id is None or family is None:
            continue
        words = words_for(reader.language)
        when = formats.when_shown(context.now, family, words)
        status = words(f"settle.{what}", therapist=therapist.name, when=when)
        buttons = _left_buttons(found, state, words)
        said = [each for each in context.uow.outbox.said_in(found.about, reader.chat_id) if each.has_buttons]
        for each in said:
            # Only the newest telling keeps buttons, so that the chat shows one place to act.
            context.say(
                OutgoingMessage(
                    chat_id=reader.chat_id,
                    text=words("settle.with_status", text=Verbatim(each.text), status=Verbatim(status)),
                    buttons=buttons if each is said[-1] else (),
                    edits=each.id,
                )
            )


def _pressed(context: Context, event: Event, therapist: Therapist, argument: str, what: str) -> None:
    found = own_concern(context, therapist, argument)
    words = words_for(therapist.language)
    if found is None:
        context.say(OutgoingMessage(chat_id=event.chat_id, text=words("therapist.not_yours")))
        return
    settle(context, found, therapist, what)


def pressed_seen(context: Context, event: Event, therapist: Therapist, argument: str) -> None:
    _pressed(context, event, therapist, argument, "seen")


def pressed_called(context: Context, event: Event, therapist: Therapist, argument: str) -> None:
    _pressed(context, event, therapist, argument, "called")


def pressed_wrong(context: Context, event: Event, therapist: Therapist, argument: str) -> None:
    _pressed(context, event, therapist, argument, "wrong")


def pressed_advice(context: Context, event: Event, therapist: Therapist, argument: str) -> None:
    """Show word for word what advice the carer got."""
    found = own_concern(context, therapist, argument)
    words = words_for(therapist.language)
    if found is None or not found.advice:
        context.say(OutgoingMessage(chat_id=event.chat_id, text=words("therapist.not_yours")))
        return
    carer = context.uow.carers.find(found.family_id, found.carer_id)
    said = (
        [each.text for each in context.uow.outbox.said_in(found.about, carer.chat_id)]
        if carer is not None and carer.chat_id is not None
        else []
    )
    text = "\n\n".join(said) if said else words("settle.advice_gone")
    context.say(OutgoingMessage(chat_id=event.chat_id, text=words("settle.advice", text=Verbatim(text))))
