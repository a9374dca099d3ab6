"""The first time that a family tells of something new the baby does: noticed in a line of its own. Pure."""

from __future__ import annotations

from collections.abc import Collection

from bot.features.effects import Effects, Reply
from bot.features.entries.contents import FirstTime
from bot.replies.reading import ObservationKind, Reading

# What comes once and is waited for; a head turned or a liked session is told every day.
MILESTONES: frozenset[ObservationKind] = frozenset({"roll", "head_lift", "hand_to_mouth", "grasp"})


def milestones_in(reading: Reading) -> tuple[ObservationKind, ...]:
    """Return the milestones that a message tells of; none beside what may be a concern."""
    if reading.concern is not None or reading.unclear is not None:
        return ()
    return tuple(dict.fromkeys(each.kind for each in reading.observations if each.kind in MILESTONES))


def noticed(told: Collection[ObservationKind], before: Collection[str]) -> Effects:
    """Return the line for what is told for the first time. before: the kinds that the family has told already."""
    first = tuple(kind for kind in told if kind not in before)
    return (Reply(content=FirstTime(first)),) if first else ()
