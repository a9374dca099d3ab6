"""A change of the told day that a carer may be asked about: its values, and what earlier answers rule out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from scheduling.plan import MomentName

Field = Literal["awake", "feeds"] | tuple[Literal["moments"], MomentName]

Change = Literal["nap_moved", "nap_new", "nap_gone", "night_begins", "night_ends", "feed_moved", "feed_new"]

Times = tuple[tuple[int, ...], ...]
"""Spans as pairs, single times as ones; minutes of the wall clock."""

MOST_A_WEEK = 2
NEAR = 15
"""Minutes below which two times are the same to a carer, and a change is not worth asking."""

AGAIN_AFTER = 10
"""Days before what was refused may be asked again. This, two a week and three dates are ours, no source."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """days: dates that speak for a change. of: dates that speak for or against it."""

    days: int
    of: int

    @property
    def enough(self) -> bool:
        return self.days >= 3 and self.days >= 0.6 * self.of


@dataclass(frozen=True, slots=True)
class Suggestion:
    """field: "awake" or "feeds". seen: asleep, awake or feed. about: the middle of when, minutes of the clock.

    now, then: the time or span in question before and after the change; None where there is none.
    """

    field: str
    change: Change
    from_value: Times
    to_value: Times
    evidence: Evidence
    seen: Literal["asleep", "awake", "feed"]
    about: int
    now: tuple[int, ...] | None
    then: tuple[int, ...] | None


@dataclass(frozen=True, slots=True)
class Asked:
    """A suggestion of an earlier date, as it was answered."""

    day: date
    field: str
    from_value: Times
    to_value: Times


def may_ask(day: date, asked: Sequence[Asked]) -> bool:
    """Say whether another suggestion may be put on a date: at most two in any seven days."""
    return sum(0 <= (day - each.day).days < 7 for each in asked) < MOST_A_WEEK


def ruled_out(
    field: str, to_value: Times, day: date, refused: Iterable[Asked], confirmed: Iterable[Asked]
) -> bool:
    """Say whether a value was refused lately, or would undo what was confirmed lately."""
    return any(
        each.field == field and 0 <= (day - each.day).days < AGAIN_AFTER and alike(each.to_value, to_value)
        for each in refused
    ) or any(
        each.field == field and 0 <= (day - each.day).days < 14 and alike(each.from_value, to_value)
        for each in confirmed
    )


def alike(one: Times, other: Times) -> bool:
    """Say whether each time of one is less than a quarter of an hour from that of the other."""
    mine = [minute for times in one for minute in times]
    others = [minute for times in other for minute in times]
    return len(mine) == len(others) and all(abs(a - b) < NEAR for a, b in zip(mine, others, strict=True))
