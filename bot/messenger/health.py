"""What is wrong with a bot that serves, for whoever keeps it running."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from bot.messenger.outcomes import LATE, TRIED_FOR
from bot.storage.unit_of_work import UnitOfWork


@dataclass(frozen=True, slots=True)
class Health:
    """problems: by name, none when all is well. jobs: seconds since each periodic job did its work, where this process
    keeps the timers. untold: messages that must arrive and did not, by kind."""

    problems: dict[str, str] = field(default_factory=dict)
    jobs: dict[str, float] = field(default_factory=dict)
    untold: dict[str, int] = field(default_factory=dict)


def untold(uow: UnitOfWork, now: datetime) -> dict[str, int]:
    """Return what could not be told in the last week: given up, or late by more than a quarter of an hour."""
    return uow.deliveries.untold(now, after=LATE, since=now - TRIED_FOR)


def untold_line(counts: Mapping[str, int]) -> str:
    """Return what could not be told, in one sentence for the operator."""
    said = ", ".join(f"{NAMES[kind][n != 1].format(n=n)}" for kind, n in sorted(counts.items()))
    return f"could not be told in the last 7 days, or not yet for more than 15 minutes: {said}"


NAMES = {
    "concern": ("{n} message about a concern", "{n} messages about concerns"),
    "digest": ("{n} digest", "{n} digests"),
    "reply": ("{n} answer", "{n} answers"),
}


def overdue_line(jobs: Mapping[str, float]) -> str:
    """Return which periodic jobs stand still, in one sentence for the operator."""
    said = ", ".join(f"{name} for {seconds:.0f} seconds" for name, seconds in sorted(jobs.items()))
    return f"has not run: {said}"
