"""A change of one sleep that the sightings may speak for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from scheduling.learned.edges import Seen
from scheduling.learned.suggestion import Change, Times

LEAST_AWAKE = 30
SHORTEST = 20
"""Minutes of the shortest awake span and the shortest nap that a change may leave; ours, no source."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """awake: the spans as they would be. now, then: the sleep before and after, (from, to); a night has one edge that counts.

    gain: the higher, the sooner it is asked; only those of one kind compare. speaks: by how many thousandths a sighting speaks for
    the change, below 0 against it, 0 where it tells nothing of it.
    """

    change: Change
    awake: Times
    now: tuple[int, int] | None
    then: tuple[int, int] | None
    gain: float
    speaks: Callable[[Seen], int]
