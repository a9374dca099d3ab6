"""When a family's unseen urgent concerns are told again, and to whom. Pure: a table, and how it is read.

Decided: there is one schedule a family, whatever the number of its concerns. Its times widen and never end: only a therapist's
own act ends them. Each new concern begins the times again, so that it is told again as soon as the first was; who is told
follows the oldest one, so that a new concern never takes a colleague out of the circle. The times are common practice, no
source; a clinic should sign them off.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from bot.concerns.finding import URGENCIES, Urgency
from bot.domain.concerns import Circle, ConcernRow, UnseenSpell


@dataclass(frozen=True, slots=True)
class Step:
    """after: since the first alert. circle: who is told from then on; with "clinic" the carers hear that nobody has read it."""

    after: timedelta
    circle: Circle


STEPS: dict[Urgency, tuple[Step, ...]] = {
    "act_now": (
        Step(timedelta(), "own"),
        Step(timedelta(minutes=10), "cover"),
        Step(timedelta(minutes=30), "clinic"),
        Step(timedelta(minutes=90), "clinic"),
        Step(timedelta(hours=4), "clinic"),
        Step(timedelta(hours=10), "clinic"),
        Step(timedelta(hours=24), "clinic"),
    ),
    "same_day": (
        Step(timedelta(), "own"),
        Step(timedelta(hours=1), "cover"),
        Step(timedelta(hours=4), "clinic"),
        Step(timedelta(hours=10), "clinic"),
        Step(timedelta(hours=24), "clinic"),
    ),
}
"""What only needs telling has no row: the digest shows it."""
THEN_EVERY = timedelta(hours=24)
"""After the last row, for as long as nobody has seen it."""
TRY_AGAIN = timedelta(minutes=5)
"""While no therapist of the clinic can be reached."""


def gravest(concerns: Sequence[ConcernRow]) -> Urgency | None:
    """Return the most urgent grade of concerns that are repeated, None where there is none."""
    grades = [each.urgency for each in concerns if each.urgency in STEPS]
    return min(grades, key=URGENCIES.index) if grades else None


def circle_at(urgency: Urgency, waited: timedelta) -> Circle:
    """Return who is told once a family has waited so long for somebody to see its oldest concern."""
    reached: Circle = "own"
    for step in STEPS[urgency]:
        if step.after <= waited:
            reached = step.circle
    return reached


def next_time(urgency: Urgency, begun: datetime, now: datetime) -> datetime:
    """Return the first time of the schedule that begins at `begun` and is still to come."""
    for step in STEPS[urgency]:
        if begun + step.after > now:
            return begun + step.after
    last = begun + STEPS[urgency][-1].after
    return last + ((now - last) // THEN_EVERY + 1) * THEN_EVERY


def joined(spell: UnseenSpell | None, found: ConcernRow, urgency: Urgency, now: datetime) -> UnseenSpell:
    """Return a family's spell once a new concern is told. urgency: the gravest of what is unseen, this one included."""
    if spell is None:
        return UnseenSpell(found.family_id, found.id, now, now, next_time(urgency, now, now))
    return replace(spell, restarted_at=now, next_at=min(spell.next_at, next_time(urgency, now, now)))


def told(spell: UnseenSpell, urgency: Urgency, now: datetime, *, reached: bool) -> UnseenSpell:
    """Return a family's spell once its concerns were told again. reached: whether there was anybody to tell."""
    due = next_time(urgency, spell.restarted_at, now)
    return replace(spell, next_at=due if reached else min(due, now + TRY_AGAIN))
