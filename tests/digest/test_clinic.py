from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.digest.clinic import (
    ACTIVE_MOVEMENTS,
    DUE_CHECKS,
    TORONTO_MOVEMENTS,
    WHO_WINDOWS,
    ScaleProblem,
    active_movement_total,
    age_weeks,
    checks_between,
    corrected_weeks,
    due_on,
    movement_grade,
    toronto_tenths,
    window_state,
)


def test_from_37_weeks_on_no_age_is_corrected() -> None:
    born, day = date(2026, 1, 1), date(2026, 3, 1)

    assert corrected_weeks(born, 37, day) == age_weeks(born, day) == 8
    assert corrected_weeks(born, 36, day) == 4


def test_before_the_due_date_the_corrected_age_is_negative() -> None:
    assert corrected_weeks(date(2026, 1, 1), 30, date(2026, 1, 29)) == -6


@pytest.mark.parametrize(("weeks", "corrected"), [(103, 93), (104, 104)])
def test_the_correction_ends_at_two_years(weeks: int, corrected: int) -> None:
    born = date(2024, 1, 1)

    assert corrected_weeks(born, 30, born + timedelta(weeks=weeks)) == corrected


def test_a_window_holds_both_its_ends() -> None:
    sitting = WHO_WINDOWS[0]

    assert [window_state(sitting, months) for months in (3.7, 3.8, 9.2, 9.3)] == [
        "before",
        "within",
        "within",
        "past",
    ]


def test_a_baby_born_on_the_31st_is_due_on_the_last_day_of_a_short_month() -> None:
    assert due_on(DUE_CHECKS[0], date(2026, 1, 31)) == date(2026, 2, 28)
    assert due_on(DUE_CHECKS[0], date(2025, 12, 31)) == date(2026, 1, 31)
    assert due_on(DUE_CHECKS[1], date(2025, 11, 30)) == date(2026, 2, 28)


def test_checks_due_in_a_period_include_both_its_ends() -> None:
    born = date(2026, 1, 10)
    due = checks_between(born, date(2026, 2, 10), date(2026, 4, 10))

    assert [(check.id, day) for check, day in due] == [
        ("specialist_referral", date(2026, 2, 10)),
        ("elbow_flexion", date(2026, 4, 10)),
    ]


def test_against_gravity_counts_only_once_full_range_is_reached_without_it() -> None:
    assert movement_grade(without_gravity=4, against_gravity=6) == 6
    assert movement_grade(without_gravity=3) == 3
    with pytest.raises(ScaleProblem, match="3 was entered, 4 is needed"):
        movement_grade(without_gravity=3, against_gravity=5)


@pytest.mark.parametrize(("without", "against"), [(5, None), (-1, None), (4, 4), (4, 8)])
def test_a_grade_that_the_scale_does_not_know_is_refused(without: int, against: int | None) -> None:
    with pytest.raises(ScaleProblem, match="use"):
        movement_grade(without_gravity=without, against_gravity=against)


def test_all_movements_at_7_give_105() -> None:
    assert active_movement_total(dict.fromkeys(ACTIVE_MOVEMENTS, 7)) == 105


def test_a_missing_movement_is_named() -> None:
    with pytest.raises(ScaleProblem, match="thumb_extension"):
        active_movement_total(dict.fromkeys(ACTIVE_MOVEMENTS[:-1], 7))
    with pytest.raises(ScaleProblem, match="elbow_flexion"):
        toronto_tenths(dict.fromkeys(TORONTO_MOVEMENTS[1:], 7))


@pytest.mark.parametrize("grade", [8, -1, 2.5, True, "3"])
def test_only_whole_grades_from_0_to_7_are_scored(grade: bool | float | str) -> None:
    with pytest.raises(ScaleProblem, match="whole number from 0 to 7"):
        toronto_tenths(dict.fromkeys(TORONTO_MOVEMENTS, 7) | {"elbow_flexion": grade})  # type: ignore[arg-type]


@given(grades=st.lists(st.integers(0, 6), min_size=5, max_size=5), which=st.integers(0, 4))
def test_a_higher_grade_never_lowers_the_toronto_score(grades: list[int], which: int) -> None:
    better = [grade + (place == which) for place, grade in enumerate(grades)]

    assert toronto_tenths(dict(zip(TORONTO_MOVEMENTS, better, strict=True))) >= toronto_tenths(
        dict(zip(TORONTO_MOVEMENTS, grades, strict=True))
    )
