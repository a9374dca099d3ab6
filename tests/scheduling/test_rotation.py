"""Turns over days: sides within the quota bound, activities near their shares. The log decides, not the calendar."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from random import Random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.history import LogEntry, SideCount
from scheduling.plan import Plan, Ratio, plan_from
from scheduling.planner import plan_day, plan_days
from scheduling.rotation import next_side, share_of_left
from tests.scheduling.families import activity, document

FIRST = date(2026, 3, 4)
RATIOS = st.tuples(st.integers(0, 7), st.integers(0, 7)).filter(any)


def plan_with(side: Any, most_prompts: int = 5, **rest: Any) -> Plan:
    return plan_from(
        document(activity(minutes=200, session=(3, 10), side=side), most_prompts=most_prompts, **rest)
    )


def share_of_right(plan: Plan) -> float:
    shares = share_of_left(plan.activities[0].side, plan.baby.affected_side)
    assert shares is not None
    return shares[1] / sum(shares)


def furthest(sides: Sequence[str], share: float) -> float:
    """Return how far the count of right ever strays from its share of n."""
    count, most = 0, 0.0
    for n, side in enumerate(sides, 1):
        count += side == "right"
        most = max(most, abs(count - n * share))
    return most


@pytest.mark.parametrize("days", [14, 90])
@pytest.mark.parametrize(
    "side",
    [
        "alternate",
        "affected",
        "unaffected",
        *({"affected": a, "unaffected": b} for a, b in ((2, 1), (3, 2), (1, 5), (7, 4))),
    ],
)
def test_sides_keep_the_quota_bound_over_weeks_and_midnights(side: Any, days: int) -> None:
    plan = plan_with(side)
    sides = [prompt.side or "" for day in plan_days(plan, FIRST, days) for prompt in day.prompts]

    assert len(sides) == 5 * days
    assert furthest(sides, share_of_right(plan)) < 1


@settings(max_examples=15, deadline=None)
@given(ratio=RATIOS, seed=st.integers(0, 10**6))
def test_sides_that_were_done_keep_the_bound_whatever_was_missed_refused_or_done_by_themselves(
    ratio: tuple[int, int], seed: int
) -> None:
    """Each prompt is done or refused as it comes and the rest of the day replanned, as the bot does it."""
    random = Random(seed)
    plan = plan_with({"affected": ratio[0], "unaffected": ratio[1]}, most_prompts=4)
    log: list[LogEntry] = []
    done: list[str] = []
    for ahead in range(7):
        day = FIRST + timedelta(days=ahead)
        planned, start_from = plan_day(plan, day, log), None
        while planned.prompts:
            prompt = planned.prompts[0]
            if random.random() < 0.6:
                log.append(prompt.as_done())
                done.append(prompt.side or "")
            else:
                log.append(LogEntry(prompt.activity, 0, prompt.side, prompt.at, prompted=True))
            start_from = prompt.at + timedelta(minutes=1)
            planned = plan_day(plan, day, log, start_from=start_from)

    assert furthest(done, share_of_right(plan)) < 1


def test_a_refused_side_is_due_again() -> None:
    plan = plan_with("alternate", most_prompts=4)
    first = plan_day(plan, FIRST).prompts[0]
    refused = LogEntry(first.activity, 0, first.side, first.at, prompted=True)
    later = plan_day(plan, FIRST, [refused], start_from=first.at + timedelta(minutes=1))

    assert later.prompts[0].side == first.side


def test_from_an_unbalanced_log_the_side_that_is_behind_comes_until_the_bound_holds() -> None:
    plan = plan_with("alternate", most_prompts=6)
    log = [LogEntry("reach", 5, "left", FIRST - timedelta(days=n), prompted=False) for n in range(1, 5)]

    assert [prompt.side for prompt in plan_day(plan, FIRST, log).prompts][:4] == ["right"] * 4


def test_sessions_of_their_own_count_for_the_side() -> None:
    plan = plan_with("alternate")
    own = LogEntry("reach", 5, "right", FIRST, prompted=False)

    assert plan_day(plan, FIRST, [own]).prompts[0].side == "left"


def test_level_sides_go_on_with_the_one_that_was_not_the_last() -> None:
    assert next_side((1, 1), SideCount(left=2, right=2, latest="left"), "left") == "right"
    assert next_side((1, 1), SideCount(left=2, right=2, latest="right"), "left") == "left"


def test_the_affected_side_begins() -> None:
    assert next_side((1, 1), SideCount(), "right") == "right"
    assert next_side((1, 1), SideCount(), "left") == "left"
    assert next_side((1, 1), SideCount(), "both") == "left"


@given(
    ratio=st.tuples(st.integers(1, 7), st.integers(1, 7)), left=st.integers(0, 40), right=st.integers(0, 40)
)
def test_from_any_log_the_bound_holds_at_last_and_then_for_ever(
    ratio: tuple[int, int], left: int, right: int
) -> None:
    shares = share_of_left(Ratio(*ratio), "left")
    assert shares is not None
    share = shares[0] / sum(shares)
    count = SideCount(left, right)
    held = False
    for when in range(1200):
        count.add(next_side(shares, count, "left"), when)
        inside = abs(count.left - (count.left + count.right) * share) < 1
        assert inside or not held
        held = held or inside

    assert held


@pytest.mark.parametrize(
    ("weights", "prompts"),
    [((1, 1, 1), 2), ((1,) * 5, 3), ((1,) * 7, 2), ((1,) * 4, 1), ((1, 2, 3), 2), ((1, 1, 2, 5), 3)],
)
def test_activities_that_lessen_the_day_alike_keep_near_their_shares(
    weights: tuple[int, ...], prompts: int
) -> None:
    """Each needs prompts in proportion to its weight and each prompt is worth the same. Over 90 days the counts keep
    within the bound that Tijdeman 1980 proves possible for the chairman assignment problem, 1 - 1/(2m - 2)."""
    activities = [activity(f"a{n}", 60 * weight, (5, 10), weight=weight) for n, weight in enumerate(weights)]
    plan = plan_from(document(*activities, most_prompts=prompts))
    order = [prompt.activity for day in plan_days(plan, FIRST, 90) for prompt in day.prompts]
    counts = dict.fromkeys((a["activity"] for a in activities), 0)
    furthest_off = 0.0
    for n, name in enumerate(order, 1):
        counts[name] += 1
        for each, weight in zip(activities, weights, strict=True):
            furthest_off = max(furthest_off, abs(counts[each["activity"]] - n * weight / sum(weights)))

    assert furthest_off <= 1 - 1 / (2 * len(weights) - 2) + 1e-9


def test_an_activity_left_out_yesterday_comes_today() -> None:
    plan = plan_from(document(activity("reach", 10), activity("roll", 10), most_prompts=1))
    days = plan_days(plan, FIRST, 4)

    assert [prompt.activity for day in days for prompt in day.prompts] == ["reach", "roll", "reach", "roll"]


def test_the_rule_of_sides_gives_the_shares_of_left_and_right() -> None:
    assert share_of_left("none", "left") is None
    assert share_of_left("affected", "right") == (0, 1)
    assert share_of_left("unaffected", "right") == (1, 0)
    assert share_of_left("alternate", "both") == (1, 1)


def test_a_side_is_called_behind_only_while_it_has_had_less_than_its_share() -> None:
    plan = plan_with({"affected": 9, "unaffected": 1}, most_prompts=4)
    turns = [(prompt.side, prompt.because.turn) for prompt in plan_day(plan, FIRST).prompts]

    assert turns[0] == ("right", "next")
    assert turns[1] == ("right", "next")
    assert ("right", "behind") not in turns[:4]
