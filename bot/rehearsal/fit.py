"""What of a plan does not fit its own day even when every reminder is followed, and which one change would help. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date
from typing import Any, Literal

from scheduling.plan import Plan
from scheduling.planner import DayPlan, plan_days
from scheduling.reasons import Why
from scheduling.rows import Target

MOST_A_DAY = 24  # a plan may ask for no more
DAYS = 14  # two weeks: sides and needs have come round
LEAST_HELP = 1.0  # minutes a day below which a change is not worth telling


@dataclass(frozen=True, slots=True)
class Short:
    """An activity or goal whose target is out of reach. short: what is missing a day, the mean. why: of the worst day."""

    name: str
    target: float
    short: float
    unit: Literal["minutes", "times"]
    why: Why | None


@dataclass(frozen=True, slots=True)
class Help:
    """One change, and the minutes a day that are then still missing over all activities. value: what it is set to."""

    change: str  # most_prompts, longest_session, shortest_gap
    activity: str | None
    value: int
    short: float


@dataclass(frozen=True, slots=True)
class Fit:
    """short_a_day: minutes over all activities. helps: what leaves least missing first."""

    short_a_day: float
    short: tuple[Short, ...]
    helps: tuple[Help, ...]

    def as_json(self) -> dict[str, Any]:
        return {
            "short_a_day": self.short_a_day,
            "short": [
                {"name": s.name, "unit": s.unit, "target": s.target, "short_a_day": s.short}
                for s in self.short
            ],
            "helps": [asdict(each) for each in self.helps],
        }


def fit_of(plan: Plan, first: date) -> Fit:
    planned = plan_days(plan, first, DAYS)
    missing = _missing(planned, plan)
    tried = [
        replace(each, short=_missing(plan_days(changed, first, DAYS), changed))
        for each, changed in _changes(plan)
    ]
    helps = [each for each in tried if missing - each.short >= LEAST_HELP and not _in_vain(each, tried)]
    return Fit(missing, tuple(_short(planned, plan)), tuple(sorted(helps, key=lambda each: each.short)))


def _in_vain(change: Help, tried: Sequence[Help]) -> bool:
    """Say whether a smaller change of the same kind leaves no more missing."""
    return any(
        (each.change, each.activity) == (change.change, change.activity)
        and each.value < change.value
        and each.short <= change.short
        for each in tried
    )


def _missing(planned: Sequence[DayPlan], plan: Plan) -> float:
    return round(sum(_minutes(row, plan) for day in planned for row in _rows(day)) / len(planned), 1)


def _rows(day: DayPlan) -> tuple[Target, ...]:
    return (*day.targets, *day.goals)


def _minutes(row: Target, plan: Plan) -> float:
    """Return what is missing in minutes: a missing session as its least length."""
    if not row.times:
        return row.short
    least = min((each.session[0] for each in plan.activities if each.activity in row.members), default=1)
    return row.short * least


def _short(planned: Sequence[DayPlan], plan: Plan) -> Iterator[Short]:
    for name in dict.fromkeys(row.name for day in planned for row in _rows(day)):
        rows = [row for day in planned for row in _rows(day) if row.name == name]
        if sum(_minutes(row, plan) for row in rows) / len(planned) >= LEAST_HELP:
            worst = max(rows, key=lambda row: row.short)
            short = round(sum(row.short for row in rows) / len(planned), 1)
            yield Short(name, worst.target, short, "times" if worst.times else "minutes", worst.why)


def _changes(plan: Plan) -> Iterator[tuple[Help, Plan]]:
    """Changes that leave what the therapist taught as it is: how often, how long at once, how close together."""
    for most in sorted(
        {min(MOST_A_DAY, plan.most_prompts + more) for more in (1, 2, 4)} - {plan.most_prompts}
    ):
        yield Help("most_prompts", None, most, 0), replace(plan, most_prompts=most)
    if plan.shortest_gap > 20:
        yield Help("shortest_gap", None, 20, 0), replace(plan, shortest_gap=20)
    for place, activity in enumerate(plan.activities):
        longest = activity.session[1] + 5
        longer = replace(activity, session=(activity.session[0], longest))
        activities = (*plan.activities[:place], longer, *plan.activities[place + 1 :])
        yield (
            Help("longest_session", activity.activity, longest, 0),
            replace(plan, activities=activities),
        )
