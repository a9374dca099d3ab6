"""Where a family will be, in any order of words; the day is Monday 2 March 2026."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.parsing.journeys import Journey, days_said, read_journey, says_only_days

TODAY = date(2026, 3, 2)
LISBON, MADRID, LONDON = ("Europe/Lisbon",), ("Europe/Madrid",), ("Europe/London",)


def march(day: int) -> date:
    return date(2026, 3, day)


TOLD = {
    "we're off to lisbon from thursday until tuesday": Journey(LISBON, march(5), march(10)),
    "in Madrid this weekend": Journey(MADRID, march(7), march(8)),
    "Madrid till Sunday": Journey(MADRID, None, march(8)),
    "travelling to London friday, home on monday": Journey(LONDON, march(6), march(9)),
    "we fly to New York on the 12th, back on the 20th": Journey(("America/New_York",), march(12), march(20)),
    "from friday we're away": Journey((), march(6), None),
    "at my mother's in Leeds next week": Journey((), march(9), march(15), "leeds"),
    "we are in Leeds until friday": Journey((), None, march(6), "leeds"),
    "me voy a Madrid hasta el domingo": Journey(MADRID, None, march(8)),
    "desde el viernes estamos en Lisboa": Journey(LISBON, march(6), None),
    "la semana que viene en casa de mi madre en Leeds": Journey((), march(9), march(15), "leeds"),
}


@pytest.mark.parametrize("text", TOLD)
def test_a_journey_is_read(text: str) -> None:
    assert read_journey(text, TODAY) == TOLD[text]


@pytest.mark.parametrize(
    "text",
    [
        "madrid",
        "tummy 10 till sunday",
        "we're going to the doctor friday",
        "in hospital till sunday",
        "going to bed till 7",
        "back at work from thursday, rosa has her 9-3",
        "she is in pain since friday",
        "we will do it tomorrow",
        "no time friday",
        "she goes to nursery from monday",
        "are we in Madrid till sunday?",
        "",
    ],
)
def test_what_says_something_else_is_none(text: str) -> None:
    assert read_journey(text, TODAY) is None


def test_days_that_answer_a_question() -> None:
    assert days_said("from friday", TODAY) == (march(6), None)
    assert days_said("till sunday", TODAY) == (None, march(8))
    assert days_said("sunday", TODAY) == (None, march(8))
    assert days_said("from friday to tuesday", TODAY) == (march(6), march(10))


@given(st.text(max_size=80))
def test_any_text_can_be_read(text: str) -> None:
    read_journey(text, TODAY)
    days_said(text, TODAY)


@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("off to Lisbon tomorrow for a week", 7),
        ("we're flying to Lisbon on thursday for 4 days", 4),
        ("nos vamos el viernes a Lisboa dos semanas", 14),
    ],
)
def test_a_stay_told_by_its_length_ends_so_many_days_after_it_begins(text: str, days: int) -> None:
    found = read_journey(text, date(2026, 3, 2))

    assert found is not None and found.since is not None and found.until is not None
    assert found.zones == ("Europe/Lisbon",)
    assert (found.until - found.since).days == days


@pytest.mark.parametrize(
    ("text", "only"),
    [
        ("desde el viernes", True),
        ("from Friday", True),
        ("until Sunday", True),
        ("blue since Friday", False),
        ("the fever is from Friday", False),
        ("now", False),
        ("", False),
    ],
)
def test_a_message_of_days_alone_is_told_from_one_that_says_more(text: str, only: bool) -> None:
    assert says_only_days(text) is only
