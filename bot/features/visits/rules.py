"""What is decided about visits and grades. Pure."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from bot.digest.clinic import ACTIVE_MOVEMENTS, TORONTO_MOVEMENTS
from bot.parsing.visit import VisitAsked
from scheduling.localtime import instant_for

FARTHEST = timedelta(days=731)
WITH_GRAVITY_OUT = 4  # of the active movement scale: what is above it is graded against gravity


def visit_at(asked: VisitAsked | None, now: datetime, zone: ZoneInfo) -> datetime | None:
    """Return when a visit is, by the clinic's clock; None where it is not ahead, or beyond two years."""
    at = None if asked is None else instant_for(asked.day, asked.at, zone)
    return at if at is not None and now < at < now + FARTHEST else None


def wants_gravity_rule(grades: Mapping[str, int]) -> bool:
    """Say whether a grade above 4 was given: such a one holds only where the movement is whole with gravity out."""
    return any(value > WITH_GRAVITY_OUT for value in grades.values())


def tells_a_score(movements: Collection[str]) -> bool:
    """Say whether the graded movements make a score: all of the active ones, or all that the Toronto score takes."""
    return len(movements) == len(ACTIVE_MOVEMENTS) or all(each in movements for each in TORONTO_MOVEMENTS)
