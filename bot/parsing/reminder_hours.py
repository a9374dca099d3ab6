"""When a carer wants to hear from the bot: "no messages before 8", "only mornings", "not on Sundays". Pure.

Read as a whole message only: "no tummy time on Sunday" and "not before his feed" are for the reader of replies.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import Literal

from bot.parsing.clock import SaidTime, times_in
from bot.parsing.dates import weekdays
from bot.parsing.word_lists import either, holds, made_of, whole_of, words_in
from bot.text import fold
from scheduling.hours import Span
from scheduling.plan import MIDNIGHT

EVERY_DAY = frozenset(range(7))
WEEKEND = frozenset({5, 6})
MOST_TIMES = 4  # named one by one
MORNING_ENDS, EVENING_BEGINS, NIGHT_BEGINS, NIGHT_ENDS = 12 * 60, 18 * 60, 21 * 60, 6 * 60
_PARTS: dict[str, tuple[Span, ...]] = {
    "morning": ((0, MORNING_ENDS),),
    "afternoon": ((MORNING_ENDS, EVENING_BEGINS),),
    "evening": ((EVENING_BEGINS, MIDNIGHT),),
    "night": ((0, NIGHT_ENDS), (NIGHT_BEGINS, MIDNIGHT)),
}


@dataclass(frozen=True, slots=True)
class HoursWish:
    """spans: when reminders may come on `days` (Monday is 0); () for never. The days left out stay as they are."""

    spans: tuple[Span, ...]
    days: frozenset[int] = EVERY_DAY


_LISTS = tuple(
    f"hours_wish.{name}"
    for name in (
        "not",
        "only",
        "before",
        "after",
        "between",
        "at",
        "about_us",
        "and",
        *_PARTS,
        "weekend",
        "weekdays",
        "beside",
    )
)


def read_hours_wish(text: str) -> HoursWish | Literal["any"] | None:
    """Return when a carer wants reminders; "any" for no limit any more; None for anything that says something else."""
    plain = fold(text)
    if "?" in plain:
        return None
    if made_of(words_in(plain), ("hours_wish.any", "hours_wish.beside")) and holds(
        words_in(plain), "hours_wish.any"
    ):
        return "any"
    times = times_in(plain)
    bare = _without(plain, times)
    words = words_in(bare)
    days, not_days = _days(words)
    if not made_of(not_days, _LISTS):
        return None
    denied, only = holds(words, "hours_wish.not"), holds(words, "hours_wish.only")
    if denied == only:
        return None
    spans = (_at_hours(plain, times) if only else None) or _spans(plain, words, times, only=only)
    if spans is None:
        return None if days == EVERY_DAY else _of_days(days, only)
    return HoursWish(spans if only else _rest(spans), days)


def wants_fewer_at_weekends(text: str) -> bool:
    """Say whether a whole message asks for fewer reminders at the weekend, and not how many: "less on weekends"."""
    words = words_in(fold(text))
    return holds(words, "hours_wish.weekend") and whole_of(
        words, ("hours_wish.fewer",), ("hours_wish.weekend", "hours_wish.beside")
    )


def _of_days(days: frozenset[int], only: bool) -> HoursWish:
    return HoursWish((), EVERY_DAY - days if only else days)


def _without(plain: str, times: list[SaidTime]) -> str:
    rest = list(plain)
    for said in times:
        rest[said.start : said.end] = " " * (said.end - said.start)
    return "".join(rest)


@cache
def _weekdays() -> dict[str, int]:
    """Return the names of weekdays, the longer ones in the plural too."""
    names = weekdays()
    return {name + "s": day for name, day in names.items() if len(name) > 3} | dict(names)


def _days(words: tuple[str, ...]) -> tuple[frozenset[int], tuple[str, ...]]:
    """Return the weekdays named (all where none is), and the words without their names."""
    names = _weekdays()
    days = frozenset(names[word] for word in words if word in names)
    if holds(words, "hours_wish.weekend"):
        days |= WEEKEND
    if holds(words, "hours_wish.weekdays"):
        days |= EVERY_DAY - WEEKEND
    rest = tuple(word for word in words if word not in names)
    return days or EVERY_DAY, rest


def _at_hours(plain: str, times: list[SaidTime]) -> tuple[Span, ...] | None:
    """Return the hours of "only at 9 and 5", each from the time that is named; None where no such list of times stands."""
    if not 1 <= len(times) <= MOST_TIMES:
        return None
    # "Only 5" and "just about 5" are minutes.
    if not re.search(rf"{either('hours_wish.at')}\s*$", plain[: times[0].start]):
        return None
    joined = re.compile(rf"\s*(?:,|{either('schedule.lists')})*\s*(?:{either('hours_wish.at')}\s*)?")
    if not all(joined.fullmatch(plain[a.end : b.start]) for a, b in pairwise(times)):
        return None
    starts = sorted({_by_day(each) for each in times})
    ends = [min(start + 60, MIDNIGHT) for start in starts]
    if any(end > start for end, start in zip(ends, starts[1:], strict=False)):
        return None
    return tuple(zip(starts, ends, strict=True))


def _by_day(said: SaidTime) -> int:
    """Return a time at which somebody wants to hear from us: an open hour from 7 to 11 is of the morning."""
    return said.at("am" if 7 <= said.minute // 60 < 12 else "pm")


def _spans(
    plain: str, words: tuple[str, ...], times: list[SaidTime], *, only: bool
) -> tuple[Span, ...] | None:
    """Return the spans that the times or parts of the day name; None where there are none."""
    if len(times) > 2:
        return None
    if len(times) == 2:
        between = (only and holds(words, "hours_wish.about_us")) or re.search(
            rf"{either('hours_wish.between')}\s*(?:las?\s+)?$", plain[: times[0].start]
        )
        joined = re.fullmatch(
            rf"\s*(?:[-–—]|{either('hours_wish.and')})\s*(?:las?\s+)?", plain[times[0].end : times[1].start]
        )
        if not joined or not between:
            return None
        start = times[0].at("am" if times[0].minute >= NIGHT_ENDS else "pm")
        end = times[1].after(start)
        return ((start, end),) if start < end else ((0, end), (start, MIDNIGHT))
    if len(times) == 1:
        before_it = plain[: times[0].start]
        if re.search(rf"{either('hours_wish.before')}\s*(?:(?:de )?las?\s+)?$", before_it):
            until = times[0].at("pm" if only and times[0].minute // 60 in (12, *range(1, 7)) else "am")
            return ((0, until),)
        if re.search(rf"{either('hours_wish.after')}\s*(?:(?:de )?las?\s+)?$", before_it):
            return ((_by_day(times[0]) if only else times[0].at("pm"), MIDNIGHT),)
        return None
    named = [spans for part, spans in _PARTS.items() if holds(words, f"hours_wish.{part}")]
    if not named:
        return None
    return tuple(sorted({span for spans in named for span in spans}))


def _rest(spans: tuple[Span, ...]) -> tuple[Span, ...]:
    """Return what a day has beside some spans."""
    free: list[Span] = []
    at = 0
    for start, end in spans:
        if at < start:
            free.append((at, start))
        at = max(at, end)
    return tuple([*free, (at, MIDNIGHT)] if at < MIDNIGHT else free)
