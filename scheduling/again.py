"""One prompt more on request ("remind me in 20"), and how late a prompt may still come."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from math import ceil

from scheduling.day import open_stretches, shape_of
from scheduling.history import History, LogEntry
from scheduling.localtime import day_begins, local_at
from scheduling.needs import needs_of
from scheduling.plan import Plan, Side
from scheduling.planner import Prompt
from scheduling.reasons import Because


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
    need = next(
        (each for each in needs_of(plan, shape, history, lower) if each.activity.activity == activity), None
    )
    if need is None or not need.openings:
        return None
    first, _, end = need.openings[0]
    length = max(need.least, min(minutes, need.most, end - first))
    because = Because(need.logged, need.target, side, None, moment=need.moments.get(first))
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
