"""Days too full for their best prompts to stand side by side: built greedily in several ways, then bettered by exchanges.

A lineup is bettered by taking one to three neighbours out, putting something else in their place and what was taken out
elsewhere, until no such exchange helps or the steps are used up: so the same day is planned alike on every machine. For
searches that take out a part of a schedule and fill it again see P. Shaw, "Using constraint programming and local search methods
to solve vehicle routing problems" (1998); from memory.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import sqrt

from scheduling.demands import Demand
from scheduling.lineup import CLOSE, Lineup, Lineups, Seat
from scheduling.needs import Need

STEPS = 3_000
_WIDTHS = ((1, 6), (2, 6), (3, 3))
"""How many neighbours are taken out, and how many of the best replacements are tried."""

Measure = Callable[[int, int, float], float]
"""(index of the need, minutes until the next may start, gain) → the higher, the sooner it is put in."""


class Exchanges:
    """The search for one day."""

    def __init__(self, needs: Sequence[Need], demands: Sequence[Demand], prompts: int, gap: int) -> None:
        self.needs = needs
        self.rules = Lineups(needs, demands, prompts, gap)

    def best(self, counts: Sequence[int]) -> list[tuple[int, int, int]]:
        """Return the sessions of the best lineup found: (start, minutes, index of the need).

        counts: how many sessions of each need would be best if all found a place.
        """
        lineups = self.starts(counts)
        begun = self.rules.steps
        share = max(0, STEPS - begun) / 2 / len(lineups)
        # Each gets the same share of half the steps, since the best to begin with is often not the best in the end.
        for at, lineup in enumerate(lineups):
            lineups[at] = self.exchanged_through(lineup, begun + share * (at + 1))
        lineups.sort(key=lambda lineup: -lineup.won)
        best = lineups[0]
        for lineup in lineups:
            if self.rules.steps >= STEPS:
                break
            lineup = self.exchanged_through(lineup, STEPS)
            if lineup.won > best.won + CLOSE:
                best = lineup
        return [
            (start, seat.minutes, seat.need) for start, seat in zip(best.earliest, best.seats, strict=True)
        ]

    def starts(self, counts: Sequence[int]) -> list[Lineup]:
        """Return lineups built greedily, each by another measure of what comes first; none is best on all days."""
        empty = self.rules.empty()
        room = [sum(last - first + 1 for first, last, _ in need.openings) for need in self.needs]
        most = max(room)
        bound_first = empty
        for index in sorted(range(len(self.needs)), key=lambda n: (room[n], n)):
            for _ in range(counts[index]):
                if not self.rules.full(bound_first):
                    bound_first = self.rules.with_one(bound_first, index) or bound_first
        return [
            self.filled(empty, lambda index, taken, gain: gain),
            self.filled(empty, lambda index, taken, gain: gain * (2 - room[index] / most)),
            self.filled(empty, lambda index, taken, gain: gain / sqrt(taken)),
            self.filled(bound_first, lambda index, taken, gain: gain),
        ]

    def exchanged_through(self, lineup: Lineup, limit: float) -> Lineup:
        """Better a lineup place by place until no exchange helps or so many steps are used up in all."""
        place = idle = 0
        while lineup.seats and idle < len(lineup.seats) and self.rules.steps < limit:
            place %= len(lineup.seats)
            better = self.bettered(lineup, place, lineup.won) or self.bettered_full(lineup, place)
            if better is None:
                place, idle = place + 1, idle + 1
            else:
                lineup, idle = better, 0
        return lineup

    def bettered_full(self, lineup: Lineup, place: int) -> Lineup | None:
        """Better a lineup that has all its prompts: something must go before what is taken out may stand elsewhere."""
        if not self.rules.full(lineup):
            return None
        least = min(range(len(lineup.seats)), key=lambda at: (self.rules.loss(lineup, at), at))
        if least == place:
            return None
        lighter = self.rules.replaced(lineup, least, least + 1, [])
        return self.bettered(lighter, place - (least < place), lineup.won)

    def bettered(self, lineup: Lineup, place: int, floor: float) -> Lineup | None:
        """Return a lineup that differs about `place` and is worth more than `floor`, or None where none is found."""
        for width, tries in _WIDTHS:
            stop = place + width
            if stop > len(lineup.seats):
                break
            for seat in self.replacements(lineup, place, stop)[:tries]:
                better = self.exchanged(lineup, place, stop, seat, floor)
                if better is not None:
                    return self.filled(better, lambda index, taken, gain: gain)
        return None

    def replacements(self, lineup: Lineup, place: int, stop: int) -> list[Seat]:
        """Return what could stand where the seats from `place` to `stop` are, the one of most worth first."""
        taken = lineup.seats[place:stop]
        rests = self.rules.given_back(lineup.rests, taken)
        found = []
        for index, need in enumerate(self.needs):
            if self.rules.gain(index, need.most, rests) > CLOSE:
                wanted = self.rules.wanted(need, index, rests)
                seat = self.rules.fitting(lineup, place, stop, index, wanted)
                if seat is not None and taken != [seat]:
                    found.append((-self.rules.gain(index, seat.minutes, rests), index, seat))
        return [seat for _, _, seat in sorted(found)]

    def exchanged(self, lineup: Lineup, place: int, stop: int, seat: Seat, floor: float) -> Lineup | None:
        """Return the lineup with a seat in the place of some, these put in elsewhere if need be; None unless it is worth more than `floor`."""
        taken = lineup.seats[place:stop]
        rests = self.rules.given_back(self.rules.given_back(lineup.rests, taken), [seat], -1)
        won = self.rules.worth(rests)
        if won > floor + CLOSE:
            return self.rules.replaced(lineup, place, stop, [seat])
        again = list(dict.fromkeys(each.need for each in taken))
        if len(lineup.seats) - len(taken) + 1 >= self.rules.prompts:
            return None
        hoped = sum(self.rules.gain(index, self.needs[index].most, rests) for index in again)
        if won + hoped <= floor + CLOSE:
            return None
        other = self.rules.replaced(lineup, place, stop, [seat])
        for index in again:
            if not self.rules.full(other):
                other = self.rules.with_one(other, index) or other
        return other if other.won > floor + CLOSE else None

    def filled(self, lineup: Lineup, measure: Measure) -> Lineup:
        """Put in the session of the highest measure, where it leaves the least time unused, until none fits."""
        while not self.rules.full(lineup):
            chosen: tuple[float, int, int, Seat] | None = None
            hoped = []
            for index, need in enumerate(self.needs):
                gain = self.rules.gain(index, need.most, lineup.rests)
                if gain > CLOSE:
                    hoped.append((-measure(index, max(self.rules.gap, need.least), gain), index))
            for most, index in sorted(hoped):
                if chosen is not None and -most <= chosen[0]:
                    break
                wanted = self.rules.wanted(self.needs[index], index, lineup.rests)
                for place in lineup.roomy:
                    seat = self.rules.fitting(lineup, place, place, index, wanted)
                    if seat is None:
                        continue
                    gain = self.rules.gain(index, seat.minutes, lineup.rests)
                    key = (measure(index, seat.taken, gain), -self.rules.slack(lineup, place))
                    if gain > CLOSE and (chosen is None or key > chosen[:2]):
                        chosen = (*key, place, seat)
            if chosen is None:
                break
            lineup = self.rules.replaced(lineup, chosen[2], chosen[2], [chosen[3]])
        return lineup
