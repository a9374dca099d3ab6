"""A plan, and what changed in it, in plain words."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from bot.activities.library import load_library
from bot.features.plan.family_view import activity_line, change_line, plan_summary
from bot.phrases import LANGUAGES, words_for
from scheduling.plan import Activity, Baby, MinutesADay, Plan, Ratio, ShareOfAwake
from scheduling.plan.difference import changes_between
from tests.reading_grade import grade

HOLD = Activity("football_hold", MinutesADay(15), (5, 5), side="alternate")
TUMMY = Activity("tummy_time", ShareOfAwake(0.5), (3, 10), after_feed=30)
PLAN = Plan(
    baby=Baby("Pip", date(2025, 11, 20), 39, "right"),
    time_zone="America/Halifax",
    awake=((420, 540), (1320, 1440)),
    feeds=(430,),
    quiet=(1200, 420),
    activities=(TUMMY, HOLD),
)
LIBRARY = load_library()


def told(after: Plan, language: str = "en") -> list[str]:
    words = words_for(language)
    return [
        change_line(change, after, words, lambda activity: LIBRARY.name(activity, language))
        for change in changes_between(PLAN, after)
    ]


def with_hold(**fields: Any) -> Plan:
    return replace(PLAN, activities=(TUMMY, replace(HOLD, **fields)))


@pytest.mark.parametrize(
    ("after", "line"),
    [
        (with_hold(target=MinutesADay(20)), "Football hold: 20 min a day"),
        (with_hold(target=ShareOfAwake(0.25)), "Football hold: 25 % of the time awake"),
        (with_hold(session=(3, 8)), "Football hold: 3 to 8 min at a time"),
        (with_hold(side="affected"), "Football hold: always the right side"),
        (with_hold(side="unaffected"), "Football hold: always the left side"),
        (with_hold(side=Ratio(2, 1)), "Football hold: 2 on the right for every 1 on the left"),
        (with_hold(side=Ratio(0, 1)), "Football hold: always the left side"),
        (with_hold(side="none"), "Football hold: any side"),
        (with_hold(moments=("bath", "play")), "Football hold: at bath time, play time"),
        (with_hold(after_feed=20), "Football hold: at least 20 min after a feed"),
        (with_hold(own_gap=60), "Football hold: at least 60 min between two"),
        (with_hold(from_=date(2026, 3, 9)), "Football hold: from 9 Mar 2026 on"),
        (with_hold(until=date(2026, 3, 9)), "Football hold: until 9 Mar 2026"),
        (replace(PLAN, activities=(TUMMY,)), "Taken out: Football hold"),
        (replace(PLAN, quiet=None), "No quiet hours"),
        (replace(PLAN, quiet=(1260, 390)), "No reminders: 9:00 PM–6:30 AM"),
        (replace(PLAN, most_prompts=1), "Up to 1 reminder a day"),
        (replace(PLAN, time_zone="America/Argentina/Buenos_Aires"), "Time as in Buenos Aires"),
        (replace(PLAN, awake=((0, 1440),)), "Awake: 12:00 AM–12:00 AM"),
        (replace(PLAN, awake=()), "Awake: not set yet"),
    ],
)
def test_each_change_is_one_plain_line(after: Plan, line: str) -> None:
    assert told(after) == [line]


def test_spanish_says_the_same() -> None:
    assert told(with_hold(side=Ratio(2, 1)), "es") == [
        f"{LIBRARY.name('football_hold', 'es')}: 2 del lado derecho por cada 1 del izquierdo"
    ]


def test_a_whole_activity_is_one_line_without_what_says_nothing() -> None:
    line = activity_line(TUMMY, PLAN, words_for("en"), lambda activity: LIBRARY.name(activity, "en"))

    assert line == "Tummy time, 50 % of the time awake, 3 to 10 min at a time, at least 30 min after a feed"


def test_an_empty_plan_says_that_it_is() -> None:
    assert plan_summary(replace(PLAN, activities=()), words_for("en"), str) == "nothing in it yet"


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_full_message_of_changes_reads_at_grade_six_or_lower(language: str) -> None:
    after = replace(
        with_hold(target=MinutesADay(20), side=Ratio(2, 1), moments=("bath",)),
        quiet=(1260, 390),
        most_prompts=4,
    )

    assert grade(". ".join(told(after, language)) + ".", language) <= 6
