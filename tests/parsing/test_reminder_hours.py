"""When reminders may come, in carers' words."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.parsing.reminder_hours import EVERY_DAY, WEEKEND, HoursWish, read_hours_wish, wants_fewer_at_weekends
from scheduling.plan import MIDNIGHT

WISHES = {
    "no messages before 8": HoursWish(((480, MIDNIGHT),)),
    "not before 9 on weekends": HoursWish(((540, MIDNIGHT),), WEEKEND),
    "only mornings please": HoursWish(((0, 720),)),
    "please only write in the afternoon": HoursWish(((720, 1080),)),
    "not on Sundays": HoursWish((), frozenset({6})),
    "no reminders on Saturdays and Sundays": HoursWish((), WEEKEND),
    "weekdays only please": HoursWish((), WEEKEND),
    "no reminders after 7pm": HoursWish(((0, 1140),)),
    "only between 9 and 5": HoursWish(((540, 1020),)),
    "nothing from 1 to 3": HoursWish(((0, 780), (900, MIDNIGHT))),
    "don't message me in the evenings": HoursWish(((0, 1080),)),
    "no reminders at night": HoursWish(((360, 1260),)),
    "sin avisos antes de las 8": HoursWish(((480, MIDNIGHT),)),
    "solo por las mañanas": HoursWish(((0, 720),)),
    "los domingos no": HoursWish((), frozenset({6})),
    "nada antes de las 9 los fines de semana": HoursWish(((540, MIDNIGHT),), WEEKEND),
    "can we have reminders after 3pm only": HoursWish(((900, MIDNIGHT),)),
    "evenings are better for us": HoursWish(((1080, MIDNIGHT),)),
    "prefiero por la tarde": HoursWish(((720, 1080),)),
    "no nos escriban antes de las nueve": HoursWish(((540, MIDNIGHT),)),
    "reminders only at 9 and 5": HoursWish(((540, 600), (1020, 1080))),
    "only message me at 9am, 1 and 5pm": HoursWish(((540, 600), (780, 840), (1020, 1080))),
    "just at ten please": HoursWish(((600, 660),)),
    "avisos solo a las 9 y a las 5": HoursWish(((540, 600), (1020, 1080))),
    "solo a las 10": HoursWish(((600, 660),)),
    "messages only 9 to 5": HoursWish(((540, 1020),)),
    "weekends after ten only please": HoursWish(((600, MIDNIGHT),), WEEKEND),
    "solo después de las 10": HoursWish(((600, MIDNIGHT),)),
    "only before 12": HoursWish(((0, 720),)),
    "leave sundays alone": HoursWish((), frozenset({6})),
    "any time is fine again": "any",
    "a cualquier hora está bien": "any",
}


@pytest.mark.parametrize("text", WISHES)
def test_a_wish_about_hours_is_understood(text: str) -> None:
    assert read_hours_wish(text) == WISHES[text]


@pytest.mark.parametrize(
    "text",
    [
        "no tummy time on Sunday",
        "not before his feed",
        "not now",
        "not today",
        "no",
        "no more",
        "just 5",
        "only 10 min",
        "only 8",
        "just about 5",
        "only 4 and 5",
        "just 5 to 10",
        "only 5-10",
        "solo como 5",
        "did it only at bath time",
        "not before 9?",
        "she did not sleep before 9",
        "no poo since Sunday",
        "nothing stays down after 7",
        "solo 10",
        "",
    ],
)
def test_anything_else_is_no_wish_about_hours(text: str) -> None:
    assert read_hours_wish(text) is None


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("less on weekends", True),
        ("fewer reminders at the weekend please", True),
        ("menos avisos los fines de semana", True),
        ("we did less on the weekend", False),
        ("less tummy time on weekends", False),
        ("fewer reminders", False),
    ],
)
def test_fewer_at_weekends_is_asked_how_much_fewer(text: str, wanted: bool) -> None:
    assert wants_fewer_at_weekends(text) is wanted


@given(st.text(max_size=60))
def test_any_text_can_be_read_and_what_is_read_lies_in_a_day(text: str) -> None:
    wish = read_hours_wish(text)
    if isinstance(wish, HoursWish):
        assert all(0 <= start < end <= MIDNIGHT for start, end in wish.spans)
        assert wish.days <= EVERY_DAY
