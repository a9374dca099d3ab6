"""For how long a carer wants no reminders: "pause for a week", "quiet till tomorrow", "nothing until Thursday". Pure.

As a whole message it is a wish of its own; in a longer message that asks for a pause, only its length is looked for.
"""

from __future__ import annotations

import re
from datetime import date, datetime, timedelta
from functools import cache

from bot.parsing.clock import times_in
from bot.parsing.stay import read_until
from bot.parsing.word_lists import beginning, either, holds, made_of, numbered, runs_of, words_in
from bot.text import fold

MINUTES_A_DAY = 24 * 60
_CLOCK_WORDS = 3  # "five pm please"
_MOST_WORDS_AFTER = 5  # "until the 12th of May, please"


def reads_pause(text: str, now: datetime) -> int | None:
    """Return the minutes from now that a whole message asks to be left alone for; whole days are multiples of 1440.

    None for a message that says anything else, or names no end. now: the family's local time.
    """
    plain = fold(text)
    if "?" in plain:
        return None
    match = _ends().search(plain)
    if match is None:
        return None
    words = words_in(plain[: match.start()])
    named = holds(words, "pausing.stop")
    if not (named or (match["until"] and holds(words, "pausing.nothing"))):
        return None
    lists = ("pausing.stop", "pausing.nothing", "pausing.beside")
    return _length(match["when"], now) if made_of(words, lists) else None


def pause_said(text: str, now: datetime) -> int | None:
    """Return the minutes from now for which any part of a message says that a pause goes on; None where none does."""
    found = (_length(match["when"], now) for match in _ends().finditer(fold(text)))
    return next((minutes for minutes in found if minutes is not None), None)


def asks_to_pause(text: str) -> bool:
    """Say whether a message that speaks of a pause asks for a way to one: "how do I pause", "can we pause this"."""
    words = words_in(text)
    return any(words[: len(run)] == run for run in runs_of("pausing.how"))


@cache
def _ends() -> re.Pattern[str]:
    return re.compile(
        rf"(?:(?P<until>{either('pausing.until')})|{either('pausing.for')})\s+(?P<when>[^.,!?]+)"
    )


@cache
def _hours() -> re.Pattern[str]:
    numbers = "|".join([*numbered("numbers"), *(" ".join(run) for run in runs_of("one.words"))])
    return re.compile(rf"(?<!\w)(?P<n>\d{{1,2}}|{numbers})(?: more)? ?{beginning('schedule.hours')}(?!\w)")


def _length(when: str, now: datetime) -> int | None:
    """Return how long it is to a day, an hour, or for so many hours, in minutes."""
    if len(when.split()) > _MOST_WORDS_AFTER:
        return None
    hours = _hours().search(when)
    if hours:
        return int(numbered("numbers").get(hours["n"], 1 if not hours["n"].isdecimal() else hours["n"])) * 60
    times = times_in(when)
    if len(times) == 1 and len(words_in(when)) <= _CLOCK_WORDS and not re.search(either("pausing.the"), when):
        at = next(
            (at for at in (times[0].at("am"), times[0].at("pm")) if at > now.hour * 60 + now.minute), None
        )
        return None if at is None else at - now.hour * 60 - now.minute
    until = read_until(when, now.date())
    if until is None and re.search(either("pausing.next_week"), when):
        until = now.date() + timedelta(days=7 - now.weekday())
    return None if until is None else _days(now.date(), until) * MINUTES_A_DAY


def _days(today: date, until: date) -> int:
    """ "Till tomorrow" is one day, and so is "for today": the pause ends as a day begins."""
    return max((until - today) // timedelta(days=1), 1)
