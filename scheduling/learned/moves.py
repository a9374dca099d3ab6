"""Sleeps that have moved: for each told sleep the change that most lessens the minutes told wrongly, where it is surely nearer.

Where a nap now lies is a posterior over both its edges (edges.py): naps drift more than they stretch, so that one edge tells of the
other. A change is worth asking where the chance that the new times are nearer than the told ones is at least SURE, and the
minutes told rightly by it, in the mean, at least WORTH. Widths of sleep by age (Galland et al. 2012, Sleep Med Rev 16;
Iglowstein et al. 2003, Pediatrics 111) vary too much between babies to be more than a bound here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from math import exp

from scheduling.learned.candidate import LEAST_AWAKE, SHORTEST, Candidate
from scheduling.learned.edges import (
    FURTHEST,
    OFFSETS,
    STEP,
    UNIT,
    Edge,
    Seen,
    edges_of,
    likelihoods,
    sorted_by_edge,
)
from scheduling.learned.suggestion import NEAR, Change, Times

MOVES = 35.0
"""Minutes (standard deviation) by which a sleep may have moved before anything was seen of it."""

STRETCHES = 12.0
"""Minutes by which its length may have changed."""

SURE = 0.85
WORTH = 12.0
"""These four were chosen on simulated families (tests/benchmarks/learning.py), no source."""

Chances = list[float]
Move = tuple[tuple[Edge, int], ...]
"""The edges of a sleep that move, and by how many minutes."""


def moved_sleeps(awake: Sequence[tuple[int, int]], seen: Sequence[Seen]) -> list[Candidate]:
    """Return the change of each told sleep that is worth asking, the one that sets most minutes right first."""
    edges = edges_of(awake)
    about = sorted_by_edge(edges, seen)
    found = [each for each in _changes(awake, edges, about) if each.gain >= WORTH]
    return sorted(found, key=lambda each: (-each.gain, each.change, each.awake))


def _changes(
    awake: Sequence[tuple[int, int]], edges: Sequence[Edge], about: Mapping[Edge, Sequence[Seen]]
) -> Iterator[Candidate]:
    for edge in (*edges[:1], *edges[-1:]):
        if about[edge]:
            yield from _night(awake, edge, about)
    for place in range(len(awake) - 1):
        begins, ends = edges[2 * place + 1 : 2 * place + 3]
        if begins.at < ends.at and (about[begins] or about[ends]):
            yield from _nap(awake, place, (begins, ends), about)


def _nap(
    awake: Sequence[tuple[int, int]],
    place: int,
    nap: tuple[Edge, Edge],
    about: Mapping[Edge, Sequence[Seen]],
) -> Iterator[Candidate]:
    begins, ends = nap
    ours, theirs = (_relative(likelihoods(edge, about[edge])) for edge in nap)
    joint = [
        [chance * one * other for chance, other in zip(row, theirs, strict=True)]
        for row, one in zip(_prior(), ours, strict=True)
    ]
    first = [sum(row) for row in joint]
    last = [sum(column) for column in zip(*joint, strict=True)]
    for by, other_by in {(_median(first), _median(last)), (_median(first), 0), (0, _median(last))}:
        gain = _gain(first, by) + _gain(last, other_by)
        start, end = _moved(begins, by), _moved(ends, other_by)
        free = awake[place][0] + LEAST_AWAKE <= start and end <= awake[place + 1][1] - LEAST_AWAKE
        if not free or end - start < SHORTEST or gain < WORTH or not _asked((by, other_by)):
            continue
        if _nearer(joint, by, other_by) >= SURE:
            spans = (
                *awake[:place],
                (awake[place][0], start),
                (end, awake[place + 1][1]),
                *awake[place + 2 :],
            )
            move = ((begins, by), (ends, other_by))
            yield _candidate("nap_moved", spans, (begins.at, ends.at), (start, end), gain, move, about)


def _night(
    awake: Sequence[tuple[int, int]], edge: Edge, about: Mapping[Edge, Sequence[Seen]]
) -> Iterator[Candidate]:
    chances = [
        chance * exp(-by * by / 2 / MOVES**2)
        for chance, by in zip(_relative(likelihoods(edge, about[edge])), OFFSETS, strict=True)
    ]
    by = _median(chances)
    nearer = sum(chance for chance, off in zip(chances, OFFSETS, strict=True) if abs(off - by) < abs(off))
    at = _moved(edge, by)
    if not _asked((by,)) or nearer < SURE * sum(chances) or not 0 <= at <= 1440:
        return
    gain, move = _gain(chances, by), ((edge, by),)
    if edge.begins and at - awake[-1][0] >= LEAST_AWAKE:
        spans = (*awake[:-1], (awake[-1][0], at))
        yield _candidate("night_begins", spans, (edge.at, 1440), (at, 1440), gain, move, about)
    elif not edge.begins and awake[0][1] - at >= LEAST_AWAKE:
        spans = ((at, awake[0][1]), *awake[1:])
        yield _candidate("night_ends", spans, (0, edge.at), (0, at), gain, move, about)


def _candidate(
    change: Change,
    awake: Times,
    now: tuple[int, int],
    then: tuple[int, int],
    gain: float,
    move: Move,
    about: Mapping[Edge, Sequence[Seen]],
) -> Candidate:
    said: dict[Seen, int] = {}
    for edge, by in move:
        for seen in about[edge]:
            if seen not in said:
                chances = edge.likelihoods(seen)
                said[seen] = chances[(by + FURTHEST) // STEP] - chances[FURTHEST // STEP]

    def speaks(seen: Seen) -> int:
        return said.get(seen, 0)

    return Candidate(change, awake, now, then, gain, speaks)


@lru_cache(maxsize=1)
def _prior() -> list[Chances]:
    """Return the chance of each pair of offsets of a nap's edges, but for a factor."""
    return [
        [
            exp(-(((one + other) / 2 / MOVES) ** 2) / 2 - ((one - other) / STRETCHES) ** 2 / 2)
            for other in OFFSETS
        ]
        for one in OFFSETS
    ]


def _relative(logs: Sequence[int]) -> Chances:
    most = max(logs)
    return [exp((each - most) / UNIT) for each in logs]


def _median(chances: Chances) -> int:
    passed, half = 0.0, sum(chances) / 2
    for by, chance in zip(OFFSETS, chances, strict=True):
        passed += chance
        if passed >= half:
            return by
    return 0


def _gain(chances: Chances, by: int) -> float:
    """Return the minutes by which an edge moved is nearer than the told one, in the mean."""
    gained = sum(chance * (abs(off) - abs(off - by)) for off, chance in zip(OFFSETS, chances, strict=True))
    return gained / sum(chances)


def _nearer(joint: Sequence[Chances], by: int, other_by: int) -> float:
    """Return the chance that both edges together are told nearer by the change."""
    first = [abs(off) - abs(off - by) for off in OFFSETS]
    last = [abs(off) - abs(off - other_by) for off in OFFSETS]
    nearer = sum(
        chance
        for (one, row) in zip(first, joint, strict=True)
        for other, chance in zip(last, row, strict=True)
        if one + other > 0
    )
    return nearer / sum(map(sum, joint))


def _asked(moves: Sequence[int]) -> bool:
    """Say whether a move is large enough to be asked; one at the end of what was looked through is no move but something else."""
    return NEAR <= max(map(abs, moves)) < FURTHEST


def _moved(edge: Edge, by: int) -> int:
    return edge.at if not by else round((edge.at + by) / STEP) * STEP
