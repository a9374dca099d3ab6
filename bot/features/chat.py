"""Saying things in the chat that an event came from."""

from __future__ import annotations

from bot.domain.ids import OutboxId
from bot.domain.outgoing import Buttons
from bot.features.context import CarerContext
from bot.features.events import ButtonPressed


def edit_pressed(ctx: CarerContext, text: str, buttons: Buttons = ()) -> None:
    """Change the message under which a button was pressed."""
    ctx.edit(pressed_message(ctx), ctx.named(text), buttons)


def pressed_message(ctx: CarerContext) -> OutboxId | None:
    """Return the outbox id of the message under which a button was pressed; None for anything else."""
    said = ctx.pressed()
    return said.id if said else None


def say(ctx: CarerContext, text: str, buttons: Buttons = ()) -> None:
    """Say it in place of the message whose button was pressed, else as a new one."""
    if isinstance(ctx.event, ButtonPressed):
        edit_pressed(ctx, text, buttons)
    else:
        ctx.answer(text, buttons=buttons)
