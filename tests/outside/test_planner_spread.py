"""How even a day is against the evenest of all days with the same sessions.

The evenest is found by trying every order of the sessions and, for each, every start minute (dynamic programming over
the minutes with numpy). Evenness: the squared minutes between neighbours added up, the edges of the waking day twice.
"""

from __future__ import annotations

from datetime import datetime
from itertools import pairwise, permutations
from random import Random
from typing import Any

import numpy as np

from scheduling.case import Wording, case_from
from tests.outside.day_cases import random_case
from tests.scheduling.day_facts import MINUTE, DayFacts

BARE = Wording(because=str, why=str)


def waking_day(facts: DayFacts) -> tuple[int, int]:
    """Return the first and the last minute that are awake and outside quiet time."""
    minutes = [
        minute
        for start, end in facts.awake
        for minute in range(start, end)
        if not any(quiet_from <= minute < quiet_to for quiet_from, quiet_to in facts.quiet)
    ]
    return minutes[0], minutes[-1] + 1


def evenest(facts: DayFacts, jobs: list[tuple[str, int]], begin: int, end: int) -> float:
    activities = {activity["activity"]: activity for activity in facts.plan["activities"]}
    starts = np.arange(end)
    apart = starts[None, :] - starts[:, None]
    free = {
        job: np.array([facts.longest(activities[job[0]], int(at)) >= job[1] for at in starts])
        for job in set(jobs)
    }
    best = np.inf
    for order in set(permutations(jobs)):
        cost = np.where(free[order[-1]], 2.0 * (end - starts) ** 2, np.inf)
        for job in reversed(order[:-1]):
            allowed = apart >= max(facts.gap, job[1])
            cost = np.where(
                free[job], np.where(allowed, apart**2 + cost[None, :], np.inf).min(axis=1), np.inf
            )
        best = min(best, float((cost + 2.0 * (starts - begin) ** 2).min()))
    return best


def day_with_its_evenness(seed: int) -> float | None:
    """Return how many times as uneven as need be a random day is; None where it has not 3 or 4 prompts."""
    random = Random(f"spread {seed}")
    case: dict[str, Any] = random_case(random, random.choice(["small", "middle"]))
    for activity in case["plan"]["activities"]:
        activity.pop("own_gap", None)
    prompts = case_from(case).answer(BARE)["days"][0]["prompts"]
    if not 3 <= len(prompts) <= 4:
        return None
    facts = DayFacts(case)
    begin, end = waking_day(facts)
    starts = [(datetime.fromisoformat(prompt["at"]) - facts.begin) / MINUTE for prompt in prompts]
    ours = (
        2 * (starts[0] - begin) ** 2
        + 2 * (end - starts[-1]) ** 2
        + sum((b - a) ** 2 for a, b in pairwise(starts))
    )
    return ours / evenest(facts, [(prompt["activity"], prompt["minutes"]) for prompt in prompts], begin, end)


def test_days_are_nearly_as_even_as_any_with_the_same_sessions() -> None:
    found = [evenness for seed in range(60) if (evenness := day_with_its_evenness(seed)) is not None]

    assert len(found) >= 15
    assert min(found) >= 1 - 1e-9
    assert sum(found) / len(found) <= 1.03
    assert max(found) <= 1.25
