"""What follows a counted line: at most one question more."""

from __future__ import annotations

from collections.abc import Sequence

from bot.conversation.carer import confidence, twins
from bot.conversation.desk import Talk
from bot.records.log import Session


async def follow_up(talk: Talk, sessions: Sequence[Session]) -> None:
    """Ask whether two like entries were one session; if there is nothing to ask, perhaps how sure the carer feels."""
    if sessions and not await twins.asked_about(talk, sessions):
        await confidence.ask_if_due(talk, sessions)
