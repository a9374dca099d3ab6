"""Whose turn it is among the activities of a goal: the one with the fewest minutes in the last seven days.

The law: no prompt could be given to another activity of a goal that holds both, at the same start for the same minutes,
without breaking a hard rule or changing the day's shortfall, where that other comes first: fewer minutes of these seven
days, the prompt not counted, or as many and earlier in the plan. Each giving makes the sum of the squares of the minutes
less, or at a tie moves an earlier activity up, so that it comes to an end.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from scheduling.demands import Demand
from scheduling.needs import Need
from scheduling.spread import FIXED, Frame, Placed, keeps_own_gaps

_CLOSE = 1e-9


class GoalTurns:
    """The law for one day. week, together: as in scheduling.sessions.Asked."""

    def __init__(
        self,
        needs: Sequence[Need],
        demands: Sequence[Demand],
        week: Sequence[float],
        together: Sequence[Sequence[int]],
        frame: Frame,
    ) -> None:
        self.needs = needs
        self.demands = demands
        self.week = week
        self.together = together
        self.frame = frame

    def given_in_turn(self, board: list[Placed]) -> list[Placed]:
        """Give prompts to the activities whose turn it is until the law holds."""
        if not any(self.together):
            return board
        board = list(board)
        while (found := self._due(board)) is not None:
            place, index = found
            start, minutes, _ = board[place]
            board[place] = (start, minutes, index)
        return board

    def holds(self, board: Sequence[Placed]) -> bool:
        return not any(self.together) or self._due(board) is None

    def allowed(self, board: Sequence[Placed]) -> bool:
        """Say whether a board, by time, keeps every hard rule."""
        for _, minutes, index in board:
            if index != FIXED:
                least, most = self.needs[index].activity.session
                if not least <= minutes <= most:
                    return False
        if not all(
            index == FIXED or stands_open(self.needs[index], start, minutes)
            for start, minutes, index in board
        ):
            return False
        for before, after in pairwise(board):
            if FIXED not in (before[2], after[2]) and after[0] - before[0] < max(self.frame.gap, before[1]):
                return False
        return keeps_own_gaps(self.needs, board, sorted({index for _, _, index in board if index != FIXED}))

    def _due(self, board: Sequence[Placed]) -> tuple[int, int] | None:
        """Return (place of a prompt, need to which it is due), or None where the law holds."""
        minutes_of = list(self.week)
        done = [0.0] * len(self.demands)
        for _, minutes, index in board:
            if index != FIXED:
                minutes_of[index] += minutes
                for at, demand in self.needs[index].demands:
                    done[at] += 1 if demand.times else minutes
        for place, (_, minutes, index) in enumerate(board):
            if index == FIXED:
                continue
            mine = (round(minutes_of[index] - minutes, 6), index)
            for other in sorted(self.together[index], key=lambda n: (minutes_of[n], n)):
                if (round(minutes_of[other], 6), other) >= mine:
                    break
                if self._may_have(board, place, other) and self._as_short(done, index, other, minutes):
                    return place, other
        return None

    def _may_have(self, board: Sequence[Placed], place: int, other: int) -> bool:
        start, minutes, _ = board[place]
        need = self.needs[other]
        least, most = need.activity.session
        if not least <= minutes <= most or not stands_open(need, start, minutes):
            return False
        return all(
            abs(at - start) >= need.own_gap
            for n, (at, _, index) in enumerate(board)
            if index == other and n != place
        )

    def _as_short(self, done: Sequence[float], index: int, other: int, minutes: int) -> bool:
        """Say whether the shortfall stays as it is when a prompt goes from one need to another."""
        change = 0.0
        old, new = dict(self.needs[index].demands), dict(self.needs[other].demands)
        for at in old.keys() ^ new.keys():
            demand = self.demands[at]
            amount = 1 if demand.times else minutes
            after = done[at] + (amount if at in new else -amount)
            change += demand.counted * (min(after, demand.missing) - min(done[at], demand.missing))
        return abs(change) <= _CLOSE


def stands_open(need: Need, start: float, minutes: int) -> bool:
    """Say whether the rules leave the need room at `start`, other new prompts apart."""
    return any(first <= start <= last and start + minutes <= end for first, last, end in need.openings)
