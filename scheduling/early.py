"""Activities that want a fresh baby stand in the first half of an awake span where the choice is free.

The law: no one move raises the day's count of early prompts: a prompt put to another start of that date, or two prompts
that exchange their starts, each with its own activity and minutes, every hard rule and the turns of goals kept. That babies
tire toward the end of a wake window is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from scheduling.day import DayShape
from scheduling.goal_turns import GoalTurns
from scheduling.spread import FIXED, Placed, added


def stands_early(shape: DayShape, start: float) -> bool:
    """Say whether a start lies no later than the middle of the awake span that holds it."""
    return any(begin <= start < end and 2 * start <= begin + end for begin, end in shape.spans)


def made_early(board: list[Placed], shape: DayShape, turns: GoalTurns) -> list[Placed]:
    """Move prompts until the law holds. Each move raises the count, so that it comes to an end."""
    while True:
        found = next(_moves(board, shape, turns), None)
        if found is None:
            return board
        board = found


def _moves(board: list[Placed], shape: DayShape, turns: GoalTurns) -> Iterator[list[Placed]]:
    late = [
        place
        for place, (start, _, index) in enumerate(board)
        if index != FIXED and turns.needs[index].activity.when == "early" and not stands_early(shape, start)
    ]
    for place in late:
        yield from _earlier(board, place, shape, turns)
    for place in late:
        yield from _exchanged(board, place, shape, turns)


def _earlier(board: list[Placed], place: int, shape: DayShape, turns: GoalTurns) -> Iterator[list[Placed]]:
    """Yield the boards with one prompt at another, early start: evenest first, on the minute of a feed last."""
    _, minutes, index = board[place]
    others = board[:place] + board[place + 1 :]
    others_at = [at for at, _, _ in others]
    starts = sorted(
        _early_starts(others, minutes, index, shape, turns),
        key=lambda start: (start in shape.feeds, added(start, others_at, turns.frame), start),
    )
    for start in starts:
        moved = sorted([*others, (float(start), minutes, index)])
        if turns.holds(moved):
            yield moved


def _early_starts(
    others: list[Placed], minutes: int, index: int, shape: DayShape, turns: GoalTurns
) -> set[int]:
    """Return the early starts that the hard rules leave a session of a need beside the others."""
    need, gap = turns.needs[index], turns.frame.gap
    starts = {
        start
        for first, last, end in need.openings
        for begin, stop in shape.spans
        for start in range(max(first, begin), min(last, end - minutes, stop - 1, (begin + stop) // 2) + 1)
    }
    for at, length, other in others:
        if other != FIXED:
            own = need.own_gap if other == index else 0
            before, after = max(gap, minutes, own), max(gap, length, own)
            starts.difference_update(range(int(at) - before + 1, int(at) + after))
    return starts


def _exchanged(board: list[Placed], place: int, shape: DayShape, turns: GoalTurns) -> Iterator[list[Placed]]:
    """Yield the boards on which a late prompt has exchanged its start with one that needs none so early."""
    start, minutes, index = board[place]
    for other, (at, length, of) in enumerate(board):
        if of in (FIXED, index) or not stands_early(shape, at) or turns.needs[of].activity.when == "early":
            continue
        moved = list(board)
        moved[place], moved[other] = (start, length, of), (at, minutes, index)
        if turns.allowed(moved) and turns.holds(moved):
            yield moved
