"""What each activity still needs today, and where the rules leave it room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from scheduling.day import (
    DayShape,
    Opening,
    at_moments,
    moment_times,
    open_stretches,
    openings_between_feeds,
    without_sessions,
    without_starts,
)
from scheduling.demands import Demand
from scheduling.history import History
from scheduling.localtime import day_begins
from scheduling.plan import Activity, MomentName, Plan


@dataclass(frozen=True, slots=True)
class Need:
    """One activity on one day.

    demands: what it counts toward and is not met yet, with the place of each among the day's demands.
    missing: the most minutes that one of them lacks; 0 where they only count times. target, had: of its own
    demand, or else of its first goal by its own sessions; they say whose turn it is. openings: sorted by start.
    """

    activity: Activity
    demands: tuple[tuple[int, Demand], ...]
    missing: float
    target: float
    had: float
    least: int
    most: int
    own_gap: int
    openings: tuple[Opening, ...]
    moments: dict[int, MomentName]

    @property
    def times(self) -> bool:
        """Say whether all that it counts toward counts sessions."""
        return all(demand.times for _, demand in self.demands)


def needs_of(
    plan: Plan, shape: DayShape, history: History, lower: int, demands: Sequence[Demand]
) -> list[Need]:
    """Return the needs of every activity that is not held on the day, in the order of the plan.

    lower: the first minute of the day at which anything may start.
    """
    stretches = open_stretches(shape, lower)
    apart = _Distances(plan, shape, history)
    shared: dict[tuple[int, int, int], list[Opening]] = {}
    found: list[Need] = []
    for activity in plan.activities:
        if activity.held_on(shape.day):
            continue
        asked = _asked(activity, demands)
        moments: dict[int, MomentName] = {}
        openings: list[Opening] = []
        if asked:
            key = (activity.after_feed, activity.before_feed, activity.session[0])
            if key not in shared:
                shared[key] = apart.from_prompts(openings_between_feeds(stretches, shape.feeds, *key), key[2])
            openings, moments = _own_openings(apart.from_own(shared[key], activity), activity, shape)
        missing = max((demand.missing for _, demand in asked if not demand.times), default=0.0)
        target, had = _turn(activity, asked, history, shape)
        least, most = activity.session
        found.append(
            Need(
                activity=activity,
                demands=asked,
                missing=missing,
                target=target,
                had=had,
                least=least,
                most=min(most, max(least, ceil(missing))),
                own_gap=activity.own_gap,
                openings=tuple(openings),
                moments=moments,
            )
        )
    return found


def _own_openings(
    openings: list[Opening], activity: Activity, shape: DayShape
) -> tuple[list[Opening], dict[int, MomentName]]:
    """Return where an activity may start, and at which moments of care where it is tied to such."""
    if activity.moments is None:
        return openings, {}
    moments = moment_times(activity, shape)
    return at_moments(openings, sorted(moments)), moments


def _asked(activity: Activity, demands: Sequence[Demand]) -> tuple[tuple[int, Demand], ...]:
    name = activity.activity
    return tuple((n, each) for n, each in enumerate(demands) if each.missing > 0 and name in each.members)


def _turn(
    activity: Activity, asked: tuple[tuple[int, Demand], ...], history: History, shape: DayShape
) -> tuple[float, float]:
    """Return the target by which its turn is counted, and how much of it the activity had lately."""
    if not asked:
        return 0.0, 0.0
    first = asked[0][1]
    if not first.goal:
        return first.target, first.had
    lately = history.lately(activity.activity, shape.day, times=first.times)
    half_a_prompt = 0.5 if first.times else activity.session[1] / 2
    return first.target, (lately + half_a_prompt) / first.target


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
