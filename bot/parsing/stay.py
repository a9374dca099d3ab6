"""Places and dates of a stay as carers put them: "we are in Madrid till Sunday", "estamos en Lisboa hasta el 12 de mayo".

Pure. Cities and countries come from the time zone database and from the names that Unicode CLDR (through Babel) gives
them in English and Spanish.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cache
from importlib.resources import files
from zoneinfo import ZoneInfo

from babel import Locale
from rapidfuzz import fuzz, process

from bot.parsing.dates import dates_in, day_of_month, months, weekdays
from bot.parsing.word_lists import LANGUAGES, either, made_of, numbered, runs_of, words_in
from bot.text import fold

MOST_CHOICES = 4  # more zones than this in a country: a city must say which
NEAR_ENOUGH = (
    80  # rapidfuzz ratio, 0 to 100, at which a slip of spelling is taken for a city that is then asked about
)
SHORT_NAMES = {"us": "US", "usa": "US", "eeuu": "US", "ee uu": "US", "uk": "GB"}
LONGEST_STAY = timedelta(days=365)


@cache
def _places() -> Mapping[str, tuple[str, ...]]:
    """Return the zones of every city and country name, in plain letters."""
    found: dict[str, dict[str, None]] = defaultdict(dict)
    by_territory = _zones_by_territory()
    zones = [zone for its_zones in by_territory.values() for zone in its_zones if "North_Dakota" not in zone]
    for zone in zones:
        found[fold(zone.rpartition("/")[2].replace("_", " "))][zone] = None
        found[fold(zone)][zone] = None
    for language in LANGUAGES:
        locale = Locale.parse(language)
        for zone in zones:
            city = locale.time_zones.get(zone, {}).get("city")
            if city:
                found[fold(city)][zone] = None
        for territory, its_zones in by_territory.items():
            name = locale.territories.get(territory)
            if name:
                found.setdefault(fold(name), dict.fromkeys(its_zones))
    for short, territory in SHORT_NAMES.items():
        found[short] = dict.fromkeys(by_territory[territory])
    return {name: tuple(its_zones) for name, its_zones in found.items()}


def _zones_by_territory() -> Mapping[str, list[str]]:
    """Return each territory's zones, the most populous first (the order of zone.tab in the time zone database)."""
    found: dict[str, list[str]] = defaultdict(list)
    for line in files("tzdata.zoneinfo").joinpath("zone.tab").read_text(encoding="utf-8").splitlines():
        if not line.startswith("#"):
            territory, _, zone, *_ = line.split("\t")
            found[territory].append(zone)
    return found


def unlike(zones: Iterable[str], now: datetime) -> tuple[str, ...]:
    """Return the first of the zones for each time that their clocks show, in the half years around `now`."""
    seen: dict[tuple[object, ...], str] = {}
    for zone in zones:
        clock = ZoneInfo(zone)
        shown = tuple(
            (now + timedelta(days=days)).astimezone(clock).utcoffset() for days in (0, 91, 182, 273)
        )
        seen.setdefault(shown, zone)
    return tuple(seen.values())


def city_of(zone: str, language: str) -> str:
    """Return the name by which people of a language know a zone: its city."""
    city = Locale.parse(language).time_zones.get(zone, {}).get("city")
    return str(city or zone.rpartition("/")[2].replace("_", " "))


def zones_named(text: str, *, near: bool = True) -> tuple[str, ...]:
    """Return the zones that a city, a country or a zone name means; none where it is unknown.

    near: take a slip of spelling as well; the caller asks before it counts. A country of many zones gives them all.
    """
    wanted = re.sub(r"\s+", " ", fold(text)).strip(" .,!?¿¡")
    wanted = re.sub(rf"^{either('stay.article')} ", "", wanted)
    places = _places()
    for name in (wanted, wanted.replace(" ", "_"), *map(str.strip, wanted.split(","))):
        if name in places:
            return places[name]
    if not near or len(wanted) < 4:
        return ()
    best = process.extractOne(wanted, places.keys(), scorer=fuzz.ratio, score_cutoff=NEAR_ENOUGH)
    return places[best[0]] if best else ()


@cache
def _at_a_place() -> re.Pattern[str]:
    return re.compile(rf"(?<!\w){either('stay.at')} (?=(?P<words>[^\W\d]+(?:[ -][^\W\d]+){{0,2}}))")


