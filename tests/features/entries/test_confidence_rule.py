"""When a carer is asked how sure they feel, and when to tell how they do it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from bot.domain.confidence import Asked, AskedKind
from bot.domain.ids import CarerId, FamilyId, QuestionId
from bot.features.entries.confidence_rules import ONE_IN, TRIES, next_question

NOW = datetime(2026, 3, 30, 12, 0, tzinfo=UTC)
HOLD = "football_hold"


def ago(days: float) -> datetime:
    return NOW - timedelta(days=days)


def ruler(days: float, value: int | None, activity: str = HOLD, kind: AskedKind = "ruler") -> Asked:
    return Asked(QuestionId(1), FamilyId("f1"), CarerId("c1"), activity, kind, ago(days), value)


def test_the_first_question_comes_with_the_third_try() -> None:
    assert next_question([], HOLD, [ago(2), NOW], None, NOW) is None
    assert next_question([], HOLD, [ago(2), ago(1), NOW], None, NOW) == "ruler"


def test_the_first_try_after_a_refresher_is_asked_about() -> None:
    assert next_question([], HOLD, [NOW], ago(1), NOW) == "ruler"
    assert next_question([], HOLD, [ago(3)], ago(1), NOW) is None
    assert next_question([ruler(9, 5)], HOLD, [ago(10), NOW], ago(1), NOW) == "ruler"


def test_no_carer_is_asked_twice_within_a_week_about_anything() -> None:
    assert next_question([ruler(6, 9, "tummy_time")], HOLD, [ago(3), ago(2), NOW], None, NOW) is None
    assert next_question([ruler(7, 9, "tummy_time")], HOLD, [ago(3), ago(2), NOW], None, NOW) == "ruler"


def test_who_felt_sure_is_asked_once_to_tell_how() -> None:
    tries = [ago(5), ago(3), NOW]
    sure, told = ruler(8, 8), ruler(8, None, kind="teachback")

    assert next_question([sure], HOLD, tries, None, NOW) == "teachback"
    assert next_question([ruler(8, 6)], HOLD, tries, None, NOW) is None
    assert next_question([ruler(16, 8), told], HOLD, tries, None, NOW) is None


def test_after_four_weeks_the_ruler_comes_again_even_if_it_was_never_answered() -> None:
    tries = [ago(5), ago(3), NOW]

    assert next_question([ruler(27, None)], HOLD, tries, None, NOW) is None
    assert next_question([ruler(28, None)], HOLD, tries, None, NOW) == "ruler"


@settings(max_examples=60, deadline=None)
@given(
    gaps=st.lists(st.floats(0.05, 4), min_size=1, max_size=80),
    shows=st.sets(st.integers(0, 79), max_size=20),
    values=st.lists(st.one_of(st.none(), st.integers(0, 10)), min_size=1, max_size=10),
)
def test_over_any_run_of_days_questions_stay_a_week_apart_and_need_a_reason(
    gaps: list[float], shows: set[int], values: list[int | None]
) -> None:
    asked: list[Asked] = []
    tries: list[datetime] = []
    now, shown_at = ago(0), None
    for number, gap in enumerate(gaps):
        now += timedelta(days=gap)
        if number in shows:
            shown_at = now - timedelta(hours=1)
        tries.append(now)
        kind = next_question(asked, HOLD, tries, shown_at, now)
        if kind is None:
            continue
        assert not asked or now - asked[-1].asked_at >= ONE_IN
        assert len(tries) >= TRIES or shown_at is not None
        value = values[len(asked) % len(values)] if kind == "ruler" else None
        asked.append(Asked(QuestionId(len(asked)), FamilyId("f1"), CarerId("c1"), HOLD, kind, now, value))
