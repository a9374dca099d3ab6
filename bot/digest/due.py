"""What the plan asks of one date, as far as the digest counts it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Due:
    """What the plan asks of one activity on one date.

    minutes: the day's target, a share of waking time already turned into minutes; None where it has no target of its own
    in minutes. times: the day's target where it counts sessions.
    left_share: which part of its sessions the plan wants on the left, 0 to 1; None where it has no side.
    """

    activity: str
    minutes: float | None
    left_share: float | None = None
    times: int | None = None


@dataclass(frozen=True, slots=True)
class GoalDue:
    """What the plan asks of several activities together. activities: those that are not held, in the plan's order.

    minutes, times: the day's target, in minutes or in sessions; the other is None.
    """

    goal: str
    activities: tuple[str, ...]
    minutes: float | None
    times: int | None = None
