"""Reading a therapist's short line of grades: "ams elbow flexion 4, shoulder abduction 3, on 2026-03-05". Pure."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Literal

from bot.digest.clinic import TORONTO_MOVEMENTS, ScaleProblem, movement_grade
from bot.digest.movements import movement_from
from bot.parsing.dates import ISO, iso_date
from bot.parsing.word_lists import either

Scale = Literal["ams", "toronto"]
ProblemKind = Literal[
    "no_scale",
    "no_grades",
    "not_read",
    "out_of_range",
    "gravity",
    "twice",
    "toronto_missing",
    "date",
    "future",
]

_TORONTO = "toronto"
_GRADE = re.compile(r"(?P<name>[^\d]+?)[\s:=]*(?P<grade>\d+)(?:\s*/\s*(?P<against>\d+))?")


@cache
def _scale() -> re.Pattern[str]:
    return re.compile(rf"\s*({either('scale.ams')}|{_TORONTO}\b)[\s:,]*", re.IGNORECASE)


@cache
def _date() -> re.Pattern[str]:
    return re.compile(rf"(?:{either('scale.on')}\s+)?\b({ISO})\b", re.IGNORECASE)


class EntryProblem(ValueError):
    """Why a line cannot be taken. what: the part of the line, or the movement, that is at fault."""

    def __init__(self, kind: ProblemKind, what: str = "") -> None:
        super().__init__(f"{kind}: {what}")
        self.kind, self.what = kind, what


@dataclass(frozen=True, slots=True)
class ScaleEntry:
    """Grades 0 to 7 by movement, as seen on a date."""

    scale: Scale
    grades: dict[str, int]
    on: date


def names_scale(text: str) -> bool:
    """Return whether a text begins with a scale's name, as every line of grades does."""
    return _scale().match(text) is not None


def read_scale_entry(text: str, *, today: date) -> ScaleEntry:
    """Return what the line enters, nothing guessed.

    A grade is 0 to 7; "3/5" names the grade with gravity eliminated (0 to 4) and the one against it (5 to 7), which
    stands only once the first is 4. A grade of 5 to 7 alone says that 4 was reached. Parts stand apart by commas,
    semicolons or lines; "on 2026-03-05" (or "el …") dates the entry, else it is today's.

    Raises:
        EntryProblem: the first part that cannot be taken.
    """
    begins = _scale().match(text)
    if begins is None:
        raise EntryProblem("no_scale")
    scale: Scale = "toronto" if begins[1].casefold() == _TORONTO else "ams"
    rest, on = _dated(text[begins.end() :], today)
    grades: dict[str, int] = {}
    for part in (piece.strip(" .") for piece in re.split(r"[,;\n]", rest)):
        if not part:
            continue
        movement, grade = _graded(part)
        if movement in grades:
            raise EntryProblem("twice", part)
        grades[movement] = grade
    if not grades:
        raise EntryProblem("no_grades")
    missing = [movement for movement in TORONTO_MOVEMENTS if movement not in grades]
    if scale == "toronto" and missing:
        raise EntryProblem("toronto_missing", missing[0])
    return ScaleEntry(scale, grades, on)


def _dated(text: str, today: date) -> tuple[str, date]:
    found = _date().search(text)
    if found is None:
        return text, today
    on = iso_date(found[1])
    if on is None:
        raise EntryProblem("date", found[1])
    if on > today:
        raise EntryProblem("future", found[1])
    return text[: found.start()] + text[found.end() :], on


def _graded(part: str) -> tuple[str, int]:
    read = _GRADE.fullmatch(part)
    movement = movement_from(read["name"]) if read else None
    if read is None or movement is None:
        raise EntryProblem("not_read", part)
    grade, against = int(read["grade"]), read["against"]
    try:
        if against is not None:
            return movement, movement_grade(without_gravity=grade, against_gravity=int(against))
        if grade > 4:
            return movement, movement_grade(without_gravity=4, against_gravity=grade)
        return movement, movement_grade(without_gravity=grade)
    except ScaleProblem:
        ranges = against is not None and (grade > 4 or not 5 <= int(against) <= 7)
        raise EntryProblem("out_of_range" if ranges or against is None else "gravity", part) from None
