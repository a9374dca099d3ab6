"""Side words for this baby: how {weak_side}, {strong_side} and {side} read."""

from __future__ import annotations

from collections.abc import Iterable

from bot.activities.schema import SIDES, Activity, placeholders_of
from bot.phrases import words_for
from scheduling.sides import AffectedSide, Side

_OTHER: dict[Side, Side] = {"left": "right", "right": "left"}


def side_words(
    activity: Activity, *, language: str, affected_side: AffectedSide, side: Side | None
) -> dict[str, str]:
    """Return the plain words for the three side placeholders.

    With both sides affected there is no weak side by name: the words are "weaker" and "stronger".
    Without a prompted side, {side} is the activity's own usual one.
    """
    words = words_for(language)
    left_or_right = {"left": words.plain("card.left"), "right": words.plain("card.right")}
    if affected_side == "both":
        weak, strong = words.plain("card.weaker"), words.plain("card.stronger")
    else:
        weak, strong = left_or_right[affected_side], left_or_right[_OTHER[affected_side]]
    unnamed = weak if activity.unnamed_side == "weak" else strong
    return {
        "weak_side": weak,
        "strong_side": strong,
        "side": left_or_right[side] if side else unnamed,
    }


def cues_for(
    activity: Activity, *, language: str, affected_side: AffectedSide, side: Side | None
) -> tuple[str, ...]:
    """Return the cues, still with placeholders, that read as plain left or right for this baby.

    A cue may show on a lock screen, so none that would speak of a weaker side is among them. Never empty.
    """
    unsaid = unsaid_sides(affected_side, side)
    return tuple(cue for cue in activity.text(language).cues if not unsaid & set(placeholders_of(cue)))


def unsaid_sides(affected_side: AffectedSide, side: Side | None) -> frozenset[str]:
    """Return the side placeholders that would read as "weaker" or "stronger" for this baby."""
    if affected_side != "both":
        return frozenset()
    return SIDES - {"side"} if side else SIDES


def filled(lines: Iterable[str], values: dict[str, str]) -> list[str]:
    """Return the lines with their placeholders filled in."""
    return [line.format_map(values) for line in lines]
