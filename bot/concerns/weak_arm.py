"""The arm that is weak from birth: what is as it always was, what is new, and which limb is meant."""

from __future__ import annotations

import re
from collections.abc import Callable

from bot.concerns.finding import Urgency
from bot.concerns.standing import Match

AS_BEFORE = "arm_as_before"
NEW_LOSS = "arm_not_moving"
OTHER_LIMB = "other_limb_not_moving"
_WINDOW = 10  # words on either side of the sign that can say which limb, and since when


class WeakArm:
    """Weighs a sign of lost movement against how the arm has been from birth."""

    def __init__(self, expression: Callable[[str], str]) -> None:
        self._still = re.compile(expression("@still_so"))
        self._change = re.compile(expression("@change"))
        self._since_birth = re.compile(expression("@since_birth"))
        self._other = re.compile(expression("@other_limb"))
        self._sides = {"left": re.compile(expression("@left")), "right": re.compile(expression("@right"))}

    def weigh(self, code: str, match: Match, affected_side: str) -> tuple[str, Urgency]:
        """Return the sign that it is, and its urgency.

        Lost movement of another limb is new, whatever the words. In the weak arm "still doesn't" is no news, and
        "stopped", "any more", "less than last week" are. With neither, the higher urgency holds.
        """
        begin = (
            max(code.rfind(".", 0, match.start), code.rfind("?", 0, match.start), match.start - _WINDOW - 1)
            + 1
        )
        end = min(match.end + _WINDOW, len(code))
        stop = re.compile("[.?]").search(code, match.end, end)
        end = stop.start() if stop else end
        if self._other.search(code, begin, end) or self._names_other_side(code, match, end, affected_side):
            return OTHER_LIMB, "same_day"
        if self._since_birth.search(code, begin, end):
            return AS_BEFORE, "tell_therapist"
        if self._change.search(code, begin, end):
            return NEW_LOSS, "same_day"
        if self._still.search(code, begin, end):
            return AS_BEFORE, "tell_therapist"
        return NEW_LOSS, "same_day"

    def _names_other_side(self, code: str, match: Match, end: int, affected_side: str) -> bool:
        if affected_side not in self._sides:
            return False
        other = "right" if affected_side == "left" else "left"
        low, high = max(0, match.start - 2), min(match.end + 2, end)
        return bool(self._sides[other].search(code, low, high)) and not self._sides[affected_side].search(
            code, low, high
        )
