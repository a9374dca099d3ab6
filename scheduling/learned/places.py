"""A planned day, its prompts put where the family mostly answers.

What decides before stays as it is: the prompts of each activity, their minutes, every hard rule, the shortfall. One prompt
at a time moves to the place whose chance is greatest; it never moves for a gain that a family would not notice, so that
it may count on its hours, and the day never draws together into a few awake spans.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from scheduling.day import DayShape, shape_of
from scheduling.demands import demands_of
from scheduling.early import made_early, stands_early
from scheduling.goal_turns import GoalTurns
from scheduling.history import History, LogEntry
from scheduling.learned.receptive import STEP, Receptive
from scheduling.localtime import day_begins
from scheduling.needs import Need, needs_of
from scheduling.plan import Plan
from scheduling.planner import DayPlan, first_minute, partners_of, plan_days, prompts_of
from scheduling.spread import Frame, Placed

LEAST_GAIN = 0.03
"""A prompt moves for no less in the chance of its time."""

ALIKE = 0.02
"""Chances that differ by no more are alike: the evener place is taken."""

CROWDED = 120
CROWDING = 0.3
"""What a place loses beside another prompt, less with every minute of the 120 between: what one reminder finds, so does the
next, so that two side by side bring less than the sum of their chances."""

_ROUNDS = 3
_FAR = 10**6

Session = tuple[int, int, int]
"""(start, minutes, index of the need)."""


def plan_heard(
    plan: Plan,
    first: date,
    days: int,
    log: Sequence[LogEntry],
    receptive: Receptive | None,
    *,
    start_from: datetime | None = None,
    asleep_until: datetime | None = None,
    budget: int | None = None,
) -> list[DayPlan]:
    """Plan several days running as plan_days does, the prompts at the times at which the family mostly answers.

    Each date has the prompts and minutes that it has without; only their times differ.
    """
    planned = plan_days(
        plan, first, days, log, start_from=start_from, asleep_until=asleep_until, budget=budget
    )
    if receptive is None:
        return planned
    history = History.of(plan, log)
    moved = []
    for ahead, day in enumerate(planned):
        shape = shape_of(plan, day.date)
        hours = () if ahead else (start_from, asleep_until)
        lower = max((first_minute(shape, instant) for instant in hours), default=0)
        following = planned[ahead + 1] if ahead + 1 < days else None
        moved.append(_moved(plan, day, shape, history, lower, receptive, following))
        if following is not None:
            for prompt in moved[-1].prompts:
                history.add(prompt.as_done())
    return moved


def _moved(
    plan: Plan,
    day: DayPlan,
    shape: DayShape,
    history: History,
    lower: int,
    receptive: Receptive,
    following: DayPlan | None,
) -> DayPlan:
    if not day.prompts:
        return day
    demands = demands_of(plan, shape, history)
    needs = needs_of(plan, shape, history, lower, demands)
    indexes = {need.activity.activity: index for index, need in enumerate(needs)}
    begins = day_begins(shape.day, shape.zone)
    base = [
        ((prompt.at - begins) // timedelta(minutes=1), prompt.minutes, indexes[prompt.activity])
        for prompt in day.prompts
    ]
    ahead = [
        ((prompt.at - begins) // timedelta(minutes=1), prompt.minutes, indexes.get(prompt.activity, -1))
        for prompt in (following.prompts if following else ())
    ]
    turns = GoalTurns(
        needs,
        demands,
        [history.minutes_of_week(need.activity.activity, shape.day) for need in needs],
        partners_of(plan, needs),
        Frame(plan.shortest_gap, shape.spans[0][0], shape.spans[-1][1]),
    )
    board = _Board(needs, plan.shortest_gap, shape, receptive.through(shape), ahead, turns)
    placed = board.arranged(base)
    if placed == base:
        return day
    return replace(day, prompts=prompts_of(plan, shape, history, needs, placed))


@dataclass(frozen=True, slots=True)
class _Board:
    """What a prompt may move in. chances: at each minute of the day. ahead: the next day's prompts, to keep clear of."""

    needs: Sequence[Need]
    gap: int
    shape: DayShape
    chances: Sequence[float]
    ahead: Sequence[Session]
    turns: GoalTurns

    def arranged(self, base: list[Session]) -> list[Session]:
        """Return the sessions, by time, moved one by one until none gains by it."""
        now = list(base)
        spans = self.shape.spans
        highest = max(self.chances[spans[0][0] : spans[-1][1]])
        early = self.early(base)
        least_spans = self.touched(base) - 1
        for _ in range(_ROUNDS):
            before = list(now)
            for place in sorted(range(len(now)), key=lambda each: (self.chances[now[each][0]], each)):
                start, minutes, index = now[place]
                least = max(self.chances[start], self.chances[base[place][0]]) + LEAST_GAIN
                if least > highest:
                    continue
                others = now[:place] + now[place + 1 :]
                others.sort()
                found = self.best_place(minutes, index, others, least, base[place][0])
                if found is None or self.worth(found, others) <= self.worth(start, others):
                    continue
                now[place] = (found, minutes, index)
                if self.touched(now) < least_spans or not self.keeps_turns(now, early):
                    now[place] = (start, minutes, index)
            if now == before:
                break
        return sorted(now)

    def touched(self, sessions: Sequence[Session]) -> int:
        """Return how many awake spans hold a session."""
        starts = [session[0] for session in sessions]
        return sum(any(first <= start < end for start in starts) for first, end in self.shape.spans)

    def early(self, sessions: Sequence[Session]) -> int:
        """Return how many prompts of activities that want a fresh baby stand early."""
        return sum(
            self.needs[index].activity.when == "early" and stands_early(self.shape, start)
            for start, _, index in sessions
        )

    def keeps_turns(self, sessions: Sequence[Session], early: int) -> bool:
        """Say whether the laws of goals' turns and of early hours still hold, with as many early ones as before."""
        board: list[Placed] = [(start, minutes, index) for start, minutes, index in sorted(sessions)]
        if not self.turns.holds(board):
            return False
        if not any(self.needs[index].activity.when == "early" for _, _, index in sessions):
            return True
        return self.early(sessions) >= early and made_early(board, self.shape, self.turns) is board

    def best_place(
        self, minutes: int, index: int, others: Sequence[Session], least: float, home: int
    ) -> int | None:
        """Return the evenest of the starts whose chances are about the greatest; None where none reaches `least`."""
        found = list(self.candidates(minutes, index, others, least, home))
        if not found:
            return None
        best = max(worth for worth, _, _ in found)
        return min((uneven, start) for worth, uneven, start in found if worth >= best - ALIKE)[1]

    def candidates(
        self, minutes: int, index: int, others: Sequence[Session], least: float, home: int
    ) -> Iterator[tuple[float, float, int]]:
        """Yield (chance less crowding, unevenness, start) of one start in every five minutes that hard rules leave free."""
        need, chances = self.needs[index], self.chances
        for low, high, before, after in self.free(minutes, index, others):
            for first, last, end in need.openings:
                if first > high:
                    break
                bottom, top = max(first, low), min(last, high, end - minutes)
                while bottom <= top:
                    stop = min(top, bottom - bottom % STEP + STEP - 1)
                    chance = chances[bottom]
                    start = min(max(home, bottom), stop)
                    if start in self.shape.feeds and not need.moments:
                        start += 1  # a session begins on the minute of a feed only where the planner put it
                    if chance >= least and start <= stop:
                        uneven = (start - before) ** 2 + (after - start) ** 2 - (after - before) ** 2
                        yield chance - self.crowding(start, others), uneven, start
                    bottom = stop + 1

    def worth(self, start: int, others: Sequence[Session]) -> float:
        return self.chances[start] - self.crowding(start, others)

    def crowding(self, start: int, others: Sequence[Session]) -> float:
        nearest = min((abs(other[0] - start) for other in others), default=CROWDED)
        return CROWDING * max(0.0, 1 - nearest / CROWDED)

    def free(
        self, minutes: int, index: int, others: Sequence[Session]
    ) -> Iterator[tuple[int, int, int, int]]:
        """Yield (first start, last start, neighbour before, neighbour after) of each room between the other sessions."""
        own_gap = self.needs[index].own_gap
        edges = (self.shape.spans[0][0], self.shape.spans[-1][1])
        for place in range(len(others) + 1):
            low, high, before, after = -_FAR, _FAR, edges[0], edges[1]
            if place:
                before = others[place - 1][0]
                low = before + max(self.gap, others[place - 1][1])
            if place < len(others):
                after = others[place][0]
                high = after - max(self.gap, minutes)
            elif self.ahead:
                high = self.ahead[0][0] - max(self.gap, minutes)
            if own_gap > self.gap:
                later = (*others[place:], *self.ahead)
                low = max([low, *(at + own_gap for at, _, other in others[:place] if other == index)])
                high = min([high, *(at - own_gap for at, _, other in later if other == index)])
            if low <= high:
                yield low, high, before, after
