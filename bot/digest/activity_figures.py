"""The figures of one activity, and of several together, in a period. What is not known is None, never 0."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Literal

from bot.digest.facts import SessionFact

DayState = Literal["word", "silent", "paused", "no_plan", "to_come"]
"""word: someone wrote, so what they did not tell counts as not done. silent: nobody wrote, nothing is known."""


@dataclass(frozen=True, slots=True)
class DayMinutes:
    """One activity on one date. The minutes are None unless someone wrote that day; target, target_times: in minutes or in sessions; None
    without one."""

    date: date
    state: DayState
    left: float | None
    right: float | None
    unsided: float | None
    target: float | None
    target_times: float | None = None

    @property
    def minutes(self) -> float | None:
        if self.left is None or self.right is None or self.unsided is None:
            return None
        return self.left + self.right + self.unsided


@dataclass(frozen=True, slots=True)
class Pace:
    """Minutes over the days on which someone wrote: the fair way to compare two periods."""

    minutes: float
    days: int

    @property
    def a_day(self) -> float:
        return self.minutes / self.days


@dataclass(frozen=True, slots=True)
class ActivityFigures:
    """One activity in the period.

    target_minutes: over all days of the period on which the plan asked for it; None if it never did.
    known_target: the same over the days with word only, so what `minutes` can fairly be held against.
    minutes, left, right, unsided, sessions, days_with_any: over the days with word; None if there was none.
    without_minutes: sessions among them of which nobody said how long.
    pace, previous_pace: None where no day is known.
    left_share: the part of its sessions that the plan wants on the left, None without a side.
    target_times, known_times: as target_minutes and known_target, where the plan counts its sessions and not its minutes.
    """

    activity: str
    target_minutes: float | None
    known_target: float | None
    minutes: float | None
    left: float | None
    right: float | None
    unsided: float | None
    sessions: int | None
    days_with_any: int | None
    without_minutes: int
    pace: Pace | None
    previous_pace: Pace | None
    left_share: float | None
    days: tuple[DayMinutes, ...]
    entries: tuple[SessionFact, ...]
    target_times: float | None = None
    known_times: float | None = None

    @property
    def wants_sides(self) -> bool:
        return self.left_share is not None or any(entry.side for entry in self.entries)

    @property
    def counts_times(self) -> bool:
        """Whether the plan of the period asked for sessions alone, as of a movement woven into a care moment."""
        return self.target_times is not None and self.target_minutes is None

    @property
    def by_side(self) -> tuple[float | None, float | None, float | None]:
        """What was done on the left, on the right and without a side: minutes, or sessions where they are counted."""
        if not self.counts_times:
            return self.left, self.right, self.unsided
        if self.sessions is None:
            return None, None, None
        left, right, unsided = _sessions_by_side(self.entries)
        return left, right, unsided

    @property
    def bars(self) -> tuple[DayMinutes, ...]:
        """The days as they are drawn: of minutes, or of sessions where they are counted."""
        if not self.counts_times:
            return self.days
        return tuple(self._counted(day) for day in self.days)

    def _counted(self, day: DayMinutes) -> DayMinutes:
        if day.state != "word":
            return replace(day, target=day.target_times)
        left, right, unsided = _sessions_by_side([each for each in self.entries if each.date == day.date])
        return replace(day, left=left, right=right, unsided=unsided, target=day.target_times)


def _sessions_by_side(entries: Sequence[SessionFact]) -> tuple[float, float, float]:
    sides = [entry.side for entry in entries]
    return float(sides.count("left")), float(sides.count("right")), float(sides.count(None))


@dataclass(frozen=True, slots=True)
class GoalFigures:
    """What several activities reached together, over the days with word; minutes, or sessions where times.

    parts: what each activity gave, the most first, those that gave nothing left out. done: None where no day is known.
    """

    goal: str
    times: bool
    target: float
    done: float | None
    parts: tuple[tuple[str, float], ...]


def activity_json(figures: ActivityFigures) -> dict[str, Any]:
    told = {
        "activity": figures.activity,
        "target_minutes": number(figures.target_minutes),
        "minutes": number(figures.minutes),
        "left": number(figures.left),
        "right": number(figures.right),
        "unsided": number(figures.unsided),
        "sessions": figures.sessions,
        "days_with_any": figures.days_with_any,
    }
    return told | {"target_times": number(figures.target_times)} if figures.counts_times else told


def goal_json(figures: GoalFigures) -> dict[str, Any]:
    return {
        "goal": figures.goal,
        "counts": "times" if figures.times else "minutes",
        "target": number(figures.target),
        "done": number(figures.done),
        "parts": {activity: number(done) for activity, done in figures.parts},
    }


def number(value: float | None) -> float | int | None:
    """Return minutes as people write them: whole where they are whole, else to the hundredth."""
    if value is None:
        return None
    rounded = round(value, 2)
    return int(rounded) if rounded == int(rounded) else rounded
