"""What follows a counted line: at most one question more."""

from __future__ import annotations

from collections.abc import Sequence

from bot.domain.entries import LogEntry
from bot.features.context import CarerContext
from bot.features.entries import confidence, duplicates


def follow_up(ctx: CarerContext, sessions: Sequence[LogEntry]) -> None:
    """Ask whether two like entries were one session; if there is nothing to ask, perhaps how sure the carer feels."""
    if sessions and not duplicates.asked_about(ctx, sessions):
        confidence.ask_if_due(ctx, sessions)
