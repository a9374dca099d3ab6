"""Dates as people write them: 2026-03-12, 12 March, Mar 12 2026, 12 de marzo. Pure.

12/3 is not read: half the readers mean the third of December by it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from functools import cache

from babel import Locale

from bot.domain.names import folded
from bot.phrases import LANGUAGES


@cache
def _months() -> dict[str, int]:
    """Return the names of months in our languages, long and short, without accents and dots."""
    found: dict[str, int] = {}
    for language in LANGUAGES:
        months = Locale.parse(language).months["format"]
        for width in ("wide", "abbreviated"):
            for number, name in months[width].items():
                found[folded(name).rstrip(".")] = number
    return found | {"sept": 9}


@cache
def _pattern() -> re.Pattern[str]:
    names = "|".join(sorted(_months(), key=len, reverse=True))
    return re.compile(
        r"(?P<iso>\b\d{4}-\d{2}-\d{2}\b)"
        rf"|\b(?P<day>\d{{1,2}})(?:st|nd|rd|th)?\.?\s*(?:de\s+|of\s+)?(?P<month>{names})\b\.?(?:,?\s*(?:del?\s+)?(?P<year>\d{{4}})\b)?"
        rf"|\b(?P<month2>{names})\b\.?\s+(?P<day2>\d{{1,2}})(?:st|nd|rd|th)?\b(?:,?\s*(?P<year2>\d{{4}})\b)?"
    )


def dates_in(text: str, today: date, *, ahead: bool) -> list[date]:
    """Return the dates that a text names, in its order; one that does not exist is left out.

    ahead: a date without a year is the next one to come (today included), else the last one gone by.
    """
    return [
        found
        for match in _pattern().finditer(folded(text))
        if (found := _date(match, today, ahead)) is not None
    ]


def _date(match: re.Match[str], today: date, ahead: bool) -> date | None:
    if match["iso"]:
        try:
            return date.fromisoformat(match["iso"])
        except ValueError:
            return None
    day = int(match["day"] or match["day2"])
    month = _months()[match["month"] or match["month2"]]
    year = match["year"] or match["year2"]
    return next(_fitting(day, month, int(year) if year else None, today, ahead), None)


def _fitting(day: int, month: int, year: int | None, today: date, ahead: bool) -> Iterator[date]:
    # Eight years hold a 29 February, whichever way one looks.
    reach = range(9) if ahead else range(0, -9, -1)
    for candidate in [year] if year is not None else [today.year + step for step in reach]:
        try:
            found = date(candidate, month, day)
        except ValueError:
            continue
        if year is not None or (found >= today if ahead else found <= today):
            yield found
