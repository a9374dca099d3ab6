"""Worked examples from outside for the clinic-side ages and scales.

Sources: corrected age, its worked example and the Toronto examples as the trade notes of this project quote them;
Michelow et al. 1994, Plast Reconstr Surg 93 (Toronto score, maximum 10, referral under 3.5); Curtis et al. 2002,
J Hand Surg Am (Active Movement Scale). The table from grade to score is from memory and marked so in the code.
Months against dates: python-dateutil's relativedelta.
"""

from datetime import date, timedelta

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from bot.digest.clinic import (
    DUE_CHECKS,
    TORONTO_MOVEMENTS,
    WHO_WINDOWS,
    Check,
    corrected_weeks,
    due_on,
    toronto_tenths,
    under_referral_mark,
)


def test_born_at_30_weeks_and_20_weeks_old_is_10_weeks_corrected() -> None:
    born = date(2026, 1, 1)

    assert corrected_weeks(born, 30, born + timedelta(weeks=20)) == 10


def test_25_weeks_and_5_days_count_as_25_completed_weeks() -> None:
    born = date(2026, 1, 1)

    assert corrected_weeks(born, 25, born + timedelta(weeks=20)) == 5


@pytest.mark.parametrize(
    ("grades", "tenths", "under"),
    [
        ((4, 7, 3, 2, 0), 35, False),
        ((2, 6, 3, 2, 0), 25, True),
        ((6, 7, 7, 7, 7), 93, False),
        ((7, 7, 7, 7, 7), 100, False),
        ((0, 0, 0, 0, 0), 0, True),
    ],
)
def test_the_toronto_score_gives_the_published_examples(
    grades: tuple[int, ...], tenths: int, under: bool
) -> None:
    score = toronto_tenths(dict(zip(TORONTO_MOVEMENTS, grades, strict=True)))

    assert score == tenths
    assert under_referral_mark(score) is under


def test_the_who_windows_are_the_published_percentiles() -> None:
    # WHO Multicentre Growth Reference Study Group 2006, Acta Paediatr Suppl 450: 86-95, 1st and 99th percentile.
    assert [(window.from_months, window.to_months) for window in WHO_WINDOWS] == [
        (3.8, 9.2), (4.8, 11.4), (5.2, 13.5), (5.9, 13.7), (6.9, 16.9), (8.2, 17.6),
    ]  # fmt: skip


@given(born=st.dates(date(2019, 1, 1), date(2032, 12, 31)), check=st.sampled_from(DUE_CHECKS))
def test_due_dates_agree_with_dateutil_on_every_date(born: date, check: Check) -> None:
    assert due_on(check, born) == born + relativedelta(months=check.months)
