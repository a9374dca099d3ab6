"""What a tap on a question about the family's day does."""

from __future__ import annotations

from bot.features.buttons import DayPart
from bot.features.chat import say
from bot.features.context import CarerContext
from bot.features.schedule import rules, views
from bot.features.schedule.dialog import (
    ask,
    back_to,
    confirmed,
    leave,
    may_press,
    take,
    take_what_was_said,
)
from bot.features.schedule.rules import words_of_draft
from bot.parsing.schedule import Part, ShapeWords


def pressed_right(ctx: CarerContext) -> None:
    if may_press(ctx):
        confirmed(ctx)


def pressed_change(ctx: CarerContext) -> None:
    if may_press(ctx):
        say(ctx, ctx.words("shape.which_part"), views.parts_menu(ctx.words))


def pressed_ask(ctx: CarerContext, part: Part) -> None:
    if may_press(ctx):
        ask(ctx, part)


def pressed_apply(ctx: CarerContext) -> None:
    if may_press(ctx):
        take_what_was_said(ctx)


def pressed_no(ctx: CarerContext) -> None:
    if may_press(ctx):
        leave(ctx)


def pressed_back(ctx: CarerContext, version: int) -> None:
    if may_press(ctx):
        back_to(ctx, version)


def pressed_part(ctx: CarerContext, part: Part, value: DayPart) -> None:
    if not may_press(ctx):
        return
    words = _tapped(ctx, part, value)
    if words is not None:
        take(ctx, words)


def _tapped(ctx: CarerContext, part: str, value: DayPart) -> ShapeWords | None:
    """Return the answer that a button stands for, with the getting up and bed that are known so far."""
    draft = words_of_draft({k: v for k, v in (ctx.family.shape_draft or {}).items() if k != "zone"})
    plan = (ctx.plan()).plan
    wake = draft.wake if draft.wake is not None else rules.wake_of(plan)
    bed = draft.bed if draft.bed is not None else rules.bed_of(plan)
    return rules.tapped(part, value, wake, bed)
