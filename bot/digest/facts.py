"""What a digest is computed from: plain values, filled by whoever reads the records.

Every `at` is an aware datetime. Every `date` is a local date of the family's zone. `messages` name the chat
messages that a fact was read from, so that each figure of the digest can be traced to what was said.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Literal

from bot.concerns.finding import Urgency
from bot.digest.due import Due, GoalDue
from bot.digest.plan_changes import PlanChange
from bot.replies.reading import ObservationKind, SkipReason
from scheduling.sides import AffectedSide, Side

PromptState = Literal["sent", "answered", "later", "skipped", "expired"]
"""What became of a reminder; "sent": nothing yet."""


@dataclass(frozen=True, slots=True)
class DayFacts:
    """One date of the period.

    awake_minutes: of the whole date, by the plan's day; None where no plan held on it.
    due, goals: of the whole date; a held activity has no row, nor a goal of none but such.
    part: which share of the date's waking time lies inside the period (a digest sent at 18:00 cuts its last day).
    paused: the family had asked for a pause.
    """

    date: date
    awake_minutes: float | None = None
    due: tuple[Due, ...] = ()
    goals: tuple[GoalDue, ...] = ()
    part: float = 1.0
    paused: bool = False


@dataclass(frozen=True, slots=True)
class SessionFact:
    """One thing done. minutes: more than 0; None where it was done but nobody said how long."""

    id: str
    activity: str
    minutes: float | None
    side: Side | None
    date: date
    at: datetime
    carer: str
    messages: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PromptFact:
    """One reminder that went out (once, however many carers got it). at: when."""

    activity: str
    side: Side | None
    date: date
    state: PromptState
    reason: SkipReason | None = None
    at: datetime | None = None


@dataclass(frozen=True, slots=True)
class SkipFact:
    reason: SkipReason
    activity: str | None
    date: date
    at: datetime
    carer: str
    messages: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ObservationFact:
    kind: ObservationKind
    side: Side | None
    date: date
    at: datetime
    carer: str
    messages: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ConfidenceFact:
    """How sure a carer felt about an activity, 0 to 10 (confidence ruler)."""

    activity: str
    value: float
    at: datetime
    carer: str


@dataclass(frozen=True, slots=True)
class ConcernFact:
    """A concern in the carer's own words.

    answered_at: when the therapist first answered, or None. seen: a therapist has looked at it. wrong: and found it to be none.
    """

    at: datetime
    carer: str
    urgency: Urgency
    text: str
    answered_at: datetime | None = None
    messages: tuple[str, ...] = ()
    seen: bool = False
    wrong: bool = False

    @property
    def waits(self) -> bool:
        return not (self.seen or self.wrong or self.answered_at)


@dataclass(frozen=True, slots=True)
class QuestionFact:
    """shows: it came as a photo or video of a hold, of `activity` where that is known; its words may be none."""

    at: datetime
    carer: str
    text: str
    answered_at: datetime | None = None
    messages: tuple[str, ...] = ()
    shows: bool = False
    activity: str | None = None


@dataclass(frozen=True, slots=True)
class UnreadFact:
    """Words that nothing could be read from, whole."""

    at: datetime
    carer: str
    text: str
    messages: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PlanChangeFact:
    """A new version of the plan. text: what its maker noted. changes: what differs from the version before."""

    at: datetime
    version: int
    text: str = ""
    changes: tuple[PlanChange, ...] = ()


NoteKind = Literal[
    "text",
    "file",
    "joined",
    "left",
    "load_asked",
    "load_fewer",
    "load_more",
    "quiet",
    "held",
    "go_on",
    "arm_hold",
    "taught",
    "untaught",
    "best_hour",
    "visit_note",
    "corrected",
]


@dataclass(frozen=True, slots=True)
class NoteFact:
    """Something else the therapist should know. text: in somebody's own words. values: names and numbers by the
    names that the kind's phrase uses."""

    at: datetime
    text: str = ""
    kind: NoteKind = "text"
    values: Mapping[str, str | int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class GradeFact:
    """Grades that the therapist entered: 0 to 7 by movement. Never computed from what carers told, never shown to them."""

    scale: Literal["ams", "toronto"]
    grades: Mapping[str, int]
    on: date
    entered_by: str
    id: str = ""


@dataclass(frozen=True, slots=True)
class VisitFact:
    """A visit that stands. minutes: more than 0."""

    at: datetime
    minutes: int


@dataclass(frozen=True, slots=True)
class PreviousFacts:
    """The period before, for comparison: as many days, told in the same way."""

    days: tuple[DayFacts, ...]
    days_with_word: frozenset[date]
    sessions: tuple[SessionFact, ...] = ()
    observations: tuple[ObservationFact, ...] = ()


@dataclass(frozen=True, slots=True)
class FamilyFacts:
    """Everything about one family in one period.

    days: each local date that the period touches, in order.
    as_of: when the facts were gathered; dates after it are still to come.
    from_at, to_at: the period as instants, start included, end not, where it is no whole number of local dates.
    days_with_word: dates on which any carer wrote or pressed a button; the dates of sessions, observations,
        skips, concerns, questions and unread texts count as well, named here or not.
    sessions: those of the period; one told late may bear a date before it.
    confidence: all ratings up to the end of the period, older ones too.
    carers: everyone who may write, as named to the therapist.
    grades: all entered up to the end of the period, the oldest first.
    visits: those of the period, and the next one after it.
    previous: None where there was no period before.
    """

    family: str
    nickname: str
    time_zone: str
    affected_side: AffectedSide
    born: date
    gestation_weeks: int
    days: tuple[DayFacts, ...]
    as_of: datetime
    from_at: datetime | None = None
    to_at: datetime | None = None
    days_with_word: frozenset[date] = frozenset()
    sessions: tuple[SessionFact, ...] = ()
    prompts: tuple[PromptFact, ...] = ()
    skips: tuple[SkipFact, ...] = ()
    observations: tuple[ObservationFact, ...] = ()
    confidence: tuple[ConfidenceFact, ...] = ()
    concerns: tuple[ConcernFact, ...] = ()
    questions: tuple[QuestionFact, ...] = ()
    unread: tuple[UnreadFact, ...] = ()
    carers: tuple[str, ...] = ()
    plan_changes: tuple[PlanChangeFact, ...] = ()
    notes: tuple[NoteFact, ...] = ()
    grades: tuple[GradeFact, ...] = ()
    visits: tuple[VisitFact, ...] = ()
    previous: PreviousFacts | None = None

    def __post_init__(self) -> None:
        if not self.days:
            raise ValueError(f"digest of family {self.family}: the period holds no day; give at least one")

    @property
    def from_(self) -> date:
        return self.days[0].date

    @property
    def to(self) -> date:
        """The last day, included."""
        return self.days[-1].date


def part_of_day(awake: Sequence[tuple[datetime, datetime]], from_at: datetime, to_at: datetime) -> float:
    """Return which share of a date's waking time lies in [from_at, to_at): 0 to 1.

    awake: the date's waking spans as instants. A date without waking time counts as 1.
    """
    whole = sum((end - start for start, end in awake), timedelta())
    inside = sum(
        (max(timedelta(), min(end, to_at) - max(start, from_at)) for start, end in awake), timedelta()
    )
    return inside / whole if whole else 1.0


def left_share(affected_side: AffectedSide, affected: float, unaffected: float) -> float:
    """Return the part of sessions wanted on the left, from a plan's ratio of affected to unaffected side.

    With both sides affected the ratio can only be even ("alternate"), so the sides' names do not matter.
    """
    share = affected / (affected + unaffected)
    return 1 - share if affected_side == "right" else share
