"""Every button of plan building fits the messenger's limits and means what it says."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from bot.domain.outgoing import Buttons
from bot.features.plan.buttons import (
    FIELDS,
    activity_buttons,
    choice_buttons,
    chosen,
    draft_buttons,
    rule_chosen,
    rules_buttons,
)
from bot.phrases import LANGUAGES, words_for
from scheduling.plan import Activity, Baby, MinutesADay, Plan, Ratio, ShareOfAwake
from scheduling.plan.edits import ActivityChange, DayChange, applied

TODAY = date(2026, 3, 3)  # a Tuesday
LONG_ID = "a" * 40  # the longest id that an activity file may have
LONG_NUMBER = 9_999_999
ACTIVITY = Activity(LONG_ID, MinutesADay(10), (5, 5), moments=("nappy", "bath"))
PLAN = Plan(Baby("Pip", date(2025, 11, 20), 39, "right"), "UTC", (), activities=(ACTIVITY,))

letters = pytest.mark.parametrize("letter", list(FIELDS))
languages = pytest.mark.parametrize("language", LANGUAGES)


def data_of(buttons: Buttons) -> list[str]:
    return [button.data for line in buttons for button in line]


@languages
def test_labels_and_data_fit_the_messenger(language: str) -> None:
    words = words_for(language)
    every = [
        *draft_buttons(LONG_NUMBER, words, changed=True),
        *activity_buttons(LONG_NUMBER, ACTIVITY, words, sided=True),
        *rules_buttons(LONG_NUMBER, PLAN, words),
        *(line for letter in FIELDS for line in choice_buttons(LONG_NUMBER, ACTIVITY, letter, PLAN, words)),
    ]

    assert [button.label for line in every for button in line if len(button.label) > 24] == []
    assert [data for data in data_of(tuple(every)) if len(data.encode()) > 64] == []


@languages
@letters
def test_no_label_is_cut_short(language: str, letter: str) -> None:
    words = words_for(language)
    labels = [b.label for line in choice_buttons(1, ACTIVITY, letter, PLAN, words) for b in line]

    assert len(set(labels)) == len(labels)
    assert [label for label in labels if len(label) == 24] == []


@letters
def test_every_offered_value_is_a_change_that_can_be_made(letter: str) -> None:
    offered = data_of(choice_buttons(1, ACTIVITY, letter, PLAN, words_for("en")))[:-1]
    changes = [chosen(ACTIVITY, letter, data.rpartition(":")[2], TODAY) for data in offered]

    assert offered
    for change in changes:
        assert change is not None
        assert applied(PLAN, [change], {})[1] == ()


@pytest.mark.parametrize(
    ("letter", "value", "change"),
    [
        ("t", "half", ActivityChange(activity=LONG_ID, target=ShareOfAwake(0.5))),
        ("n", "3-5", ActivityChange(activity=LONG_ID, session=(3, 5))),
        ("s", "1to2", ActivityChange(activity=LONG_ID, side=Ratio(1, 2))),
        ("a", "0", ActivityChange(activity=LONG_ID, after_feed=0)),
        ("m", "nappy", ActivityChange(activity=LONG_ID, moments=("bath",))),
        ("m", "play", ActivityChange(activity=LONG_ID, moments=("nappy", "bath", "play"))),
        ("m", "any", ActivityChange(activity=LONG_ID, any_time=True)),
        ("d", "mon", ActivityChange(activity=LONG_ID, from_=date(2026, 3, 9))),
        ("d", "for2", ActivityChange(activity=LONG_ID, until=date(2026, 3, 16))),
        ("t", "7", None),
        ("n", "99-1", None),
        ("z", "5", None),
    ],
)
def test_a_pressed_value_means_what_its_label_says_and_an_unknown_one_nothing(
    letter: str, value: str, change: ActivityChange | None
) -> None:
    assert chosen(ACTIVITY, letter, value, TODAY) == change


def test_the_last_care_moment_taken_out_leaves_any_time() -> None:
    one_left = replace(ACTIVITY, moments=("bath",))

    assert chosen(one_left, "m", "bath", TODAY) == ActivityChange(activity=LONG_ID, any_time=True)


def test_both_arms_are_offered_no_weak_side() -> None:
    both = replace(PLAN, baby=replace(PLAN.baby, affected_side="both"))
    offered = data_of(choice_buttons(1, ACTIVITY, "s", both, words_for("en")))[:-1]

    assert [data.rpartition(":")[2] for data in offered] == ["none", "turn"]


def test_an_activity_without_sides_is_asked_for_none() -> None:
    words = words_for("en")

    assert not any(data.endswith(":s") for data in data_of(activity_buttons(1, ACTIVITY, words, sided=False)))


def test_day_rules_are_only_those_offered() -> None:
    assert rule_chosen("most", "4") == DayChange(most_prompts=4)
    assert rule_chosen("gap", "45") == DayChange(shortest_gap=45)
    assert rule_chosen("most", "24") is None
    assert rule_chosen("gap", "x") is None
