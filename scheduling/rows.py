"""What a planned day reaches: a row for each target and each goal; which of them decided a prompt."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from scheduling.demands import Demand
from scheduling.needs import Need
from scheduling.plan import Plan
from scheduling.reasons import Because, Why
from scheduling.worth import most_alone


class Planned(Protocol):
    """A prompt, as far as rows need it."""

    @property
    def activity(self) -> str: ...

    @property
    def minutes(self) -> int: ...


@dataclass(frozen=True, slots=True)
class Target:
    """An activity's own target or a goal's. name: its id. All in minutes, or in sessions where times.

    short: what is still missing when the planned prompts are done. why: None where nothing is. members: the activities
    that count toward it today. weighted_short: the part of the target that is missing, times its weight.
    """

    name: str
    target: float
    logged: float
    planned: int
    short: float
    why: Why | None
    times: bool
    members: tuple[str, ...]
    weighted_short: float = 0.0


@dataclass(frozen=True, slots=True)
class Rows:
    """needs: every activity that is not held. left: prompts that the day could still have. cap: the most of the day."""

    plan: Plan
    needs: Sequence[Need]
    prompts: Sequence[Planned]
    left: int
    cap: int

    def row(self, demand: Demand) -> Target:
        """Return what the day does for one demand."""
        own = [prompt.minutes for prompt in self.prompts if prompt.activity in demand.members]
        planned = len(own) if demand.times else sum(own)
        short = round(max(0.0, demand.target - demand.logged - planned), 6)
        why = self._why(demand, len(own)) if short > 0 else None
        return Target(
            name=demand.name,
            target=demand.target,
            logged=demand.logged,
            planned=planned,
            short=short,
            why=why,
            times=demand.times,
            members=demand.members,
            weighted_short=demand.counted * short,
        )

    def _why(self, demand: Demand, prompts: int) -> Why:
        members = [need for need in self.needs if need.activity.activity in demand.members]
        if not any(need.openings for need in members):
            bound = all(need.activity.moments is not None for need in members)
            return Why("no_moment" if bound else "no_room")
        step = min(max(self.plan.shortest_gap, need.least) for need in members)
        if not demand.goal:
            step = max(step, members[0].own_gap)
        everything = sorted(opening for need in members for opening in need.openings)
        if prompts >= most_alone(everything, step, 99):
            return Why("own_room")
        if len(self.prompts) >= self.left:
            return Why("most_prompts", self.cap)
        return Why("shared_room")


def reason_of(need: Need, so_far: Mapping[int, float]) -> Because:
    """Return the numbers that decided a prompt. so_far: what each demand has, by its place.

    Those of the activity's own target while it misses anything, else of the goal that gains most by a session.
    """

    def gained(each: tuple[int, Demand]) -> tuple[bool, float]:
        place, demand = each
        rest = max(0.0, demand.target - so_far[place])
        own_first = not demand.goal and rest > 0
        return own_first, demand.worth * min(1 if demand.times else need.most, rest)

    place, demand = max(need.demands, key=gained)
    return Because(
        so_far[place], demand.target, goal=demand.name if demand.goal else None, times=demand.times
    )
