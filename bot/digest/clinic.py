"""Clinic-side ages, windows and scales.

Entered and read by the therapist alone; nothing here is ever computed from carers' words, and nothing here is
a verdict. Ages are whole weeks unless a name says otherwise.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

TERM_WEEKS = 40
PRETERM_BELOW_WEEKS = 37
CORRECTED_UNTIL_WEEKS = 104
"""Two years. Common practice, no source beyond the trade notes."""

DAYS_IN_A_MONTH = 30.4375
"""365.25 / 12, as the WHO child growth standards count months."""


def age_weeks(born: date, day: date) -> int:
    """Return the chronological age in completed weeks; negative before birth."""
    return (day - born).days // 7


def age_months(born: date, day: date) -> float:
    """Return the chronological age in months of 30.4375 days."""
    return (day - born).days / DAYS_IN_A_MONTH


def corrected_weeks(born: date, gestation_weeks: int, day: date) -> int:
    """Return the age corrected for birth before 37 weeks, until two years; else the chronological age.

    Corrected age = chronological age - (40 weeks - completed weeks of gestation): born at 30 weeks and 20 weeks
    old gives 10. Below 0 before the due date. Fever rules go by chronological age, never by this.
    """
    age = age_weeks(born, day)
    if gestation_weeks >= PRETERM_BELOW_WEEKS or age >= CORRECTED_UNTIL_WEEKS:
        return age
    return age - (TERM_WEEKS - gestation_weeks)


@dataclass(frozen=True, slots=True)
class Window:
    """When a motor milestone is reached: 1st to 99th percentile, in months."""

    milestone: str
    from_months: float
    to_months: float


WHO_WINDOWS = (
    Window("sitting_unsupported", 3.8, 9.2),
    Window("standing_with_help", 4.8, 11.4),
    Window("hands_and_knees_crawling", 5.2, 13.5),
    Window("walking_with_help", 5.9, 13.7),
    Window("standing_alone", 6.9, 16.9),
    Window("walking_alone", 8.2, 17.6),
)
"""WHO Multicentre Growth Reference Study Group 2006, Acta Paediatrica Suppl 450: 86-95. A cue, no verdict."""

WindowState = Literal["before", "within", "past"]


def window_state(window: Window, months: float) -> WindowState:
    """Return where an age in months stands to a window; both ends belong to it."""
    if months < window.from_months:
        return "before"
    return "within" if months <= window.to_months else "past"


@dataclass(frozen=True, slots=True)
class Check:
    """A check that the clinic wants to be reminded of, by the age in months at which it is due."""

    id: str
    months: int


DUE_CHECKS = (
    # Coroneos et al. 2017, BMJ Open 7: referral to a specialist centre by 1 month unless recovered.
    Check("specialist_referral", 1),
    # The other three: common practice, no source.
    Check("elbow_flexion", 3),
    Check("six_months", 6),
    Check("hand_to_mouth", 9),
)


def due_on(check: Check, born: date) -> date:
    """Return the date on which the baby is so many calendar months old.

    Where the month has no such day (born on the 31st), the last day of that month.
    """
    month = born.month - 1 + check.months
    year, month = born.year + month // 12, month % 12 + 1
    next_first = date(year + month // 12, month % 12 + 1, 1)
    last = (next_first - timedelta(days=1)).day
    return date(year, month, min(born.day, last))


def checks_between(born: date, first: date, last: date) -> tuple[tuple[Check, date], ...]:
    """Return the checks that fall due from `first` to `last`, both included, the earliest first."""
    return tuple((c, due) for c in DUE_CHECKS if first <= (due := due_on(c, born)) <= last)


ACTIVE_MOVEMENTS = (
    "shoulder_abduction", "shoulder_adduction", "shoulder_flexion",
    "shoulder_external_rotation", "shoulder_internal_rotation",
    "elbow_flexion", "elbow_extension", "forearm_supination", "forearm_pronation",
    "wrist_flexion", "wrist_extension", "finger_flexion", "finger_extension",
    "thumb_flexion", "thumb_extension",
)  # fmt: skip
"""The 15 movements of the Active Movement Scale (Curtis et al. 2002, J Hand Surg Am). The list is from memory."""

HIGHEST_GRADE = 7
FULL_WITHOUT_GRAVITY = 4


class ScaleProblem(ValueError):
    """A grade that the scale does not allow; the message says which, and what it allows."""


def movement_grade(*, without_gravity: int, against_gravity: int | None = None) -> int:
    """Return the Active Movement Scale grade of one movement, 0 to 7.

    without_gravity: 0 no contraction, 1 contraction, 2 up to half the range, 3 more than half, 4 full, with gravity
    eliminated. against_gravity: 5 up to half, 6 more than half, 7 full; None where it does not move against it.
    Source: Curtis et al. 2002. The gravity rule (5 to 7 only once 4 is reached) is from memory.

    Raises:
        ScaleProblem: a grade out of range, or one against gravity before 4 is reached without it.
    """
    if not 0 <= without_gravity <= FULL_WITHOUT_GRAVITY:
        raise ScaleProblem(f"grade {without_gravity} with gravity eliminated: use 0 to 4")
    if against_gravity is None:
        return without_gravity
    if not FULL_WITHOUT_GRAVITY < against_gravity <= HIGHEST_GRADE:
        raise ScaleProblem(f"grade {against_gravity} against gravity: use 5 to 7")
    if without_gravity < FULL_WITHOUT_GRAVITY:
        raise ScaleProblem(
            f"grade {against_gravity} against gravity needs full range without it first: "
            f"{without_gravity} was entered, 4 is needed"
        )
    return against_gravity


def active_movement_total(grades: Mapping[str, int]) -> int:
    """Return the sum over all 15 movements, 0 to 105.

    Raises:
        ScaleProblem: a movement is missing or unknown, or a grade is not a whole number from 0 to 7.
    """
    missing = [m for m in ACTIVE_MOVEMENTS if m not in grades]
    unknown = [m for m in grades if m not in ACTIVE_MOVEMENTS]
    if missing or unknown:
        raise ScaleProblem(
            f"grades are needed for all 15 movements and no others: missing {missing}, unknown {unknown}"
        )
    return sum(_checked(movement, grade) for movement, grade in grades.items())


TORONTO_TENTHS = (0, 3, 3, 6, 6, 6, 13, 20)
"""Score in tenths for grades 0 to 7 (0, 0.3, 0.3, 0.6, 0.6, 0.6, 1.3, 2.0). From memory."""

TORONTO_MOVEMENTS = (
    "elbow_flexion",
    "elbow_extension",
    "wrist_extension",
    "finger_extension",
    "thumb_extension",
)
TORONTO_REFERRAL_TENTHS = 35
"""Under 3.5 of 10 at three months is the usual referral mark (Michelow et al. 1994, Plast Reconstr Surg 93)."""


def toronto_tenths(grades: Mapping[str, int]) -> int:
    """Return the Toronto test score in integer tenths, 0 to 100, from Active Movement Scale grades.

    Tenths, since 0.6 + 0.3 + … in floating point would miss the mark of 3.5.

    Raises:
        ScaleProblem: one of the five movements is missing, or a grade is not a whole number from 0 to 7.
    """
    missing = [m for m in TORONTO_MOVEMENTS if m not in grades]
    if missing:
        raise ScaleProblem(f"the Toronto score needs five movements; missing {missing}")
    return sum(TORONTO_TENTHS[_checked(movement, grades[movement])] for movement in TORONTO_MOVEMENTS)


def under_referral_mark(tenths: int) -> bool:
    """Return whether a Toronto score lies under the usual mark; 3.5 itself does not."""
    return tenths < TORONTO_REFERRAL_TENTHS


def _checked(movement: str, grade: int) -> int:
    if isinstance(grade, bool) or not isinstance(grade, int) or not 0 <= grade <= HIGHEST_GRADE:
        raise ScaleProblem(f"grade {grade!r} of {movement}: use a whole number from 0 to 7")
    return grade
