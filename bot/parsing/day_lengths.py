"""How often and how long, in words about the day: "every three hours", "two naps", "for an hour ish". Pure, as patterns."""

from __future__ import annotations

import re
from functools import cache

from bot.parsing.word_lists import beginning, either, numbered


@cache
def every() -> re.Pattern[str]:
    numbers = "|".join(numbered("numbers"))
    return re.compile(
        rf"{either('schedule.every')} (?P<n>\d(?:[.,]5)?|{numbers})(?P<half> {either('schedule.and_a_half')})?"
        rf" ?{beginning('schedule.hours')}(?!\w)"
    )


@cache
def count() -> re.Pattern[str]:
    numbers = "|".join(numbered("numbers"))
    return re.compile(rf"(?<!\w)(?:\d|{numbers})(?= ?{beginning('schedule.counted')}(?!\w))")


@cache
def lasting() -> re.Pattern[str]:
    """ "for an hour", "for 45 min", "por hora y media": how long a nap takes, after its beginning."""
    numbers = "|".join(numbered("numbers"))
    return re.compile(
        # "Siesta a las 9 una hora": an hour or half of one needs no word before it.
        rf"(?:{either('schedule.lasting')} |(?={either('schedule.half_an_hour')}|{either('one.words', 'schedule.an')} ?{beginning('schedule.hours')}))(?:"
        rf"(?P<half_hour>{either('schedule.half_an_hour')})"
        rf"|(?P<minutes>\d{{2,3}}) ?{beginning('schedule.minutes')}"
        rf"|(?P<n>{either('one.words', 'schedule.an')}|\d(?:[.,]5)?|{numbers})?(?P<half> {either('schedule.and_a_half')})?"
        rf" ?{beginning('schedule.hours')}(?P<half_after> {either('schedule.and_a_half')})?)(?!\w)"
    )


def lasts(match: re.Match[str]) -> int:
    """Return the minutes that a nap takes."""
    if match["half_hour"]:
        return 30
    if match["minutes"]:
        return int(match["minutes"])
    said = match["n"] or "1"
    known = numbered("numbers").get(said, 1 if not said[0].isdigit() else 0)
    hours = known or float(said.replace(",", "."))
    return round(hours * 60) + (30 if match["half"] or match["half_after"] else 0)
