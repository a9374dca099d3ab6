"""What is said about a day that may have changed."""

from __future__ import annotations

from dataclasses import dataclass

from bot.domain.learned import AskedSuggestion
from bot.features.content import Content


@dataclass(frozen=True, slots=True)
class DayQuestion(Content):
    """What was heard, with its numbers, and the question that yes answers."""

    asked: AskedSuggestion


@dataclass(frozen=True, slots=True)
class DayLeft(Content):
    """The told day stays as it is."""


@dataclass(frozen=True, slots=True)
class DayMovedOn(Content):
    """The day has changed since this was asked."""


@dataclass(frozen=True, slots=True)
class TimesKept(Content):
    """Reminders come where the plan puts them, and nothing is asked about the day."""


@dataclass(frozen=True, slots=True)
class TimesLearned(Content):
    """Reminders may move to the hours at which the family answers."""
