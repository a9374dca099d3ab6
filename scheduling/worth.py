"""What a session is worth: the shortfall it takes away, and, where that is equal, whose turn it is."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import ceil

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
    """Return how many prompts of each need lessen the shortfall most, and their worth, were only these rules in force:
    the number of prompts, the lengths, the starts that each activity has for itself, that activities of the same
    care moments have between them, and that all have.

    The worth is an upper bound of what any day can reach. The three caps lie one within the other, so that taking the
    best prompt that they still allow, again and again, reaches it (the greedy rule of a laminar matroid).
    """
    counts = [0] * len(needs)
    total = 0.0
    groups, room = _shared_moments(needs, prompts, gap)
    everything = sorted(opening for need in needs for opening in need.openings)
    prompts = most_alone(everything, max(gap, min((need.least for need in needs), default=1)), prompts)
    limits = [most_alone(n.openings, max(gap, n.own_gap, n.least), prompts) for n in needs]
    lengths = [longest(n) for n in needs]
    rests = [n.missing for n in needs]
    gains = [
        gain(n, n.missing, length) if limit else 0.0
        for n, length, limit in zip(needs, lengths, limits, strict=True)
    ]
    for _ in range(prompts):
        best = max(range(len(needs)), key=gains.__getitem__, default=-1)
        if best < 0 or gains[best] <= 0:
            break
        total += gains[best]
        counts[best] += 1
        rests[best] -= lengths[best]
        more = counts[best] < limits[best] and rests[best] > 0
        gains[best] = gain(needs[best], rests[best], lengths[best]) if more else 0.0
        group = groups[best]
        if group >= 0:
            room[group] -= 1
            if not room[group]:
                gains = [0.0 if of == group else value for of, value in zip(groups, gains, strict=True)]
    return counts, total


def _shared_moments(needs: Sequence[Need], prompts: int, gap: int) -> tuple[list[int], list[int]]:
    """Return the group of each need (-1 where it is not bound to moments) and how many prompts each group has room for.

    Needs are of one group where starts of theirs lie nearer than the gap, so that one may keep another out.
    """
    groups = [index if need.moments else -1 for index, need in enumerate(needs)]
    if not any(need.moments for need in needs):
        return groups, []
    starts = sorted(
        (first, index) for index, need in enumerate(needs) if need.moments for first, _, _ in need.openings
    )
    for (at, one), (later, other) in pairwise(starts):
        if later - at < max(gap, 1) and groups[one] != groups[other]:
            joined = groups[other]
            groups = [groups[one] if group == joined else group for group in groups]
    room = [0] * len(needs)
    for group in {each for each in groups if each >= 0}:
        members = [need for need, of in zip(needs, groups, strict=True) if of == group]
        openings = sorted(opening for need in members for opening in need.openings)
        room[group] = most_alone(openings, max(gap, min(need.least for need in members)), prompts)
    return groups, room


def even_lengths(need: Need, count: int, minutes: int) -> list[int]:
    """Share `minutes` out over `count` sessions as evenly as whole minutes allow, none under the least, longest first."""
    minutes = max(minutes, count * need.least)
    base, more = divmod(minutes, count)
    return [base + 1] * more + [base] * (count - more)


def trimmed(needs: Sequence[Need], sessions: Sequence[tuple[int, int, int]]) -> list[tuple[int, int, int]]:
    """Shorten the longest sessions (start, minutes, index of the need) of each need until none is planned past what is missing."""
    kept = list(sessions)
    for index, need in enumerate(needs):
        own = [place for place, each in enumerate(kept) if each[2] == index]
        over = sum(kept[place][1] for place in own) - ceil(need.missing)
        while over > 0 and own:
            place = max(own, key=lambda each: kept[each][1])
            start, minutes, _ = kept[place]
            if minutes <= need.least:
                break
            kept[place] = (start, minutes - 1, index)
            over -= 1
    return kept
