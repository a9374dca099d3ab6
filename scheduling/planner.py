"""A day's prompts, with reasons; planning anew from now.

What decides, in this order:

1. the least weighted shortfall (scheduling/search.py; most days need no search, since the bound is reached at once);
2. whose turn it is, among activities that lessen it alike, those of a goal (scheduling/goal_turns.py) and between sides
   (scheduling/rotation.py);
3. early hours for activities that want them (scheduling/early.py);
4. an even spread over the waking day (scheduling/spread.py, placing.py).

Where that leaves a choice, think of a tired parent: as few prompts as reach the minutes, their lengths as equal as whole
minutes allow, no activity bunched; then the order of the plan, then the earlier time.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from math import ceil

from scheduling.day import DayShape, open_stretches, shape_of
from scheduling.demands import demands_of
from scheduling.fair import had_of_week
from scheduling.history import History, LogEntry
from scheduling.localtime import day_begins, local_at
from scheduling.needs import Need, needs_of
from scheduling.plan import MomentName, Plan, Side
from scheduling.reasons import Because, Proof, Turn, Why
from scheduling.rotation import is_behind, next_side, share_of_left
from scheduling.rows import Rows, Target, reason_of
from scheduling.sessions import Asked, sessions_of
from scheduling.spread import Frame, Placed

__all__ = ["Because", "DayPlan", "LogEntry", "Prompt", "Target", "Why", "plan_day", "plan_days"]


@dataclass(frozen=True, slots=True)
class Prompt:
    """at: aware, in the family's zone. moment: None where the activity has no moments."""

    at: datetime
    activity: str
    side: Side | None
    minutes: int
    moment: MomentName | None
    because: Because

    def as_done(self) -> LogEntry:
        """Return what the log will say when this prompt is done as asked."""
        return LogEntry(self.activity, self.minutes, self.side, self.at, prompted=True)


@dataclass(frozen=True, slots=True)
class DayPlan:
    """prompts: by time. targets, goals: in the order of the plan, held activities and goals of none but such left out.

    least: the weighted shortfall (each short part of a target times its weight, added up) below which no plan of this day can
    come, as far as is proved; None where turns of several days decide and not the least shortfall.
    """

    date: date
    prompts: tuple[Prompt, ...]
    targets: tuple[Target, ...]
    goals: tuple[Target, ...] = ()
    least: float | None = None

    @property
    def short(self) -> float:
        """The weighted shortfall of the day."""
        return sum(row.weighted_short for row in (*self.targets, *self.goals))

    @property
    def proof(self) -> Proof:
        return Proof(self.short, self.least)


def plan_day(
    plan: Plan,
    day: date,
    log: Iterable[LogEntry] = (),
    *,
    start_from: datetime | None = None,
    asleep_until: datetime | None = None,
    budget: int | None = None,
) -> DayPlan:
    """Return the prompts of one date, or of what is left of it.

    log: any dates, any order. start_from: nothing starts before it. asleep_until: nothing starts before it either.
    budget: most prompts of this day where that is below the plan's own; prompts that the log names count.

    When the log of the day holds just what the day's own plan asked for before that time, the rest of that plan is returned.
    """
    return _plan_one(plan, day, History.of(plan, log), start_from, asleep_until, budget)


def plan_days(
    plan: Plan,
    first: date,
    days: int,
    log: Iterable[LogEntry] = (),
    *,
    start_from: datetime | None = None,
    asleep_until: datetime | None = None,
    budget: int | None = None,
) -> list[DayPlan]:
    """Plan several days running, each as if the prompts of the ones before had been done.

    start_from and asleep_until hold for the first day only.
    """
    history = History.of(plan, log)
    planned = []
    for ahead in range(days):
        hours = (start_from, asleep_until) if ahead == 0 else (None, None)
        result = _plan_one(plan, first + timedelta(days=ahead), history, *hours, budget)
        for prompt in result.prompts:
            history.add(prompt.as_done())
        planned.append(result)
    return planned


def _plan_one(
    plan: Plan,
    day: date,
    history: History,
    start_from: datetime | None,
    asleep_until: datetime | None,
    budget: int | None,
) -> DayPlan:
    shape = shape_of(plan, day)
    lower = max(first_minute(shape, start_from), first_minute(shape, asleep_until))
    if lower > 0:
        unchanged = _rest_of_the_same_day(plan, shape, history, lower, budget)
        if unchanged is not None:
            return unchanged
    return _planned(plan, shape, history, lower, budget)


def first_minute(shape: DayShape, instant: datetime | None) -> int:
    """Return the first whole minute of the day at or after an instant; 0 where there is none."""
    if instant is None:
        return 0
    return ceil((instant - day_begins(shape.day, shape.zone)) / timedelta(minutes=1))


