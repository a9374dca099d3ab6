"""What a session is worth: the shortfall it takes away, and, where that is equal, whose turn it is."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import floor

from scheduling.day import Opening
from scheduling.demands import Demand
from scheduling.needs import Need

TURN = 1e-7
"""The part of a session's worth that the rotation may add: it decides between equals, never against the shortfall."""


def worth_now(demand: Demand, rest: float) -> float:
    """Return what one minute (or session) is worth while `rest` of them are missing."""
    return demand.worth * (1 + TURN / (1 + demand.had + (demand.missing - rest) / demand.target))


def gain(need: Need, rests: Sequence[float], minutes: int) -> float:
    """Return what one session more is worth. rests: what each of the day's demands still misses."""
    total = 0.0
    for place, demand in need.demands:
        rest = rests[place]
        if rest > 0:
            total += worth_now(demand, rest) * min(1 if demand.times else minutes, rest)
    return total


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


@dataclass(frozen=True, slots=True)
class Room:
    """How many prompts the rules leave: all together, each activity, activities of the same care moments between them.

    The caps lie one within the other, so that taking the best prompt that they still allow, again and again, is best
    wherever one prompt's worth does not hang on another's (the greedy rule of a laminar matroid).
    """

    prompts: int
    limits: tuple[int, ...]
    lengths: tuple[int, ...]
    groups: tuple[int, ...]
    shared: tuple[int, ...]

    @classmethod
    def of(cls, needs: Sequence[Need], prompts: int, gap: int) -> Room:
        groups, shared = _shared_moments(needs, prompts, gap)
        everything = sorted(opening for need in needs for opening in need.openings)
        prompts = most_alone(everything, max(gap, min((need.least for need in needs), default=1)), prompts)
        return cls(
            prompts,
            tuple(most_alone(n.openings, max(gap, n.own_gap, n.least), prompts) for n in needs),
            tuple(longest(n) for n in needs),
            tuple(groups),
            tuple(shared),
        )

    def filled(self, gain_of: Callable[[int], float], take: Callable[[int], Sequence[int]]) -> float:
        """Take the best prompt again and again. gain_of: what one more of a need is worth; take: notes that one was
        taken and returns the needs whose gain it changed. Returns what all are worth."""
        left, shared, total = list(self.limits), list(self.shared), 0.0
        gains = [gain_of(n) if limit else 0.0 for n, limit in enumerate(left)]
        for _ in range(self.prompts):
            best = max(range(len(gains)), key=gains.__getitem__, default=-1)
            if best < 0 or gains[best] <= 0:
                break
            total += gains[best]
            left[best] -= 1
            group = self.groups[best]
            if group >= 0:
                shared[group] -= 1
                if not shared[group]:
                    left = [0 if of == group else value for of, value in zip(self.groups, left, strict=True)]
                    gains = [value if n else 0.0 for n, value in zip(left, gains, strict=True)]
            for changed in take(best):
                gains[changed] = gain_of(changed) if left[changed] else 0.0
        return total


def best_counts(needs: Sequence[Need], demands: Sequence[Demand], room: Room) -> tuple[list[int], float]:
    """Return how many prompts of each need lessen the shortfall most, taken one by one, and their worth.

    Without goals that is the most that the caps of `room` allow, and so an upper bound of what any day can reach.
    """
    counts = [0] * len(needs)
    rests = [demand.missing for demand in demands]
    touching = _touching(needs)

    def take(index: int) -> Sequence[int]:
        counts[index] += 1
        for place, demand in needs[index].demands:
            rests[place] = max(0.0, rests[place] - (1 if demand.times else room.lengths[index]))
        return touching[index]

    return counts, room.filled(lambda n: gain(needs[n], rests, room.lengths[n]), take)


def _touching(needs: Sequence[Need]) -> list[list[int]]:
    """Return, for each need, those that share a demand with it, itself with them."""
    places = [{place for place, _ in need.demands} for need in needs]
    return [[n for n, other in enumerate(places) if other & own] for own in places]


def shared_minutes(needs: Sequence[Need], demands: Sequence[Demand], counts: Sequence[int]) -> list[int]:
    """Return how many minutes each need's prompts ask for, so that no minute is asked that nothing misses."""
    minutes = [count * longest(need) if count else 0 for need, count in zip(needs, counts, strict=True)]
    done = [0.0] * len(demands)
    for need, asked in zip(needs, minutes, strict=True):
        for place, _ in need.demands:
            done[place] += asked
    for index, need in enumerate(needs):
        over = [floor(done[place] - each.missing) for place, each in need.demands if not each.times]
        spare = min([*over, minutes[index] - counts[index] * need.least])
        if spare > 0:
            minutes[index] -= spare
            for place, _ in need.demands:
                done[place] -= spare
    return minutes


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


def trimmed(
    needs: Sequence[Need], demands: Sequence[Demand], sessions: Sequence[tuple[int, int, int]]
) -> list[tuple[int, int, int]]:
    """Shorten the longest sessions (start, minutes, index of the need) while no demand misses a minute by it."""
    kept = list(sessions)
    spare = [-demand.missing for demand in demands]
    for _, minutes, index in kept:
        for place, _ in needs[index].demands:
            spare[place] += minutes
    for index, need in enumerate(needs):
        own = [place for place, each in enumerate(kept) if each[2] == index]
        over = min((spare[place] for place, each in need.demands if not each.times), default=1440.0)
        while over >= 1 and own:
            longest_own = max(own, key=lambda each: kept[each][1])
            start, minutes, _ = kept[longest_own]
            if minutes <= need.least:
                break
            kept[longest_own] = (start, minutes - 1, index)
            over -= 1
            for place, _ in need.demands:
                spare[place] -= 1
    return kept
