"""Which time a digest covers: read from a therapist's words, and carried in a button. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, tzinfo

from bot.parsing.dates import ISO, in_reach, iso_date
from bot.parsing.spans_in_words import Said, said_in_words
from scheduling.localtime import days_of_iso_week

USUAL_DAYS = 7
MOST_DAYS = 92
LONGEST = timedelta(
    days=400
)  # of what a button carries: a digest covers the time since the last one, however late


@dataclass(frozen=True, slots=True)
class Instants:
    """[from_at, to_at), as the weekly digest covers it: everything told in that time."""

    from_at: datetime
    to_at: datetime


@dataclass(frozen=True, slots=True)
class Dates:
    """Whole local dates, both included: what was done on them, whenever it was told."""

    first: date
    last: date


Span = Instants | Dates


class SpanProblem(ValueError):
    """Words name a time that cannot be used: a week or date that does not exist, too long, or still to come."""


_WEEK = re.compile(r"\d{4}-w\d{2}")
_DAYS = re.compile(r"\d{1,4}d?")


def span_from(text: str, *, now: datetime, zone: tzinfo) -> tuple[Span, str]:
    """Return the time that words name and the words left over: "14", "2026-W10", "2026-03-01 2026-03-14", "pip 14",
    and as people say it: "3 days", "last month", "yesterday".

    Without any, the seven days up to now. One date: from it to today. Weeks and dates are those of `zone`.

    Raises:
        SpanProblem: more than 92 days, an unknown week or date, the end before the start, or all still to come.
    """
    today = now.astimezone(zone).date()
    # A whole second, so that a button carries it unchanged, and after now, so that what was just told is in it.
    end = now.replace(microsecond=0) + timedelta(seconds=1)
    left: list[str] = []
    dates: list[date] = []
    span: Span | None = None
    told = said_in_words(text, today) if not re.search(ISO, text) else None
    if told is not None:
        text = told.left
        span = _told(told, end)
    for said in text.replace("..", " ").split():
        word = said.casefold()
        if _WEEK.fullmatch(word):
            week = _week(word.upper())
            span = Dates(week[0], week[-1])
        elif re.fullmatch(ISO, word):
            dates.append(_date(word))
        elif _DAYS.fullmatch(word) and span is None:
            span = Instants(end - timedelta(days=_days(word)), end)
        else:
            left.append(said)
    if dates:
        if len(dates) > 2:
            raise SpanProblem(text)
        span = Dates(dates[0], dates[1] if len(dates) == 2 else today)
    if isinstance(span, Dates) and not (
        span.first <= min(span.last, today) and (span.last - span.first).days < MOST_DAYS
    ):
        raise SpanProblem(text)
    return span or Instants(end - timedelta(days=USUAL_DAYS), end), " ".join(left)


def _told(told: Said, end: datetime) -> Span:
    if told.first is not None and told.last is not None:
        return Dates(told.first, told.last)
    if told.days is None or not 1 <= told.days <= MOST_DAYS:
        raise SpanProblem(f"{told.days} days")
    return Instants(end - timedelta(days=told.days), end)


def _week(word: str) -> tuple[date, ...]:
    try:
        return days_of_iso_week(word)
    except ValueError:
        raise SpanProblem(word) from None


def _date(word: str) -> date:
    found = iso_date(word)
    if found is None:
        raise SpanProblem(word)
    return found


def _days(word: str) -> int:
    days = int(word.rstrip("d"))
    if not 1 <= days <= MOST_DAYS:
        raise SpanProblem(word)
    return days


def encoded(span: Span) -> str:
    """Return a span as at most 15 characters for the data of a button, to the second."""
    if isinstance(span, Dates):
        return f"{_base36(span.first.toordinal())}-{_base36(span.last.toordinal())}"
    return f"{_base36(int(span.from_at.timestamp()))}.{_base36(int(span.to_at.timestamp()))}"


def decoded(text: str) -> Span | None:
    """Return the span that `encoded` wrote; None where the text is none, or no button of ours carries such a one."""
    parts = re.fullmatch(r"([0-9a-z]{1,8})([.-])([0-9a-z]{1,8})", text)
    if parts is None:
        return None
    start, end = int(parts[1], 36), int(parts[3], 36)
    try:
        if parts[2] == "-":
            days = date.fromordinal(start), date.fromordinal(end)
            return Dates(*days) if _can_be_shown(*days) else None
        moments = datetime.fromtimestamp(start, UTC), datetime.fromtimestamp(end, UTC)
        return Instants(*moments) if _can_be_shown(*moments) else None
    except (ValueError, OverflowError, OSError):
        return None


def _can_be_shown(start: date, end: date) -> bool:
    """Return whether a forged span is no more work than one that a button of ours carries."""
    return in_reach(start) and in_reach(end) and timedelta(0) <= end - start <= LONGEST


def _base36(number: int) -> str:
    def digits(rest: int) -> Iterator[str]:
        while rest:
            rest, digit = divmod(rest, 36)
            yield "0123456789abcdefghijklmnopqrstuvwxyz"[digit]

    return "".join(digits(number))[::-1] or "0"
