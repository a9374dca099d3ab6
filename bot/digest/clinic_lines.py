"""The clinic's own side as lines of text: scales, checks due, visits, age windows. For the therapist alone."""

from __future__ import annotations

from collections.abc import Sequence

from babel.numbers import format_decimal

from bot.digest.clinic import (
    ACTIVE_MOVEMENTS,
    TORONTO_MOVEMENTS,
    WHO_WINDOWS,
    active_movement_total,
    age_months,
    toronto_tenths,
    under_referral_mark,
    window_state,
)
from bot.digest.facts import GradeFact
from bot.digest.figures import FamilyDigest
from bot.digest.lines import Section
from bot.digest.movements import movement_name
from bot.digest.wording import Wording


def clinic_sections(digest: FamilyDigest, wording: Wording) -> list[Section]:
    """Return visits, checks due and the latest scales; nothing where there is none."""
    say = wording.words.plain
    sections = [
        Section(
            say("clinic.visits_head"),
            tuple(say("clinic.visit_line", at=wording.time(v.at), n=v.minutes) for v in digest.visits),
        ),
        Section(
            say("clinic.checks_head"),
            tuple(
                say("digest.check_line", check=say(f"digest.check_{check.id}"), day=wording.day(day))
                for check, day in digest.checks
            ),
        ),
        Section(say("clinic.scales_head"), scale_lines(digest.grades, wording)),
    ]
    return [section for section in sections if section.lines]


def scale_lines(grades: Sequence[GradeFact], wording: Wording) -> tuple[str, ...]:
    """Return the newest entry of each scale in words, grades beside those of the entry before."""
    lines: list[str] = []
    movement_scale = [each for each in grades if each.scale == "ams"]
    if movement_scale:
        lines.append(_movements(movement_scale[-1], _before(movement_scale), wording))
    with_score = [each for each in grades if all(m in each.grades for m in TORONTO_MOVEMENTS)]
    if with_score:
        lines.append(toronto_line(with_score[-1], wording))
    return (*lines, wording.words.plain("clinic.caution")) if lines else ()


def _before(entries: Sequence[GradeFact]) -> dict[str, int]:
    """Return each movement's grade as it was before the newest entry."""
    known: dict[str, int] = {}
    for entry in entries[:-1]:
        known |= entry.grades
    return known


def _movements(entry: GradeFact, before: dict[str, int], wording: Wording) -> str:
    say, day = wording.words.plain, wording.day(entry.on)
    named = [(m, entry.grades[m]) for m in ACTIVE_MOVEMENTS if m in entry.grades]
    if len(named) == len(ACTIVE_MOVEMENTS):
        line = say("clinic.ams_full", day=day, total=active_movement_total(entry.grades))
        named = [(m, grade) for m, grade in named if m in before and before[m] != grade]
        return "; ".join([line, *(_grade(m, grade, before, wording) for m, grade in named)])
    grades = ", ".join(_grade(m, grade, before, wording) for m, grade in named)
    return say("clinic.ams_part", day=day, grades=grades)


def _grade(movement: str, grade: int, before: dict[str, int], wording: Wording) -> str:
    say = wording.words.plain
    name = movement_name(movement, wording.words.language)
    if movement in before and before[movement] != grade:
        return say("clinic.ams_grade_before", movement=name, grade=grade, before=before[movement])
    return say("clinic.ams_grade", movement=name, grade=grade)


def toronto_line(entry: GradeFact, wording: Wording) -> str:
    """Return the score with its usual mark. Raises ScaleProblem where one of its movements is missing."""
    tenths = toronto_tenths(entry.grades)
    key = "clinic.toronto_under" if under_referral_mark(tenths) else "clinic.toronto"
    score = format_decimal(tenths / 10, "0.0", locale=wording.words.locale)
    return wording.words.plain(key, day=wording.day(entry.on), score=score)


def window_section(digest: FamilyDigest, wording: Wording) -> Section:
    """Return the WHO windows, each with where the baby's age at the end of the period stands to it."""
    say = wording.words.plain
    months = age_months(digest.born, digest.to)
    lines = []
    for window in WHO_WINDOWS:
        start, end = (
            format_decimal(value, "0.#", locale=wording.words.locale)
            for value in (window.from_months, window.to_months)
        )
        lines.append(
            say(
                f"clinic.window_{window_state(window, months)}",
                milestone=say(f"clinic.milestone_{window.milestone}"),
                from_=start,
                to=end,
            )
        )
    return Section(say("clinic.windows_head"), tuple(lines))
