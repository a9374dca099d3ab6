"""Spreading sessions over the waking day.

How even a day is, is one number: the sum of the squared minutes between neighbouring prompts, the stretches before the
first and after the last counted twice (so that n prompts alone in a free day stand in the middle of n equal parts), and
a share of the same number for each activity by itself, so that one activity does not bunch either. Less is better.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor

from scheduling.needs import Need

OWN_SHARE = 0.3
FIXED = -1
_PASSES = 6

Placed = tuple[float, int, int]
"""(start, minutes, index of the need): FIXED where it was sent already, and of whatever activity."""


@dataclass(frozen=True, slots=True)
class Frame:
    """gap: least minutes between starts. begin, end: the waking day that is left. sent: starts of prompts already sent."""

    gap: int
    begin: float
    end: float
    sent: tuple[float, ...] = ()


def place_all(needs: Sequence[Need], jobs: Sequence[tuple[int, int]], frame: Frame) -> list[Placed] | None:
    """Place jobs (index of the need, minutes), the ones with least room first; None where one finds no place."""
    board: list[Placed] = [(at, 0, FIXED) for at in sorted(frame.sent)]
    room = [sum(last - first + 1 for first, last, _ in need.openings) for need in needs]
    for index, minutes in sorted(jobs, key=lambda job: (room[job[0]], -job[1], job[0])):
        found = _best_place(needs[index], index, minutes, board, frame)
        if found is None:
            return None
        _insert(board, (found[1], minutes, index))
    return board


def even_out(needs: Sequence[Need], board: list[Placed], frame: Frame) -> list[Placed]:
    """Move one session at a time to where the day is evenest, until none moves. Keeps every rule and every length."""
    for _ in range(_PASSES):
        moved = False
        for placed in list(board):
            start, minutes, index = placed
            if index == FIXED:
                continue
            board.remove(placed)
            now = _cost(start, index, board, frame)
            found = _best_place(needs[index], index, minutes, board, frame)
            if found is not None and found[0] < now - 1e-6:
                placed = (found[1], minutes, index)
                moved = True
            _insert(board, placed)
        if not moved:
            break
    return board


def _insert(board: list[Placed], placed: Placed) -> None:
    board.append(placed)
    board.sort()


def _best_place(
    need: Need, index: int, minutes: int, board: list[Placed], frame: Frame
) -> tuple[float, int] | None:
    """Return (cost, start) of the best start between its neighbours, or None where there is none."""
    best: tuple[float, int] | None = None
    gap_after = max(frame.gap, minutes)
    own = [start for start, _, other in board if other == index] if need.own_gap > frame.gap else []
    for position in range(len(board) + 1):
        low, high = -1e9, 1e9
        before = board[position - 1] if position else None
        after = board[position] if position < len(board) else None
        if before:
            low = before[0] + max(frame.gap, before[1])
        if after:
            high = after[0] - gap_after
        if low > high:
            continue
        if own:
            low = max(low, max((at + need.own_gap for at in own if before and at <= before[0]), default=low))
            high = min(high, min((at - need.own_gap for at in own if not before or at > before[0]), default=high))
        start = _nearest(need, minutes, ceil(low), floor(high), _middle(before, after, frame))
        if start is not None:
            cost = _cost(start, index, board, frame)
            if best is None or cost < best[0]:
                best = (cost, start)
    return best


def _middle(before: Placed | None, after: Placed | None, frame: Frame) -> float:
    if before and after:
        return (before[0] + after[0]) / 2
    if before:
        return (before[0] + 2 * frame.end) / 3
    if after:
        return (2 * frame.begin + after[0]) / 3
    return (frame.begin + frame.end) / 2


def _nearest(need: Need, minutes: int, low: int, high: int, ideal: float) -> int | None:
    best: int | None = None
    distance = 1e9
    for first, last, end in need.openings:
        if first > high:
            break
        top = min(last, end - minutes, high)
        bottom = max(first, low)
        if bottom > top:
            continue
        start = min(max(round(ideal), bottom), top)
        if abs(start - ideal) < distance:
            best, distance = start, abs(start - ideal)
    return best


def _cost(start: float, index: int, board: list[Placed], frame: Frame) -> float:
    """Return how much less even a session at `start` makes the day."""
    cost = _added(start, [each[0] for each in board], frame)
    own = [at for at, _, other in board if other == index]
    return cost + OWN_SHARE * _added(start, own, frame) if own else cost


def _added(start: float, others: list[float], frame: Frame) -> float:
    before = after = None
    for at in others:
        if at <= start:
            before = at
        else:
            after = at
            break
    left = (start - before) ** 2 if before is not None else 2 * (start - frame.begin) ** 2
    right = (after - start) ** 2 if after is not None else 2 * (frame.end - start) ** 2
    if before is not None and after is not None:
        return left + right - (after - before) ** 2
    if before is not None:
        return left + right - 2 * (frame.end - before) ** 2
    if after is not None:
        return left + right - 2 * (after - frame.begin) ** 2
    return left + right
