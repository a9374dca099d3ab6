"""Where sessions stand: each at the evenest start that the rules leave it, then all moved against one another.

The same few questions are asked hundreds of times a day, so that what does not change is kept: of each need the starts that a
session of so many minutes may have. What cannot move since nothing beside it has moved is not asked again.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from math import ceil, floor

from scheduling.needs import Need
from scheduling.spread import (
    FIXED,
    OWN_SHARE,
    Frame,
    Placed,
    added,
    between,
    insert,
    keeps_own_gaps,
    unevenness,
)

_PASSES = 4
_SLIDES = 12
_FAR = 10**9
_CLOSE = 1e-6
_END_OF_DAY = -2
_END: Placed = (_FAR, 0, _END_OF_DAY)


class Placing:
    """The starts that the rules leave the sessions of one day, and the moves within them."""

    def __init__(self, needs: Sequence[Need], frame: Frame) -> None:
        self.needs = needs
        self.frame = frame
        self.gap = frame.gap
        self.apart = [need.own_gap if need.own_gap > frame.gap else 0 for need in needs]
        self._starts: dict[tuple[int, int], tuple[list[int], list[int]]] = {}

    def starts(self, index: int, minutes: int) -> tuple[list[int], list[int]]:
        """Return the first and the last starts of the runs in which a session so long may start, ascending."""
        found = self._starts.get((index, minutes))
        if found is None:
            runs = [(first, min(last, end - minutes)) for first, last, end in self.needs[index].openings]
            runs = [(first, last) for first, last in runs if first <= last]
            found = self._starts[index, minutes] = ([run[0] for run in runs], [run[1] for run in runs])
        return found

    def place_all(self, jobs: Sequence[tuple[int, int]]) -> list[Placed] | None:
        """Place jobs (index of the need, minutes), the ones with least room first; None where one finds no place."""
        board: list[Placed] = [(at, 0, FIXED) for at in sorted(self.frame.sent)]
        room = [sum(last - first + 1 for first, last, _ in need.openings) for need in self.needs]
        for index, minutes in sorted(jobs, key=lambda job: (room[job[0]], -job[1], job[0])):
            found = self.best_place(index, minutes, board)
            if found is None:
                return None
            insert(board, (found[1], minutes, index))
        return board

    def even_out(self, board: list[Placed]) -> list[Placed]:
        """Move one session at a time to where the day is evenest, until none moves. Keeps every rule and every length."""
        moves = 0
        weighed: dict[Placed, int] = {}
        for _ in range(_PASSES):
            before = moves
            for placed in list(board):
                start, minutes, index = placed
                if index == FIXED or weighed.get(placed) == moves:
                    continue
                board.remove(placed)
                now = self._cost(start, index, board)
                found = self.best_place(index, minutes, board)
                if found is not None and found[0] < now - _CLOSE:
                    placed = (found[1], minutes, index)
                    moves += 1
                weighed[placed] = moves
                insert(board, placed)
            if moves == before:
                break
        return board

    def slide(self, board: list[Placed]) -> list[Placed]:
        """Move sessions between their neighbours, order kept, towards equal distances. Returns the evener of before and after.

        First towards the middles of equal parts, all at once, then each to the middle of its neighbours until none moves.
        """
        moved = list(board)
        ideals = self._equal_parts(moved)
        for place in (*range(len(moved)), *reversed(range(len(moved)))):
            self.shift(moved, place, ideals[place])
        waiting = [True] * len(moved)
        for _ in range(_SLIDES):
            if True not in waiting:
                break
            for place, waits in enumerate(waiting):
                if waits:
                    waiting[place] = False
                    if self.shift(moved, place, self._middle_at(moved, place)):
                        self._wake(waiting, moved, place)
        return moved if unevenness(moved, self.frame) < unevenness(board, self.frame) - _CLOSE else board

    def _wake(self, waiting: list[bool], board: Sequence[Placed], place: int) -> None:
        """Note whose bounds a session that moved may have changed: its neighbours', those of the same activity."""
        if place:
            waiting[place - 1] = True
        if place + 1 < len(board):
            waiting[place + 1] = True
        index = board[place][2]
        if self.apart[index]:
            for other, placed in enumerate(board):
                if placed[2] == index and other != place:
                    waiting[other] = True

    def reorder(self, board: list[Placed]) -> list[Placed]:
        """Let neighbours pass each other where the day gets evener by it. Keeps every rule and every length."""
        for place in range(len(board) - 1):
            tried = self._passed(board, place)
            if tried is not None:
                tried = self.slide(tried)
                if unevenness(tried, self.frame) < unevenness(board, self.frame) - _CLOSE:
                    board = tried
        return board

    def _passed(self, board: list[Placed], place: int) -> list[Placed] | None:
        """Return the board with the session at `place` and the next in the other order, or None where rules forbid it."""
        (start, minutes, index), (later, later_minutes, later_index) = board[place], board[place + 1]
        if FIXED in (index, later_index) or index == later_index:
            return None
        gap, later_gap = max(self.gap, minutes), max(self.gap, later_minutes)
        low = -_FAR if not place else ceil(board[place - 1][0] + max(self.gap, board[place - 1][1]))
        high = _FAR if place + 2 == len(board) else board[place + 2][0] - gap
        first = self.nearest(later_index, later_minutes, low, floor(high - later_gap), start)
        if first is None:
            return None
        second = self.nearest(index, minutes, first + later_gap, floor(high), later)
        if second is None:
            return None
        between = [(first, later_minutes, later_index), (second, minutes, index)]
        passed = [*board[:place], *between, *board[place + 2 :]]
        return passed if keeps_own_gaps(self.needs, passed, (index, later_index)) else None

    def shift(self, board: list[Placed], place: int, ideal: float) -> bool:
        """Move one session as near to `ideal` as its neighbours and the rules allow; say whether it moved."""
        start, minutes, index = board[place]
        if index == FIXED:
            return False
        gap = self.gap
        low: float = -_FAR
        high: float = _FAR
        if place:
            at, length, _ = board[place - 1]
            low = at + (length if length > gap else gap)
        if place + 1 < len(board):
            high = board[place + 1][0] - (minutes if minutes > gap else gap)
        apart = self.apart[index]
        if apart:
            for at, _, other in board:
                if other == index:
                    if at < start:
                        low = max(low, at + apart)
                    elif at > start:
                        high = min(high, at - apart)
        found = self.nearest(index, minutes, ceil(low), floor(high), ideal)
        if found is None or found == start:
            return False
        board[place] = (found, minutes, index)
        return True

    def best_place(self, index: int, minutes: int, board: Sequence[Placed]) -> tuple[float, int] | None:
        """Return (cost, start) of the best start between its neighbours, or None where there is none."""
        firsts, lasts = self.starts(index, minutes)
        if not firsts:
            return None
        gap, apart, frame = self.gap, self.apart[index], self.frame
        gap_after = minutes if minutes > gap else gap
        own = [at for at, _, other in board if other == index]
        best: tuple[float, int] | None = None
        low: float = -_FAR
        before = own_before = None
        passed = 0
        for at, length, other in (*board, _END):
            after = None if other == _END_OF_DAY else at
            own_after = own[passed] if passed < len(own) else None
            high = at - gap_after
            if low <= high and high >= firsts[0] and low <= lasts[-1]:
                if apart and own_before is not None and own_before + apart > low:
                    low = own_before + apart
                if apart and own_after is not None and own_after - apart < high:
                    high = own_after - apart
                hoped = _least(before, after, frame)
                if own:
                    hoped += OWN_SHARE * _least(own_before, own_after, frame)
                start = None
                if best is None or hoped < best[0] + _CLOSE:
                    ideal = _middle(before, after, frame)
                    start = self.nearest(index, minutes, ceil(low), floor(high), ideal)
                if start is not None:
                    cost = between(start, before, after, frame)
                    if own:
                        cost += OWN_SHARE * between(start, own_before, own_after, frame)
                    if best is None or cost < best[0]:
                        best = (cost, start)
            before = at
            if other == index:
                own_before, passed = at, passed + 1
            low = at + (length if length > gap else gap)
        return best

    def nearest(self, index: int, minutes: int, low: int, high: int, ideal: float) -> int | None:
        """Return the open start from low to high that is nearest to `ideal`."""
        firsts, lasts = self.starts(index, minutes)
        best: int | None = None
        distance = 1e9
        wanted = round(ideal)
        for at in range(bisect_left(lasts, low), len(lasts)):
            first, top = firsts[at], lasts[at]
            if first > high:
                break
            bottom = first if first > low else low
            if top > high:
                top = high
            if bottom > top:
                continue
            start = bottom if wanted < bottom else wanted if wanted < top else top
            away = abs(start - ideal)
            if away < distance:
                best, distance = start, away
            elif first > ideal:
                break
        return best

    def _middle_at(self, board: Sequence[Placed], place: int) -> float:
        before = board[place - 1][0] if place else None
        after = board[place + 1][0] if place + 1 < len(board) else None
        return _middle(before, after, self.frame)

    def _cost(self, start: float, index: int, board: Sequence[Placed]) -> float:
        """Return how much less even a session at `start` makes the day."""
        cost = added(start, [at for at, _, _ in board], self.frame)
        own = [at for at, _, other in board if other == index]
        return cost + OWN_SHARE * added(start, own, self.frame) if own else cost

    def _equal_parts(self, board: Sequence[Placed]) -> list[float]:
        """Return where each session would stand if every run between two fixed prompts, or an edge, were even."""
        ideals: list[float] = []
        place = 0
        while place < len(board):
            stop = place
            while stop < len(board) and board[stop][2] != FIXED:
                stop += 1
            first = 1.0 if place else 0.5
            last = 1.0 if stop < len(board) else 0.5
            low = board[place - 1][0] if place else self.frame.begin
            high = board[stop][0] if stop < len(board) else self.frame.end
            part = (high - low) / (stop - place - 1 + first + last)
            ideals += [low + part * (first + n) for n in range(stop - place)]
            if stop < len(board):
                ideals.append(board[stop][0])
            place = stop + 1
        return ideals


def _middle(before: float | None, after: float | None, frame: Frame) -> float:
    if before is not None:
        return (before + 2 * frame.end) / 3 if after is None else (before + after) / 2
    return (frame.begin + frame.end) / 2 if after is None else (2 * frame.begin + after) / 3


def _least(before: float | None, after: float | None, frame: Frame) -> float:
    """Return how much less even the best start between two others makes a day, were every start free."""
    if before is not None:
        return -4 / 3 * (frame.end - before) ** 2 if after is None else -((after - before) ** 2) / 2
    return (frame.end - frame.begin) ** 2 if after is None else -4 / 3 * (after - frame.begin) ** 2
