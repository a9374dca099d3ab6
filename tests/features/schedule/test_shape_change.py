"""A plan takes on the day that was told, and the rest of it stays."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.features.schedule.rules import (
    NoSuchDay,
    draft_of,
    even_naps,
    naps_of,
    tapped,
    with_shape,
    words_of_draft,
)
from bot.parsing.schedule import ShapeWords
from scheduling.plan import Activity, Baby, MinutesADay, Plan, document_of, plan_from

PLAN = Plan(
    baby=Baby("Pip", date(2025, 11, 20), 39, "right"),
    time_zone="America/Halifax",
    awake=((420, 540), (630, 750), (840, 1140)),
    feeds=(430, 640, 850),
    moments=(("bath", (1080,)), ("bedtime", (1120,))),
    quiet=(1140, 420),
    activities=(Activity("tummy_time", MinutesADay(40), (5, 10)),),
)


def test_new_naps_make_new_waking_spans_and_nothing_else_moves() -> None:
    plan = with_shape(PLAN, ShapeWords(naps=((780, 900),)))

    assert plan.awake == ((420, 780), (900, 1140))
    assert replace(plan, awake=PLAN.awake) == PLAN


def test_the_night_and_the_bedtime_moment_move_along_with_bed() -> None:
    plan = with_shape(PLAN, ShapeWords(bed=1200))

    assert plan.awake[-1] == (840, 1200)
    assert plan.quiet == (1200, 420)
    assert dict(plan.moments)["bedtime"] == (1180,)


def test_feeds_of_the_night_come_beside_those_of_the_daytime() -> None:
    plan = with_shape(PLAN, ShapeWords(feeds=(180, 1380)))

    assert plan.feeds == (180, *PLAN.feeds, 1380)
    assert with_shape(plan, ShapeWords(feeds=(60,))).feeds == (60, *PLAN.feeds)
    assert with_shape(plan, ShapeWords(feeds=(60, 600))).feeds == (60, 600)
    assert with_shape(plan, ShapeWords(feeds=())).feeds == ()


def test_a_quiet_time_of_the_familys_own_does_not_move_with_bed() -> None:
    plan = with_shape(replace(PLAN, quiet=(1260, 480)), ShapeWords(bed=1200))

    assert plan.quiet == (1260, 480)


def test_no_bath_takes_the_moment_out() -> None:
    assert "bath" not in dict(with_shape(PLAN, ShapeWords(bath=())).moments)


def test_feeds_every_three_hours_run_through_the_day() -> None:
    assert with_shape(PLAN, ShapeWords(feeds_every=180)).feeds == (430, 610, 790, 970)


@pytest.mark.parametrize(
    ("words", "reason"),
    [
        (ShapeWords(wake=1200), "bed_before_wake"),
        (ShapeWords(naps=((1100, 1200),)), "nap_outside"),
        (ShapeWords(naps=((420, 1140),)), "no_waking"),
    ],
)
def test_parts_that_do_not_fit_are_told_apart(words: ShapeWords, reason: str) -> None:
    with pytest.raises(NoSuchDay) as caught:
        with_shape(PLAN, words)

    assert caught.value.reason == reason


def test_a_day_that_is_not_known_needs_getting_up_and_bed() -> None:
    with pytest.raises(NoSuchDay, match="incomplete"):
        with_shape(replace(PLAN, awake=()), ShapeWords(wake=420))


minutes = st.integers(0, 1439)
words = st.builds(
    ShapeWords,
    wake=st.none() | minutes,
    bed=st.none() | minutes,
    naps=st.none()
    | st.lists(st.tuples(minutes, st.integers(20, 200)), max_size=4).map(
        lambda naps: tuple((start, min(1440, start + length)) for start, length in naps)
    ),
    feeds=st.none() | st.lists(minutes, max_size=8).map(lambda feeds: tuple(sorted(set(feeds)))),
    bath=st.none() | minutes.map(lambda at: (at,)),
)


@given(words=words)
@settings(max_examples=150)
def test_every_day_that_is_taken_makes_a_plan_document_that_can_be_read(words: ShapeWords) -> None:
    try:
        plan = with_shape(PLAN, words)
    except NoSuchDay:
        return

    assert plan_from(document_of(plan)) == plan


@given(words=words)
@settings(max_examples=100)
def test_answers_come_back_from_the_draft_as_they_were(words: ShapeWords) -> None:
    assert words_of_draft(draft_of(words)) == words


@pytest.mark.parametrize(
    ("part", "value", "read"),
    [
        ("wake", 420, ShapeWords(wake=420)),
        ("bath", "none", ShapeWords(bath=())),
        ("feeds", 180, ShapeWords(feeds_every=180)),
        ("quiet", "night", ShapeWords(quiet=(1170, 420))),
        ("naps", 1, ShapeWords(naps=((750, 840),))),
        ("feeds", 5, None),
        ("wake", 9999, None),
        ("wake", "none", None),
        ("nonsense", 7, None),
    ],
)
def test_a_button_stands_for_an_answer_and_a_forged_one_for_none(
    part: str, value: Any, read: ShapeWords | None
) -> None:
    assert tapped(part, value, 420, 1170) == read


@given(wake=st.integers(300, 540), awake_hours=st.integers(8, 16), number=st.integers(1, 6))
@settings(max_examples=100)
def test_naps_spread_evenly_lie_within_the_day_and_leave_half_of_it_awake(
    wake: int, awake_hours: int, number: int
) -> None:
    bed = min(1440, wake + awake_hours * 60)
    naps = even_naps(wake, bed, number)
    plan = with_shape(PLAN, ShapeWords(wake=wake, bed=bed, naps=naps))

    assert len(naps) == number
    assert sum(end - start for start, end in naps) <= (bed - wake) / 2
    assert all(wake < start and end < bed for start, end in naps_of(plan))
