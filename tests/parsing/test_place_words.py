"""Where a family is and until when, in their words."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.parsing.stay import city_of, read_stay, read_until, unlike, zones_named

WEDNESDAY = date(2026, 3, 4)

STAYS = {
    "we are in Madrid till Sunday": (("Europe/Madrid",), date(2026, 3, 8)),
    "We're in New York for a week": (("America/New_York",), date(2026, 3, 11)),
    "Estamos en Nueva York hasta el 12 de mayo": (("America/New_York",), date(2026, 5, 12)),
    "hi, we are away in Dublin until May 2nd": (("Europe/Dublin",), date(2026, 5, 2)),
    "estamos de vacaciones en Cancún por 3 días": (("America/Cancun",), date(2026, 3, 7)),
    "I'm in Japan until tomorrow": (("Asia/Tokyo",), date(2026, 3, 5)),
    "we are in Lima": (("America/Lima",), None),
    "we are in Rome till 3/4": (("Europe/Rome",), None),
}


@pytest.mark.parametrize("text", STAYS)
def test_a_stay_is_read_with_its_last_day(text: str) -> None:
    stay = read_stay(text, WEDNESDAY)

    assert stay is not None
    assert (stay.zones, stay.until) == STAYS[text]


@pytest.mark.parametrize(
    "text",
    ["we are in hospital till Friday", "we are in bed", "estamos en casa", "we are in love", "he is in pain",
     "is Madrid far?", "we will be in Madrid on Sunday", "we are in trouble", ""],
)  # fmt: skip
def test_words_that_name_no_time_zone_are_no_stay(text: str) -> None:
    assert read_stay(text, WEDNESDAY) is None


@pytest.mark.parametrize("text", ["we moved to Chile", "We've moved to Santiago.", "ahora vivimos en Chile"])
def test_a_move_is_for_good(text: str) -> None:
    stay = read_stay(text, WEDNESDAY)

    assert stay is not None and stay.for_good
    assert stay.zones[0] == "America/Santiago"


def test_a_slip_of_spelling_is_taken_for_the_nearest_city_to_be_asked_about() -> None:
    assert zones_named("madird") == ("Europe/Madrid",)
    assert zones_named("madird", near=False) == ()
    assert zones_named("xqzzk") == ()


def test_a_country_whose_zones_show_one_time_needs_no_choice() -> None:
    now = datetime(2026, 3, 4, tzinfo=UTC)

    assert len(zones_named("Argentina")) > 1
    assert len(unlike(zones_named("Argentina"), now)) == 1
    assert unlike(zones_named("España"), now) == ("Europe/Madrid", "Atlantic/Canary")


def test_cities_are_called_as_people_of_the_language_call_them() -> None:
    assert city_of("America/New_York", "es") == "Nueva York"
    assert city_of("America/New_York", "en") == "New York"


@given(text=st.text(max_size=60))
@settings(max_examples=150)
def test_any_text_at_all_can_be_read(text: str) -> None:
    read_stay(text, WEDNESDAY)
    zones_named(text)


@given(today=st.dates(date(2026, 1, 1), date(2030, 12, 31)), days=st.integers(1, 99))
@settings(max_examples=100)
def test_a_length_in_days_ends_that_many_days_on(today: date, days: int) -> None:
    assert read_until(f"for {days} days", today) == today + timedelta(days=days)
