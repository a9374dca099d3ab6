"""How far a day has come: what was done of each target and each goal."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from scheduling.day import shape_of
from scheduling.demands import demands_of
from scheduling.history import History, LogEntry
from scheduling.plan import Plan


@dataclass(frozen=True, slots=True)
class Progress:
    """One target or goal on one date. name: the activity's or the goal's id. done, target: minutes, or sessions where times.

    parts: what each activity gave, the most first; those that gave nothing are left out.
    """

    name: str
    goal: bool
    times: bool
    target: float
    done: float
    parts: tuple[tuple[str, float], ...]


def progress_of(plan: Plan, day: date, log: Iterable[LogEntry]) -> tuple[Progress, ...]:
    """Return the targets of activities in the order of the plan, then the goals; held activities ask and give nothing."""
    history = History.of(plan, log)
    found = []
    for demand in demands_of(plan, shape_of(plan, day), history):
        done = history.times if demand.times else history.minutes
        amounts = [(name, float(done[name].get(day, 0))) for name in demand.members]
        parts = sorted((part for part in amounts if part[1]), key=lambda part: -part[1])
        found.append(
            Progress(demand.name, demand.goal, demand.times, demand.target, demand.logged, tuple(parts))
        )
    return tuple(found)
