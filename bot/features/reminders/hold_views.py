"""Why the arm rests, in one line for a carer."""

from __future__ import annotations

from bot.features.context import CarerContext
from bot.features.reminders import holds


def arm_rests(ctx: CarerContext) -> str | None:
    """Return the line that says why the arm rests and who ends it; None where nothing holds it (message text)."""
    plan = ctx.plan().plan
    if plan.arm_hold is not None and plan.arm_hold.holds_on(ctx.today):
        reason = ctx.words.plain(f"arm.reason_{plan.arm_hold.reason}")
        return ctx.words("arm.rests", reason=reason, therapist=ctx.therapist().name)
    if holds.held_by_concern(ctx.context, ctx.family.id, plan):
        return ctx.words("arm.rests_concern", therapist=ctx.therapist().name)
    return None
