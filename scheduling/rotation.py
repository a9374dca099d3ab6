"""Whose turn it is: sides within one activity, and activities among those that would shorten the day's lack alike.

Sides. With two classes, give the next prompt to the side that is at least half a prompt behind its share. From a
balanced log the count of a side then never strays from its share of n by more than 1/2, within the quota bound (less
than 1); from an unbalanced one the side that is behind comes next until the bound holds.

Activities. Where two would lessen the shortfall alike, the one that has had the smaller part of its target lately comes
first. For how close counts of many classes can stay to their shares see R. Tijdeman, "The chairman assignment problem",
Discrete Mathematics 32 (1980): bound 1 - 1/(2m - 2).
"""

from __future__ import annotations

from scheduling.history import SideCount
from scheduling.plan import AffectedSide, Ratio, Side, SideRule


def share_of_left(rule: SideRule, affected: AffectedSide) -> tuple[float, float] | None:
    """Return how many prompts go left and how many right, as a ratio; None where the activity has no sides."""
    match rule:
        case "none":
            return None
        case "alternate":
            return (1, 1)
        case "affected":
            ratio = (1.0, 0.0)
        case "unaffected":
            ratio = (0.0, 1.0)
        case Ratio(weak, strong):
            ratio = (weak, strong)
    return ratio if affected == "left" else (ratio[1], ratio[0])


def next_side(shares: tuple[float, float], count: SideCount, affected: AffectedSide) -> Side:
    """Return the side whose turn it is after the counted sessions.

    Tie, both sides half a prompt from their share: the side that was not the last one; where none was, the affected
    side, and left where both are.
    """
    left, right = shares
    done = count.left + count.right
    lead = 2 * (done + 1) * left - (2 * count.left + 1) * (left + right)
    if lead != 0:
        return "left" if lead > 0 else "right"
    if count.latest is not None:
        return "right" if count.latest == "left" else "left"
    return "right" if affected == "right" else "left"


def is_behind(side: Side, shares: tuple[float, float], count: SideCount) -> bool:
    """Say whether a side has had fewer sessions than its share of those counted."""
    left_is_behind = count.left * shares[1] < count.right * shares[0]
    right_is_behind = count.right * shares[0] < count.left * shares[1]
    return left_is_behind if side == "left" else right_is_behind
