"""A prompt of the planner as a reminder that waits for its time. Pure."""

from __future__ import annotations

from dataclasses import asdict
from datetime import datetime, timedelta
from typing import Any

from scheduling.again import latest_start
from scheduling.plan import Plan
from scheduling.planner import Prompt

# A reminder may come this late and no later: the moment that it was planned for is over.
WINDOW = timedelta(minutes=30)


def planned_row(prompt: Prompt, plan: Plan, slack: timedelta, *, pinned: bool) -> dict[str, Any]:
    """Return the columns of a planned reminder. pinned: somebody asked for it, so replanning leaves it."""
    at = prompt.at
    late = min(at + WINDOW, latest_start(plan, prompt))
    return {
        "activity": prompt.activity,
        "side": prompt.side,
        "minutes": prompt.minutes,
        "moment": prompt.moment,
        "because": asdict(prompt.because),
        "due_at": at,
        "late_after": max(late, at + timedelta(minutes=2)) + slack,
        "pinned": pinned,
    }


def next_minute(instant: datetime) -> datetime:
    """Return the whole minute at or after an instant."""
    floor = instant.replace(second=0, microsecond=0)
    return floor if floor == instant else floor + timedelta(minutes=1)
