"""Numbers, clock times and dates as a therapist's plan line says them: patterns, and what a match means."""

from __future__ import annotations

import re
from datetime import date, timedelta

from bot.parsing.clock import wall_clock
from bot.parsing.dates import ISO, day_of_month, iso_date, months, weekdays
from bot.parsing.plan_line.vocabulary import either, number_words, word


def number(group: str) -> str:
    """Return the pattern of a number, in figures or as a word of the vocabulary."""
    # A fraction sign folds to "1⁄2", which must not add a digit to the number before it.
    return rf"(?P<{group}>{either(number_words())}|\d{{1,5}}(?:\.\d+)?(?!\d*⁄))"


def number_of(match: re.Match[str], group: str = "n") -> float | None:
    """Return the number that a group matched, None where it took no part."""
    said = match[group]
    if said is None:
        return None
    known = number_words().get(re.sub(r"[\s-]+", " ", said))
    return float(said) if known is None else float(known)


def whole_of(match: re.Match[str], least: int, most: int, group: str = "n") -> int | None:
    """Return whole minutes within the bounds; hours where the pattern's group "h" matched."""
    amount = number_of(match, group)
    if amount is None:
        return None
    if match.groupdict().get("h"):
        amount *= 60
    return int(amount) if amount.is_integer() and least <= amount <= most else None


BARE = rf"\d{{1,2}}(?:[:.]\d{{2}}(?!\d))?(?:\s*(?:am|pm)(?!\w))?(?![\w%/⁄])(?!\s*{word('minute')})"
STRICT = r"\d{1,2}(?:[:.]\d{2}(?!\d)(?:\s*(?:am|pm)(?!\w))?|\s*(?:am|pm)(?!\w))"


def clocks_of(said: str, pattern: str) -> list[int] | None:
    """Return all clock times of a text in order, each once; None where one of them is no time."""
    times = [wall_clock(each) for each in re.findall(pattern, said)]
    known = [at for at in times if at is not None]
    return sorted(set(known)) if len(known) == len(times) else None


DATE = (
    rf"(?:(?P<iso>{ISO})(?!\d)"
    rf"|(?P<d1>\d{{1,2}})(?:st|nd|rd|th)?\s+(?:of\s+|de\s+)?(?P<m1>{either(months())})(?:,?\s+(?:de\s+|del\s+)?(?P<y1>\d{{4}}))?(?!\w)"
    rf"|(?P<m2>{either(months())})\s+(?P<d2>\d{{1,2}})(?:st|nd|rd|th)?(?:,?\s+(?P<y2>\d{{4}}))?(?!\w)"
    rf"|(?:{word('next')}\s+)?(?P<weekday>{either(weekdays())})"
    rf"|(?P<today>{word('today')})|(?P<tomorrow>{word('tomorrow')})"
    rf"|{word('in')}\s+{number('span')}\s+(?:(?P<days>{word('day')})|(?P<weeks>{word('week')})))"
)


def date_of(match: re.Match[str], today: date) -> date | None:
    """Return the date said: without a year the next one on or after today, a weekday the next after today."""
    found = match.groupdict()
    try:
        if found["iso"]:
            return iso_date(found["iso"])
        if found["weekday"]:
            ahead = (weekdays()[found["weekday"]] - today.weekday()) % 7
            return today + timedelta(days=ahead or 7)
        if found["today"] or found["tomorrow"]:
            return today + timedelta(days=1 if found["tomorrow"] else 0)
        if found["span"]:
            number = whole_of(match, 1, 400, "span")
            return None if number is None else today + timedelta(days=number * (7 if found["weeks"] else 1))
        year = found["y1"] or found["y2"]
        return day_of_month(
            int(found["d1"] or found["d2"]),
            months()[found["m1"] or found["m2"]],
            int(year) if year else None,
            today,
            ahead=True,
        )
    except (ValueError, OverflowError):
        return None
