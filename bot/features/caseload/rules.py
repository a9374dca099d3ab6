"""What is decided about the caseload: spans of leave, groups of families, how a carer stands, numbers to call. Pure."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Literal

from bot.domain.ids import FamilyId
from bot.domain.people import Carer, Family

Group = Literal["active", "paused", "discharged"]
GROUPS: tuple[Group, ...] = ("active", "paused", "discharged")
LONGEST_LEAVE = timedelta(days=366)

Line = Literal["emergency_line", "nurse_line", "crisis_line"]
LINES: Mapping[str, Line] = {
    "emergency": "emergency_line",
    "emergencias": "emergency_line",
    "urgencias": "emergency_line",
    "nurse": "nurse_line",
    "enfermeria": "nurse_line",
    "enfermería": "nurse_line",
    "crisis": "crisis_line",
}
CLINICS = ("clinic", "clinica", "clínica")
"""Written in place of a number: this family calls the clinic's again."""
LONGEST_NUMBER = 200  # characters


def leave_of(dates: Sequence[date], today: date) -> tuple[date, date] | None:
    """Return the first and last day of a leave told by two dates, or by the last day alone; None where it cannot be."""
    first, last = (today, dates[0]) if len(dates) == 1 else dates if len(dates) == 2 else (None, None)
    if first is None or last is None or first > last or last < today or last - first > LONGEST_LEAVE:
        return None
    return first, last


def grouped(families: Sequence[Family], waiting: Collection[FamilyId]) -> dict[Group, list[Family]]:
    """Return families by state. waiting: those with an open concern, which stand with the active ones whatever their state."""
    return {
        group: [each for each in families if ("active" if each.id in waiting else each.state) == group]
        for group in GROUPS
    }


def standing(carer: Carer, now: datetime) -> str:
    """Return how a carer stands: with or without reminders, resting, out of reach, or not active at all."""
    if carer.state != "active":
        return carer.state
    if carer.blocked:
        return "blocked"
    if carer.off_duty_until is not None and carer.off_duty_until > now:
        return "off_duty"
    return "reminders" if carer.gets_prompts else "no_reminders"


@dataclass(frozen=True, slots=True)
class NumberAsked:
    """Which of a family's numbers is set to what. number None: the clinic's own again."""

    line: Line
    number: str | None


def number_asked(text: str) -> NumberAsked | None:
    """Return what "emergency 112" or "nurse clinic" asks for; None where no number or no such line is named."""
    kind, _, said = text.strip().partition(" ")
    line, number = LINES.get(kind.casefold()), said.strip()
    if line is None or len(number) > LONGEST_NUMBER:
        return None
    if number.casefold() in CLINICS:
        return NumberAsked(line, None)
    return NumberAsked(line, number) if re.search(r"\d", number) else None


def taught_anew(taught: Mapping[str, date], activity: str, today: date) -> dict[str, date]:
    """Return what a carer was taught and when, with an activity marked as of today, or taken back where it was marked."""
    left = {name: on for name, on in taught.items() if name != activity}
    return left if activity in taught else {**left, activity: today}
