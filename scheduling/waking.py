"""A first session leaves a baby some minutes to wake where that costs nothing.

The told waking time is a mean: on many a day the baby sleeps on, so that a reminder on the first minute of an awake span finds
it asleep more often than one a little later (the numbers: DEVELOPERS.md, Figures). Ten minutes: ours, no source.
"""

from __future__ import annotations

from scheduling.day import DayShape
from scheduling.early import made_early, stands_early
from scheduling.goal_turns import GoalTurns
from scheduling.placing import Placing
from scheduling.spread import FIXED, Placed

WAKING = 10
"""Minutes after the beginning of an awake span."""


def after_waking(board: list[Placed], calm: Placing, shape: DayShape, turns: GoalTurns) -> list[Placed]:
    """Move prompts out of the first minutes of their awake spans, as far as neighbours, hard rules and other laws allow.

    calm: the needs without starts on the minute of a feed. Never one that stands at a care moment, nor where a goal's turn or
    an early start would be due by it.
    """
    for place in reversed(range(len(board))):
        start, _, index = board[place]
        begin = next((first for first, end in shape.spans if first <= start < end), start)
        if index == FIXED or start - begin >= WAKING or turns.needs[index].moments:
            continue
        moved = list(board)
        if not calm.shift(moved, place, begin + WAKING) or moved[place][0] <= start:
            continue
        early = turns.needs[index].activity.when == "early" and stands_early(shape, start)
        if early and not stands_early(shape, moved[place][0]):
            continue
        if turns.holds(moved) and made_early(moved, shape, turns) is moved:
            board = moved
    return board
