"""Left and right, from the words that families use."""

from __future__ import annotations

from bot.replies.marks import Mark
from bot.replies.reading import ReplyContext
from scheduling.sides import Side

_OPPOSITE: dict[str, Side] = {"left": "right", "right": "left"}
_SEEING = frozenset({"turn", "move", "reach", "roll", "grab", "lift", "suck"})
_REACH = 3


def opposite(side: str | None) -> Side | None:
    return _OPPOSITE.get(side or "")


def side_at(row: list[Mark], at: int, context: ReplyContext) -> Side | None:
    """Return left or right for the side named at a mark, or None where the context does not settle it."""
    value = row[at].value
    affected: Side | None = None if context.affected_side == "both" else context.affected_side
    if value == "left":
        return "left"
    if value == "right":
        return "right"
    if value == "affected":
        return affected
    if value == "other":
        return opposite(affected)
    for n in range(at - 1, -1, -1):
        if row[n].kind == "side" and row[n].value != "opposite":
            return opposite(side_at(row, n, context))
    return opposite(context.prompt.side if context.prompt else None)


def is_observed(row: list[Mark], at: int, first: int, end: int) -> bool:
    """Return whether a side belongs to something seen ("turned to the right") and not to an activity.

    first, end: the clause that it stands in.
    """
    beside = [row[n].kind for n in (at - 1, at + 1) if first <= n < end]
    if "amount" in beside:
        return False
    near = range(max(first, at - _REACH), min(end, at + _REACH))
    return any(row[n].kind in _SEEING for n in near)
