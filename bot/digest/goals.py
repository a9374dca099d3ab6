"""Goals that several activities reach together: how much of them was reached in a period. Pure."""

from __future__ import annotations

from datetime import date

from bot.digest.activity_figures import GoalFigures
from bot.digest.due import GoalDue
from bot.digest.facts import FamilyFacts


def goals_of(facts: FamilyFacts, known: frozenset[date]) -> tuple[GoalFigures, ...]:
    """Return the goals of the period, over the days with word (`known`) on which the plan had them."""
    rows: dict[tuple[str, bool], dict[date, tuple[GoalDue, float]]] = {}
    for day in facts.days:
        for due in day.goals:
            rows.setdefault((due.goal, due.minutes is None), {})[day.date] = (due, day.part)
    return tuple(_figures(goal, times, asked, facts, known) for (goal, times), asked in rows.items())


def _figures(
    goal: str,
    times: bool,
    asked: dict[date, tuple[GoalDue, float]],
    facts: FamilyFacts,
    known: frozenset[date],
) -> GoalFigures:
    told = {day: row for day, row in asked.items() if day in known}
    parts: dict[str, float] = {}
    for session in facts.sessions:
        row = told.get(session.date)
        if row is not None and session.activity in row[0].activities:
            more = 1.0 if times else session.minutes or 0.0
            parts[session.activity] = parts.get(session.activity, 0.0) + more
    return GoalFigures(
        goal=goal,
        times=times,
        target=sum((due.times or 0 if times else due.minutes or 0.0) * part for due, part in told.values()),
        done=sum(parts.values(), 0.0) if told else None,
        parts=tuple(
            sorted(((each, done) for each, done in parts.items() if done), key=lambda part: -part[1])
        ),
    )
