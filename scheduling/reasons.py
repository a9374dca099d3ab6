"""Why a prompt stands where it does, and why minutes are missing: the numbers that decided, without words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from scheduling.plan import MomentName, Side

_CLOSE = 1e-6

Turn = Literal["fixed", "behind", "next"]


@dataclass(frozen=True, slots=True)
class Because:
    """so_far: minutes (sessions, where times) logged today and planned before this prompt. target: the day's.

    goal: the goal whose numbers these are, None where they are the activity's own.

    side: the side that is due. turn: "fixed" where the plan names one side, "behind" where this side has had fewer
    sessions than its share, "next" where it has not and is the next all the same. left, right: sessions counted before this prompt.
    """

    so_far: float
    target: float
    side: Side | None = None
    turn: Turn | None = None
    left: int = 0
    right: int = 0
    moment: MomentName | None = None
    goal: str | None = None
    times: bool = False


WhyKind = Literal["no_moment", "no_room", "most_prompts", "own_room", "shared_room"]


@dataclass(frozen=True, slots=True)
class Why:
    """Why an activity falls short.

    no_moment: none of its moments is open to it today. no_room: no time is left that is long enough and clear of feeds
    and quiet. most_prompts: all `prompts` prompts that the day may have are used. own_room: it has all the time that its own
    rules leave it. shared_room: the gap between prompts and the other activities leave no more.
    """

    kind: WhyKind
    prompts: int = 0


@dataclass(frozen=True, slots=True)
class Proof:
    """How near a day comes to the best that its rules allow. short: its weighted shortfall. least: what is proved that no plan
    of this day can come below; None where nothing is."""

    short: float
    least: float | None

    @property
    def excess(self) -> float | None:
        """By which share the shortfall may lie above the least possible; 0 where it is the least, None where that is not known."""
        if self.least is None:
            return None
        if self.short <= self.least * (1 + _CLOSE) + _CLOSE:
            return 0.0
        return self.short / self.least - 1 if self.least > _CLOSE else None
