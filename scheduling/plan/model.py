"""The plan a therapist writes for one family: values that are already right."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from scheduling.sides import AffectedSide

MomentName = Literal["nappy", "dressing", "bath", "play", "carry", "bedtime"]

MIDNIGHT = 1440
"""24:00 as minutes of the wall clock: the midnight that ends a day."""


@dataclass(frozen=True, slots=True)
class Baby:
    """gestation_weeks: completed weeks at birth."""

    nickname: str
    born: date
    gestation_weeks: int
    affected_side: AffectedSide


@dataclass(frozen=True, slots=True)
class MinutesADay:
    minutes: float


@dataclass(frozen=True, slots=True)
class ShareOfAwake:
    """share: 0 to 1, of the elapsed minutes of the date's awake spans."""

    share: float


@dataclass(frozen=True, slots=True)
class TimesADay:
    """times: 1 to 24 sessions a day, however long each is: a movement woven into a care moment."""

    times: int


Target = MinutesADay | ShareOfAwake | TimesADay


@dataclass(frozen=True, slots=True)
class Ratio:
    """How many prompts go to each side, as affected : unaffected."""

    affected: float
    unaffected: float


SideRule = Literal["none", "affected", "unaffected", "alternate"] | Ratio


@dataclass(frozen=True, slots=True)
class Dose:
    """Another dose of the same activity; None leaves what there is."""

    target: MinutesADay | ShareOfAwake | None = None
    session: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True)
class NextStep:
    """What may come after an activity, and when: on `days` of the last `of` dates `minutes` or more were done.

    then: the id of the activity that takes its place, or another dose of it. taken_well: and it was mostly taken well.
    """

    then: str | Dose
    days: int
    of: int
    minutes: float
    taken_well: bool = False


@dataclass(frozen=True, slots=True)
class Activity:
    """One activity of a plan. All lengths are whole minutes.

    target: None where only a goal asks for it. session: least and most minutes of one prompt. moments: None where the
    activity stands at any time. from_, until: first and last date on which it may be prompted, None for no limit.
    when: "early" where a fresh baby is wanted: rather in the first half of an awake span.
    next_step: what the therapist may be shown when it is met. easier: the id of an easier form for hard days.
    """

    activity: str
    target: Target | None
    session: tuple[int, int]
    after_feed: int = 0
    before_feed: int = 0
    own_gap: int = 0
    next_step: NextStep | None = None
    easier: str | None = None
    moments: tuple[MomentName, ...] | None = None
    side: SideRule = "none"
    weight: float = 1
    from_: date | None = None
    until: date | None = None
    when: Literal["early"] | None = None

    @property
    def counts_times(self) -> bool:
        """Say whether its own target counts sessions and not minutes."""
        return isinstance(self.target, TimesADay)

    def held_on(self, day: date) -> bool:
        """Say whether the therapist holds this activity on `day` (it may not be prompted)."""
        return (self.from_ is not None and day < self.from_) or (self.until is not None and day > self.until)


@dataclass(frozen=True, slots=True)
class Goal:
    """A target that several activities reach together. activities: ids of the plan's, one or more."""

    goal: str
    activities: tuple[str, ...]
    target: Target
    weight: float = 1

    @property
    def counts_times(self) -> bool:
        """Say whether its target counts sessions and not minutes."""
        return isinstance(self.target, TimesADay)


HoldReason = Literal["birth", "fracture", "surgery", "injection", "cast"]


@dataclass(frozen=True, slots=True)
class ArmHold:
    """The weak arm rests: nothing that moves or loads it is prompted from `from_` on, until another plan says otherwise.

    until: the date on which the therapist is asked whether it ends; its coming ends nothing. None where no date is known.
    """

    reason: HoldReason
    from_: date
    until: date | None = None

    def holds_on(self, day: date) -> bool:
        return day >= self.from_


@dataclass(frozen=True, slots=True)
class Plan:
    """A family's plan. Times of the day are minutes of the local wall clock, 0 to 1439; 1440 may end an awake span.

    awake: (from, to), in order. moments: (name, times), in the order of the document. quiet: (from, to); passes
    midnight where from > to.
    """

    baby: Baby
    time_zone: str
    awake: tuple[tuple[int, int], ...]
    feeds: tuple[int, ...] = ()
    moments: tuple[tuple[MomentName, tuple[int, ...]], ...] = ()
    quiet: tuple[int, int] | None = None
    most_prompts: int = 6
    shortest_gap: int = 30
    activities: tuple[Activity, ...] = ()
    goals: tuple[Goal, ...] = ()
    arm_hold: ArmHold | None = None

    def activity(self, name: str) -> Activity | None:
        """Return the activity of that id, or None where the plan does not hold it."""
        return next((each for each in self.activities if each.activity == name), None)

    def times_of(self, name: str) -> int | None:
        """Return how many sessions a day an activity is asked for, by its own target or its goal's; None: it counts minutes."""
        activity = self.activity(name)
        if activity is None:
            return None
        goals = [each.target for each in self.goals if name in each.activities]
        asked = goals if activity.target is None else [activity.target]
        times = [target.times for target in asked if isinstance(target, TimesADay)]
        return max(times) if times and len(times) == len(asked) else None


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with a plan document. path: "activities[0].session[1]"; empty for the whole document."""

    path: str
    message: str

    def __str__(self) -> str:
        return f"{self.path}: {self.message}" if self.path else self.message


class PlanProblems(ValueError):
    """A plan document cannot be read. `problems` holds every problem, in the order of the document."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__("; ".join(str(problem) for problem in problems))
        self.problems = problems
