"""Sleep, later, pause and resume, decided from a family's state."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.domain.ids import ChatId, OutboxId, ReminderId
from bot.domain.subject import Subject
from bot.features.effects import (
    AddPlanned,
    DropUnsent,
    EditCopy,
    HoldReminders,
    MarkReminder,
    PauseFamily,
    RequestReplan,
    ResumeFamily,
)
from bot.features.reminders import rules
from tests.features.states import GRANDPA_CHAT, HALIFAX, NOW, PLAN, copy, family, reminder, state


def at(hour: int, minute: int = 0, *, day: int = 2) -> datetime:
    return datetime(2026, 3, day, hour, minute, tzinfo=HALIFAX)


@pytest.mark.parametrize(
    ("now", "wakes"),
    [
        (at(10, 50), at(14)),  # in a waking span: the next one
        (at(13, 30), at(14)),
        (at(13, 50), at(14, 10)),  # not sooner than twenty minutes
        (at(20), at(7, day=3)),
        (at(3), at(7)),
    ],
)
def test_a_baby_who_sleeps_is_awake_again_by_the_next_waking_span(now: datetime, wakes: datetime) -> None:
    assert rules.wakes_at(PLAN, family(), now) == wakes


@given(st.integers(0, 60 * 24 * 365))
def test_sleep_always_ends_after_twenty_minutes_or_more_and_within_a_day(minutes: int) -> None:
    now = NOW + timedelta(minutes=minutes)
    wait = rules.wakes_at(PLAN, family(), now) - now

    assert rules.SHORTEST_SLEEP <= wait <= timedelta(hours=26)


def test_a_closed_reminder_loses_its_buttons_wherever_it_stands_but_under_the_press() -> None:
    sent = reminder()
    copies = (copy(1), copy(2, GRANDPA_CHAT), copy(3, GRANDPA_CHAT, sent=False))

    effects = rules.without_buttons(state(copies=copies, pressed=1), sent)

    assert effects == (
        DropUnsent(Subject.of("reminder", 7)),
        EditCopy(OutboxId(2), ChatId(GRANDPA_CHAT), None, None),
    )


def test_later_brings_the_reminder_back_at_a_moment_that_the_plan_allows() -> None:
    effects, back = rules.later(state(), reminder(), None, (), slack=timedelta())

    assert effects[0] == MarkReminder(ReminderId(7), "later")
    planned = effects[1]
    assert isinstance(planned, AddPlanned)
    assert planned.reminders[0]["pinned"] is True
    assert back.at is not None
    assert back.at >= NOW + rules.LATER
    assert effects[-1] == RequestReplan()


def test_later_in_the_evening_finds_no_moment_today() -> None:
    evening = state(now=at(19, 25))

    effects, back = rules.later(evening, reminder(), 60, (), slack=timedelta())

    assert back == rules.BackAt("tummy_time", None)
    assert not [each for each in effects if isinstance(each, AddPlanned)]


@pytest.mark.parametrize(("minutes", "wait"), [(None, 30), (5, 5), (60 * 24, 60 * 12)])
def test_later_without_a_reminder_holds_all_of_them_for_at_most_twelve_hours(
    minutes: float | None, wait: int
) -> None:
    effects, content = rules.later_without_reminder(state(), minutes)

    until = NOW + timedelta(minutes=wait)
    assert (effects, content) == ((HoldReminders(until, "later"),), rules.HeldUntil(until))


@pytest.mark.parametrize(
    ("minutes", "until", "days"),
    [
        (None, at(0, day=3), 1),
        (1440 * 3, at(0, day=5), 3),
        (90, NOW + timedelta(minutes=90), None),
    ],
)
def test_a_pause_lasts_as_long_as_said_else_until_tomorrow(
    minutes: float | None, until: datetime, days: int | None
) -> None:
    assert rules.pause(state(), minutes) == ((PauseFamily(until),), rules.Paused(until, days))


def test_a_pause_may_be_open() -> None:
    assert rules.pause_days(state(), 0) == ((PauseFamily(None),), rules.Paused(None, 0))


@pytest.mark.parametrize(
    ("of", "was_paused", "content"),
    [
        ({}, False, rules.Resumed()),
        ({"state": "paused"}, True, rules.Resumed()),
        ({"asleep_until": NOW + timedelta(hours=1)}, False, rules.Awake()),
        ({"state": "paused", "asleep_until": NOW + timedelta(hours=1)}, True, rules.Resumed()),
        ({"asleep_until": NOW - timedelta(hours=1)}, False, rules.Resumed()),
    ],
)
def test_resuming_ends_whatever_held_reminders_back(of: Any, was_paused: bool, content: object) -> None:
    assert rules.resume(state(family=family(**of))) == ((ResumeFamily(was_paused),), content)
