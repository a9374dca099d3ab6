"""Where a sleep has moved to: what is told unasked speaks of an edge, and little or contrary evidence of nothing."""

from __future__ import annotations

import pytest

from scheduling.learned.edges import Edge, Seen, likelihoods
from scheduling.learned.moves import moved_sleeps

AWAKE = [(420, 570), (630, 780), (870, 1020)]


def every_day(days: int, minute: int, *, asleep: bool, told: bool = False) -> list[Seen]:
    return [Seen(age, minute, asleep, told) for age in range(1, days + 1)]


def test_a_nap_that_ends_later_is_seen_by_when_the_carer_says_that_the_baby_woke() -> None:
    seen = every_day(6, 910, asleep=False, told=True) + every_day(6, 825, asleep=True, told=True)

    best = moved_sleeps(AWAKE, seen)[0]

    assert best.change == "nap_moved"
    assert best.then is not None
    assert abs(best.then[0] - 820) <= 15
    assert abs(best.then[1] - 905) <= 15


def test_what_is_told_at_the_told_edges_leaves_them() -> None:
    seen = every_day(10, 786, asleep=True, told=True) + every_day(10, 876, asleep=False, told=True)

    assert moved_sleeps(AWAKE, seen) == []


def test_a_few_odd_days_among_many_are_no_move() -> None:
    odd, others = every_day(2, 900, asleep=True), every_day(8, 885, asleep=False)

    assert moved_sleeps(AWAKE, every_day(6, 900, asleep=True))
    assert moved_sleeps(AWAKE, odd + others) == []


def test_what_was_seen_long_ago_says_less_than_what_was_seen_yesterday() -> None:
    edge = Edge(870, begins=False)

    def spread(age: int) -> int:
        chances = likelihoods(edge, [Seen(age, 890, True)])
        return chances[-1] - chances[len(chances) // 2]

    assert 0 < spread(14) < spread(1)


@pytest.mark.parametrize(("begins", "asleep"), [(True, True), (False, False)])
def test_an_edge_told_unasked_lies_shortly_before(begins: bool, asleep: bool) -> None:
    edge = Edge(800, begins)
    chances = likelihoods(edge, [Seen(1, 830, asleep, told=True)])

    best = max(range(len(chances)), key=chances.__getitem__)

    assert 800 + (best - len(chances) // 2) * 5 in (820, 825)
