"""How a sign stands in its sentence, and where it was found."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from functools import cached_property


class Standing(Enum):
    """How a sign stands in its sentence."""

    STANDS = "stands"
    DENIED = "denied"
    DOUBTED = "doubted"
    IMAGINED = "imagined"
    PAST = "past"
    OTHERS = "others"


@dataclass(frozen=True, slots=True)
class Match:
    """A wording found in an encoded message: [start, end), and the gaps between its words."""

    start: int
    end: int
    gaps: tuple[tuple[int, int], ...]


def compile_all(triggers: object) -> None:
    """Compute every cached property of an object, so that a missing word set is known at once."""
    for name, value in vars(type(triggers)).items():
        if isinstance(value, cached_property):
            getattr(triggers, name)
