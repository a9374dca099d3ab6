"""From words about the day's shape to a plan that has that shape. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from itertools import pairwise
from typing import Any, Literal, TypeAlias, get_args

from bot.domain.json_value import JsonValue
from bot.features.buttons import DayPart
from bot.parsing.schedule import MOST_FEEDS, MOST_NAPS, ShapeWords
from scheduling.plan import MIDNIGHT, MomentName, Plan

Reason = Literal["bed_before_wake", "nap_outside", "no_waking", "incomplete"]

SHORTEST_AWAKE = 15  # minutes: two naps closer than this are one


class NoSuchDay(ValueError):
    """The parts of a day do not fit together. reason: a phrase of shape.toml tells it."""

    def __init__(self, reason: Reason) -> None:
        super().__init__(reason)
        self.reason = reason


def wake_of(plan: Plan) -> int | None:
    return plan.awake[0][0] if plan.awake else None


def bed_of(plan: Plan) -> int | None:
    return plan.awake[-1][1] if plan.awake else None


def naps_of(plan: Plan) -> tuple[tuple[int, int], ...]:
    """Return the sleeps of the day: the gaps between waking spans."""
    return tuple((a[1], b[0]) for a, b in pairwise(plan.awake) if a[1] < b[0])


def bath_of(plan: Plan) -> tuple[int, ...]:
    return dict(plan.moments).get("bath", ())


def with_shape(plan: Plan, words: ShapeWords) -> Plan:
    """Return the plan with what was said of the day in place of what it held; the rest of it stays.

    Quiet time that was the night, and the bedtime moment, move along with wake and bed.

    Raises:
        NoSuchDay: the parts do not fit together.
    """
    wake = words.wake if words.wake is not None else wake_of(plan)
    bed = words.bed if words.bed is not None else bed_of(plan)
    if wake is None or bed is None:
        raise NoSuchDay("incomplete")
    if bed == 0:
        bed = MIDNIGHT
    if bed <= wake:
        raise NoSuchDay("bed_before_wake")
    naps = words.naps
    if naps is None:
        naps = tuple(nap for nap in naps_of(plan) if wake < nap[0] and nap[1] < bed)
    awake = _between(wake, bed, naps)
    feeds = _feeds(plan, words, wake, bed)
    if words.feeds_every is not None:
        feeds = tuple(range(wake + 10, bed, words.feeds_every))[:MOST_FEEDS]
    night = (bed % MIDNIGHT, wake)
    quiet = words.quiet or plan.quiet
    was_night = quiet == (_or_0(bed_of(plan)), wake_of(plan))
    told_night = words.wake is not None or words.bed is not None
    if words.quiet is None and told_night and (quiet is None or was_night):
        quiet = night if night[0] != night[1] else None
    moments = _moments(plan, words, bed)
    return replace(plan, awake=awake, feeds=feeds, quiet=quiet, moments=moments)


def _feeds(plan: Plan, words: ShapeWords, wake: int, bed: int) -> tuple[int, ...]:
    """Return the feeds of the day; where only feeds of the night are told, those of the daytime stay."""
    if not words.feeds:
        return plan.feeds if words.feeds is None else ()
    if any(wake <= feed < bed for feed in words.feeds):
        return words.feeds
    return tuple(sorted({*words.feeds, *(feed for feed in plan.feeds if wake <= feed < bed)}))


def _or_0(minute: int | None) -> int:
    return (minute or 0) % MIDNIGHT


def _between(wake: int, bed: int, naps: Iterable[tuple[int, int]]) -> tuple[tuple[int, int], ...]:
    spans, at = [], wake
    for start, end in sorted(naps):
        if start < wake or end > bed:
            raise NoSuchDay("nap_outside")
        if start - at >= SHORTEST_AWAKE:
            spans.append((at, start))
        at = end
    if bed - at >= SHORTEST_AWAKE:
        spans.append((at, bed))
    if not spans:
        raise NoSuchDay("no_waking")
    return tuple(spans)


def _moments(plan: Plan, words: ShapeWords, bed: int) -> tuple[tuple[MomentName, tuple[int, ...]], ...]:
    moments = dict(plan.moments)
    if words.bath is not None:
        moments.pop("bath", None)
        if words.bath:
            moments["bath"] = words.bath
    old_bed = bed_of(plan)
    if words.bed is not None and old_bed is not None and "bedtime" in moments:
        moved = (at + bed - old_bed for at in moments["bedtime"])
        moments["bedtime"] = tuple(at for at in moved if 0 <= at < MIDNIGHT)
    return tuple((name, moments[name]) for name in get_args(MomentName) if name in moments)


def even_naps(wake: int, bed: int, number: int) -> tuple[tuple[int, int], ...]:
    """Return `number` naps spread evenly over the day, for a carer who knows how many and not when.

    Lengths are common practice, no source: 90 minutes each for one or two naps, 60 for three, 45 for more; never so
    long that less than half of the day is left awake.
    """
    length = 90 if number <= 2 else 60 if number == 3 else 45
    length = min(length, (bed - wake) // (2 * number))
    awake = (bed - wake - number * length) / (number + 1)
    starts = [round((wake + (n + 1) * awake + n * length) / 5) * 5 for n in range(number)]
    return tuple((start, start + length) for start in starts)


def tapped(part: str, value: DayPart, wake: int | None, bed: int | None) -> ShapeWords | None:
    """Return the answer that a button stands for, None where it cannot be. wake, bed: as known so far.

    value: "none", "night" (quiet from bed to getting up), or a number: minutes of the day, naps, minutes between feeds.
    """
    if value == "none" and part in ("naps", "feeds", "bath"):
        return ShapeWords(**{part: ()})  # type: ignore[arg-type]
    if part == "quiet" and value == "night" and wake is not None and bed is not None:
        return ShapeWords(quiet=(bed % MIDNIGHT, wake))
    if not isinstance(value, int) or value >= MIDNIGHT:
        return None
    number = value
    match part:
        case "wake" | "bed":
            return ShapeWords(**{part: number})  # type: ignore[arg-type]
        case "naps" if wake is not None and bed is not None and wake < bed and 1 <= number <= MOST_NAPS:
            return ShapeWords(naps=even_naps(wake, bed, number))
        case "feeds" if number >= 60:
            return ShapeWords(feeds_every=number)
        case "bath":
            return ShapeWords(bath=(number,))
        case _:
            return None


def words_of_draft(draft: Mapping[str, JsonValue]) -> ShapeWords:
    """Return the answers kept so far (JSON) as ShapeWords."""
    answers: dict[str, Any] = {name: _tuples(value) for name, value in draft.items()}
    return ShapeWords(**answers)


def _tuples(value: JsonValue) -> object:
    return tuple(_tuples(each) for each in value) if isinstance(value, list) else value


Answer: TypeAlias = "int | tuple[Answer, ...]"
"""A part of a day as ShapeWords holds it: a time in minutes, or several, or spans."""


def draft_of(words: ShapeWords) -> dict[str, JsonValue]:
    """Return what is spoken of as JSON; the inverse of `words_of_draft`."""
    fields = ("wake", "bed", "naps", "feeds", "feeds_every", "bath", "quiet")
    return {name: _plain(getattr(words, name)) for name in fields if getattr(words, name) is not None}


def _plain(value: Answer) -> JsonValue:
    return [_plain(each) for each in value] if isinstance(value, tuple) else value


def with_answers(draft: Mapping[str, JsonValue], answers: Mapping[str, JsonValue]) -> Mapping[str, JsonValue]:
    """Add answers to a draft; feeds are either named or every so many minutes, as said last."""
    if "feeds" in answers or "feeds_every" in answers:
        draft = {name: value for name, value in draft.items() if name not in ("feeds", "feeds_every")}
    return {**draft, **answers}
