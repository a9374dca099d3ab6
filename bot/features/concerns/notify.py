"""A concern on its way to those who listen: load, decide, carry out. It runs by the clock too, with no carer in the chat."""

from __future__ import annotations

from functools import singledispatch

from bot.domain.actor import SERVER
from bot.domain.concerns import ConcernRow
from bot.domain.outgoing import OutgoingMessage
from bot.domain.people import Carer, Family, Therapist
from bot.features.access import access
from bot.features.concerns import views
from bot.features.concerns.contents import ArmGoesOn, ArmHeld, ToCarer
from bot.features.concerns.notify_rules import (
    AlertTherapist,
    NoteNotified,
    NoteOutsider,
    Notice,
    Notification,
    TellCarer,
    decide_notify,
)
from bot.features.context import Context
from bot.features.reminders import holds
from bot.phrases import words_for


def notify(context: Context, concern_id: int) -> None:
    """Tell a concern to those who listen, and its carer who knows."""
    found = context.uow.concerns.find(concern_id)
    family = context.uow.families.find(found.family_id) if found else None
    if found is None or family is None:
        context.uow.concerns.stop_notifying(concern_id)
        return
    for effect in decide_notify(_notice(context, found, family)):
        carry_out(effect, context)


def forward_unanswered(context: Context) -> None:
    """Forward unclear concerns that were asked about and stayed unanswered."""
    for found in context.uow.concerns.unanswered_asks(context.now):
        context.uow.concerns.confirm(found.id)
        hold_arm(context, found)
        notify(context, found.id)


def repeat_unseen(context: Context) -> None:
    """Repeat concerns that no therapist has seen yet."""
    for found in context.uow.concerns.unseen(context.now):
        notify(context, found.id)


def hold_arm(context: Context, found: ConcernRow) -> None:
    """Hold what moves or loads an arm that may be hurt, and tell its carer why."""
    carer, family = reachable_carer(context, found), context.uow.families.find(found.family_id)
    if holds.begin(context, found) and carer is not None and family is not None:
        therapist = context.uow.therapists.get(family.therapist_id)
        tell_carer(context, carer, ArmHeld(therapist.name), key=f"held:{found.id}", urgent=False)


def let_go_on(context: Context, found: ConcernRow, therapist: Therapist) -> None:
    """Let a family's held activities go on, and tell the carer who raised it."""
    carer = reachable_carer(context, found)
    if holds.release(context, found.family_id) and carer is not None:
        tell_carer(context, carer, ArmGoesOn(therapist.name), key=f"goon:{found.id}", urgent=False)


def reachable_carer(context: Context, found: ConcernRow) -> Carer | None:
    """Return who wrote a concern, where they are still there to be told."""
    carer = context.uow.carers.find(found.family_id, found.carer_id)
    if carer is None or carer.chat_id is None or carer.state == "left":
        return None
    return carer


def tell_carer(context: Context, carer: Carer, content: ToCarer, *, key: str, urgent: bool) -> None:
    """Say something about their concern to a carer with a chat. key: what is said once only."""
    context.say(
        OutgoingMessage(
            chat_id=carer.address,
            family=carer.family_id,
            text=views.to_carer(content, words_for(carer.language), context.clinic),
            kind="concern" if urgent else "reply",
            key=key,
        )
    )


def _notice(context: Context, found: ConcernRow, family: Family) -> Notice:
    listeners = tuple(access.concern_listeners(context, family.therapist_id))
    return Notice(
        now=context.now,
        found=found,
        listeners=listeners,
        outsiders=frozenset(
            each.id for each in listeners if not access.may_see(context, each, found.family_id)
        ),
        keeper=context.uow.therapists.find(family.therapist_id),
        carer=reachable_carer(context, found),
    )


@singledispatch
def carry_out(effect: Notification, context: Context) -> None:
    raise TypeError(
        f"no way to carry out {type(effect).__name__}; add one in bot/features/concerns/notify.py"
    )


@carry_out.register
def _(effect: AlertTherapist, context: Context) -> None:
    words = words_for(effect.therapist.language)
    context.tell_therapist(
        effect.therapist,
        views.concern_text(context, effect.found, context.uow.families.get(effect.found.family_id), words),
        kind="concern",
        about=effect.found.about,
        buttons=views.alert_buttons(effect.found, words),
    )


@carry_out.register
def _(effect: NoteOutsider, context: Context) -> None:
    context.uow.audit.note(
        who=SERVER,
        what="concern told to others",
        now=context.now,
        family_id=effect.family_id,
        detail=effect.therapist_id,
    )


@carry_out.register
def _(effect: NoteNotified, context: Context) -> None:
    context.uow.concerns.note_notified(
        effect.concern_id, first_at=effect.first_at, count=effect.count, next_at=effect.next_at
    )


@carry_out.register
def _(effect: TellCarer, context: Context) -> None:
    tell_carer(context, effect.carer, effect.content, key=effect.key, urgent=True)
