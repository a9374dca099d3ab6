"""Where one edge of a sleep now lies, from the sightings about it: a posterior over places on five minutes.

Each sighting speaks of the edge that it is nearest. Asleep or awake at a minute is likely by the normal curve of how far an
edge strays from day to day, wider for every day that has passed since, as naps drift; no sighting is trusted wholly. What a
carer tells unasked ("just woke up") speaks of the edge itself, which mostly lies some minutes before. The chances are those of
a Bayesian filter (Gelman et al., Bayesian Data Analysis, 3rd ed., chapter 2; from memory); the numbers below were chosen on
simulated families, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import erf, exp, log, pi, sqrt

STRAYS = 14.0
"""Minutes (standard deviation) by which an edge strays from day to day."""

DRIFTS = 1.5
"""Minutes a day by which what was seen may have moved since."""

MISTAKEN = 0.08
"""The chance that a sighting says nothing true of the edge: another carer's guess, an odd day."""

AT_ONCE = 0.5
"""The chance that what is told unasked was told at the edge, and not at any time."""

TOLD_AFTER = 7.0
"""Minutes after the edge at which it is mostly told."""

ANY_TIME = 1 / 240
"""The chance of each minute where it was told at any time."""

UNIT = 1000
"""Log-likelihoods are whole thousandths, so that the order of the sightings does not matter."""

FURTHEST = 75
STEP = 5
OFFSETS = range(-FURTHEST, FURTHEST + 1, STEP)
NEAR = 150
"""Minutes from an edge beyond which a sighting tells nothing of it."""

_WIDEST = NEAR + FURTHEST


@dataclass(frozen=True, slots=True)
class Seen:
    """The baby was seen asleep or awake. age: days ago, 1 for yesterday. minute: of the wall clock. told: unasked, so about when it began."""

    age: int
    minute: int
    asleep: bool
    told: bool = False


@dataclass(frozen=True, slots=True)
class Edge:
    """at: a minute of the clock at which a sleep begins or ends."""

    at: int
    begins: bool

    def likelihoods(self, seen: Seen) -> list[int]:
        """Return the log-likelihood of a sighting for each of OFFSETS of the edge, in thousandths; it lies within NEAR of the edge."""
        after = seen.asleep == self.begins
        ahead = _WIDEST + seen.minute - self.at
        return _row(seen.age, after, told=after and seen.told)[
            ahead + FURTHEST : ahead - FURTHEST - 1 : -STEP
        ]


@lru_cache(maxsize=128)
def _row(age: int, after: bool, *, told: bool) -> list[int]:
    """Return the log-likelihoods of what was seen so many minutes after an edge, from -_WIDEST on. after: as it is after the edge."""
    stray = sqrt(STRAYS**2 + (DRIFTS * age) ** 2)
    found = []
    for ahead in range(-_WIDEST, _WIDEST + 1):
        chance = (1 + erf((ahead if after else -ahead) / stray / sqrt(2))) / 2
        chance = MISTAKEN + (1 - 2 * MISTAKEN) * chance
        if told:
            off = (ahead - TOLD_AFTER) / stray
            at_once = exp(-off * off / 2) / stray / sqrt(2 * pi)
            chance = AT_ONCE * at_once + (1 - AT_ONCE) * chance * ANY_TIME
        found.append(round(UNIT * log(chance)))
    return found


def edges_of(awake: Sequence[tuple[int, int]]) -> list[Edge]:
    """Return the edges of the told sleeps, in order of the clock."""
    return [edge for start, end in awake for edge in (Edge(start, False), Edge(end, True))]


def sorted_by_edge(edges: Sequence[Edge], seen: Iterable[Seen]) -> dict[Edge, list[Seen]]:
    """Return what was seen about each edge: a sighting belongs to the nearest, one told unasked to the nearest that it may tell of."""
    found: dict[Edge, list[Seen]] = {edge: [] for edge in edges}
    for each in seen:
        about = [edge for edge in edges if edge.begins == each.asleep] if each.told else edges
        nearest = min(about, key=lambda edge: (abs(edge.at - each.minute), edge.at), default=None)
        if nearest is not None and abs(nearest.at - each.minute) <= NEAR:
            found[nearest].append(each)
    return found


def likelihoods(edge: Edge, seen: Sequence[Seen]) -> list[int]:
    """Return the log-likelihood of all that was seen about an edge for each of OFFSETS, in thousandths."""
    if not seen:
        return [0] * len(OFFSETS)
    return [sum(column) for column in zip(*map(edge.likelihoods, seen), strict=True)]
