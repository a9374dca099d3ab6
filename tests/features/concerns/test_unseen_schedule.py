"""When a family's unseen concerns are told again and to whom: the table at its edges, and its laws."""

from __future__ import annotations

from datetime import timedelta
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.features.concerns import unseen_schedule as schedule
from tests.features.concerns.cases import NOW, concern

MINUTE = timedelta(minutes=1)
URGENT = st.sampled_from(["act_now", "same_day"])
WAITED = st.timedeltas(timedelta(), timedelta(days=30))


@pytest.mark.parametrize(
    ("urgency", "minutes", "circle"),
    [
        ("act_now", 0, "own"),
        ("act_now", 9, "own"),
        ("act_now", 10, "cover"),
        ("act_now", 29, "cover"),
        ("act_now", 30, "clinic"),
        ("act_now", 100_000, "clinic"),
        ("same_day", 59, "own"),
        ("same_day", 60, "cover"),
        ("same_day", 239, "cover"),
        ("same_day", 240, "clinic"),
    ],
)
def test_who_is_told_after_how_long(urgency: Any, minutes: int, circle: str) -> None:
    assert schedule.circle_at(urgency, minutes * MINUTE) == circle


@pytest.mark.parametrize(
    ("urgency", "minutes", "due"),
    [
        ("act_now", 0, 10),
        ("act_now", 9, 10),
        ("act_now", 10, 30),
        ("act_now", 30, 90),
        ("act_now", 90, 240),
        ("act_now", 600, 1440),
        ("act_now", 1440, 2880),
        ("act_now", 2879, 2880),
        ("act_now", 2880, 4320),
        ("same_day", 0, 60),
        ("same_day", 60, 240),
        ("same_day", 1440, 2880),
    ],
)
def test_when_it_is_told_next(urgency: Any, minutes: int, due: int) -> None:
    assert schedule.next_time(urgency, NOW, NOW + minutes * MINUTE) == NOW + due * MINUTE


@given(urgency=URGENT, waited=WAITED)
def test_it_never_ends_in_silence_nor_waits_more_than_a_day(urgency: Any, waited: timedelta) -> None:
    now = NOW + waited
    assert now < schedule.next_time(urgency, NOW, now) <= now + schedule.THEN_EVERY


@pytest.mark.parametrize("urgency", ["act_now", "same_day"])
def test_the_waits_widen(urgency: Any) -> None:
    times, now = [NOW], NOW
    for _ in range(12):
        now = schedule.next_time(urgency, NOW, now)
        times.append(now)
    waits = [later - earlier for earlier, later in pairwise(times)]
    assert waits == sorted(waits)


@given(urgency=URGENT, waited=WAITED, more=WAITED)
def test_nobody_is_taken_out_of_the_circle_by_time(urgency: Any, waited: timedelta, more: timedelta) -> None:
    order = ("own", "cover", "clinic")
    earlier, later = schedule.circle_at(urgency, waited), schedule.circle_at(urgency, waited + more)
    assert order.index(earlier) <= order.index(later)


@given(urgency=URGENT, waits=st.lists(WAITED, min_size=1, max_size=6))
def test_a_new_concern_never_puts_off_what_is_due_nor_makes_the_oldest_younger(
    urgency: Any, waits: list[timedelta]
) -> None:
    now = NOW
    spell = schedule.joined(None, concern(), urgency, now)
    for number, wait in enumerate(waits):
        now += wait
        new = schedule.joined(spell, concern(id=8 + number), urgency, now)
        assert new.next_at <= spell.next_at
        assert new.next_at <= now + schedule.STEPS[urgency][1].after or new.next_at == spell.next_at
        assert (new.begun_at, new.first_concern) == (NOW, 7)
        spell = new


@given(waited=WAITED)
def test_while_nobody_can_be_reached_it_is_tried_again_within_minutes(waited: timedelta) -> None:
    now = NOW + waited
    spell = schedule.joined(None, concern(), "act_now", NOW)
    assert schedule.told(spell, "act_now", now, reached=False).next_at <= now + schedule.TRY_AGAIN


def test_the_gravest_decides_and_what_only_needs_telling_is_not_repeated() -> None:
    assert schedule.gravest([concern(urgency="same_day"), concern(urgency="act_now")]) == "act_now"
    assert schedule.gravest([concern(urgency="tell_therapist")]) is None
