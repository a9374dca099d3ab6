"""How even a day is: one number, the sum of the squared minutes between neighbouring prompts, the stretches before the first and
after the last counted twice (so that n prompts alone in a free day stand in the middle of n equal parts). Less is better.

A small part of the same number for each activity by itself decides between days that are about as even, so that one
activity does not bunch either.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from scheduling.needs import Need

OWN_SHARE = 0.02
FIXED = -1

Placed = tuple[float, int, int]
"""(start, minutes, index of the need): FIXED where it was sent already, and of whatever activity."""


@dataclass(frozen=True, slots=True)
class Frame:
    """gap: least minutes between starts. begin, end: the waking day that is left. sent: starts of prompts already sent."""

    gap: int
    begin: float
    end: float
    sent: tuple[float, ...] = ()


def keeps_own_gaps(needs: Sequence[Need], board: Sequence[Placed], indexes: Sequence[int]) -> bool:
    """Say whether the sessions of these needs keep the own gap of each."""
    for index in indexes:
        starts = [at for at, _, other in board if other == index]
        if any(after - before < needs[index].own_gap for before, after in pairwise(starts)):
            return False
    return True


def unevenness(board: Sequence[Placed], frame: Frame) -> float:
    """Return how uneven the day is, activities not told apart."""
    if not board:
        return 0.0
    inner = sum((after[0] - before[0]) ** 2 for before, after in pairwise(board))
    return inner + 2 * (board[0][0] - frame.begin) ** 2 + 2 * (frame.end - board[-1][0]) ** 2


def added(start: float, others: Sequence[float], frame: Frame) -> float:
    """Return how much less even one start more, beside others in order, makes a day."""
    after_at = bisect_right(others, start)
    before = others[after_at - 1] if after_at else None
    after = others[after_at] if after_at < len(others) else None
    return between(start, before, after, frame)


def between(start: float, before: float | None, after: float | None, frame: Frame) -> float:
    """Return how much less even one start more between two others makes a day; None for the edge of the day."""
    left = (start - before) ** 2 if before is not None else 2 * (start - frame.begin) ** 2
    right = (after - start) ** 2 if after is not None else 2 * (frame.end - start) ** 2
    if before is not None and after is not None:
        return left + right - (after - before) ** 2
    if before is not None:
        return left + right - 2 * (frame.end - before) ** 2
    if after is not None:
        return left + right - 2 * (after - frame.begin) ** 2
    return left + right


def own_unevenness(board: Sequence[Placed], indexes: Sequence[int], frame: Frame) -> float:
    """Return how uneven the sessions of these needs stand, each by itself; one session alone is never uneven."""
    total = 0.0
    for index in indexes:
        starts = [at for at, _, other in board if other == index]
        if len(starts) > 1:
            total += 2 * (starts[0] - frame.begin) ** 2 + 2 * (frame.end - starts[-1]) ** 2
            total += sum((after - before) ** 2 for before, after in pairwise(starts))
    return total


def insert(board: list[Placed], placed: Placed) -> None:
    board.append(placed)
    board.sort()
