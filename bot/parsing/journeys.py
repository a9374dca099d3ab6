"""Where a family will be, in any order of words: "we're off to Lisbon from Thursday until Tuesday". Pure.

A whole message of nothing else: a place, when it begins, when it ends, and the few words that stand between.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache

from bot.parsing.dates import months, weekdays
from bot.parsing.stay import LONGEST_STAY, read_until, zones_named
from bot.parsing.word_lists import either, holds, made_of, numbered, runs_of, words_in
from bot.text import fold

MOST_WORDS = 16
MOST_PLACE_WORDS = 3
SATURDAY, SUNDAY = 5, 6


@dataclass(frozen=True, slots=True)
class Journey:
    """zones: what the place may mean, () where it is not known or not named. since, until: local days, None where unsaid.

    place: the words of a place that is not known, "" where there is none.
    """

    zones: tuple[str, ...]
    since: date | None
    until: date | None
    place: str = ""


def read_journey(text: str, today: date) -> Journey | None:
    """Return where a message says that the family will be; None for anything that says something else."""
    plain = fold(text).strip()
    if "?" in plain or len(plain.split()) > MOST_WORDS:
        return None
    rest, since, until = _days(plain, today)
    words = tuple(word for word in words_in(rest) if word[0].isalnum())
    dated = since is not None or until is not None
    if not (dated or holds(words, "journey.go")):
        return None
    if _no_place_among(words):
        return None
    for place, before in _places(words):
        zones = zones_named(" ".join(place), near=False)
        if zones and made_of(before, _LISTS) and (dated or holds(before, "journey.go")):
            return Journey(zones, since, until)
    if not dated:
        return None
    if made_of(words, _LISTS):
        return Journey((), since, until) if holds(words, "journey.away") else None
    for place, before in reversed(list(_places(words))):
        named = holds(before, "journey.home_of") or _capital(text, place)
        if (
            named
            and made_of(before, _LISTS)
            and holds(before, "journey.to")
            and len(place) < MOST_PLACE_WORDS
        ):
            return Journey((), since, until, " ".join(place))
    return None


def days_said(text: str, today: date) -> tuple[date | None, date | None]:
    """Return the first and the last local day that a message names: "from Friday", "till Sunday"."""
    _, since, until = _days(fold(text), today)
    begins = re.match(rf"\s*{either('journey.since')}", fold(text))
    return (since, until) if begins or until is not None else (None, since)


def says_only_days(text: str) -> bool:
    """Say whether a message is a weekday or two and the small words beside them: "from Friday", "desde el viernes"."""
    named = weekdays()
    words = words_in(fold(text))
    rest = [word for word in words if word not in named]
    small = ("journey.since", "journey.back", "pausing.until", "stay.until", "journey.beside")
    return 0 < len(words) - len(rest) <= 2 and made_of(rest, small)


def _capital(text: str, place: tuple[str, ...]) -> bool:
    """Say whether the words of a place are written as a name, away from the beginning of the message."""
    return all(re.search(rf"\s{re.escape(word)}(?!\w)", text, re.IGNORECASE) for word in place) and all(
        found[0].strip()[0].isupper()
        for word in place
        if (found := re.search(rf"\s{re.escape(word)}(?!\w)", text, re.IGNORECASE))
    )


_LISTS = ("journey.go", "journey.to", "journey.away", "journey.home_of", "journey.beside")


@cache
def _beside_a_place() -> frozenset[str]:
    """Return the words of the lists that may stand beside a place."""
    return frozenset(word for name in _LISTS for run in runs_of(name) for word in run)


def _no_place_among(words: tuple[str, ...]) -> bool:
    """Say whether the words of no list are too many, or too far apart, to be one place: so it is with nearly every message."""
    strange = [at for at, word in enumerate(words) if word not in _beside_a_place()]
    return bool(strange) and strange[-1] - strange[0] >= MOST_PLACE_WORDS


def _places(words: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], tuple[str, ...]]]:
    """Yield each run of words that may be the place, with the other words."""
    for length in range(MOST_PLACE_WORDS, 0, -1):
        for at in range(len(words) - length + 1):
            yield words[at : at + length], (*words[:at], *words[at + length :])


def _days(plain: str, today: date) -> tuple[str, date | None, date | None]:
    """Return the text without its days, and the first and the last of them."""
    since = until = None
    lasting = _lasting().search(plain)
    if lasting and _begins().search(_cut(plain, lasting)):
        plain = _cut(plain, lasting)  # "for 5 days" is not "till the 5th"
    else:
        lasting = None
    found = _ends().search(plain)
    if found:
        until, plain = read_until(found["day"], today), _cut(plain, found)
    found = _begins().search(plain)
    if found:
        goes_on = _up_to().match(plain, found.end())
        if goes_on and until is None:
            until, plain = read_until(goes_on["day"], today), _cut(plain, goes_on)
        since, plain = read_until(found["day"], today), _cut(plain, found)
    if lasting and since is not None and until is None:
        until = since + timedelta(days=_lasts(lasting))
    found = _spans().search(plain)
    if found and since is None:
        monday = today - timedelta(days=today.weekday())
        if found["week"]:
            since, last = monday + timedelta(days=7), monday + timedelta(days=13)
        else:
            since, last = max(today, monday + timedelta(days=SATURDAY)), monday + timedelta(days=SUNDAY)
        until, plain = until or last, _cut(plain, found)
    if since is not None and until is not None and until <= since:
        until += timedelta(days=7)  # "from Friday until Tuesday"
    if until is not None and until - today > LONGEST_STAY:
        until = None
    return plain, since, until


def _cut(plain: str, found: re.Match[str]) -> str:
    return f"{plain[: found.start()]} {plain[found.end() :]}"


@cache
def _day() -> str:
    names = "|".join(sorted(weekdays(), key=len, reverse=True))
    month = "|".join(sorted(months(), key=len, reverse=True))
    return (
        rf"(?:(?:the|el)\s+)?(?:next\s+)?(?P<day>(?:\d{{1,2}}(?:st|nd|rd|th)?(?:\s+(?:of\s+|de\s+)?(?:{month}))?"
        rf"|(?:{month})\s+\d{{1,2}}(?:st|nd|rd|th)?|\d{{4}}-\d{{2}}-\d{{2}}|{names}|{either('stay.tomorrow')}|{either('stay.today')}))(?!\w)"
    )


@cache
def _ends() -> re.Pattern[str]:
    return re.compile(rf"(?:{either('stay.until')}|{either('journey.back')})\s+{_day()}")


@cache
def _begins() -> re.Pattern[str]:
    return re.compile(rf"(?:{either('journey.since')}\s+)?{_day()}")


@cache
def _lasting() -> re.Pattern[str]:
    """ "for 5 days", "for a week", "una semana": counted from the first day."""
    numbers = "|".join(numbered("numbers"))
    return re.compile(
        rf"(?:{either('journey.lasting')}\s+)?(?P<n>\d{{1,2}}|{numbers}|{either('one.words')})\s+"
        rf"(?:(?P<weeks>{either('stay.week')})|{either('stay.day')})"
    )


def _lasts(found: re.Match[str]) -> int:
    """Return how many days a stay takes."""
    said = found["n"]
    number = int(said) if said.isdecimal() else numbered("numbers").get(said, 1)
    return number * (7 if found["weeks"] else 1)


@cache
def _up_to() -> re.Pattern[str]:
    return re.compile(rf"\s*(?:-|–|{either('journey.up_to')})\s*{_day()}")


@cache
def _spans() -> re.Pattern[str]:
    return re.compile(rf"(?P<week>{either('journey.next_week')})|{either('journey.weekend')}")
