"""Dates as people write them."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.parsing.dates import dates_in

TODAY = date(2026, 3, 4)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("2026-03-12", [date(2026, 3, 12)]),
        ("12 March", [date(2026, 3, 12)]),
        ("Mar 12, 2027", [date(2027, 3, 12)]),
        ("12th of march 2026", [date(2026, 3, 12)]),
        ("12 de marzo de 2026", [date(2026, 3, 12)]),
        ("12 MARZO", [date(2026, 3, 12)]),
        ("12 sept.", [date(2026, 9, 12)]),
        ("12 mar to 20 mar", [date(2026, 3, 12), date(2026, 3, 20)]),
        ("del 28 de dic al 3 de ene", [date(2026, 12, 28), date(2027, 1, 3)]),
        ("4 March", [date(2026, 3, 4)]),
        ("3 March", [date(2027, 3, 3)]),
        ("29 feb", [date(2028, 2, 29)]),
    ],
)
def test_dates_to_come_are_read_in_both_languages(text: str, found: list[date]) -> None:
    assert dates_in(text, TODAY, ahead=True) == found


@pytest.mark.parametrize(
    ("text", "found"),
    [("12 March", date(2025, 3, 12)), ("3 enero", date(2026, 1, 3)), ("4 march", date(2026, 3, 4)), ("29 feb", date(2024, 2, 29))],
)  # fmt: skip
def test_a_birthday_without_a_year_is_the_last_one_gone_by(text: str, found: date) -> None:
    assert dates_in(text, TODAY, ahead=False) == [found]


@pytest.mark.parametrize(
    "text",
    ["", "12/3", "12/3/2026", "31 April", "2026-13-01", "2026-02-30", "soon", "38 weeks", "may", "0 march"],
)
def test_what_is_no_date_or_may_mean_two_is_not_read(text: str) -> None:
    assert dates_in(text, TODAY, ahead=True) == []


@given(st.text(max_size=200), st.booleans())
def test_any_text_at_all_is_read_without_fault_and_keeps_to_its_side_of_today(text: str, ahead: bool) -> None:
    for found in dates_in(text, TODAY, ahead=ahead):
        assert isinstance(found, date)


@given(st.dates(date(2026, 3, 4), date(2027, 3, 3)))
def test_every_day_of_the_year_to_come_is_found_without_its_year(day: date) -> None:
    assert dates_in(f"{day.day} {day:%B}", TODAY, ahead=True) == [day]
