"""A stretch of time as people say it: "3 days", "last month", "yesterday", "since Monday", "1 to 7 March". Pure."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache

from bot.parsing.dates import dates_in, weekdays, written_dates
from bot.parsing.word_lists import either, numbered
from bot.text import fold_with_offsets

MONTH = 30  # days of "a month"
_Read = Callable[[re.Match[str], date], "Said | None"]


@dataclass(frozen=True, slots=True)
class Said:
    """days: so many up to now; or first to last, local dates, both included. left: the words that say no time."""

    days: int | None
    first: date | None
    last: date | None
    left: str


def said_in_words(text: str, today: date) -> Said | None:
    """Return the time that words name, with the words left over; None where they name none."""
    folded, came_from = fold_with_offsets(text)
    for pattern, read in _patterns():
        match = pattern.search(folded)
        said = read(match, today) if match else None
        if match is not None and said is not None:
            return _without(said, text, came_from, match.span())
    return _of_dates(text, folded, came_from, today)


def _without(said: Said, text: str, came_from: list[int] | None, span: tuple[int, int]) -> Said:
    start, end = span if came_from is None else (came_from[span[0]], came_from[span[1] - 1] + 1)
    left = re.sub(r"[\s,;:?.!]+", " ", f"{text[:start]} {text[end:]}").strip()
    left = re.sub(rf"^{either('period.of')}\s+|\s*{either('period.of')}$", "", left, flags=re.IGNORECASE)
    return Said(said.days, said.first, said.last, left)


def _of_dates(text: str, folded: str, came_from: list[int] | None, today: date) -> Said | None:
    """Read "3 March", "since 3 March" (to today) and "from 1 March to 7 March"."""
    spans, found = written_dates(folded), dates_in(text, today, ahead=False)
    if not spans or len(found) != len(spans) or len(found) > 2:
        return None
    intro = re.search(rf"{either('period.since')}\s*$", folded[: spans[0][0]])
    between = folded[spans[0][1] : spans[-1][0]] if len(spans) == 2 else ""
    if len(spans) == 2 and not re.fullmatch(rf"\s*(?:-|{either('period.to')})?\s*", between):
        return None
    start = intro.start() if intro else spans[0][0]
    said = Said(None, found[0], found[1] if len(found) == 2 else today, "")
    return _without(said, text, came_from, (start, spans[-1][1]))


@cache
def _patterns() -> tuple[tuple[re.Pattern[str], _Read], ...]:
    """Return each way to say a time, the more telling first."""
    last, this, unit = either("period.last"), either("period.this"), _units()
    number = rf"(?P<n>\d{{1,4}}|{'|'.join(sorted(numbered('numbers'), key=len, reverse=True))}|{either('period.a')})"
    named = "|".join(sorted(weekdays(), key=len, reverse=True))
    table: list[tuple[str, _Read]] = [
        (rf"(?:{either('period.the')}\s+)?(?:{last}\s+)?(?<!\w){number}\s*{unit}(?:\s+{last})?(?!\w)", _counted),
        (rf"(?:{either('period.the')}\s+)?{this}\s+{unit}", _present),
        (rf"(?:{either('period.the')}\s+)?(?:{last}\s+{unit}|{unit.replace('?P<', '?P<x')}\s+{last})", _past),
        (either("period.yesterday"), lambda _, today: _whole(today - timedelta(days=1), today - timedelta(days=1))),
        (either("period.today"), lambda _, today: _whole(today, today)),
        (rf"{either('period.since')}\s+(?:{last}\s+)?(?P<weekday>{named})(?!\w)", _since),
        (unit, lambda match, _: Said(_days(match, ""), None, None, "")),
    ]  # fmt: skip
    return tuple((re.compile(pattern), read) for pattern, read in table)


def _units() -> str:
    return rf"(?:(?P<day>{either('period.day')})|(?P<week>{either('period.week')})|(?P<month>{either('period.month')}))"


def _days(match: re.Match[str], prefix: str) -> int:
    if match[f"{prefix}day"]:
        return 1
    return 7 if match[f"{prefix}week"] else MONTH


def _whole(first: date, last: date) -> Said:
    return Said(None, first, last, "")


def _counted(match: re.Match[str], _today: date) -> Said:
    """ "3 days", "the last two weeks": counted back from now."""
    said = match["n"]
    number = int(said) if said.isdigit() else numbered("numbers").get(said, 1)
    return Said(number * _days(match, ""), None, None, "")


def _present(match: re.Match[str], today: date) -> Said:
    """ "This week" from Monday, "this month" from its first day."""
    if match["day"]:
        return _whole(today, today)
    first = today - timedelta(days=today.weekday()) if match["week"] else today.replace(day=1)
    return _whole(first, today)


def _past(match: re.Match[str], today: date) -> Said:
    """ "Last week" is the one from Monday to Sunday before this one, "last month" the calendar month before."""
    days = _days(match, "") if match["day"] or match["week"] or match["month"] else _days(match, "x")
    if days == 1:
        return _whole(today - timedelta(days=1), today - timedelta(days=1))
    if days == MONTH:
        last = today.replace(day=1) - timedelta(days=1)
        return _whole(last.replace(day=1), last)
    monday = today - timedelta(days=today.weekday() + 7)
    return _whole(monday, monday + timedelta(days=6))


def _since(match: re.Match[str], today: date) -> Said:
    back = (today.weekday() - weekdays()[match["weekday"]]) % 7
    return _whole(today - timedelta(days=back), today)
