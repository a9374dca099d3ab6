"""A command that is none of ours: never met with silence, and never hiding a concern."""

from __future__ import annotations

import difflib

from bot.features.context import CarerContext
from bot.features.events import Sent
from bot.features.routing import carer_message

KNOWN = (
    "today", "week", "howto", "pause", "resume", "day", "duty", "travel", "language", "privacy", "stop", "leave", "help",
)  # fmt: skip


def unknown_command(ctx: CarerContext, sent: Sent) -> None:
    """Read it as words where it holds several; name the nearest command where it is a slip."""
    text = ctx.text.lstrip("/ ").strip()
    if " " in text:
        carer_message.read_message(ctx, sent)
        return
    near = difflib.get_close_matches(text.lower().partition("@")[0], KNOWN, n=1, cutoff=0.6)
    if near:
        ctx.answer(ctx.words("chatter.near", command=f"/{text}", near=f"/{near[0]}"))
    else:
        ctx.answer(ctx.words("chatter.unknown", command=f"/{text}"))
