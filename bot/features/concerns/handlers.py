"""What a carer says and presses about a concern: load, decide, apply.

The bot never diagnoses, reassures or says wait. Advice is reviewed text with the clinic's own numbers.
"""

from __future__ import annotations

from bot.concerns.finding import Concern
from bot.domain.concerns import ConcernRow
from bot.domain.ids import ConcernId, MessageId
from bot.features.apply import apply
from bot.features.concerns import rules
from bot.features.context import CarerContext
from bot.parsing.thermometer import names_no_figure


def raise_concern(ctx: CarerContext, message_id: MessageId, found: Concern) -> None:
    """Advise the carer and tell the therapist; what needs only telling goes into the digest."""
    earlier = _earlier(ctx, message_id)
    if rules.asks_for_thermometer(found, figure_told=not names_no_figure(ctx.text)):
        apply(ctx, rules.decide_ask_temperature(earlier, message_id, found, ctx.now))
    else:
        apply(ctx, rules.decide_raise(earlier, message_id, found))


def raise_beside(ctx: CarerContext, message_id: MessageId, found: Concern) -> None:
    """Raise the concern of one message for a further baby it may be about; the carer is advised already."""
    apply(ctx, rules.decide_raise_beside(message_id, found))


def ask_about(ctx: CarerContext, message_id: MessageId, found: Concern) -> None:
    """Ask at once about a sign that neither stands nor is plainly denied."""
    apply(ctx, rules.decide_ask(_earlier(ctx, message_id), message_id, found, ctx.now))


def _earlier(ctx: CarerContext, message_id: MessageId) -> list[ConcernRow]:
    """Return what a message raised for this baby already; it may have been about several."""
    raised = ctx.uow.concerns.of_message(message_id)
    return [each for each in raised if each.family_id == ctx.family.id]


def pressed_is_concern(ctx: CarerContext, concern_id: ConcernId) -> None:
    found = _own_concern(ctx, concern_id)
    if found is not None:
        # Without the question it would have been missed.
        ctx.uow.tally["concerns", f"confirmed {found.urgency}"] += 1
        apply(ctx, rules.decide_confirm(found))


def pressed_no_concern(ctx: CarerContext, concern_id: ConcernId) -> None:
    found = _own_concern(ctx, concern_id)
    if found is not None:
        ctx.uow.tally["concerns", f"denied {found.urgency}"] += 1
        pressed = ctx.pressed()
        apply(ctx, rules.decide_deny(found, pressed.id if pressed else None))


def pressed_open_advice(ctx: CarerContext, concern_id: ConcernId) -> None:
    found = _own_concern(ctx, concern_id)
    if found is not None:
        pressed = ctx.pressed()
        apply(ctx, rules.decide_open(found, ctx.carer.id, pressed.id if pressed else None))


def _own_concern(ctx: CarerContext, concern_id: ConcernId) -> ConcernRow | None:
    found = ctx.uow.concerns.find(concern_id)
    if found is None or found.family_id != ctx.family.id:
        ctx.note(ctx.words("edge.old_button"))
        return None
    return found
