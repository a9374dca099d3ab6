"""Naps that are new or gone: each such change, weighed by the sightings of the last days.

A sighting (asleep at a time, awake at a time) is a vote for the minutes around it, less with distance, less with age. A
change gains the votes of the minutes that it newly calls asleep and of those that it newly calls awake, and pays for being so
great a change. So the same change is proposed by the same sightings, in any order.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import accumulate, pairwise

from scheduling.learned.candidate import LEAST_AWAKE, Candidate
from scheduling.learned.edges import Seen

STEP = 5
STEPS = 1440 // STEP
REACH = 30 // STEP
"""Steps at which a vote fades to nothing: the edges of a nap are soft."""

UNIT = 1000
HALF_LIFE = 5
"""Days after which a sighting weighs half: a drift shows in the last days."""

LENGTH_COST = 1.2
"""Votes that a new nap pays beside it for each three quarters of an hour of its length."""

NAP_COST = 4.0
"""Votes that a nap new or gone pays: it changes more than a nap moved."""

LEAST_GAIN = 1.0
"""Votes by which a change must explain the sightings better than the shape now."""

SOFT = 10
"""Minutes from a told edge within which a sighting tells nothing: no nap begins to the minute."""

NEW_NAPS = (45, 60, 90)


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


def naps_new_or_gone(awake: Sequence[tuple[int, int]], seen: Sequence[Seen]) -> list[Candidate]:
    """Return every nap gone and every new one that the sightings speak for, the gone ones first, the best first."""
    if not awake:
        return []
    votes = Votes([each for each in seen if tells(awake, each.minute)])
    found = [each for each in _changes(list(awake), votes) if each.gain >= LEAST_GAIN]
    found.sort(key=lambda each: (each.change, -each.gain, each.awake))
    return found


def tells(awake: Sequence[tuple[int, int]], minute: int) -> bool:
    """Say whether a sighting at a minute of the clock is far enough from every told edge to tell of sleep."""
    return all(abs(minute - edge) > SOFT for span in awake for edge in span)


def _changes(awake: list[tuple[int, int]], votes: Votes) -> Iterator[Candidate]:
    for place, ((_, start), (end, _)) in enumerate(pairwise(awake)):
        if start < end and votes.any_between(start, end):
            yield _nap_gone(awake, place, (start, end), votes)
    for place, span in enumerate(awake):
        if votes.any_between(*span):
            yield from _nap_new(awake, place, span, votes)


def _nap_gone(awake: list[tuple[int, int]], place: int, nap: tuple[int, int], votes: Votes) -> Candidate:
    """A nap that is gone is seen awake in both halves; in one half alone it has moved."""
    spans = (*awake[:place], (awake[place][0], awake[place + 1][1]), *awake[place + 2 :])
    middle = sum(nap) // 2
    against = -2 * max(votes.between(nap[0], middle), votes.between(middle, nap[1]))
    return Candidate("nap_gone", spans, nap, None, against - NAP_COST, _newly(False, nap))


def _nap_new(
    awake: list[tuple[int, int]], place: int, span: tuple[int, int], votes: Votes
) -> Iterator[Candidate]:
    for length in NEW_NAPS:
        for start in range(_on_grid(span[0] + LEAST_AWAKE), span[1] - LEAST_AWAKE - length + 1, STEP):
            gain = votes.between(start, start + length) - NAP_COST - LENGTH_COST * length / NEW_NAPS[0]
            if gain >= LEAST_GAIN:
                nap = (start, start + length)
                spans = (*awake[:place], (span[0], start), (start + length, span[1]), *awake[place + 1 :])
                yield Candidate("nap_new", spans, None, nap, gain, _newly(True, nap))


def _newly(asleep: bool, within: tuple[int, int]) -> Callable[[Seen], int]:
    """Return what says for each sighting whether it agrees with a stretch of the clock that is newly called asleep or awake."""

    def speaks(seen: Seen) -> int:
        if not within[0] <= seen.minute < within[1]:
            return 0
        return UNIT if seen.asleep == asleep else -UNIT

    return speaks


def _on_grid(minute: int) -> int:
    return round(minute / STEP) * STEP
