"""A day that was planned before: kept where it still holds, one prompt more on request, how late a prompt may come."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from math import ceil

from scheduling.day import open_stretches, shape_of
from scheduling.demands import demands_of
from scheduling.history import History, LogEntry
from scheduling.localtime import day_begins, local_at
from scheduling.needs import needs_of
from scheduling.plan import Plan, Side
from scheduling.planner import DayPlan, Prompt
from scheduling.rows import reason_of


@dataclass(frozen=True, slots=True)
class Standing:
    """A prompt of an earlier planning that was not sent yet. at: aware."""

    at: datetime
    activity: str
    minutes: int


def keep_standing(
    plan: Plan,
    new: DayPlan,
    standing: Sequence[Standing],
    log: Iterable[LogEntry],
    *,
    start_from: datetime,
) -> tuple[Prompt, ...]:
    """Return the prompts of `new`, at the times of the standing ones where these still hold.

    A family that tells of something every few minutes must not push its next reminder ahead of itself for ever. The
    standing times hold when they ask the same minutes in as many prompts of each activity, and each still has room
    by the hard rules. Sides and reasons are those of `new`, in order.
    """
    times = sorted(standing, key=lambda prompt: prompt.at)
    asked = Counter((prompt.activity, prompt.minutes) for prompt in times)
    if asked != Counter((prompt.activity, prompt.minutes) for prompt in new.prompts) or not times:
        return new.prompts
    shape = shape_of(plan, new.date)
    begins = day_begins(new.date, shape.zone)
    lower = max(0, ceil((start_from - begins) / timedelta(minutes=1)))
    history = History.of(plan, log)
    all_needs = needs_of(plan, shape, history, lower, demands_of(plan, shape, history))
    needs = {need.activity.activity: need for need in all_needs}
    for prompt in times:
        start = (prompt.at - begins) / timedelta(minutes=1)
        need = needs.get(prompt.activity)
        if need is None or not any(
            first <= start <= last and start + prompt.minutes <= end for first, last, end in need.openings
        ):
            return new.prompts
    fresh: dict[tuple[str, int], list[Prompt]] = defaultdict(list)
    for each in new.prompts:
        fresh[each.activity, each.minutes].append(each)
    return tuple(
        replace(fresh[old.activity, old.minutes].pop(0), at=old.at.astimezone(shape.zone)) for old in times
    )


def earliest_prompt(
    plan: Plan,
    day: date,
    activity: str,
    log: Iterable[LogEntry],
    *,
    not_before: datetime,
    side: Side | None,
    minutes: int,
) -> Prompt | None:
    """Return a prompt of `activity` at the first minute from `not_before` on that breaks no hard rule.

    None where the day has no such minute left, the day's most prompts are used up, or the activity needs no more today.
    """
    shape = shape_of(plan, day)
    begins = day_begins(day, shape.zone)
    lower = ceil((not_before - begins) / timedelta(minutes=1))
    history = History.of(plan, log)
    if lower >= 2 * 1440 or history.prompts.get(day, 0) >= plan.most_prompts:
        return None
    demands = demands_of(plan, shape, history)
    needs = needs_of(plan, shape, history, lower, demands)
    need = next((each for each in needs if each.activity.activity == activity), None)
    if need is None or not need.openings:
        return None
    first, _, end = need.openings[0]
    length = max(need.least, min(minutes, need.most, end - first))
    reason = reason_of(need, {place: demand.logged for place, demand in need.demands})
    because = replace(reason, side=side, moment=need.moments.get(first))
    return Prompt(local_at(day, first, shape.zone), activity, side, length, need.moments.get(first), because)


def latest_start(plan: Plan, prompt: Prompt) -> datetime:
    """Return the last instant at which the prompted session may start in the same stretch of waking time.

    It still ends before sleep, quiet time and the next feed, each at its distance. Never before the prompt's own time.
    """
    zone = prompt.at.tzinfo
    shape = shape_of(plan, prompt.at.date())
    begins = day_begins(shape.day, shape.zone)
    at = int((prompt.at - begins) / timedelta(minutes=1))
    planned = plan.activity(prompt.activity)
    before_feed = planned.before_feed if planned else 0
    ends = [end for start, end in open_stretches(shape, 0) if start <= at < end]
    ends += [feed - before_feed for feed in shape.feeds if feed > at]
    last = min(ends, default=at + prompt.minutes) - prompt.minutes
    return max(prompt.at, (begins + timedelta(minutes=last)).astimezone(zone))
