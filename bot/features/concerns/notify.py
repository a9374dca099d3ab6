"""A concern on its way to those who listen: load, decide, carry out. It runs by the clock too, with no carer in the chat."""

from __future__ import annotations

from functools import singledispatch

from bot.concerns.finding import Urgency
from bot.domain.actor import SERVER
from bot.domain.concerns import ConcernRow, UnseenSpell
from bot.domain.ids import ConcernId
from bot.domain.outgoing import OutgoingMessage
from bot.domain.people import Carer, Family, Therapist
from bot.features.access import access
from bot.features.concerns import alert_facts, day_after, unseen_schedule, views
from bot.features.concerns.contents import ArmGoesOn, ArmHeld, ToCarer
from bot.features.concerns.notify_rules import (
    Alert,
    KeepSpell,
    NoteNotified,
    NoteOutsider,
    Notice,
    Notification,
    TellCarer,
    answered_beside,
    decide_notify,
)
from bot.features.context import Context
from bot.features.reminders import holds
from bot.phrases import words_for


def notify(context: Context, concern_id: ConcernId) -> None:
    """Tell a new concern to those who listen, with all of the family that nobody has seen, and its carer who knows."""
    found = context.uow.concerns.find(concern_id)
    family = context.uow.families.find(found.family_id) if found else None
    if found is None or family is None:
        return
    unseen = context.uow.concerns.unseen_in_family(family.id)
    urgency = unseen_schedule.gravest(unseen)
    if urgency is None:
        return
    spell = unseen_schedule.joined(context.uow.concerns.spell(family.id), found, urgency, context.now)
    context.uow.concerns.book_how(found.id, day_after.ask_at(context.now, family.zone))
    told = (found, *(each for each in unseen if each.id != found.id))
    _tell(context, family, spell, told, urgency, is_new=True)


def tell_again(context: Context, family: Family) -> None:
    """Tell all of a family's concerns that nobody has seen, in one message."""
    spell = context.uow.concerns.spell(family.id)
    unseen = tuple(context.uow.concerns.unseen_in_family(family.id))
    urgency = unseen_schedule.gravest(unseen)
    if spell is None or urgency is None:
        context.uow.concerns.end_spell(family.id)
        return
    _tell(context, family, spell, unseen, urgency, is_new=False)


def forward_unanswered(context: Context) -> None:
    """Forward unclear concerns that were asked about and stayed unanswered, unless a therapist answered those words already."""
    for found in context.uow.concerns.unanswered_asks(context.now):
        context.uow.concerns.confirm(found.id)
        hold_arm(context, found)
        beside = context.uow.concerns.of_message(found.message_id) if found.message_id is not None else []
        answered = answered_beside(found, beside)
        if answered is None:
            notify(context, found.id)
        else:
            context.uow.concerns.settle_as(found.id, answered.id)


def repeat_unseen(context: Context) -> None:
    """Tell again, family by family, what no therapist has seen yet."""
    for spell in context.uow.concerns.spells_due(context.now):
        tell_again(context, context.uow.families.get(spell.family_id))


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


def tell_carer(
    context: Context, carer: Carer, content: ToCarer, *, key: str, urgent: bool, told: str = ""
) -> None:
    """Say something about their concern to a carer with a chat. key: what is said once only. told: their words."""
    numbers = context.numbers(context.uow.families.find(carer.family_id), carer.language, told)
    context.say(
        OutgoingMessage(
            chat_id=carer.address,
            family=carer.family_id,
            text=views.to_carer(content, words_for(carer.language), numbers),
            kind="concern" if urgent else "reply",
            key=key,
        )
    )


def _tell(
    context: Context,
    family: Family,
    spell: UnseenSpell,
    told: tuple[ConcernRow, ...],
    urgency: Urgency,
    *,
    is_new: bool,
) -> None:
    circle = unseen_schedule.circle_at(urgency, context.now - spell.begun_at)
    listeners = tuple(access.concern_listeners(context, family.therapist_id, circle))
    outsiders = frozenset(each.id for each in listeners if not access.may_see(context, each, family.id))
    notice = Notice(
        now=context.now,
        spell=unseen_schedule.told(spell, urgency, context.now, reached=bool(listeners)),
        told=told,
        is_new=is_new,
        circle=circle,
        listeners=listeners,
        outsiders=outsiders,
        keeper=context.uow.therapists.find(family.therapist_id),
        carers={carer.id: carer for each in told if (carer := reachable_carer(context, each)) is not None},
    )
    for effect in decide_notify(notice):
        carry_out(effect, context)


@singledispatch
def carry_out(effect: Notification, context: Context) -> None:
    raise TypeError(
        f"no way to carry out {type(effect).__name__}; add one in bot/features/concerns/notify.py"
    )


@carry_out.register
def _(effect: Alert, context: Context) -> None:
    facts = alert_facts.load(context, effect.told[0].family_id)  # once, however many therapists hear
    about = views.head_of(effect.told).about
    for therapist in effect.therapists:
        text, buttons = views.alert(effect.told, facts, words_for(therapist.language))
        context.tell_therapist(therapist, text, kind="concern", about=about, buttons=buttons)


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
    context.uow.concerns.note_notified(effect.concern_id, first_at=effect.first_at, count=effect.count)


@carry_out.register
def _(effect: KeepSpell, context: Context) -> None:
    context.uow.concerns.keep_spell(effect.spell)


@carry_out.register
def _(effect: TellCarer, context: Context) -> None:
    tell_carer(context, effect.carer, effect.content, key=effect.key, urgent=True, told=effect.told)


def end_rest(context: Context, concern_id: ConcernId) -> None:
    """Let reminders come again after an emergency that was none, unless another one of the family still stands."""
    found = context.uow.concerns.find(concern_id)
    if found is None or found.urgency != "act_now" or found.state != "wrong":
        return
    if not any(each.urgency == "act_now" for each in context.uow.concerns.open_in_family(found.family_id)):
        context.uow.families.rest(found.family_id, until=None, now=context.now)
