"""What a therapist does with a concern: seen, called, wrong alarm, or an answer. The carer hears once that it was read."""

from __future__ import annotations

from bot.concerns.advice import advice_for, holds_arm
from bot.concerns.finding import Concern
from bot.domain.actor import Actor
from bot.domain.concerns import ConcernRow
from bot.domain.ids import ConcernId
from bot.domain.outgoing import MessageEdit, OutgoingMessage
from bot.domain.people import Therapist
from bot.domain.subject import Subject
from bot.features import formats
from bot.features.access import access
from bot.features.concerns import notify, views
from bot.features.concerns.contents import Read
from bot.features.concerns.notify_rules import covered, decide_settle, same_words
from bot.features.context import Context
from bot.features.events import Event
from bot.phrases import Verbatim, words_for


def told_to(context: Context, therapist: Therapist, about: Subject) -> bool:
    """Say whether a therapist was told of something in their own chat."""
    return therapist.chat_id is not None and bool(context.uow.outbox.said_in(about, therapist.chat_id))


def own_concern(context: Context, therapist: Therapist, concern_id: ConcernId) -> ConcernRow | None:
    """Return a concern of a family that this therapist sees, or one that was told to them since nobody else could be."""
    found = context.uow.concerns.find(concern_id)
    if found is None:
        return None
    if access.may_see(context, therapist, found.family_id) or told_to(context, therapist, found.about):
        return found
    return None


def settle(
    context: Context, found: ConcernRow, therapist: Therapist, what: str, *, tells: bool = True
) -> None:
    """Mark a concern; nobody is notified of it again, and the carer hears once that it was read.

    what: a key of DONE. tells: false where the carer hears it with another concern.
    """
    settled = decide_settle(found, what, context.now)
    context.uow.concerns.settle(
        found.id,
        settled.state,
        by=therapist.id,
        seen_at=settled.seen_at,
        answered_at=settled.answered_at,
    )
    if not context.uow.concerns.unseen_in_family(found.family_id):
        context.uow.concerns.end_spell(found.family_id)
    if what == "wrong" and holds_arm(found.topics):
        context.uow.families.request_replan(found.family_id, context.now)  # it holds nothing any more
    carer = notify.reachable_carer(context, found)
    if tells and settled.tell_carer and carer is not None:
        notify.tell_carer(context, carer, Read(therapist.name), key=f"read:{found.id}", urgent=False)
    _show_everywhere(context, found, therapist, settled.state, what)
    context.uow.audit.note(
        who=Actor.therapist(therapist.id),
        what=f"concern {what}",
        now=context.now,
        family_id=found.family_id,
        detail=str(found.id),
    )


def _show_everywhere(
    context: Context, found: ConcernRow, therapist: Therapist, state: str, what: str
) -> None:
    """Show under every notification, in every therapist's chat, who has dealt with it and how."""
    family = context.uow.families.find(found.family_id)
    for reader in context.uow.therapists.all():
        if reader.chat_id is None or family is None:
            continue
        words = words_for(reader.language)
        when = formats.when_shown(context.now, family, words, context.clinic.zone)
        status = words(f"settle.{what}", therapist=therapist.name, when=when)
        buttons = views.left_buttons(found, state, words)
        said = [each for each in context.uow.outbox.said_in(found.about, reader.chat_id) if each.has_buttons]
        for each in said:
            # Only the newest one keeps buttons, so that the chat shows one place to act.
            context.say(
                MessageEdit(
                    chat_id=reader.chat_id,
                    text=words("settle.with_status", text=Verbatim(each.text), status=Verbatim(status)),
                    buttons=buttons if each is said[-1] else (),
                    edits=each.id,
                )
            )


def _pressed(
    context: Context, event: Event, therapist: Therapist, concern_id: ConcernId, up_to: int | None, what: str
) -> None:
    """Settle the concern that an alert is about, and mark what it shows with it as seen."""
    found = own_concern(context, therapist, concern_id)
    words = words_for(therapist.language)
    if found is None:
        context.say(OutgoingMessage(chat_id=event.chat_id, text=words("therapist.not_yours")))
        return
    unseen = context.uow.concerns.unseen_in_family(found.family_id)
    settle(context, found, therapist, what)
    told = {found.carer_id} if found.seen_at is None else set()
    for each in covered(unseen, found.id, up_to):
        if each.id != found.id:
            settle(context, each, therapist, "seen", tells=each.carer_id not in told)
            told.add(each.carer_id)


def pressed_seen(
    context: Context, event: Event, therapist: Therapist, concern_id: ConcernId, up_to: int | None
) -> None:
    _pressed(context, event, therapist, concern_id, up_to, "seen")


def pressed_called(
    context: Context, event: Event, therapist: Therapist, concern_id: ConcernId, up_to: int | None
) -> None:
    _pressed(context, event, therapist, concern_id, up_to, "called")


def pressed_wrong(context: Context, event: Event, therapist: Therapist, concern_id: ConcernId) -> None:
    """ "Not a concern", of all that the same words raised."""
    found = own_concern(context, therapist, concern_id)
    unseen = context.uow.concerns.unseen_in_family(found.family_id) if found else ()
    _pressed(context, event, therapist, concern_id, None, "wrong")
    for each in unseen:
        if found is not None and each.id != found.id and same_words(each, found):
            settle(context, each, therapist, "wrong", tells=False)
    notify.end_rest(context, concern_id)


def pressed_go_on(context: Context, event: Event, therapist: Therapist, concern_id: ConcernId) -> None:
    """ "Go on": the arm's activities are planned again."""
    found = own_concern(context, therapist, concern_id)
    words = words_for(therapist.language)
    if found is None or not access.may_see(context, therapist, found.family_id):
        context.say(OutgoingMessage(chat_id=event.chat_id, text=words("therapist.not_yours")))
        return
    notify.let_go_on(context, found, therapist)
    settle(context, context.uow.concerns.get(found.id), therapist, "seen")
    context.uow.audit.note(
        who=Actor.therapist(therapist.id),
        what="concern go on",
        now=context.now,
        family_id=found.family_id,
        detail=str(found.id),
    )


def pressed_advice(context: Context, event: Event, therapist: Therapist, concern_id: ConcernId) -> None:
    """Show word for word what advice the carer got."""
    found = own_concern(context, therapist, concern_id)
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
    if found.discreet and carer is not None:
        # What was said in the chat only points to it.
        numbers = context.numbers(context.uow.families.find(found.family_id), carer.language, found.text)
        texts = advice_for(Concern(found.urgency, found.topics))
        said = [views.advice_text(texts, words_for(carer.language), numbers)]
    if carer is not None and carer.language != therapist.language:
        numbers = context.numbers(context.uow.families.find(found.family_id), therapist.language, found.text)
        texts = advice_for(Concern(found.urgency, found.topics))
        own = Verbatim(views.advice_text(texts, words, numbers))
        said.append(words("settle.advice_in_own_language", text=own))
    text = "\n\n".join(said) if said else words("settle.advice_gone")
    context.say(OutgoingMessage(chat_id=event.chat_id, text=words("settle.advice", text=Verbatim(text))))
