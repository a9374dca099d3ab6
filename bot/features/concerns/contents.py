"""What a carer hears about a concern of theirs, as values without words."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Advice:
    """Reviewed advice. keys: phrases ("advice.name"), the gravest first."""

    keys: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AskedWhether:
    concern_id: int


@dataclass(frozen=True, slots=True)
class Denied:
    pass


@dataclass(frozen=True, slots=True)
class Notified:
    """A therapist was told. therapist: their name."""

    therapist: str


@dataclass(frozen=True, slots=True)
class NobodyReached:
    therapist: str


@dataclass(frozen=True, slots=True)
class Read:
    """A therapist has read it."""

    therapist: str


ToCarer = Notified | NobodyReached | Read
