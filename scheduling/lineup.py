"""Sessions in order: what still fits between any two of them.

Of each session two starts are kept: the earliest (those before it as early as they can be) and the latest (those after it as
late). Between two neighbours there is room from the earliest end of the one to the latest start of the other, and nothing
else need be moved to know it.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from scheduling.demands import Demand
from scheduling.needs import Need
from scheduling.worth import TURN

CLOSE = 1e-12
_FAR = 10**6


class Seat(NamedTuple):
    """One session of the lineup: the place of its need, the opening it stands in, its minutes, those until the next may start."""

    need: int
    first: int
    last: int
    end: int
    minutes: int
    taken: int


@dataclass(slots=True)
class Lineup:
    """seats: in order. rests: what each demand still misses, less than 0 where it has more. won: worth of all sessions.

    earliest, latest: the bounds of each start. roomy: the places before which one seat more may find room.
    """

    seats: list[Seat]
    rests: list[float]
    won: float
    earliest: list[int]
    latest: list[int]
    roomy: list[int]


class Lineups:
    """The rules of one day for its lineups. steps: how much has been looked at, the same on every machine."""

    def __init__(self, needs: Sequence[Need], demands: Sequence[Demand], prompts: int, gap: int) -> None:
        self.needs = needs
        self.prompts = prompts
        self.gap = gap
        self.steps = 0
        self.missing = [demand.missing for demand in demands]
        self.worths = [demand.worth * (1 + TURN / (1 + demand.had)) for demand in demands]
        self.most = sum(worth * missing for worth, missing in zip(self.worths, self.missing, strict=True))
        self.apart = [need.own_gap if need.own_gap > gap else 0 for need in needs]
        self.parts = [[(place, demand.times) for place, demand in need.demands] for need in needs]
        self.lasts = [[last for _, last, _ in need.openings] for need in needs]

    def empty(self) -> Lineup:
        return Lineup([], list(self.missing), 0.0, [], [], [0])

    def full(self, lineup: Lineup) -> bool:
        return len(lineup.seats) >= self.prompts

    def gain(self, index: int, minutes: int, rests: Sequence[float]) -> float:
        total = 0.0
        for place, times in self.parts[index]:
            rest = rests[place]
            if rest > 0:
                amount = 1 if times else minutes
                total += self.worths[place] * min(amount, rest)
        return total

    def loss(self, lineup: Lineup, place: int) -> float:
        """Return what a lineup is worth by one of its seats."""
        seat, total = lineup.seats[place], 0.0
        for at, times in self.parts[seat.need]:
            rest = lineup.rests[at] + (1 if times else seat.minutes)
            total += self.worths[at] * (max(0.0, rest) - max(0.0, lineup.rests[at]))
        return total

    def wanted(self, need: Need, index: int, rests: Sequence[float]) -> int:
        """Return the longest session that is of use."""
        most = 0.0
        for place, times in self.parts[index]:
            if not times and rests[place] > most:
                most = rests[place]
        return min(need.most, max(need.least, -int(-most // 1)))

    def given_back(self, rests: Sequence[float], seats: Sequence[Seat], sign: int = 1) -> list[float]:
        changed = list(rests)
        for seat in seats:
            for place, times in self.parts[seat.need]:
                changed[place] += sign * (1 if times else seat.minutes)
        return changed

    def worth(self, rests: Sequence[float]) -> float:
        total = self.most
        for worth, rest in zip(self.worths, rests, strict=True):
            if rest > 0:
                total -= worth * rest
        return total

    def slack(self, lineup: Lineup, place: int) -> int:
        low = lineup.earliest[place - 1] if place else 0
        return (lineup.latest[place] if place < len(lineup.seats) else 1440) - low

    def fitting(self, lineup: Lineup, place: int, stop: int, index: int, wanted: int) -> Seat | None:
        """Return the longest session of a need, up to `wanted`, that fits where the seats from `place` to `stop` are."""
        need, gap = self.needs[index], self.gap
        seats = lineup.seats
        low = lineup.earliest[place - 1] + seats[place - 1].taken if place else -_FAR
        high = lineup.latest[stop] if stop < len(seats) else _FAR
        top = high - gap
        if low > top:
            return None
        apart = self.apart[index]
        if apart:
            for at in range(place - 1, -1, -1):
                if seats[at][0] == index:
                    low = max(low, lineup.earliest[at] + apart)
                    break
            for at in range(stop, len(seats)):
                if seats[at][0] == index:
                    top = min(top, lineup.latest[at] - apart)
                    break
            if low > top:
                return None
        best: Seat | None = None
        most = need.least - 1
        openings, lasts = need.openings, self.lasts[index]
        for at in range(bisect_left(lasts, low), len(lasts)):
            first, last, end = openings[at]
            if first > top:
                break
            self.steps += 1
            start = max(low, first)
            minutes = min(high, end) - start
            if minutes > most:
                minutes = min(minutes, wanted)
                best, most = Seat(index, first, last, end, minutes, max(gap, minutes)), minutes
                if minutes == wanted:
                    break
        return best

    def with_one(self, lineup: Lineup, index: int) -> Lineup | None:
        """Return the lineup with one session more of a need, the longest that fits; None where none does."""
        best: tuple[int, Seat] | None = None
        if self.gain(index, self.needs[index].most, lineup.rests) <= CLOSE:
            return None
        wanted = self.wanted(self.needs[index], index, lineup.rests)
        for place in lineup.roomy:
            seat = self.fitting(lineup, place, place, index, wanted)
            if seat is not None and (best is None or seat.minutes > best[1].minutes):
                best = (place, seat)
        return None if best is None else self.replaced(lineup, best[0], best[0], [best[1]])

    def replaced(self, lineup: Lineup, place: int, stop: int, new: list[Seat]) -> Lineup:
        """Return the lineup with these seats in the place of some; starts are reckoned anew where they may change."""
        seats = [*lineup.seats[:place], *new, *lineup.seats[stop:]]
        rests = self.given_back(self.given_back(lineup.rests, lineup.seats[place:stop]), new, -1)
        after = place + len(new)
        earliest = self.forward(seats, lineup.earliest[:place])
        latest = self.backward(seats, lineup.latest[stop:], after)
        gap = self.gap
        ready = -_FAR
        roomy = []
        for at, seat in enumerate(seats):
            if latest[at] - gap >= ready:
                roomy.append(at)
            ready = earliest[at] + seat.taken
        roomy.append(len(seats))
        return Lineup(seats, rests, self.worth(rests), earliest, latest, roomy)

    def forward(self, seats: Sequence[Seat], starts: list[int]) -> list[int]:
        """Return each seat's earliest start; `starts` holds the first of them."""
        known = len(starts)
        self.steps += (len(seats) - known) // 4
        own = self.own_limits(seats[:known], starts, 1)
        ready = starts[-1] + seats[known - 1].taken if starts else -_FAR
        for need, first, _, _, _, taken in seats[known:]:
            start = max(first, ready)
            if self.apart[need]:
                start = max(start, own.get(need, start))
                own[need] = start + self.apart[need]
            starts.append(start)
            ready = start + taken
        return starts

    def backward(self, seats: Sequence[Seat], known: list[int], after: int) -> list[int]:
        """Return each seat's latest start; `known` holds those of the seats from `after` on."""
        self.steps += after // 4
        own = self.own_limits(seats[after:][::-1], known[::-1], -1)
        found: list[int] = []
        following = known[0] if known else _FAR
        for need, _, last, end, minutes, taken in reversed(seats[:after]):
            start = min(following - taken, end - minutes, last)
            if self.apart[need]:
                start = min(start, own.get(need, start))
                own[need] = start - self.apart[need]
            found.append(start)
            following = start
        return found[::-1] + known

    def own_limits(self, seats: Sequence[Seat], starts: Sequence[int], sign: int) -> dict[int, int]:
        """Return from where (or until where) the own gaps of needs leave a start free, past these seats."""
        return {
            seat.need: start + sign * self.apart[seat.need]
            for seat, start in zip(seats, starts, strict=True)
            if self.apart[seat.need]
        }
