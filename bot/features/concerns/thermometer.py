"""A fever told without a number, at an age at which it is no emergency by itself: the thermometer is asked for first.

The question holds the numbers to call, so that nobody waits for us. What comes back is judged by the table of ages; where
nothing comes, or there is no thermometer, the concern stands as it was told.
"""

from __future__ import annotations

from bot.concerns.reader import find_concerns
from bot.domain.concerns import ConcernRow
from bot.domain.ids import MessageId
from bot.features.apply import apply
from bot.features.concerns import rules
from bot.features.context import CarerContext
from bot.parsing.thermometer import says_no_thermometer, temperature_said


def answered(ctx: CarerContext, message_id: MessageId) -> bool:
    """Take a temperature, or that there is no thermometer, as the answer to the question; return whether one was open."""
    celsius, none = temperature_said(ctx.text), says_no_thermometer(ctx.text)
    asked = _asked(ctx) if celsius is not None or none else None
    if asked is None:
        return False
    if celsius is None:
        apply(ctx, rules.decide_confirm(asked))
        return True
    baby = ctx.plan().plan.baby
    weeks = max(0, (ctx.today - baby.born).days // 7)
    found = find_concerns(
        f"temperature {celsius:.1f} °C", age_weeks=weeks, affected_side=baby.affected_side
    ).concern
    apply(ctx, rules.decide_measured(asked, message_id, found))
    return True


def _asked(ctx: CarerContext) -> ConcernRow | None:
    """Return this carer's fever that a temperature was asked for, and that is still open."""
    found = ctx.uow.concerns.asked_in_family(ctx.family.id)
    return next(
        (each for each in found if each.carer_id == ctx.carer.id and rules.is_fever(each.topics)), None
    )
