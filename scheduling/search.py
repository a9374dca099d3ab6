"""The search for a day of least shortfall.

A day is built from morning to night. A partial day says how many prompts it has, from when the next may start, what
each demand still misses; of two that agree in all but that time, the earlier one is kept. Every session starts as
early as what stands before it allows: moving a session to an earlier start in the same opening breaks no rule, so some
best day has this form. Partial days that cannot beat the best one found are dropped by an upper bound (the most
prompts that the time left can hold, each giving the most it could). Where more than `width` partial days of one size
are left, or the work for that width is used up, only the most promising are carried on: below that the search is exact,
above it its work is bounded. A day of many activities or prompts is not searched: there it could not be exact, and what
scheduling/crowded.py found stands, with the bound.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from scheduling.bound import alone, given
from scheduling.demands import Demand
from scheduling.needs import Need
from scheduling.worth import gain, worth_now

Session = tuple[int, int, int]
"""(start, minutes, index of the need)."""

WIDTHS = (12, 150)
FINE_WORK = 12_000
WORK_PER_WIDTH = 160
LARGEST = 36
"""Activities times prompts of the largest day that is searched."""

_CARRIED_ON = 3
_CLOSE = 1e-12


@dataclass(slots=True)
class Partial:
    """A day planned up to `ready`, when the next session may start."""

    won: float
    ready: int
    rests: tuple[float, ...]
    own_ready: tuple[int, ...]
    last: Session | None
    earlier: Partial | None


@dataclass(frozen=True, slots=True)
class Found:
    """bound: a worth that no day can pass; worth itself where the search was exact."""

    sessions: list[Session]
    worth: float
    bound: float
    exact: bool = False


def search(
    needs: Sequence[Need],
    demands: Sequence[Demand],
    prompts: int,
    gap: int,
    best: Found,
    prices: Sequence[float],
) -> Found:
    """Return the best day found, and what is proved of it. best: the best one known. prices: those of its bound."""
    rules = _Rules(needs, demands, prompts, gap, prices)
    best = replace(best, bound=min(best.bound, rules.bound(rules.empty_day(), prompts)))
    if len(needs) * prompts > LARGEST:
        return best
    for width in WIDTHS:
        if best.exact or best.worth >= best.bound * (1 - _CLOSE):
            break
        best = rules.widened(width, best)
    return best


class _Rules:
    def __init__(
        self,
        needs: Sequence[Need],
        demands: Sequence[Demand],
        prompts: int,
        gap: int,
        prices: Sequence[float],
    ) -> None:
        self.needs = needs
        self.demands = demands
        self.prices = prices
        self.single = [len(n.demands) == 1 and not n.demands[0][1].goal and not n.times for n in needs]
        self.density = [self._density(need) for need in needs]
        self.prompts = prompts
        self.gap = gap
        self.latest = _latest_starts(
            [opening for need in needs for opening in need.openings],
            max(gap, min((n.least for n in needs), default=1)),
            prompts,
        )
        self.own_latest = [
            _latest_starts(need.openings, max(gap, need.own_gap, need.least), prompts) for need in needs
        ]
        self.breaks = sorted({first for need in needs for first, _, _ in need.openings})
        self.work = 0
        self.dearest = sorted(enumerate(needs), key=lambda each: -self.density[each[0]])
        self.stretches = _joined(needs)

    def _density(self, need: Need) -> float:
        """Return the most that one minute of a need's sessions is worth by the prices."""
        total = 0.0
        for place, demand in need.demands:
            worth = self.prices[place] if demand.goal else worth_now(demand, demand.missing)
            total += worth / (need.least if demand.times else 1)
        return total

    def widened(self, width: int, best: Found) -> Found:
        """Search with at most `width` partial days of each size, and no more work than is left for this width."""
        layer = [self.empty_day()]
        cut, winner, won = False, None, best.worth
        allowed = self.work + width * WORK_PER_WIDTH
        for used in range(1, self.prompts + 1):
            share = self.work + (allowed - self.work) // (self.prompts - used + 1)
            states: dict[object, Partial] = {}
            for place, partial in enumerate(layer):
                if self.work > share and place >= _CARRIED_ON:
                    cut = True
                    break
                for child in self.children(partial):
                    key = (child.rests, child.own_ready)
                    other = states.get(key)
                    if other is None or (child.ready, -child.won) < (other.ready, -other.won):
                        states[key] = child
                    if child.won > won * (1 + _CLOSE):
                        winner, won = child, child.won
            left = self.prompts - used
            scored = [(each.won + self.bound(each, left), each) for each in states.values()]
            scored = [each for each in scored if each[0] > won * (1 + _CLOSE)]
            scored.sort(key=lambda each: (-each[0], each[1].ready))
            cut = cut or len(scored) > width
            layer = [partial for _, partial in scored[:width]]
            if not layer:
                break
        sessions = best.sessions if winner is None else _sessions_of(winner)
        exact = not cut and self.work < FINE_WORK
        return Found(sessions, won, won if exact else best.bound, exact)

    def empty_day(self) -> Partial:
        rests = tuple(demand.missing for demand in self.demands)
        return Partial(0, -(10**6), rests, (0,) * len(self.needs), None, None)

    def children(self, partial: Partial) -> Iterator[Partial]:
        """Yield every day that has one session more."""
        for index, need in enumerate(self.needs):
            rest = self.rest_of(need, partial.rests)
            if rest < 0:
                continue
            ready = max(partial.ready, partial.own_ready[index])
            for first, last, end in need.openings:
                if last < ready:
                    continue
                start = max(first, ready)
                for minutes in self.lengths(need, rest, start, end):
                    yield self.child(partial, index, start, minutes)

    def rest_of(self, need: Need, rests: Sequence[float]) -> float:
        """Return the most minutes that a demand of the need misses, 0 where only sessions are missed, -1 where nothing is."""
        most = -1.0
        for place, demand in need.demands:
            rest = rests[place]
            if rest > 0:
                most = max(most, 0.0 if demand.times else rest)
        return most

    def lengths(self, need: Need, rest: float, start: int, end: int) -> list[int]:
        """Return the lengths worth trying, longest first.

        Within the gap to the next start a session costs nothing by being longer. Beyond it, time given to one is
        taken from the next, and each length is tried; once FINE_WORK partial days were weighed, only the shortest, the
        longest and those that end where an opening begins.
        """
        most = min(need.most, end - start, max(need.least, -int(-rest // 1)))
        least = max(need.least, min(self.gap, most))
        if need.times:
            return [need.least]
        if most <= least:
            return [most]
        if self.work < FINE_WORK:
            return list(range(most, least - 1, -1))
        low = bisect_left(self.breaks, start + least + 1)
        high = bisect_left(self.breaks, start + most)
        return [most, *(at - start for at in reversed(self.breaks[low:high])), least]

    def child(self, partial: Partial, index: int, start: int, minutes: int) -> Partial:
        self.work += 1
        need = self.needs[index]
        rests = partial.rests
        for place, demand in need.demands:
            rest = max(0.0, rests[place] - (1 if demand.times else minutes))
            rests = (*rests[:place], rest, *rests[place + 1 :])
        own_ready = partial.own_ready
        ready = start + max(self.gap, minutes)
        if need.own_gap > self.gap:
            own_ready = (*own_ready[:index], start + need.own_gap, *own_ready[index + 1 :])
        if any(own_ready):
            own_ready = tuple(at if at > ready else 0 for at in own_ready)
        won = partial.won + gain(need, partial.rests, minutes)
        return Partial(won, ready, rests, own_ready, (start, minutes, index), partial)

    def bound(self, partial: Partial, prompts: int) -> float:
        """Return the most that the rest of the day could still win with so many prompts."""
        ready, rests, own_ready = partial.ready, partial.rests, partial.own_ready
        prompts = min(prompts, _count_from(self.latest, ready))
        if prompts <= 0:
            return 0.0
        gains: list[float] = []
        spared = given(self.demands, self.prices, rests)
        time_left: float = self.minutes_from(ready)
        by_time = 0.0
        for index, need in self.dearest:
            rest = self.rest_of(need, rests)
            if rest < 0:
                continue
            count = min(prompts, _count_from(self.own_latest[index], max(ready, own_ready[index])))
            if not self.single[index]:
                counted = any(demand.times for _, demand in need.demands)
                filling = min(count * need.most if counted else rest, count * need.most, time_left)
                time_left -= filling
                by_time += self.density[index] * filling
                for taken in range(count):
                    more = alone(need, self.prices, rests, need.most, taken)
                    if more <= 0:
                        break
                    gains.append(more)
                continue
            worth = worth_now(need.demands[0][1], rest)
            filling = min(rest, count * need.most, time_left)
            time_left -= filling
            by_time += worth * filling
            whole = min(count, int(rest // need.most))
            gains += [worth * need.most] * whole
            if count > whole:
                gains.append(worth * (rest - whole * need.most))
        if len(gains) > prompts:
            gains.sort(reverse=True)
            del gains[prompts:]
        return min(sum(gains), by_time) + spared

    def minutes_from(self, ready: int) -> int:
        """Return how many minutes of any opening are left from `ready` on."""
        return sum(end - max(first, ready) for first, end in self.stretches if end > ready)


def _latest_starts(openings: Sequence[tuple[int, int, int]], step: int, limit: int) -> list[int]:
    """Return the latest starts, ascending, that lie at least `step` apart: as many start at or after t as could at all."""
    found: list[int] = []
    free = 10**9
    for first, last, _ in sorted(openings, key=lambda opening: -opening[1]):
        start = min(last, free)
        while start >= first and len(found) < limit:
            found.append(start)
            free = start - step
            start = free
    return found[::-1]


def _joined(needs: Sequence[Need]) -> list[tuple[int, int]]:
    """Return the stretches that any session could lie in, joined where they touch."""
    joined: list[tuple[int, int]] = []
    for first, end in sorted((first, end) for need in needs for first, _, end in need.openings):
        if joined and first <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], end))
        else:
            joined.append((first, end))
    return joined


def _count_from(starts: list[int], ready: int) -> int:
    return len(starts) - bisect_left(starts, ready)


def _sessions_of(partial: Partial) -> list[Session]:
    sessions = []
    at: Partial | None = partial
    while at is not None and at.last is not None:
        sessions.append(at.last)
        at = at.earlier
    return sessions[::-1]
