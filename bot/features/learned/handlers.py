"""Answers about the day, by tap or in words: load, decide, apply."""

from __future__ import annotations

from typing import cast

from bot.features.apply import apply
from bot.features.context import CarerContext
from bot.features.learned import rules, views  # noqa: F401  (the views register themselves)
from bot.features.state import load_state


def pressed_answer(ctx: CarerContext, suggestion_id: int, answer: str) -> None:
    asked = ctx.uow.learned.find(suggestion_id)
    if asked is None or asked.family_id != ctx.family.id:
        ctx.note(ctx.words("edge.old_button"))
        return
    copies = ctx.uow.outbox.copies([asked.about])
    apply(ctx, rules.answered(load_state(ctx), asked, cast(rules.Answer, answer), copies))


def pressed_times(ctx: CarerContext, which: str) -> None:
    apply(ctx, rules.times(load_state(ctx), keep=which == "keep"))


def asked_times(ctx: CarerContext) -> None:
    """ "Keep my times", in words."""
    apply(ctx, rules.times(load_state(ctx), keep=True))
