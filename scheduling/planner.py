"""A day's prompts, with reasons; planning anew from now.

What decides, in this order:

1. the least weighted shortfall (scheduling/search.py; most days need no search, since the bound is reached at once);
2. whose turn it is, among activities that lessen it alike and between sides (scheduling/rotation.py);
3. an even spread over the waking day (scheduling/spread.py).

Where that leaves a choice, think of a tired parent: as few prompts as reach the minutes, their lengths as equal as whole
minutes allow, no activity bunched; then the order of the plan, then the earlier time.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import ceil

from scheduling.day import DayShape, open_stretches, shape_of
from scheduling.history import History, LogEntry
from scheduling.localtime import day_begins, local_at
from scheduling.needs import Need, needs_of
from scheduling.plan import MomentName, Plan, Side
from scheduling.reasons import Because, Turn, Why
from scheduling.rotation import is_behind, next_side, share_of_left
from scheduling.search import search
from scheduling.spread import FIXED, Frame, Placed, even_out, place_all, reorder, slide
from scheduling.turns import in_turn
from scheduling.worth import best_counts, even_lengths, longest, most_alone, trimmed

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
class Target:
    """All in minutes. short: what is still missing when the planned prompts are done. why: None where nothing is."""

    activity: str
    target: float
    logged: float
    planned: int
    short: float
    why: Why | None


@dataclass(frozen=True, slots=True)
class DayPlan:
    """prompts: by time. targets: in the order of the plan, held activities left out."""

    date: date
    prompts: tuple[Prompt, ...]
    targets: tuple[Target, ...]


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
        (e.at.timestamp(), e.activity, e.side, float(e.minutes)) for e in today if isinstance(e.at, datetime)
    }
    if asked != done:
        return None
    targets = []
    for row in morning.targets:
        done_minutes = sum(prompt.minutes for prompt in sent if prompt.activity == row.activity)
        logged = history.minutes[row.activity].get(shape.day, 0)
        targets.append(
            Target(row.activity, row.target, logged, row.planned - done_minutes, row.short, row.why)
        )
    return DayPlan(shape.day, morning.prompts[len(sent) :], tuple(targets))


def _planned(plan: Plan, shape: DayShape, history: History, lower: int, budget: int | None) -> DayPlan:
    needs = needs_of(plan, shape, history, lower)
    cap = plan.most_prompts if budget is None else min(plan.most_prompts, budget)
    left = max(0, cap - history.prompts.get(shape.day, 0))
    wanted = [need for need in needs if need.missing > 0 and need.openings]
    placed = _sessions(wanted, left, _frame(plan, shape, history, lower))
    prompts = prompts_of(plan, shape, history, wanted, placed)
    rows = tuple(_target(need, plan.shortest_gap, prompts, left, cap) for need in needs)
    return DayPlan(shape.day, prompts, rows)


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


def _sessions(needs: Sequence[Need], prompts: int, frame: Frame) -> list[Placed]:
    """Return the sessions of the day, by time: (start, minutes, index of the need)."""
    if not prompts or not needs:
        return []
    counts, bound = best_counts(needs, prompts, frame.gap)
    jobs = [
        (index, minutes)
        for index, (need, count) in enumerate(zip(needs, counts, strict=True))
        if count
        for minutes in even_lengths(need, count, min(ceil(need.missing), count * longest(need)))
    ]
    board = place_all(needs, jobs, frame)
    if board is None:
        found = search(needs, prompts, frame.gap, bound)
        board = sorted([*((at, 0, FIXED) for at in frame.sent), *trimmed(needs, found.sessions)])
    board = reorder(needs, slide(needs, even_out(needs, board, frame), frame), frame)
    board = slide(needs, in_turn(needs, board, frame), frame)
    return [placed for placed in board if placed[2] != FIXED]


def prompts_of(
    plan: Plan, shape: DayShape, history: History, needs: Sequence[Need], placed: Sequence[Placed]
) -> tuple[Prompt, ...]:
    """Return the sessions of a day, by time, as prompts: each with its side and its reason."""
    sides = {need.activity.activity: history.sides[need.activity.activity].copy() for need in needs}
    so_far = {need.activity.activity: need.logged for need in needs}
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
        because = Because(so_far[name], need.target, side, turn, count.left, count.right, moment)
        at = local_at(shape.day, int(start), shape.zone)
        prompts.append(Prompt(at, name, side, minutes, moment, because))
        so_far[name] += minutes
        if side:
            count.add(side, at.timestamp() / 60)
    return tuple(prompts)


def _target(need: Need, gap: int, prompts: Sequence[Prompt], left: int, cap: int) -> Target:
    name = need.activity.activity
    own = [prompt.minutes for prompt in prompts if prompt.activity == name]
    planned = sum(own)
    short = round(max(0.0, need.target - need.logged - planned), 6)
    why = None
    if short > 0:
        step = max(gap, need.own_gap, need.least)
        if not need.openings:
            why = Why("no_moment" if need.activity.moments is not None else "no_room")
        elif len(own) >= most_alone(need.openings, step, 99):
            why = Why("own_room")
        elif len(prompts) >= left:
            why = Why("most_prompts", cap)
        else:
            why = Why("shared_room")
    return Target(name, need.target, need.logged, planned, short, why)