def _rest_of_the_same_day(
    plan: Plan, shape: DayShape, history: History, lower: int, budget: int | None
) -> DayPlan | None:
    """Return the later prompts of the day as planned when it began, if the log of the day holds just the earlier ones."""
    today = [entry for entry, _ in history.entries.get(shape.day, [])]
    if any(not entry.prompted or not isinstance(entry.at, datetime) for entry in today):
        return None
    morning = _planned(plan, shape, history.without(shape.day), 0, budget)
    now = day_begins(shape.day, shape.zone) + timedelta(minutes=lower)
    sent = [prompt for prompt in morning.prompts if prompt.at < now]
    if len(sent) != len(today):
        return None
    asked = {(p.at.timestamp(), p.activity, p.side, float(p.minutes)) for p in sent}
    done = {
        (e.at.timestamp(), e.activity, e.side, float(e.minutes or 0))
        for e in today
        if isinstance(e.at, datetime)
    }
    if asked != done:
        return None
    rows = [_later(plan, row, sent, history) for row in (*morning.targets, *morning.goals)]
    first_goal = len(morning.targets)
    return DayPlan(
        shape.day,
        morning.prompts[len(sent) :],
        tuple(rows[:first_goal]),
        tuple(rows[first_goal:]),
        morning.least,
    )


def _later(plan: Plan, row: Target, sent: Sequence[Prompt], history: History) -> Target:
    """Return a row of the morning's plan once these prompts are sent and done."""
    done = [prompt.minutes for prompt in sent if prompt.activity in row.members]
    amount = len(done) if row.times else sum(done)
    return replace(row, logged=row.logged + amount, planned=row.planned - amount)


def _planned(plan: Plan, shape: DayShape, history: History, lower: int, budget: int | None) -> DayPlan:
    demands = demands_of(plan, shape, history)
    needs = needs_of(plan, shape, history, lower, demands)
    cap = plan.most_prompts if budget is None else min(plan.most_prompts, budget)
    left = max(0, cap - history.prompts.get(shape.day, 0))
    wanted = tuple(need for need in needs if need.demands and need.openings)
    asked = Asked(
        shape=shape,
        needs=wanted,
        demands=tuple(demands),
        prompts=left,
        frame=_frame(plan, shape, history, lower),
        week=tuple(history.minutes_of_week(need.activity.activity, shape.day) for need in wanted),
        together=partners_of(plan, wanted),
        had=tuple(had_of_week(demands, needs, history, shape.day)) if cap < plan.most_prompts else None,
    )
    sessions = sessions_of(asked)
    prompts = prompts_of(plan, shape, history, wanted, sessions.placed)
    rows = Rows(plan, needs, prompts, left, cap)
    day = DayPlan(
        shape.day,
        prompts,
        tuple(rows.row(demand) for demand in demands if not demand.goal),
        tuple(rows.row(demand) for demand in demands if demand.goal),
    )
    if sessions.bound is None:
        return day
    least = sum(demand.counted * demand.missing for demand in demands) - sessions.bound
    return replace(day, least=min(day.short, max(0.0, least)))


def partners_of(plan: Plan, needs: Sequence[Need]) -> tuple[tuple[int, ...], ...]:
    """Return, for each need, the others that a goal holds with it."""
    if not plan.goals:
        return ((),) * len(needs)
    names = [need.activity.activity for need in needs]
    return tuple(
        tuple(
            other
            for other, partner in enumerate(names)
            if partner != name
            and any(name in goal.activities and partner in goal.activities for goal in plan.goals)
        )
        for name in names
    )


def _frame(plan: Plan, shape: DayShape, history: History, lower: int) -> Frame:
    """Return the waking day to spread over, with what was sent today; long since sent counts as one gap ago."""
    begins = day_begins(shape.day, shape.zone).timestamp() / 60
    stretches = open_stretches(shape, 0) or [(0, 0)]
    sent = [
        max(start.at - begins, lower - plan.shortest_gap)
        for starts in history.starts.values()
        for start in starts
        if start.prompted and stretches[0][0] <= start.at - begins <= stretches[-1][1]
    ]
    return Frame(plan.shortest_gap, max(stretches[0][0], lower), stretches[-1][1], tuple(sent))


def prompts_of(
    plan: Plan, shape: DayShape, history: History, needs: Sequence[Need], placed: Sequence[Placed]
) -> tuple[Prompt, ...]:
    """Return the sessions of a day, by time, as prompts: each with its side and its reason."""
    sides = {need.activity.activity: history.sides[need.activity.activity].copy() for need in needs}
    so_far = {place: demand.logged for need in needs for place, demand in need.demands}
    affected = plan.baby.affected_side
    prompts = []
    for start, minutes, index in placed:
        need = needs[index]
        name = need.activity.activity
        count = sides[name]
        shares = share_of_left(need.activity.side, affected)
        side: Side | None = None
        turn: Turn | None = None
        if shares:
            side = next_side(shares, count, affected)
            turn = "fixed" if 0 in shares else "behind" if is_behind(side, shares, count) else "next"
        moment = need.moments.get(int(start))
        because = replace(
            reason_of(need, so_far), side=side, turn=turn, left=count.left, right=count.right, moment=moment
        )
        at = local_at(shape.day, int(start), shape.zone)
        prompts.append(Prompt(at, name, side, minutes, moment, because))
        for place, demand in need.demands:
            so_far[place] += 1 if demand.times else minutes
        if side:
            count.add(side, at.timestamp() / 60)
    return tuple(prompts)
