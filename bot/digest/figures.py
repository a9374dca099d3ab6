"""The figures of one family's period, and the JSON that they are printed as. What is not known is None, never 0."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any, Literal
from zoneinfo import ZoneInfo

from bot.concerns.finding import Urgency
from bot.digest.clinic import Check
from bot.digest.facts import (
    ConcernFact,
    GradeFact,
    NoteFact,
    ObservationFact,
    PlanChangeFact,
    PromptFact,
    QuestionFact,
    SessionFact,
    UnreadFact,
    VisitFact,
)
from bot.replies.reading import AffectedSide, ObservationKind, Side, SkipReason

DayState = Literal["word", "silent", "paused", "no_plan", "to_come"]
"""word: someone wrote, so what they did not tell counts as not done. silent: nobody wrote, nothing is known."""


@dataclass(frozen=True, slots=True)
class DayMinutes:
    """One activity on one date. The minutes are None unless someone wrote that day; target None without one."""

    date: date
    state: DayState
    left: float | None
    right: float | None
    unsided: float | None
    target: float | None

    @property
    def minutes(self) -> float | None:
        if self.left is None or self.right is None or self.unsided is None:
            return None
        return self.left + self.right + self.unsided


@dataclass(frozen=True, slots=True)
class Pace:
    """Minutes over the days on which someone wrote: the fair way to compare two periods."""

    minutes: float
    days: int

    @property
    def a_day(self) -> float:
        return self.minutes / self.days


@dataclass(frozen=True, slots=True)
class ActivityFigures:
    """One activity in the period.

    target_minutes: over all days of the period on which the plan asked for it; None if it never did.
    known_target: the same over the days with word only, so what `minutes` can fairly be held against.
    minutes, left, right, unsided, sessions, days_with_any: over the days with word; None if there was none.
    without_minutes: sessions among them of which nobody said how long.
    pace, previous_pace: None where no day is known.
    left_share: the part of its sessions that the plan wants on the left, None without a side.
    """

    activity: str
    target_minutes: float | None
    known_target: float | None
    minutes: float | None
    left: float | None
    right: float | None
    unsided: float | None
    sessions: int | None
    days_with_any: int | None
    without_minutes: int
    pace: Pace | None
    previous_pace: Pace | None
    left_share: float | None
    days: tuple[DayMinutes, ...]
    entries: tuple[SessionFact, ...]

    @property
    def wants_sides(self) -> bool:
        return self.left_share is not None or bool(self.left or self.right)


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

    @property
    def days_without_word(self) -> int:
        return sum(state == "silent" for _, state in self.days)

    @property
    def days_with_word(self) -> int:
        return sum(state == "word" for _, state in self.days)

    @property
    def share_of_asked(self) -> float | None:
        """All minutes of planned activities over what the plan asked, on days with word; None where unknown."""
        known = [a for a in self.activities if a.known_target and a.minutes is not None]
        asked = sum(a.known_target or 0.0 for a in known)
        return sum(a.minutes or 0.0 for a in known) / asked if asked else None

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
            "activities": [_activity_json(a) for a in self.activities],
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


def _activity_json(figures: ActivityFigures) -> dict[str, Any]:
    return {
        "activity": figures.activity,
        "target_minutes": number(figures.target_minutes),
        "minutes": number(figures.minutes),
        "left": number(figures.left),
        "right": number(figures.right),
        "unsided": number(figures.unsided),
        "sessions": figures.sessions,
        "days_with_any": figures.days_with_any,
    }


def number(value: float | None) -> float | int | None:
    """Return minutes as people write them: whole where they are whole, else to the hundredth."""
    if value is None:
        return None
    rounded = round(value, 2)
    return int(rounded) if rounded == int(rounded) else rounded
