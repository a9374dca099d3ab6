"""What a carer hears about the family's day and where the family is, as values without words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from bot.features.content import Content
from bot.features.schedule.rules import Reason
from bot.parsing.schedule import Part
from scheduling.plan import Plan

# ---------------------------------------------------------------- the day


@dataclass(frozen=True, slots=True)
class PartQuestion(Content):
    """The question for one part of the day. place: which question of how many, while the first day is asked for."""

    part: Part
    place: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True)
class HomeQuestion(Content):
    """Where does the family live? zones: names of time zones to tap."""

    zones: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WhichPart(Content):
    """Which part of the day is to change?"""


@dataclass(frozen=True, slots=True)
class DayShown(Content):
    plan: Plan
    may_change: bool


@dataclass(frozen=True, slots=True)
class RightQuestion(Content):
    """The day as it is known: is it right so?"""

    plan: Plan


@dataclass(frozen=True, slots=True)
class ChangeQuestion(Content):
    """Shall the day change so? unclear: parts of the message that were not understood. told: those that were, changed or not."""

    old: Plan
    new: Plan
    unclear: tuple[Part, ...]
    told: tuple[Part, ...] = ()


@dataclass(frozen=True, slots=True)
class DayChanged(Content):
    """The day has changed. version: of the plan before, which one tap puts back."""

    old: Plan
    new: Plan
    version: int


@dataclass(frozen=True, slots=True)
class DayConfirmed(Content):
    plan: Plan


@dataclass(frozen=True, slots=True)
class NoFit(Content):
    """The parts do not fit together. part: asked again, where one was asked for."""

    reason: Reason
    part: Part | None = None


@dataclass(frozen=True, slots=True)
class DayLine(Content):
    """One plain line: the day is not known yet, is as before, was not changed."""

    line: Literal["not_known", "as_before", "not_changed"]


DayContent = (
    PartQuestion
    | HomeQuestion
    | WhichPart
    | DayShown
    | RightQuestion
    | ChangeQuestion
    | DayChanged
    | DayConfirmed
    | NoFit
    | DayLine
)

# ---------------------------------------------------------------- where the family is


@dataclass(frozen=True, slots=True)
class StayShown(Content):
    """The family is away. zone: by whose time it lives; until: the last local day there."""

    zone: str
    until: date


@dataclass(frozen=True, slots=True)
class StayQuestion(Content):
    """Shall the baby's times go by another zone up to and with a local day? ahead: it is said on a day to come."""

    zone: str
    until: date
    ahead: bool = False


@dataclass(frozen=True, slots=True)
class AskedThatDay(Content):
    """A journey that begins later: the question of the zone comes on its first day."""

    zone: str
    since: date
    until: date


@dataclass(frozen=True, slots=True)
class UntilQuestion(Content):
    """Until when will the family be there?"""

    zone: str


@dataclass(frozen=True, slots=True)
class ZoneQuestion(Content):
    """Which of these zones is it? for_good: the family has moved."""

    zones: tuple[str, ...]
    for_good: bool


@dataclass(frozen=True, slots=True)
class StayBegun(Content):
    zone: str
    until: date
    home: str


@dataclass(frozen=True, slots=True)
class BackHome(Content):
    zone: str


@dataclass(frozen=True, slots=True)
class SameTime(Content):
    zone: str


@dataclass(frozen=True, slots=True)
class PlaceLine(Content):
    """One plain line: where are you, where is home, no such place, too many, not for day care."""

    line: Literal["where", "where_home", "unknown_place", "many_zones", "family_only"]


StayContent = (
    StayShown
    | StayQuestion
    | AskedThatDay
    | UntilQuestion
    | ZoneQuestion
    | StayBegun
    | BackHome
    | SameTime
    | PlaceLine
)
