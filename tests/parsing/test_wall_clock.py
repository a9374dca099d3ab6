"""Times by the clock of 24 hours, as a therapist types them."""

from __future__ import annotations

from datetime import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.parsing.clock import read_hours, wall_clock


@given(st.integers(0, 1439))
def test_every_minute_of_a_day_is_read_as_it_is_written(minute: int) -> None:
    assert wall_clock(f"{minute // 60}:{minute % 60:02d}") == minute


@pytest.mark.parametrize(("text", "minute"), [("7", 420), ("7 pm", 1140), ("12am", 0), ("24:00", 1440)])
def test_other_ways_of_writing_a_time(text: str, minute: int) -> None:
    assert wall_clock(text) == minute


@pytest.mark.parametrize("text", ["", "25", "7:60", "0 pm", "13 pm", "24:01", "7½", "7 8"])
def test_what_is_no_time_is_not_read(text: str) -> None:
    assert wall_clock(text) is None


@pytest.mark.parametrize(
    ("text", "span"),
    [
        ("21:00-07:00", (time(21), time(7))),
        ("21-7", (time(21), time(7))),
        (" 9:30 to 17:15 ", (time(9, 30), time(17, 15))),
        ("22.30 – 6", (time(22, 30), time(6))),
        ("21h00 a 7h00", (time(21), time(7))),
        ("21:00 hasta 07:00", (time(21), time(7))),
        ("9 pm to 7 am", (time(21), time(7))),
    ],
)
def test_two_times_are_read_however_they_are_joined(text: str, span: tuple[time, time]) -> None:
    assert read_hours(text) == span


@pytest.mark.parametrize(
    "text", ["", "night", "21:00", "25-7", "21:70-7", "7-7", "21:00-07:00-09:00", "from 9 on"]
)
def test_what_is_no_span_is_not_read(text: str) -> None:
    assert read_hours(text) is None
