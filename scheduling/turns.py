"""The order of a day's sessions: the activity that has had the smaller part of its need comes first, where nothing is lost by it.

Two sessions only change places: the minutes of the day, its starts and its spread stay as they are.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from scheduling.needs import Need
from scheduling.spread import FIXED, Frame, Placed, keeps_own_gaps, own_unevenness


def in_turn(needs: Sequence[Need], board: list[Placed], frame: Frame) -> list[Placed]:
    """Let sessions change places until no allowed change brings a needier activity forward.

    Needier: fewer of its days' targets had lately and planned earlier in the day; then first in the plan.
    """
    for place in range(len(board)):
        due = _due(needs, board)
        for later in sorted(range(place + 1, len(board)), key=due.__getitem__):
            if due[later] >= due[place]:
                break
            swapped = _swapped(needs, board, place, later, frame)
            if swapped is not None:
                board = swapped
                break
    return board


def _due(needs: Sequence[Need], board: Sequence[Placed]) -> list[tuple[float, int]]:
    planned = [0.0] * len(needs)
    due: list[tuple[float, int]] = []
    for _, minutes, index in board:
        if index == FIXED:
            due.append((-1.0, -1))
            continue
        need = needs[index]
        due.append((round(need.had + planned[index] / need.target, 9), index))
        planned[index] += minutes
    return due


def _swapped(
    needs: Sequence[Need], board: Sequence[Placed], one: int, other: int, frame: Frame
) -> list[Placed] | None:
    (start, minutes, index), (later, later_minutes, later_index) = board[one], board[other]
    if FIXED in (index, later_index) or index == later_index:
        return None
    if not (_open(needs[later_index], start, later_minutes) and _open(needs[index], later, minutes)):
        return None
    changed = list(board)
    changed[one], changed[other] = (start, later_minutes, later_index), (later, minutes, index)
    for before, after in pairwise(changed):
        if after[0] - before[0] < max(frame.gap, before[1]) and FIXED not in (before[2], after[2]):
            return None
    moved = (index, later_index)
    if not keeps_own_gaps(needs, changed, moved):
        return None
    if own_unevenness(changed, moved, frame) > own_unevenness(board, moved, frame) + 1e-6:
        return None
    return changed


def _open(need: Need, start: float, minutes: int) -> bool:
    return any(first <= start <= min(last, end - minutes) for first, last, end in need.openings)
