"""What a reply is read with, and what is read from it: plain values, no rules."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from bot.concerns.finding import Concern
from scheduling.sides import AffectedSide, Side

SkipReason = Literal["asleep", "unwell", "refused", "away", "no_time", "other"]
ObservationKind = Literal[
    "head_turn", "head_lift", "hand_to_mouth", "arm_movement", "grasp", "roll",
    "tolerated_well", "tolerated_poorly", "fell_asleep",
]  # fmt: skip
RequestKind = Literal[
    "refresher", "later", "undo", "correct", "pause", "resume", "today", "week",
    "question", "contact", "help", "stop",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Prompted:
    """The reminder that a reply answers."""

    activity: str
    side: Side | None
    minutes: float


@dataclass(frozen=True, slots=True)
class ByTimes:
    """An activity that is counted by times and not by minutes.

    a_day: how often "every time" is on a whole day; so_far: today until now. moments: the care moments it stands at; empty:
    any.
    """

    activity: str
    a_day: int
    so_far: int
    moments: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class ReplyContext:
    """Everything outside the text that its meaning may depend on.

    now: the family's local time, aware. age_weeks: chronological, whole weeks. plan: the ids in the family's plan. times:
    those of its activities that are counted by times.
    """

    now: datetime
    language: Literal["en", "es"]
    affected_side: AffectedSide
    age_weeks: int
    plan: tuple[str, ...] = ()
    prompt: Prompted | None = None
    times: tuple[ByTimes, ...] = ()

    def by_times(self, activity: str | None) -> ByTimes | None:
        """Return how often an activity is done, where it is counted by times."""
        return next((each for each in self.times if each.activity == activity), None)


@dataclass(frozen=True, slots=True)
class Entry:
    """Minutes of one activity. day_offset: 0 today, -1 yesterday. at: "HH:MM", local.

    times: how many sessions, of an activity that is counted by times; minutes: then of each, where they were told. of_day: so
    many on that day in all ("3 of 5").
    """

    activity: str | None
    minutes: float | None
    side: Side | None = None
    day_offset: int = 0
    at: str | None = None
    times: int | None = None
    of_day: bool = False

    @property
    def whole(self) -> bool:
        """Whether nothing is missing: of what, and how much of it."""
        return bool(self.activity and (self.minutes or self.times))

    def as_json(self) -> dict[str, object]:
        """Return the entry in the form that `underwing read` prints; how often stands in it only where it was told."""
        told: dict[str, object] = {
            "activity": self.activity,
            "minutes": self.minutes,
            "side": self.side,
            "day_offset": self.day_offset,
            "at": self.at,
        }
        return told if self.times is None else told | {"times": self.times, "of_day": self.of_day}


@dataclass(frozen=True, slots=True)
class Observation:
    kind: ObservationKind
    side: Side | None = None


@dataclass(frozen=True, slots=True)
class Request:
    """What the carer asks of the bot. minutes: for "later", how long from now, where they said so."""

    kind: RequestKind
    activity: str | None = None
    minutes: float | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """What one message says. `unclear` is what must be asked about before it is a concern or none;
    a Reading with it has confirm true."""

    entries: tuple[Entry, ...] = ()
    skipped: SkipReason | None = None
    observations: tuple[Observation, ...] = ()
    request: Request | None = None
    concern: Concern | None = None
    confirm: bool = False
    unread: str | None = None
    unclear: Concern | None = None

    def as_json(self) -> dict[str, object]:
        """Return the reading in the form that `underwing read` prints."""
        return {
            "entries": [entry.as_json() for entry in self.entries],
            "skipped": self.skipped,
            "observations": [{"kind": o.kind, "side": o.side} for o in self.observations],
            "request": self.request
            and {
                "kind": self.request.kind,
                "activity": self.request.activity,
                "minutes": self.request.minutes,
            },
            "concern": _concern_as_json(self.concern),
            "unclear": _concern_as_json(self.unclear),
            "confirm": self.confirm,
            "unread": self.unread,
        }


def _concern_as_json(concern: Concern | None) -> dict[str, object] | None:
    return None if concern is None else {"urgency": concern.urgency, "topics": list(concern.topics)}
