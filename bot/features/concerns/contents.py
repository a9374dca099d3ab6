"""What a carer hears about a concern of theirs, as values without words."""

from __future__ import annotations

from dataclasses import dataclass

from bot.concerns.schema import Advice as Text
from bot.domain.ids import ConcernId
from bot.features.content import Content


@dataclass(frozen=True, slots=True)
class Advice(Content):
    """Reviewed advice, the gravest text first. told: the carer's words that it answers, said back at its end."""

    texts: tuple[Text, ...]
    told: str = ""


@dataclass(frozen=True, slots=True)
class KeptFromView(Content):
    """There is advice that must not show on a screen that others may see; it comes once it is opened."""

    concern_id: ConcernId


@dataclass(frozen=True, slots=True)
class AskedWhether(Content):
    concern_id: ConcernId


@dataclass(frozen=True, slots=True)
class AskedTemperature(Content):
    """told: the carer's own words."""

    concern_id: ConcernId
    told: str


@dataclass(frozen=True, slots=True)
class Measured(Content):
    """A temperature was told that raises nothing by itself."""


@dataclass(frozen=True, slots=True)
class Denied(Content):
    pass


@dataclass(frozen=True, slots=True)
class Notified:
    """A therapist was told. therapist: their name. rests: no reminders come until the next morning."""

    therapist: str
    rests: bool = False


@dataclass(frozen=True, slots=True)
class NobodyReached:
    therapist: str


@dataclass(frozen=True, slots=True)
class Unread:
    """No therapist has read it yet, though all who can be reached were told."""


@dataclass(frozen=True, slots=True)
class Read:
    """A therapist has read it."""

    therapist: str


@dataclass(frozen=True, slots=True)
class ArmHeld:
    """What moves or loads the arm is held. therapist: who decides when it goes on."""

    therapist: str


@dataclass(frozen=True, slots=True)
class ArmGoesOn:
    therapist: str


ToCarer = ArmHeld | ArmGoesOn | Notified | NobodyReached | Unread | Read
