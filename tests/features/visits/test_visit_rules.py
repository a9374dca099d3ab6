"""When a visit may be, and what is said beside grades."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from bot.digest.clinic import ACTIVE_MOVEMENTS, TORONTO_MOVEMENTS
from bot.features.visits.rules import FARTHEST, tells_a_score, visit_at, wants_gravity_rule
from bot.parsing.visit import VisitAsked

HALIFAX = ZoneInfo("America/Halifax")
NOW = datetime(2026, 3, 2, 14, 0, tzinfo=UTC)  # ten in the morning in Halifax


def asked(day: date, at: time) -> VisitAsked:
    return VisitAsked(day, at, 45, "")


@pytest.mark.parametrize(
    ("visit", "at"),
    [
        (None, None),
        (asked(date(2026, 3, 2), time(10, 1)), datetime(2026, 3, 2, 14, 1, tzinfo=UTC)),
        (asked(date(2026, 3, 2), time(10, 0)), None),
        (asked(date(2026, 3, 1), time(23, 0)), None),
        (
            asked(date(2026, 3, 9), time(10, 0)),
            datetime(2026, 3, 9, 13, 0, tzinfo=UTC),
        ),  # clocks went forward
        (asked(date(2028, 3, 1), time(10, 0)), datetime(2028, 3, 1, 14, 0, tzinfo=UTC)),
        (asked(date(2030, 3, 1), time(10, 0)), None),
    ],
)
def test_a_visit_is_ahead_by_the_clinics_clock_and_within_two_years(
    visit: VisitAsked | None, at: datetime | None
) -> None:
    found = visit_at(visit, NOW, HALIFAX)

    assert found == at
    assert found is None or NOW < found < NOW + FARTHEST <= NOW + timedelta(days=731)


@pytest.mark.parametrize(("grade", "wants"), [(0, False), (4, False), (5, True), (7, True)])
def test_a_grade_above_four_brings_the_rule_about_gravity(grade: int, wants: bool) -> None:
    assert wants_gravity_rule({"elbow_flexion": 2, "wrist_extension": grade}) == wants


def test_a_score_is_told_when_all_that_it_takes_was_graded() -> None:
    assert tells_a_score(ACTIVE_MOVEMENTS)
    assert tells_a_score(TORONTO_MOVEMENTS)
    for missing in TORONTO_MOVEMENTS:
        assert not tells_a_score([each for each in TORONTO_MOVEMENTS if each != missing])
    assert not tells_a_score([])
