"""Spreading sessions over the waking day.

How even a day is, is one number: the sum of the squared minutes between neighbouring prompts, the stretches before the
first and after the last counted twice (so that n prompts alone in a free day stand in the middle of n equal parts).
Less is better. A small part of the same number for each activity by itself decides between days that are about as even,
so that one activity does not bunch either.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor

from scheduling.needs import Need

OWN_SHARE = 0.02
FIXED = -1
_PASSES = 4
_SLIDES = 12

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
        found = best_place(needs[index], index, minutes, board, frame)
        if found is None:
            return None
        insert(board, (found[1], minutes, index))
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
            found = best_place(needs[index], index, minutes, board, frame)
            if found is not None and found[0] < now - 1e-6:
                placed = (found[1], minutes, index)
                moved = True
            insert(board, placed)
        if not moved:
            break
    return board


def slide(needs: Sequence[Need], board: list[Placed], frame: Frame) -> list[Placed]:
    """Move sessions between their neighbours, order kept, towards equal distances. Returns the evener of before and after.

    First towards the middles of equal parts, all at once, then each to the middle of its neighbours until none moves.
    """
    moved = list(board)
    ideals = _equal_parts(moved, frame)
    for place in (*range(len(moved)), *reversed(range(len(moved)))):
        shift(needs, moved, place, ideals[place], frame)
    for _ in range(_SLIDES):
        shifts = [
            shift(needs, moved, place, _middle(*_neighbours(moved, place), frame), frame)
            for place in range(len(moved))
        ]
        if not any(shifts):
            break
    return moved if unevenness(moved, frame) < unevenness(board, frame) - 1e-6 else board


def reorder(needs: Sequence[Need], board: list[Placed], frame: Frame) -> list[Placed]:
    """Let neighbours pass each other where the day gets evener by it. Keeps every rule and every length."""
    for place in range(len(board) - 1):
        tried = _passed(needs, board, place, frame)
        if tried is not None:
            tried = slide(needs, tried, frame)
            if unevenness(tried, frame) < unevenness(board, frame) - 1e-6:
                board = tried
    return board


def _passed(needs: Sequence[Need], board: list[Placed], place: int, frame: Frame) -> list[Placed] | None:
    """Return the board with the session at `place` and the next in the other order, or None where rules forbid it."""
    (start, minutes, index), (later, later_minutes, later_index) = board[place], board[place + 1]
    if FIXED in (index, later_index) or index == later_index:
        return None
    before = board[place - 1] if place else None
    after = board[place + 2] if place + 2 < len(board) else None
    low = before[0] + max(frame.gap, before[1]) if before else -1e9
    high = after[0] - max(frame.gap, minutes) if after else 1e9
    first = _nearest(
        needs[later_index], later_minutes, ceil(low), floor(high - max(frame.gap, later_minutes)), start
    )
    if first is None:
        return None
    second = _nearest(needs[index], minutes, first + max(frame.gap, later_minutes), floor(high), later)
    if second is None:
        return None
    passed = [
        *board[:place],
        (first, later_minutes, later_index),
        (second, minutes, index),
        *board[place + 2 :],
    ]
    return passed if keeps_own_gaps(needs, passed, (index, later_index)) else None


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


def _equal_parts(board: Sequence[Placed], frame: Frame) -> list[float]:
    """Return where each session would stand if every run between two fixed prompts, or an edge, were even."""
    ideals: list[float] = []
    place = 0
    while place < len(board):
        stop = place
        while stop < len(board) and board[stop][2] != FIXED:
            stop += 1
        first = 1.0 if place else 0.5
        last = 1.0 if stop < len(board) else 0.5
        low = board[place - 1][0] if place else frame.begin
        high = board[stop][0] if stop < len(board) else frame.end
        part = (high - low) / (stop - place - 1 + first + last)
        ideals += [low + part * (first + n) for n in range(stop - place)]
        if stop < len(board):
            ideals.append(board[stop][0])
        place = stop + 1
    return ideals


def _neighbours(board: Sequence[Placed], place: int) -> tuple[Placed | None, Placed | None]:
    return board[place - 1] if place else None, board[place + 1] if place + 1 < len(board) else None


def shift(needs: Sequence[Need], board: list[Placed], place: int, ideal: float, frame: Frame) -> bool:
    """Move one session as near to `ideal` as its neighbours and the rules allow; say whether it moved."""
    start, minutes, index = board[place]
    if index == FIXED:
        return False
    need = needs[index]
    before, after = _neighbours(board, place)
    low = before[0] + max(frame.gap, before[1]) if before else -1e9
    high = after[0] - max(frame.gap, minutes) if after else 1e9
    if need.own_gap > frame.gap:
        for at, _, other in board:
            if other == index and at < start:
                low = max(low, at + need.own_gap)
            elif other == index and at > start:
                high = min(high, at - need.own_gap)
    found = _nearest(need, minutes, ceil(low), floor(high), ideal)
    if found is None or found == start:
        return False
    board[place] = (found, minutes, index)
    return True


def insert(board: list[Placed], placed: Placed) -> None:
    board.append(placed)
    board.sort()


def best_place(
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
            high = min(
                high, min((at - need.own_gap for at in own if not before or at > before[0]), default=high)
            )
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
    """Return the open start from low to high that is nearest to `ideal`."""
    best: int | None = None
    distance = 1e9
    wanted = round(ideal)
    for first, last, end in need.openings:
        if first > high:
            break
        if last < low:
            continue
        bottom = max(low, first)
        top = end - minutes
        top = min(top, last)
        top = min(top, high)
        if bottom > top:
            continue
        start = bottom if wanted < bottom else min(wanted, top)
        away = abs(start - ideal)
        if away < distance:
            best, distance = start, away
        elif first > ideal:
            break
    return best


def _cost(start: float, index: int, board: list[Placed], frame: Frame) -> float:
    """Return how much less even a session at `start` makes the day."""
    cost = added(start, [each[0] for each in board], frame)
    own = [at for at, _, other in board if other == index]
    return cost + OWN_SHARE * added(start, own, frame) if own else cost


def added(start: float, others: Sequence[float], frame: Frame) -> float:
    """Return how much less even one start more, beside others in order, makes a day."""
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


def own_unevenness(board: Sequence[Placed], indexes: Sequence[int], frame: Frame) -> float:
    """Return how uneven the sessions of these needs stand, each by itself; one session alone is never uneven."""
    total = 0.0
    for index in indexes:
        starts = [at for at, _, other in board if other == index]
        if len(starts) > 1:
            total += 2 * (starts[0] - frame.begin) ** 2 + 2 * (frame.end - starts[-1]) ** 2
            total += sum((after - before) ** 2 for before, after in pairwise(starts))
    return total