def names_elsewhere(text: str, zones: Iterable[str]) -> bool:
    """Say whether somebody writes from, or of, a place that none of `zones` is the time of: "we're in Lisbon and …".

    It is no stay by itself; it only says that numbers of home may be wrong there.
    """
    plain, home = fold(text), frozenset(zones)
    if re.search(either("stay.abroad"), plain):
        return True
    for found in _at_a_place().finditer(plain):
        words = found["words"].split(" ")
        for count in range(len(words), 0, -1):
            named = zones_named(" ".join(words[:count]), near=False)
            if named:
                if home.isdisjoint(named):
                    return True
                break
    return False


@dataclass(frozen=True, slots=True)
class Stay:
    """Where a family is. zones: what the place may mean. until: the last local day there, None where not said.

    for_good: they have moved there.
    """

    zones: tuple[str, ...]
    until: date | None
    for_good: bool = False


@cache
def _stay() -> re.Pattern[str]:
    return re.compile(
        rf"(?:{either('stay.before')},?\s+)*{either('stay.we_are')}(?: {either('stay.meanwhile')})* {either('stay.at')} "
        rf"(?P<place>.+?)(?:,? (?P<until>{either('stay.until')}.*))?[.! ]*"
    )


@cache
def _moved() -> re.Pattern[str]:
    return re.compile(rf"(?:{either('stay.before')},?\s+)*{either('stay.moved')} (?P<place>.+?)[.! ]*")


def says_home(text: str) -> bool:
    """Return whether a message says no more than that the family is back at home."""
    return made_of(words_in(text), ("stay.home",)) and bool(words_in(text))


def read_stay(text: str, today: date) -> Stay | None:
    """Return where a message says that the family is; None where it names no place known to have a time zone."""
    plain = fold(text).strip()
    moved = _moved().fullmatch(plain)
    if moved is not None:
        zones = zones_named(moved["place"], near=False)
        return Stay(zones, None, for_good=True) if zones else None
    match = _stay().fullmatch(plain)
    if match is None:
        return None
    zones = zones_named(match["place"], near=False)
    if not zones:
        return None
    return Stay(zones, read_until(match["until"] or "", today))


_UNITS = {"stay.day": 1, "stay.week": 7, "stay.month": 30}


@cache
def _length_of_stay() -> re.Pattern[str]:
    units = "|".join(rf"(?P<{name.partition('.')[2]}>{either(name)})" for name in _UNITS)
    numbers = "|".join(_numbers())
    return re.compile(rf"(?<!\w)(?P<n>\d{{1,3}}|{numbers})(?: {either('stay.more')})? (?:{units})")


@cache
def _numbers() -> dict[str, int]:
    return {**numbered("numbers"), **{" ".join(run): 1 for run in runs_of("one.words")}}


def read_until(text: str, today: date) -> date | None:
    """Return the last local day of a stay: "till Sunday", "for a week", "hasta el 12 de mayo"; None where unsaid."""
    plain = fold(text)
    if re.search(r"\d[/⁄]\d", plain):
        return None  # the fourth of March or the third of April
    until = _length(plain, today) or _named_date(plain, today) or _weekday(plain, today)
    return until if until is not None and today <= until <= today + LONGEST_STAY else None


def _length(plain: str, today: date) -> date | None:
    if re.search(either("stay.tomorrow"), plain):
        return today + timedelta(days=1)
    if re.search(either("stay.today"), plain):
        return today
    match = _length_of_stay().search(plain)
    if match is None:
        return None
    number = int(match["n"]) if match["n"].isdecimal() else _numbers()[match["n"]]
    return today + timedelta(days=number * next(days for name, days in _UNITS.items() if match[name[5:]]))


def _named_date(plain: str, today: date) -> date | None:
    """Return the next such date: "12 May", "2026-05-12"; or of "the 12th" the next twelfth of a month."""
    named = dates_in(plain, today, ahead=True)
    if named:
        return named[0]
    day = next((int(m[1]) for m in re.finditer(r"(?<!\d)(\d{1,2})(?:st|nd|rd|th)?(?!\d)", plain)), None)
    if day is None or any(word in months() for word in re.findall(r"\w+", plain)):
        return None
    ahead = (day_of_month(day, month, None, today, ahead=True) for month in range(1, 13))
    return min((found for found in ahead if found is not None), default=None)


def _weekday(plain: str, today: date) -> date | None:
    words = re.findall(r"\w+", plain)
    weekday = next((weekdays()[word] for word in words if word in weekdays()), None)
    if weekday is None:
        return None
    ahead = (weekday - today.weekday()) % 7
    return today + timedelta(days=ahead or 7)
