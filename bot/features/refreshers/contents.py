"""What a carer hears when a hold is explained again, as values without words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from bot.domain.media import Material
from bot.features.content import Content
from scheduling.sides import Side

WhyNot = Literal["unknown", "not_in_plan", "taught_first", "held", "rests_until", "rests"]
Part = Literal["short", "whole", "hands", "side"]


@dataclass(frozen=True, slots=True)
class NotExplained(Content):
    """Why a hold is not explained to this family now. until: the day it rests to. may_ask: with a way to ask about it."""

    why: WhyNot
    activity: str
    until: date | None = None
    may_ask: bool = False


@dataclass(frozen=True, slots=True)
class TherapistsOwn(Content):
    """The therapist's own photo, video or voice of this hold with this family."""

    material: Material


@dataclass(frozen=True, slots=True)
class Card(Content):
    """A hold's card for this baby's side, or a part of it, with all its stop signs."""

    activity: str
    side: Side | None
    part: Part


@dataclass(frozen=True, slots=True)
class WhichHold(Content):
    """Which hold is it? activities: those of the plan."""

    activities: tuple[str, ...]
