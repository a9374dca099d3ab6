"""What of a plan cannot be done as it says: no room on a day, aims out of reach, and what would help. Pure.

The planner itself is asked, for the next seven days, as if every prompt were done; what would help is tried on it too, one
change at a time. Nothing here is about danger (`checks`), and nothing stops a plan: the therapist may mean it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

from bot.activities.arm import rested
from bot.activities.library import Library
from bot.features.plan.checks import LONGEST_SESSION, MOST_BEARABLE_PROMPTS, Finding, Help
from scheduling.plan import Plan
from scheduling.planner import DayPlan, plan_days

DAYS = 7
LEAST_SHORT = 0.1
"""Part of an aim that must be missing before it is told: the planner works in whole sessions, so a little often is."""
SHORTEST_GAP = 20  # minutes between prompts that is still proposed; common practice, no source
STEP = 5  # minutes, of a session or a gap


@dataclass(frozen=True, slots=True)
class _Share:
    """What seven days give of one aim, a day: minutes, or times."""

    given: float
    wanted: float
    times: bool


def cannot_work(
    plan: Plan, library: Library, first: date, *, before: Plan | None = None
) -> tuple[Finding, ...]:
    """Return what asks for a second look, the day's shape first. first: the first day looked at, local.

    before: the plan in force; what it cannot do either, to the same degree or worse, is nothing that this change brings.
    """
    found = tuple(_found(plan, library, first))
    if before is None:
        return found
    known = {(each.kind, each.activity): each for each in _found(before, library, first)}
    return tuple(each for each in found if not _as_before(each, known.get((each.kind, each.activity))))


def _as_before(found: Finding, known: Finding | None) -> bool:
    if known is None:
        return False
    if found.of is None:
        return found.number is None or (known.number or 0) >= found.number
    return known.of is not None and found.of - (found.number or 0) <= known.of - (known.number or 0)


def _found(plan: Plan, library: Library, first: date) -> Iterator[Finding]:
    in_quiet = _awake_in_quiet(plan)
    if in_quiet:
        yield Finding("ask", "awake_in_quiet", number=in_quiet)
    if not plan.awake:
        return  # told by the checks: nobody knows the day yet
    resting = rested(plan, library)
    days = plan_days(resting, first, DAYS)
    empty = next((each.date for each in days if each.targets and not each.prompts), None)
    if empty is not None:
        yield Finding("ask", "day_without", day=empty)
    short = {name: share for name, share in _shares(days) if share.given < share.wanted * (1 - LEAST_SHORT)}
    helps = _what_helps(resting, days) if short else None
    for name, share in short.items():
        given = int(share.given)
        if given == 0:
            yield Finding("ask", "starved", name, help=helps)
        elif share.times:
            yield Finding("ask", "short_times", name, number=given, of=round(share.wanted), help=helps)
        else:
            yield Finding("ask", "short", name, number=given, of=round(share.wanted), help=helps)


def _awake_in_quiet(plan: Plan) -> int:
    """Return the minutes of the family's waking time in which the plan's own quiet hours let no prompt come."""
    if plan.quiet is None:
        return 0
    start, end = plan.quiet
    quiet = [(start, end)] if start < end else [(start, 1440), (0, end)]
    return sum(
        max(0, min(until, quiet_until) - max(begin, quiet_begin))
        for begin, until in plan.awake
        for quiet_begin, quiet_until in quiet
    )


def _shares(days: Sequence[DayPlan]) -> Iterator[tuple[str, _Share]]:
    """Return what each aim gets and wants, a day, over the days on which it is in the plan."""
    rows = [row for day in days for row in (*day.targets, *day.goals) if row.target > 0]
    for name in dict.fromkeys(row.name for row in rows):
        own = [row for row in rows if row.name == name]
        wanted = sum(row.target for row in own) / len(own)
        short = sum(row.short for row in own) / len(own)
        yield name, _Share(wanted - short, wanted, own[0].times)


# ---------------------------------------------------------------- what would help


def _what_helps(plan: Plan, days: Sequence[DayPlan]) -> Help:
    """Return the smallest single change after which nothing falls short on the first day that does; else less to do."""
    worst = next(day.date for day in days if any(row.short > 0 for row in (*day.targets, *day.goals)))
    tries: tuple[tuple[Literal["prompts", "session", "gap"], range, Callable[[Plan, int], Plan]], ...] = (
        ("prompts", range(plan.most_prompts + 1, MOST_BEARABLE_PROMPTS + 1), _with_prompts),
        ("session", range(_longest(plan) + STEP, LONGEST_SESSION + 1, STEP), _with_sessions),
        ("gap", range(plan.shortest_gap - STEP, SHORTEST_GAP - 1, -STEP), _with_gap),
    )
    for kind, numbers, changed in tries:
        number = _first_that_fits(plan, worst, numbers, changed)
        if number is not None:
            return Help(kind, number)
    return Help("less")


def _first_that_fits(
    plan: Plan, day: date, numbers: Sequence[int], changed: Callable[[Plan, int], Plan]
) -> int | None:
    if not numbers or not _fits(changed(plan, numbers[-1]), day):
        return None
    return next((number for number in numbers if _fits(changed(plan, number), day)), None)


def _fits(plan: Plan, day: date) -> bool:
    (planned,) = plan_days(plan, day, 1)
    return all(row.short <= row.target * LEAST_SHORT for row in (*planned.targets, *planned.goals))


def _longest(plan: Plan) -> int:
    return max((each.session[1] for each in plan.activities), default=LONGEST_SESSION)


def _with_prompts(plan: Plan, number: int) -> Plan:
    return replace(plan, most_prompts=number)


def _with_gap(plan: Plan, number: int) -> Plan:
    return replace(plan, shortest_gap=number)


def _with_sessions(plan: Plan, number: int) -> Plan:
    longer = tuple(replace(each, session=(each.session[0], number)) for each in plan.activities)
    return replace(plan, activities=longer)
