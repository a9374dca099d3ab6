"""What a session is worth: the shortfall it takes away, and, where that is equal, whose turn it is."""

from __future__ import annotations

from collections.abc import Sequence

from scheduling.day import Opening
from scheduling.needs import Need

TURN = 1e-7
"""The part of a session's worth that the rotation may add: it decides between equals, never against the shortfall."""


def gain(need: Need, rest: float, minutes: int) -> float:
    """Return what `minutes` more are worth while `rest` minutes are missing."""
    had = need.had + (need.missing - rest) / need.target
    return need.worth * min(minutes, rest) * (1 + TURN / (1 + had))


def most_alone(openings: Sequence[Opening], step: int, limit: int) -> int:
    """Return how many starts, at least `step` minutes apart, the openings hold, up to `limit`."""
    count, free = 0, -(10**9)
    for first, last, _ in openings:
        start = max(first, free)
        if start <= last:
            here = (last - start) // step + 1
            count += here
            free = start + here * step
            if count >= limit:
                return limit
    return count


def longest(need: Need) -> int:
    """Return the longest session that any opening holds; 0 where there is none."""
    return min(need.most, max((end - first for first, _, end in need.openings), default=0))


def best_counts(needs: Sequence[Need], prompts: int, gap: int) -> tuple[list[int], float]:
    """Return how many prompts of each need lessen the shortfall most, and their worth, were each alone in its openings.

    The worth is an upper bound of what any day can reach: it keeps the number of prompts, the lengths and each
    activity's own room, and lets different activities stand on top of each other.
    """
    counts = [0] * len(needs)
    total = 0.0
    limits = [most_alone(n.openings, max(gap, n.own_gap, n.least), prompts) for n in needs]
    lengths = [longest(n) for n in needs]
    rests = [n.missing for n in needs]
    gains = [gain(n, n.missing, length) if limit else 0.0 for n, length, limit in zip(needs, lengths, limits, strict=True)]
    for _ in range(prompts):
        best = max(range(len(needs)), key=gains.__getitem__, default=-1)
        if best < 0 or gains[best] <= 0:
            break
        total += gains[best]
        counts[best] += 1
        rests[best] -= lengths[best]
        more = counts[best] < limits[best] and rests[best] > 0
        gains[best] = gain(needs[best], rests[best], lengths[best]) if more else 0.0
    return counts, total


def even_lengths(need: Need, count: int, minutes: int) -> list[int]:
    """Share `minutes` out over `count` sessions as evenly as whole minutes allow, none under the least, longest first."""
    minutes = max(minutes, count * need.least)
    base, more = divmod(minutes, count)
    return [base + 1] * more + [base] * (count - more)
