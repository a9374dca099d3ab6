"""What of a plan does not fit its own day even when every reminder is followed, and which one change would help. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date
from typing import Any

from scheduling.plan import Plan
from scheduling.planner import DayPlan, plan_days
from scheduling.reasons import Why

MOST_A_DAY = 24  # a plan may ask for no more
DAYS = 14  # two weeks: sides and needs have come round
LEAST_HELP = 1.0  # minutes a day below which a change is not worth telling


@dataclass(frozen=True, slots=True)
class Short:
    """An activity whose target is out of reach. short: minutes a day that are missing, the mean. why: of the worst day."""

    activity: str
    target: float
    short: float
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
                {"activity": s.activity, "target": s.target, "short_a_day": s.short} for s in self.short
            ],
            "helps": [asdict(each) for each in self.helps],
        }


def fit_of(plan: Plan, first: date) -> Fit:
    planned = plan_days(plan, first, DAYS)
    missing = _missing(planned)
    tried = [
        replace(each, short=_missing(plan_days(changed, first, DAYS))) for each, changed in _changes(plan)
    ]
    helps = [each for each in tried if missing - each.short >= LEAST_HELP]
    return Fit(missing, tuple(_short(planned)), tuple(sorted(helps, key=lambda each: each.short)))


def _missing(planned: Sequence[DayPlan]) -> float:
    return round(sum(target.short for day in planned for target in day.targets) / len(planned), 1)


def _short(planned: Sequence[DayPlan]) -> Iterator[Short]:
    activities = dict.fromkeys(target.activity for day in planned for target in day.targets)
    for activity in activities:
        rows = [target for day in planned for target in day.targets if target.activity == activity]
        short = round(sum(row.short for row in rows) / len(planned), 1)
        if short >= LEAST_HELP:
            worst = max(rows, key=lambda row: row.short)
            yield Short(activity, worst.target, short, worst.why)


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
