"""Leave, groups of families, how a carer stands, numbers to call, what was taught."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from bot.domain.ids import FamilyId
from bot.features.caseload.rules import (
    LONGEST_NUMBER,
    NumberAsked,
    grouped,
    leave_of,
    number_asked,
    standing,
    taught_anew,
)
from tests.features.states import NOW, TODAY, carer, family


def day(offset: int) -> date:
    return TODAY + timedelta(days=offset)


@pytest.mark.parametrize(
    ("told", "leave"),
    [
        ([], None),
        ([5], (0, 5)),
        ([0], (0, 0)),
        ([-1], None),
        ([3, 9], (3, 9)),
        ([9, 3], None),
        ([-4, 2], (-4, 2)),
        ([-9, -2], None),
        ([0, 366], (0, 366)),
        ([0, 367], None),
        ([1, 2, 3], None),
    ],
)
def test_a_leave_is_told_by_its_two_days_or_by_the_last(
    told: list[int], leave: tuple[int, int] | None
) -> None:
    expected = None if leave is None else (day(leave[0]), day(leave[1]))

    assert leave_of([day(each) for each in told], TODAY) == expected


def test_a_family_that_waits_for_an_answer_stands_with_the_active_ones_whatever_its_state() -> None:
    families = [
        family(id="a"),
        family(id="b", state="paused"),
        family(id="c", state="discharged"),
        family(id="d", state="paused"),
    ]
    by_group = grouped(families, {FamilyId("d"), FamilyId("a")})

    assert {group: [each.id for each in found] for group, found in by_group.items()} == {
        "active": ["a", "d"],
        "paused": ["b"],
        "discharged": ["c"],
    }


@pytest.mark.parametrize(
    ("changes", "how"),
    [
        ({}, "reminders"),
        ({"gets_prompts": False}, "no_reminders"),
        ({"off_duty_until": NOW + timedelta(hours=1)}, "off_duty"),
        ({"off_duty_until": NOW - timedelta(hours=1)}, "reminders"),
        ({"blocked": True, "off_duty_until": NOW + timedelta(hours=1)}, "blocked"),
        ({"state": "joining", "blocked": True}, "joining"),
        ({"state": "left"}, "left"),
    ],
)
def test_a_carer_stands_as_the_gravest_of_what_holds(changes: dict[str, Any], how: str) -> None:
    assert standing(carer(**changes), NOW) == how


@pytest.mark.parametrize(
    ("text", "asked"),
    [
        ("emergency 112", NumberAsked("emergency_line", "112")),
        (" Nurse  +34 555 0100 ", NumberAsked("nurse_line", "+34 555 0100")),
        ("crisis line 024, day and night", NumberAsked("crisis_line", "line 024, day and night")),
        ("URGENCIAS 911", NumberAsked("emergency_line", "911")),
        ("enfermería clínica", NumberAsked("nurse_line", None)),
        ("emergency clinic", NumberAsked("emergency_line", None)),
        ("emergency", None),
        ("emergency none", None),
        ("police 112", None),
        ("", None),
        ("nurse " + "1" * LONGEST_NUMBER, NumberAsked("nurse_line", "1" * LONGEST_NUMBER)),
        ("nurse 1" + "1" * LONGEST_NUMBER, None),
    ],
)
def test_a_number_is_set_by_its_line_and_a_digit_or_given_back_to_the_clinic(
    text: str, asked: NumberAsked | None
) -> None:
    assert number_asked(text) == asked


def test_a_second_tap_takes_back_that_an_activity_was_taught() -> None:
    once = taught_anew({"bathing": day(-3)}, "gentle_rom", TODAY)

    assert once == {"bathing": day(-3), "gentle_rom": TODAY}
    assert taught_anew(once, "gentle_rom", day(1)) == {"bathing": day(-3)}
