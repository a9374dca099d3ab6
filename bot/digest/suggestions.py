"""What the therapist may want to consider, each with the figures behind it. Pure.

About how the plan fits the family's days, never about the baby's condition.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from bot.digest.activity_figures import ActivityFigures
from bot.digest.figures import FamilyDigest
from bot.digest.prone import PRONE_ACTIVITIES, WHO_FLOOR_MINUTES
from bot.digest.ranking import LEAST_DAYS, LOW_CONFIDENCE_BELOW, neglected_side

SuggestionKind = Literal[
    "silence",
    "side",
    "confidence",
    "poorly",
    "below_floor",
    "short",
    "short_many",
    "over",
    "asleep",
    "no_time",
    "unanswered",
]

SHORT_OF_TARGET = 0.6
OVER_TARGET = 1.25
SILENT_SHARE = 0.5
MANY_SHORT = 3
LEAST_PROMPTS = 5
UNANSWERED_SHARE = 0.5
SKIPPED_SHARE = 0.25


@dataclass(frozen=True, slots=True)
class Suggestion:
    """numbers: the figures behind it, by the names that its phrase uses."""

    kind: SuggestionKind
    activity: str | None
    numbers: dict[str, float | str]


def suggestions_for(digest: FamilyDigest) -> tuple[Suggestion, ...]:
    """Return what to consider, what is nearest to the family first."""
    return (
        *_silence(digest),
        *_sides(digest),
        *_confidence(digest),
        *_poorly(digest),
        *_below_floor(digest),
        *_against_targets(digest),
        *_prompting(digest),
    )


def _silence(digest: FamilyDigest) -> Iterator[Suggestion]:
    silent = digest.days_without_word
    days = silent + digest.days_with_word
    if days >= LEAST_DAYS and silent / days >= SILENT_SHARE:
        yield Suggestion("silence", None, {"n": silent, "days": days})


def _sides(digest: FamilyDigest) -> Iterator[Suggestion]:
    for figures in digest.activities:
        if reason := neglected_side(figures):
            yield Suggestion("side", figures.activity, reason.numbers)


def _confidence(digest: FamilyDigest) -> Iterator[Suggestion]:
    for rating in digest.confidence:
        if rating.latest < LOW_CONFIDENCE_BELOW:
            yield Suggestion("confidence", rating.activity, {"value": rating.latest})


def _poorly(digest: FamilyDigest) -> Iterator[Suggestion]:
    def count(kind: str) -> int:
        return sum(o.count or 0 for o in digest.observations if o.kind == kind)

    poorly, well = count("tolerated_poorly"), count("tolerated_well")
    if poorly >= 3 and poorly > well:
        yield Suggestion("poorly", None, {"poorly": poorly, "well": well})


def _below_floor(digest: FamilyDigest) -> Iterator[Suggestion]:
    prone = digest.prone
    if prone.minutes is None or prone.days < LEAST_DAYS or not _prone_is_planned(digest):
        return
    a_day = prone.minutes / prone.days
    if a_day < WHO_FLOOR_MINUTES:
        yield Suggestion(
            "below_floor", None, {"a_day": a_day, "days": prone.days, "floor": WHO_FLOOR_MINUTES}
        )


def _prone_is_planned(digest: FamilyDigest) -> bool:
    return any(a.activity in PRONE_ACTIVITIES and a.target_minutes for a in digest.activities)


def _against_targets(digest: FamilyDigest) -> Iterator[Suggestion]:
    """Yield what is short of its target or over it; many short ones are one suggestion: the plan is too much."""
    found = [s for figures in digest.activities for s in _against_target(figures)]
    short = [s for s in found if s.kind == "short"]
    if len(short) >= MANY_SHORT:
        minutes = sum(float(s.numbers["minutes"]) for s in short)
        target = sum(float(s.numbers["target"]) for s in short)
        numbers: dict[str, float | str] = {
            "n": len(short),
            "minutes": minutes,
            "target": target,
            "share": minutes / target,
        }
        yield Suggestion("short_many", None, numbers)
        found = [s for s in found if s.kind != "short"]
    yield from found


def _against_target(figures: ActivityFigures) -> Iterator[Suggestion]:
    if figures.minutes is None or not figures.known_target or figures.pace is None:
        return
    if figures.pace.days < LEAST_DAYS or figures.without_minutes:
        return
    part = figures.minutes / figures.known_target
    numbers: dict[str, float | str] = {
        "minutes": figures.minutes,
        "target": figures.known_target,
        "days": figures.pace.days,
        "share": part,
    }
    if part < SHORT_OF_TARGET:
        yield Suggestion("short", figures.activity, numbers)
    elif part >= OVER_TARGET:
        yield Suggestion("over", figures.activity, numbers)


def _prompting(digest: FamilyDigest) -> Iterator[Suggestion]:
    sent = digest.prompts.sent
    if sent < LEAST_PROMPTS:
        return
    skips = dict(digest.skips)
    for kind in ("asleep", "no_time"):
        if skips.get(kind, 0) / sent >= SKIPPED_SHARE:
            yield Suggestion(kind, None, {"n": skips[kind], "sent": sent})
    if digest.prompts.expired / sent >= UNANSWERED_SHARE:
        yield Suggestion("unanswered", None, {"n": digest.prompts.expired, "sent": sent})
