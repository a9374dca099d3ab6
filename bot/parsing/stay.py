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

from bot.parsing.clock import plain_letters

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
        found[plain_letters(zone.rpartition("/")[2].replace("_", " "))][zone] = None
        found[plain_letters(zone)][zone] = None
    for language in ("en", "es"):
        locale = Locale.parse(language)
        for zone in zones:
            city = locale.time_zones.get(zone, {}).get("city")
            if city:
                found[plain_letters(city)][zone] = None
        for territory, its_zones in by_territory.items():
            name = locale.territories.get(territory)
            if name:
                found.setdefault(plain_letters(name), dict.fromkeys(its_zones))
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
    wanted = re.sub(r"\s+", " ", plain_letters(text)).strip(" .,!?¿¡")
    wanted = re.sub(r"^(?:the|la|el|los) ", "", wanted)
    places = _places()
    for name in (wanted, wanted.replace(" ", "_"), *map(str.strip, wanted.split(","))):
        if name in places:
            return places[name]
    if not near or len(wanted) < 4:
        return ()
    best = process.extractOne(wanted, places.keys(), scorer=fuzz.ratio, score_cutoff=NEAR_ENOUGH)
    return places[best[0]] if best else ()


@dataclass(frozen=True, slots=True)
class Stay:
    """Where a family is. zones: what the place may mean. until: the last local day there, None where not said.

    for_good: they have moved there.
    """

    zones: tuple[str, ...]
    until: date | None
    for_good: bool = False


_STAY = re.compile(
    r"^(?:(?:hi|hello|hola|hey|btw|note|ok|now|ahora),?\s+)*(?:(?:we|i) (?:are|am)(?: now)?|we're|i'm|(?:nosotros )?(?:ya )?estamos|estoy)"
    r"(?: (?:away|traveling|travelling|staying|on holiday|on vacation|de viaje|de vacaciones|now|ahora))* (?:in|at|en) "
    r"(?P<place>.+?)(?:,? (?P<until>(?:until|till|til|hasta|for|por|durante|through)\b.*))?[.! ]*$"
)


_MOVED = re.compile(
    r"^(?:(?:hi|hello|hola|hey|ok|now|ahora),?\s+)*(?:we(?: have|'ve)? moved to|(?:we|i) (?:now )?live in|nos mudamos a|(?:ahora )?vivimos en) "
    r"(?P<place>.+?)[.! ]*$"
)


def read_stay(text: str, today: date) -> Stay | None:
    """Return where a message says that the family is; None where it names no place known to have a time zone."""
    plain = plain_letters(text).replace("’", "'").strip()
    moved = _MOVED.match(plain)
    if moved is not None:
        zones = zones_named(moved["place"], near=False)
        return Stay(zones, None, for_good=True) if zones else None
    match = _STAY.match(plain)
    if match is None:
        return None
    zones = zones_named(match["place"], near=False)
    if not zones:
        return None
    return Stay(zones, read_until(match["until"] or "", today))


_NUMBERS = {
    word: number
    for number, words in enumerate(
        ("a an one un una", "two dos", "three tres", "four cuatro", "five cinco", "six seis", "seven siete"),
        start=1,
    )
    for word in words.split()
}
_LENGTH = re.compile(
    r"(?<!\w)(?P<n>\d{1,3}|"
    + "|".join(_NUMBERS)
    + r")(?: more| mas)? (?P<unit>days?|dias?|weeks?|semanas?|months?|mes(?:es)?)(?!\w)"
)
_UNITS = {"d": 1, "w": 7, "s": 7, "m": 30}


def read_until(text: str, today: date) -> date | None:
    """Return the last local day of a stay: "till Sunday", "for a week", "hasta el 12 de mayo"; None where unsaid."""
    plain = plain_letters(text)
    if re.search(r"\d/\d", plain):
        return None  # the fourth of March or the third of April
    until = _length(plain, today) or _named_date(plain, today) or _weekday(plain, today)
    return until if until is not None and today <= until <= today + LONGEST_STAY else None


def _length(plain: str, today: date) -> date | None:
    if re.search(r"(?<!\w)(?:tomorrow|manana)(?!\w)", plain):
        return today + timedelta(days=1)
    if re.search(r"(?<!\w)(?:today|hoy|tonight)(?!\w)", plain):
        return today
    match = _LENGTH.search(plain)
    if match is None:
        return None
    number = int(match["n"]) if match["n"].isdigit() else _NUMBERS[match["n"]]
    return today + timedelta(days=number * _UNITS[match["unit"][0]])


@cache
def _names(kind: str) -> Mapping[str, int]:
    """Return the month or weekday names of both languages in plain letters, wide and short."""
    found: dict[str, int] = {}
    for language in ("en", "es"):
        locale = Locale.parse(language)
        names = locale.months if kind == "months" else locale.days
        for width in ("wide", "abbreviated"):
            for number, name in names["format"][width].items():
                found[plain_letters(name).rstrip(".")] = number
    return found


def _named_date(plain: str, today: date) -> date | None:
    words = re.findall(r"\w+", plain)
    month = next((_names("months")[word] for word in words if word in _names("months")), None)
    day = next((int(m[1]) for m in re.finditer(r"(?<!\d)(\d{1,2})(?:st|nd|rd|th)?(?!\d)", plain)), None)
    if day is None:
        return None
    for ahead in range(14):
        year, at = divmod(today.month - 1 + ahead, 12)
        if month is not None and at + 1 != month:
            continue
        try:
            found = date(today.year + year, at + 1, day)
        except ValueError:
            continue
        if found >= today:
            return found
    return None


def _weekday(plain: str, today: date) -> date | None:
    words = re.findall(r"\w+", plain)
    weekday = next((_names("days")[word] for word in words if word in _names("days")), None)
    if weekday is None:
        return None
    ahead = (weekday - today.weekday()) % 7
    return today + timedelta(days=ahead or 7)
