"""The figures of one family's period, and the JSON that they are printed as. What is not known is None, never 0."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from bot.concerns.finding import Urgency
from bot.digest.activity_figures import (
    ActivityFigures,
    DayState,
    GoalFigures,
    Pace,
    activity_json,
    goal_json,
    number,
)
from bot.digest.clinic import Check
from bot.digest.facts import (
    ConcernFact,
    GradeFact,
    NoteFact,
    ObservationFact,
    PlanChangeFact,
    PromptFact,
    QuestionFact,
    UnreadFact,
    VisitFact,
)
from bot.replies.reading import ObservationKind, SkipReason
from scheduling.sides import AffectedSide, Side


@dataclass(frozen=True, slots=True)
class Prone:
    """Time on the tummy, all its forms together.

    awake_minutes: of the days with word whose plan is known; share: of these days.
    days: days with word. days_at_floor: those among them with 30 minutes or more.
    """

    minutes: float | None
    awake_minutes: float | None
    share: float | None
    days: int
    days_at_floor: int | None
    previous_share: float | None


@dataclass(frozen=True, slots=True)
class PromptCounts:
    """sent: all that went out; the others say what became of them, those without a fate are still open."""

    sent: int
    answered: int
    later: int
    skipped: int
    expired: int


@dataclass(frozen=True, slots=True)
class ObservationCount:
    """count, previous: None where nobody wrote in that period, so nothing is known."""

    kind: ObservationKind
    side: Side | None
    count: int | None
    previous: int | None


@dataclass(frozen=True, slots=True)
class Confidence:
    activity: str
    latest: float
    previous: float | None


@dataclass(frozen=True, slots=True)
class CarerShare:
    """minutes: None for one who told of none: what they did is not known."""

    carer: str
    entries: int
    minutes: float | None


@dataclass(frozen=True, slots=True)
class FamilyDigest:
    """week: ISO 8601 ("2026-W10") where the period is one, else None. skips: most frequent first.

    checks: those of the clinic that fall due in the period or in the fortnight after it. grades: the therapist's own.
    """

    family: str
    nickname: str
    time_zone: str
    affected_side: AffectedSide
    week: str | None
    from_: date
    to: date
    from_at: datetime | None
    to_at: datetime | None
    age_weeks: int
    corrected_weeks: int
    activities: tuple[ActivityFigures, ...]
    prone: Prone
    prompts: PromptCounts
    skips: tuple[tuple[SkipReason, int], ...]
    observations: tuple[ObservationCount, ...]
    seen: tuple[ObservationFact, ...]
    confidence: tuple[Confidence, ...]
    concerns: tuple[ConcernFact, ...]
    questions: tuple[QuestionFact, ...]
    unread: tuple[UnreadFact, ...]
    carers: tuple[CarerShare, ...]
    days: tuple[tuple[date, DayState], ...]
    plan_changes: tuple[PlanChangeFact, ...]
    notes: tuple[NoteFact, ...]
    sent: tuple[PromptFact, ...]
    grades: tuple[GradeFact, ...]
    checks: tuple[tuple[Check, date], ...]
    visits: tuple[VisitFact, ...]
    born: date
    pace: Pace | None
    previous_pace: Pace | None
    goals: tuple[GoalFigures, ...] = ()

    @property
    def days_without_word(self) -> int:
        return sum(state == "silent" for _, state in self.days)

    @property
    def days_with_word(self) -> int:
        return sum(state == "word" for _, state in self.days)

    @property
    def share_of_asked(self) -> float | None:
        """All minutes of planned activities over what the plan asked, on days with word; None where unknown.

        Where the plan asks for times alone, the same of sessions.
        """
        known = [a for a in self.activities if a.known_target and a.minutes is not None]
        asked = sum(a.known_target or 0.0 for a in known)
        if asked:
            return sum(a.minutes or 0.0 for a in known) / asked
        counted = [a for a in self.activities if a.known_times and a.sessions is not None]
        asked = sum(a.known_times or 0.0 for a in counted)
        return sum(a.sessions or 0 for a in counted) / asked if asked else None

    def as_json(self) -> dict[str, Any]:
        """Return the digest in the form that `underwing digest --json` prints. Times are in the family's zone."""
        zone = ZoneInfo(self.time_zone)
        return {
            "family": self.family,
            "week": self.week,
            "from": self.from_.isoformat(),
            "to": self.to.isoformat(),
            "baby": {"age_weeks": self.age_weeks, "corrected_weeks": self.corrected_weeks},
            **self._figures_json(),
            **self._words_json(zone),
            "carers": [
                {"carer": c.carer, "entries": c.entries, "minutes": number(c.minutes)} for c in self.carers
            ],
            "days_without_word": self.days_without_word,
            **self._changes_json(zone),
        }

    def _figures_json(self) -> dict[str, Any]:
        return {
            "activities": [activity_json(a) for a in self.activities],
            **({"goals": [goal_json(goal) for goal in self.goals]} if self.goals else {}),
            "prone": {
                "minutes": number(self.prone.minutes),
                "awake_minutes": number(self.prone.awake_minutes),
                "share": self.prone.share,
            },
            "prompts": asdict(self.prompts),
            "skips": dict(self.skips),
            "observations": [
                {"kind": o.kind, "side": o.side, "count": o.count, "previous_week": o.previous}
                for o in self.observations
            ],
            "confidence": [
                {"activity": c.activity, "latest": number(c.latest), "previous": number(c.previous)}
                for c in self.confidence
            ],
        }

    def _words_json(self, zone: ZoneInfo) -> dict[str, Any]:
        return {
            "concerns": [_open_json(c, zone, c.urgency) for c in self.concerns],
            "questions": [_open_json(q, zone, None) for q in self.questions],
            "unread": [{"at": _local(u.at, zone), "carer": u.carer, "text": u.text} for u in self.unread],
        }

    def _changes_json(self, zone: ZoneInfo) -> dict[str, Any]:
        return {
            "plan_changes": [
                {
                    "at": _local(p.at, zone),
                    "version": p.version,
                    "text": p.text or None,
                    "changes": [
                        {"what": c.what, "activity": c.activity, "before": c.before, "after": c.after}
                        for c in p.changes
                    ],
                }
                for p in self.plan_changes
            ],
            "notes": [
                {"at": _local(n.at, zone), "kind": n.kind, "text": n.text or None, **n.values}
                for n in self.notes
            ],
        }


def _local(at: datetime | None, zone: ZoneInfo) -> str | None:
    return at.astimezone(zone).isoformat() if at else None


def _open_json(told: ConcernFact | QuestionFact, zone: ZoneInfo, urgency: Urgency | None) -> dict[str, Any]:
    return {
        "at": _local(told.at, zone),
        "carer": told.carer,
        "urgency": urgency,
        "text": told.text,
        "answered_at": _local(told.answered_at, zone),
    }
