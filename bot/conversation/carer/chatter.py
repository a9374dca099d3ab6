"""A command that is none of ours: never met with silence, and never hiding a worry."""

from __future__ import annotations

import difflib

from bot.conversation.carer import replying
from bot.conversation.desk import Talk

KNOWN = (
    "today", "week", "howto", "pause", "resume", "day", "duty", "travel", "language", "privacy", "stop", "leave", "help",
)  # fmt: skip


async def unknown_command(talk: Talk) -> None:
    """Read it as words where it holds several; name the nearest command where it is a slip."""
    text = talk.incoming.text.lstrip("/ ").strip()
    if " " in text:
        await replying.read_message(talk)
        return
    near = difflib.get_close_matches(text.lower().partition("@")[0], KNOWN, n=1, cutoff=0.6)
    if near:
        await talk.answer(talk.words("chatter.near", command=f"/{text}", near=f"/{near[0]}"))
    else:
        await talk.answer(talk.words("chatter.unknown", command=f"/{text}"))
