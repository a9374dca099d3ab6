"""Dates as people write them: 2026-03-12, 12 March, Mar 12 2026, 12 de marzo. Pure.

12/3 is not read: half the readers mean the third of December by it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from functools import cache
from typing import Any

from babel import Locale

from bot.parsing.word_lists import LANGUAGES, numbered
from bot.text import fold

ISO = r"\d{4}-\d{2}-\d{2}"
FIRST_YEAR, LAST_YEAR = 1900, 2199


@cache
def months() -> dict[str, int]:
    """Return the names of months in our languages, long and short, folded and without dots. January is 1."""
    return _calendar_names("months")


@cache
def weekdays() -> dict[str, int]:
    """Return the names of weekdays in our languages, long and short, folded and without dots. Monday is 0."""
    return _calendar_names("weekdays")


def _calendar_names(table: str) -> dict[str, int]:
    found: dict[str, int] = {}
    for language in LANGUAGES:
        locale = Locale.parse(language)
        names: Any = locale.months if table == "months" else locale.days
        for width in ("wide", "abbreviated"):
            for number, name in names["format"][width].items():
                found[fold(name).rstrip(".")] = number
    return found | numbered(table)


@cache
def _pattern() -> re.Pattern[str]:
    names = "|".join(sorted(months(), key=len, reverse=True))
    return re.compile(
        rf"(?P<iso>\b{ISO}\b)"
        rf"|\b(?P<day>\d{{1,2}})(?:st|nd|rd|th)?\.?\s*(?:de\s+|of\s+)?(?P<month>{names})\b\.?(?:,?\s*(?:del?\s+)?(?P<year>\d{{4}})\b)?"
        rf"|\b(?P<month2>{names})\b\.?\s+(?P<day2>\d{{1,2}})(?:st|nd|rd|th)?\b(?:,?\s*(?P<year2>\d{{4}})\b)?"
    )


def iso_date(text: str) -> date | None:
    """Return the date of "2026-03-12" and nothing else; None where the text is none, or the date does not exist or is out of reach."""
    if not re.fullmatch(ISO, text):
        return None
    try:
        found = date.fromisoformat(text)
    except ValueError:
        return None
    return found if in_reach(found) else None


def in_reach(day: date) -> bool:
    """Return whether a plan or a digest may reckon from a date, so that weeks before and after it exist too."""
    return FIRST_YEAR <= day.year <= LAST_YEAR


def written_dates(folded: str) -> list[tuple[int, int]]:
    """Return where dates stand in a folded text, whether they exist or not: first place, and the one after the last."""
    return [match.span() for match in _pattern().finditer(folded)]


def dates_in(text: str, today: date, *, ahead: bool) -> list[date]:
    """Return the dates that a text names, in its order; one that does not exist is left out.

    ahead: a date without a year is the next one to come (today included), else the last one gone by.
    """
    return [
        found
        for match in _pattern().finditer(fold(text))
        if (found := _date(match, today, ahead)) is not None
    ]


def _date(match: re.Match[str], today: date, ahead: bool) -> date | None:
    if match["iso"]:
        return iso_date(match["iso"])
    year = match["year"] or match["year2"]
    return day_of_month(
        int(match["day"] or match["day2"]),
        months()[match["month"] or match["month2"]],
        int(year) if year else None,
        today,
        ahead=ahead,
    )


def day_of_month(day: int, month: int, year: int | None, today: date, *, ahead: bool) -> date | None:
    """Return a day of a month (January is 1); without a year the next one to come, or the last one gone by.

    None where it does not exist or is out of reach.
    """
    return next(_fitting(day, month, year, today, ahead), None)


def _fitting(day: int, month: int, year: int | None, today: date, ahead: bool) -> Iterator[date]:
    # Eight years hold a 29 February, whichever way one looks.
    reach = range(9) if ahead else range(0, -9, -1)
    for candidate in [year] if year is not None else [today.year + step for step in reach]:
        try:
            found = date(candidate, month, day)
        except ValueError:
            continue
        if in_reach(found) if year is not None else (found >= today if ahead else found <= today):
            yield found
