"""What each activity still needs today, and where the rules leave it room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import ceil

from scheduling.day import (
    DayShape,
    Opening,
    at_moments,
    moment_times,
    open_stretches,
    openings_between_feeds,
    target_minutes,
    without_sessions,
    without_starts,
)
from scheduling.history import History
from scheduling.localtime import day_begins
from scheduling.plan import Activity, MomentName, Plan

_LEAST_WORTH = 1e-9
"""An activity of weight 0 is still planned, after all others."""


@dataclass(frozen=True, slots=True)
class Need:
    """One activity on one day.

    missing: minutes to the target, above 0 where something is missing. worth: what one minute of it takes off the
    weighted shortfall. had: the part of the target it had lately, for the rotation. openings: sorted by start.
    """

    activity: Activity
    target: float
    logged: float
    missing: float
    worth: float
    had: float
    least: int
    most: int
    own_gap: int
    openings: tuple[Opening, ...]
    moments: dict[int, MomentName]


def needs_of(plan: Plan, shape: DayShape, history: History, lower: int) -> list[Need]:
    """Return the needs of every activity that is not held on the day, in the order of the plan.

    lower: the first minute of the day at which anything may start.
    """
    day = shape.day
    stretches = open_stretches(shape, lower)
    apart = _Distances(plan, shape, history)
    shared: dict[tuple[int, int, int], list[Opening]] = {}
    found: list[Need] = []
    for activity in plan.activities:
        if activity.held_on(day):
            continue
        target = target_minutes(activity, shape)
        logged = history.minutes[activity.activity].get(day, 0)
        missing = max(0.0, target - logged)
        moments: dict[int, MomentName] = {}
        openings: list[Opening] = []
        if missing > 0:
            key = (activity.after_feed, activity.before_feed, activity.session[0])
            if key not in shared:
                between = openings_between_feeds(stretches, shape.feeds, *key)
                shared[key] = apart.from_prompts(between, activity.session[0])
            openings = apart.from_own(shared[key], activity)
            if activity.moments is not None:
                moments = moment_times(activity, shape)
                openings = at_moments(openings, sorted(moments))
        found.append(
            Need(
                activity=activity,
                target=target,
                logged=logged,
                missing=missing,
                worth=max(activity.weight, _LEAST_WORTH) / target if target else 0,
                had=history.recent_minutes(activity.activity, day) / target if target else 0,
                least=activity.session[0],
                most=min(activity.session[1], max(activity.session[0], ceil(missing))),
                own_gap=activity.own_gap,
                openings=tuple(openings),
                moments=moments,
            )
        )
    return found


class _Distances:
    """The distances that new prompts keep from logged sessions, of the days around with them."""

    def __init__(self, plan: Plan, shape: DayShape, history: History) -> None:
        self._begins = day_begins(shape.day, shape.zone).timestamp() / 60
        self._gap = plan.shortest_gap
        self._history = history
        reach = 2 * 1440 + self._gap
        self._sessions = sorted(
            (start.at - self._begins, start.minutes, start.prompted)
            for starts in history.starts.values()
            for start in starts
            if abs(start.at - self._begins) < reach
        )

    def from_prompts(self, openings: list[Opening], least: int) -> list[Opening]:
        """Keep the gap to every logged prompt, and clear of every logged session."""
        for at, minutes, prompted in self._sessions:
            if prompted and self._gap:
                openings = without_starts(openings, at - self._gap, at + self._gap)
            if minutes > 0:
                openings = without_sessions(openings, at, at + minutes, least)
        return openings

    def from_own(self, openings: list[Opening], activity: Activity) -> list[Opening]:
        """Keep the activity's own gap to its own logged sessions."""
        gap = activity.own_gap
        if not gap:
            return openings
        for start in self._history.starts[activity.activity]:
            at = start.at - self._begins
            if -gap < at < gap + 2 * 1440:
                openings = without_starts(openings, at - gap, at + gap)
        return openings


