"""Amounts of time against libraries that know nothing of replies.

Sources: python-dateutil (clock arithmetic: dateutil.parser, relativedelta), pydantic (ISO 8601 durations, section
4.4.3 of ISO 8601:2004) and text2num (number words of English and Spanish).
"""

from __future__ import annotations

from datetime import timedelta

import pytest
from dateutil import parser
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter
from text_to_num import text2num

from tests.replies.said import read

ISO_DURATION = TypeAdapter(timedelta)


def minutes_read(text: str) -> float | None:
    entries = read(text).entries
    assert len(entries) == 1, (text, entries)
    return entries[0].minutes


@given(st.integers(1, 3), st.integers(1, 59))
def test_hours_and_minutes_are_worth_what_their_iso_8601_duration_is(hours: int, minutes: int) -> None:
    worth = ISO_DURATION.validate_python(f"PT{hours}H{minutes}M").total_seconds() / 60

    for text in (f"{hours}h{minutes}", f"{hours} hours {minutes} min", f"{hours} horas y {minutes} minutos"):
        assert minutes_read(text) == worth


@given(st.integers(1, 40), st.integers(1, 59))
def test_minutes_and_seconds_are_worth_what_their_iso_8601_duration_is(minutes: int, seconds: int) -> None:
    worth = ISO_DURATION.validate_python(f"PT{minutes}M{seconds}S").total_seconds() / 60

    assert minutes_read(f"{minutes} min {seconds} sec") == pytest.approx(worth, abs=0.005)


@given(st.integers(0, 11), st.integers(0, 59), st.integers(1, 120))
def test_a_session_between_two_times_lasts_as_long_as_dateutil_says(
    hour: int, minute: int, length: int
) -> None:
    begin = parser.parse(f"2026-03-04 {hour:02d}:{minute:02d}")
    end = begin + relativedelta(minutes=length)

    for form in (
        "from {:%H:%M} to {:%H:%M}",
        "started {:%H:%M}, finished {:%H:%M}",
        "de {:%H:%M} a {:%H:%M}",
    ):
        assert minutes_read(form.format(begin, end)) == length


ENGLISH = [
    "two", "three", "seven", "eleven", "twelve", "fifteen", "eighteen", "twenty", "twenty one", "twenty-five",
    "thirty two", "forty", "forty-five", "fifty nine", "sixty", "ninety", "one hundred and twenty",
]  # fmt: skip
SPANISH = [
    "dos", "tres", "siete", "once", "doce", "quince", "dieciocho", "veinte", "veintiuno", "veinticinco",
    "treinta y dos", "cuarenta", "cuarenta y cinco", "cincuenta y nueve", "sesenta", "noventa", "ciento veinte",
]  # fmt: skip


@pytest.mark.parametrize("words", ENGLISH)
def test_english_number_words_are_worth_what_the_library_says(words: str) -> None:
    assert minutes_read(f"{words} minutes") == text2num(words.replace("-", " "), "en")


@pytest.mark.parametrize("words", SPANISH)
def test_spanish_number_words_are_worth_what_the_library_says(words: str) -> None:
    reading = read(f"{words} minutos", language="es")

    assert [e.minutes for e in reading.entries] == [text2num(words, "es")]
