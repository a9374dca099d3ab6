"""The kinds of families that a plan is rehearsed with, and what a day of theirs is really like.

How often each answers, how late and by what means is invented, no source: wide enough that a plan which only works for the
diligent shows it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random
from typing import Literal

FEED_TAKES = 20  # minutes in which a baby is at a feed


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of family.

    answers: share of reminders that are answered. after: minutes until then, least and most. taps: share of the answers
    given by a tap; the others are written. puts_off: share of the answers that are no minutes but "later" or "not now".
    gives: share of the minutes asked for that are done, least and most. drift: minutes by which a day's sleep moves
    about (standard deviation); shift: by which it stands later than the family told. homes: carers who take turns.
    """

    id: str
    answers: float
    after: tuple[int, int]
    taps: float
    puts_off: float
    gives: tuple[float, float]
    drift: float
    shift: float = 0
    homes: int = 1


KINDS = (
    Kind("diligent", 0.95, (1, 12), 0.6, 0.05, (0.8, 1.2), drift=8),
    Kind("chaotic", 0.6, (2, 120), 0.4, 0.3, (0.3, 1.3), drift=40),
    Kind("silent", 0.03, (5, 60), 1.0, 0.0, (1.0, 1.0), drift=12),
    Kind("two_homes", 0.8, (2, 30), 0.5, 0.1, (0.6, 1.0), drift=20, homes=2),
    Kind("nights", 0.7, (2, 45), 0.7, 0.1, (0.5, 1.0), drift=25, shift=75),
    Kind("taps", 0.8, (1, 20), 1.0, 0.1, (1.0, 1.0), drift=15),
)

BY_ID = {kind.id: kind for kind in KINDS}

State = Literal["awake", "asleep", "feeding"]


@dataclass(frozen=True, slots=True)
class TrueDay:
    """A day as it was: minutes of the local day in which the baby was awake, and when feeds began."""

    awake: tuple[tuple[float, float], ...]
    feeds: tuple[float, ...]

    def state(self, minute: int) -> State:
        """Say what the baby is doing then; only awake can it be played with."""
        if not any(start <= minute < end for start, end in self.awake):
            return "asleep"
        return "feeding" if any(feed <= minute < feed + FEED_TAKES for feed in self.feeds) else "awake"


def true_day(
    kind: Kind, told: Sequence[tuple[int, int]], feeds: Sequence[int], home: int, random: Random
) -> TrueDay:
    """Return how a day went that was told so. home: 0 for the first; every other stands half an hour later."""
    later = kind.shift + 30 * home
    moved = [later + random.gauss(0, kind.drift) for _ in told]
    awake = tuple((start + move, end + move) for (start, end), move in zip(told, moved, strict=True))
    return TrueDay(awake, tuple(feed + _move_at(feed, told, moved, later) for feed in feeds))


def _move_at(feed: int, told: Sequence[tuple[int, int]], moved: Sequence[float], otherwise: float) -> float:
    """A feed moves with the waking span that it stands in."""
    return next(
        (move for (start, end), move in zip(told, moved, strict=True) if start <= feed < end), otherwise
    )
