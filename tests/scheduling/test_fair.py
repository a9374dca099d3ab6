"""Days with fewer prompts than the plan allows: what is left out rotates over seven days."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.plan import plan_from
from scheduling.planner import LogEntry, plan_day, plan_days
from tests.scheduling.families import activity, document

FIRST = date(2026, 3, 2)
held = st.tuples(st.integers(5, 90), st.integers(1, 15), st.sampled_from([0.5, 1, 2]))


@settings(max_examples=60, deadline=None)
@given(asked=st.lists(held, min_size=2, max_size=5), budget=st.integers(1, 5))
def test_over_seven_days_shares_differ_by_no_more_than_one_prompt_gives(
    asked: list[tuple[int, int, float]], budget: int
) -> None:
    rows = [
        activity(f"a{n}", max(minutes, most), (most, most), weight=weight)
        for n, (minutes, most, weight) in enumerate(asked)
    ]
    days = plan_days(plan_from(document(*rows, most_prompts=6)), FIRST, 7, budget=budget)
    share: dict[str, float] = {}
    step: dict[str, float] = {}
    for row in rows:
        name, week = row["activity"], 7 * row["target"]["minutes"]
        share[name] = sum(p.minutes for day in days for p in day.prompts if p.activity == name) / week
        step[name] = row["session"][1] / week
    met = {row.name for day in days for row in day.targets if row.short == 0}

    for one, other in combinations(share, 2):
        ahead, behind = (one, other) if share[one] >= share[other] else (other, one)
        assert behind in met or share[ahead] - share[behind] <= step[ahead] + 1e-9


def test_an_hour_on_the_tummy_has_reminders_beside_short_holds() -> None:
    short = [activity(f"short{n}", 5, (5, 5)) for n in range(3)]
    plan = plan_from(document(activity("tummy", 60, (3, 15)), *short, most_prompts=6))
    days = plan_days(plan, FIRST, 7, budget=3)
    shares = [
        sum(p.minutes for day in days for p in day.prompts if p.activity == row.name) / (7 * row.target)
        for row in days[0].targets
    ]

    assert max(shares) - min(shares) <= 1 / 7
    assert sum(any(p.activity == "tummy" for p in day.prompts) for day in days) >= 5


def test_a_target_that_is_never_done_does_not_take_every_turn() -> None:
    two = [activity("refused", 60, (10, 10)), activity("liked", 60, (10, 10))]
    plan = plan_from(document(*two, most_prompts=6))
    log: list[LogEntry] = []
    counts = {"refused": 0, "liked": 0}
    for ahead in range(7):
        for prompt in plan_day(plan, FIRST + timedelta(days=ahead), log, budget=2).prompts:
            counts[prompt.activity] += 1
            done = prompt.minutes if prompt.activity == "liked" else 0
            log.append(LogEntry(prompt.activity, done, prompt.side, prompt.at, prompted=True))

    assert abs(counts["refused"] - counts["liked"]) <= 1
