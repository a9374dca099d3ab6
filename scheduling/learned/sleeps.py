"""Where the told sleeps are no longer true: each change of one sleep, weighed by the sightings of the last days.

A sighting (asleep at a time, awake at a time) is a vote for the minutes around it, less with distance, less with age. A
change gains the votes of the minutes that it newly calls asleep and of those that it newly calls awake, and pays for every
minute that it moves a sleep, more for a change of length: naps drift more than they stretch. So the same change is
proposed by the same sightings, in any order. Widths of sleep by age: Galland et al. 2012 (Sleep Med Rev 16), Iglowstein et
al. 2003 (Pediatrics 111): they vary too much between babies to be more than a bound here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

from scheduling.learned.suggestion import Change, Times

STEP = 5
STEPS = 1440 // STEP
REACH = 30 // STEP
"""Steps at which a vote fades to nothing: the edges of a nap are soft."""

UNIT = 1000
HALF_LIFE = 5
"""Days after which a sighting weighs half: a drift shows in the last days."""

MOVE_COST = 0.8
LENGTH_COST = 1.2
"""Votes that a change pays for each five minutes: for moving a sleep, and beside it for changing its length."""

NAP_COST = 4.0
"""Votes that a nap new or gone pays: it changes more than a nap moved."""

LEAST_GAIN = 1.0
"""Votes by which a change must explain the sightings better than the shape now."""

SOFT = 10
"""Minutes from a told edge within which a sighting tells nothing: no nap begins to the minute."""

FURTHEST = 75
LEAST_MOVE = 15
LEAST_AWAKE = 30
NEW_NAPS = (45, 60, 90)
SHORTEST = 20
_STEPS = [side * by for by in range(LEAST_MOVE, FURTHEST + 1, STEP) for side in (1, -1)]


@dataclass(frozen=True, slots=True)
class Seen:
    """The baby was seen asleep or awake. age: days ago, 1 for yesterday. minute: of the wall clock."""

    age: int
    minute: int
    asleep: bool


@dataclass(frozen=True, slots=True)
class Candidate:
    """awake: the spans as they would be. now, then: the sleep before and after, (from, to); a night has one edge that counts."""

    change: Change
    awake: Times
    now: tuple[int, int] | None
    then: tuple[int, int] | None
    gain: float

    def newly(self, minute: int) -> bool | None:
        """Say what the change newly calls a minute: asleep (True), awake (False), or nothing new (None)."""
        before = self.now is not None and self.now[0] <= minute < self.now[1]
        after = self.then is not None and self.then[0] <= minute < self.then[1]
        return after if before != after else None


class Votes:
    """Votes for sleep less votes for waking, added up from the beginning of the day."""

    def __init__(self, seen: Sequence[Seen]) -> None:
        votes = [0] * STEPS
        for each in seen:
            weight = round(UNIT * 0.5 ** (each.age / HALF_LIFE))
            middle = each.minute // STEP
            for step in range(max(0, middle - REACH + 1), min(STEPS, middle + REACH)):
                near = weight * (REACH - abs(step - middle)) // REACH
                votes[step] += near if each.asleep else -near
        self._sums = [0, *accumulate(votes)]
        self._sizes = [0, *accumulate(map(abs, votes))]

    def between(self, start: int, end: int) -> float:
        """Return the votes for sleep from one minute of the clock to another, in whole fresh votes of five minutes."""
        sums = self._sums
        return (sums[end // STEP] - sums[start // STEP]) / UNIT

    def any_between(self, start: int, end: int) -> bool:
        """Say whether enough was seen from one minute of the clock to another for any change to gain by it."""
        first, last = max(0, start) // STEP, min(end, 1440) // STEP
        return (self._sizes[last] - self._sizes[first]) / UNIT >= LEAST_GAIN


def candidates(awake: Sequence[tuple[int, int]], seen: Sequence[Seen]) -> list[Candidate]:
    """Return every change of one sleep that the sightings speak for, the best first."""
    if not awake:
        return []
    votes = Votes([each for each in seen if tells(awake, each.minute)])
    found = [each for each in _changes(list(awake), votes) if each.gain >= LEAST_GAIN]
    found.sort(key=lambda each: (-each.gain, each.change, each.awake))
    return found


def tells(awake: Sequence[tuple[int, int]], minute: int) -> bool:
    """Say whether a sighting at a minute of the clock is far enough from every told edge to tell of sleep."""
    return all(abs(minute - edge) > SOFT for span in awake for edge in span)


def _changes(awake: list[tuple[int, int]], votes: Votes) -> Iterator[Candidate]:
    for place, ((_, start), (end, _)) in enumerate(pairwise(awake)):
        if start < end and votes.any_between(start - FURTHEST, end + FURTHEST):
            yield from _nap_moved(awake, place, (start, end), votes)
            yield _nap_gone(awake, place, (start, end), votes)
    for place, span in enumerate(awake):
        if votes.any_between(*span):
            yield from _nap_new(awake, place, span, votes)
    yield from _night(awake, votes)


def _nap_moved(
    awake: list[tuple[int, int]], place: int, nap: tuple[int, int], votes: Votes
) -> Iterator[Candidate]:
    low = awake[place][0] + LEAST_AWAKE
    high = awake[place + 1][1] - LEAST_AWAKE
    told = votes.between(*nap)
    shifted = [(_on_grid(nap[0] + by), _on_grid(nap[1] + by)) for by in _STEPS]
    begun, ended = ([_on_grid(edge + by) for by in _STEPS] for edge in nap)
    for start, end in (*shifted, *((at, nap[1]) for at in begun), *((nap[0], at) for at in ended)):
        moved = max(abs(start - nap[0]), abs(end - nap[1]))
        if low <= start < end <= high and moved >= LEAST_MOVE and end - start >= SHORTEST:
            longer = abs((end - start) - (nap[1] - nap[0]))
            gain = votes.between(start, end) - told - (MOVE_COST * moved + LENGTH_COST * longer) / STEP
            if gain >= LEAST_GAIN:
                yield Candidate("nap_moved", _with_nap(awake, place, (start, end)), nap, (start, end), gain)


def _nap_gone(awake: list[tuple[int, int]], place: int, nap: tuple[int, int], votes: Votes) -> Candidate:
    """A nap that is gone is seen awake in both halves; in one half alone it has moved."""
    spans = (*awake[:place], (awake[place][0], awake[place + 1][1]), *awake[place + 2 :])
    middle = sum(nap) // 2
    against = -2 * max(votes.between(nap[0], middle), votes.between(middle, nap[1]))
    return Candidate("nap_gone", spans, nap, None, against - NAP_COST)


def _nap_new(
    awake: list[tuple[int, int]], place: int, span: tuple[int, int], votes: Votes
) -> Iterator[Candidate]:
    for length in NEW_NAPS:
        for start in range(_on_grid(span[0] + LEAST_AWAKE), span[1] - LEAST_AWAKE - length + 1, STEP):
            gain = votes.between(start, start + length) - NAP_COST - LENGTH_COST * length / NEW_NAPS[0]
            if gain >= LEAST_GAIN:
                nap = (start, start + length)
                spans = (*awake[:place], (span[0], start), (start + length, span[1]), *awake[place + 1 :])
                yield Candidate("nap_new", spans, None, nap, gain)


def _night(awake: list[tuple[int, int]], votes: Votes) -> Iterator[Candidate]:
    first, last = awake[0], awake[-1]
    for at in (_on_grid(first[0] + by) for by in _STEPS):
        if 0 <= at <= first[1] - LEAST_AWAKE and abs(at - first[0]) >= LEAST_MOVE:
            gain = votes.between(first[0], at) - MOVE_COST * abs(at - first[0]) / STEP
            yield Candidate("night_ends", ((at, first[1]), *awake[1:]), (0, first[0]), (0, at), gain)
    for at in (_on_grid(last[1] + by) for by in _STEPS):
        if last[0] + LEAST_AWAKE <= at <= 1440 and abs(at - last[1]) >= LEAST_MOVE:
            gain = votes.between(at, last[1]) - MOVE_COST * abs(at - last[1]) / STEP
            yield Candidate("night_begins", (*awake[:-1], (last[0], at)), (last[1], 1440), (at, 1440), gain)


def _with_nap(awake: list[tuple[int, int]], place: int, nap: tuple[int, int]) -> Times:
    before, after = awake[place], awake[place + 1]
    return (*awake[:place], (before[0], nap[0]), (nap[1], after[1]), *awake[place + 2 :])


def _on_grid(minute: int) -> int:
    return round(minute / STEP) * STEP
