"""When a visit is, in a therapist's short line."""

from datetime import date, time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.parsing.visit import VisitAsked, visit_asked

DAY = date(2026, 3, 12)


@pytest.mark.parametrize(
    ("text", "asked"),
    [
        ("2026-03-12 10:00 45min", VisitAsked(DAY, time(10), 45, "")),
        ("2026-03-12 9:30", VisitAsked(DAY, time(9, 30), 45, "")),
        ("2026-03-12 10:00 60 min", VisitAsked(DAY, time(10), 60, "")),
        ("2026-03-12 at 2:15 pm for 30 minutes", VisitAsked(DAY, time(14, 15), 30, "")),
        ("2026-03-12 a las 14:15 30 minutos, traer la férula", VisitAsked(DAY, time(14, 15), 30, "traer la férula")),
        ("2026-03-12 10:00 45min look at the splint", VisitAsked(DAY, time(10), 45, "look at the splint")),
        ("2026-03-12 10:00 look at the splint", VisitAsked(DAY, time(10), 45, "look at the splint")),
        ("2026-03-12 12:00 am 20m", VisitAsked(DAY, time(0), 20, "")),
    ],
)  # fmt: skip
def test_a_line_sets_date_time_length_and_note(text: str, asked: VisitAsked) -> None:
    assert visit_asked(text) == asked


@pytest.mark.parametrize(
    "text", ["", "tomorrow 10:00", "2026-02-30 10:00", "2026-03-12", "2026-03-12 25:00", "2026-03-12 10:00 0min", "2026-03-12 10:00 900min", "2026-03-12 13:00 pm"]
)  # fmt: skip
def test_a_line_that_leaves_the_moment_open_is_none(text: str) -> None:
    assert visit_asked(text) is None


@given(st.text())
def test_any_text_at_all_is_a_visit_or_none(text: str) -> None:
    asked = visit_asked(text)
    assert asked is None or 1 <= asked.minutes <= 480
