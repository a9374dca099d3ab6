"""Times of day as people write them, in English and Spanish: 7, 7:30, 7pm, half past six, las 7 y media.

Pure. A time without morning or evening stays open until its use tells which it is (scheduling a nap "1 to 3" is
in the afternoon), so a time is kept with what the writer said of it. What a therapist types by the clock of 24 hours
is read by `wall_clock`, where nothing is open.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import time
from functools import cache
from typing import Literal

from bot.parsing.word_lists import beginning, either, numbered
from bot.text import fold

Half = Literal["am", "pm"]

NOON = 12 * 60
LAST_MINUTE = 24 * 60 - 1
NIGHT_ENDS = 6  # "at night" is before this hour or from it on to midnight
_BEFORE_HOUR = {"half_past": 30, "quarter_past": 15, "quarter_to": -15}
_AFTER_HOUR = {"thirty_after": 30, "quarter_after": 15, "quarter_before": -15, "quarter_before_next": 45}


@cache
def hour_words() -> dict[str, int]:
    """Return the number words from one to twelve."""
    return {word: hour for word, hour in numbered("numbers").items() if hour <= 12}


@cache
def _time() -> re.Pattern[str]:
    hours = "|".join(sorted(hour_words(), key=len, reverse=True))
    half = rf"(?P<night>{either('clock.night')})|(?P<morning>a\.?\s?m\.?(?![a-z])|{either('clock.morning')})|(?P<evening>p\.?\s?m\.?(?![a-z])|{either('clock.evening')})"
    before = "|".join(rf"(?P<{name}>{either(f'clock.{name}')})" for name in _BEFORE_HOUR)
    after = "|".join(rf"(?P<{name}>{either(f'clock.{name}')})" for name in _AFTER_HOUR)
    return re.compile(
        rf"""(?<![\w:.⁄])(?:
            (?P<noon>{either("clock.noon")}) | (?P<midnight>{either("clock.midnight")})
          | (?:{before})\ (?P<hour_after>\d{{1,2}}|{hours})(?!\w)
          | (?P<hour>\d{{1,2}}|{hours})
            (?: [:.h](?P<minute>[0-5]\d)(?!\d) | \ ?(?:{after}) )?
            (?:h|\ ?-?\ ?{beginning("clock.o_clock")})?
        )(?:\ ?(?:{half})|(?!\w|:\d|\.\d|(?(minute)(?!)|-?\s?(?:{beginning("clock.no_hour")}|x(?!\w)|°|/|⁄))))""",
        re.VERBOSE,
    )


@dataclass(frozen=True, slots=True)
class SaidTime:
    """A time of day as said. minute: of the clock as read, 0 to 1439. half: as said, None where it is open."""

    minute: int
    half: Half | None
    start: int
    end: int

    def at(self, half: Half) -> int:
        """Return the minute of the day, an open hour (1 to 12) read as morning or evening."""
        if self.half is not None or self.minute >= NOON + 60:
            return self.minute
        twelve = self.minute // 60 == 12
        if half == "am":
            return self.minute - 720 if twelve else self.minute
        return self.minute if twelve else self.minute + 720

    def after(self, earlier: int) -> int:
        """Return the minute of the day, an open hour read as the first one that comes after `earlier`."""
        for half in ("am", "pm"):
            at = self.at(half)
            if at > earlier:
                return at
        return self.at("pm")


def times_in(folded: str) -> list[SaidTime]:
    """Return the times of day in a folded text, in its order. "11 and 3 at night": both are of the night."""
    matches = list(_time().finditer(folded))
    nights = [match["night"] is not None for match in matches]
    for n in range(len(matches) - 1, 0, -1):
        joined = re.fullmatch(
            rf"\s*{either('clock.joined')}\s*(?:(?:a\s+)?las?\s+)?", _between(folded, matches, n)
        )
        nights[n - 1] = nights[n - 1] or (nights[n] and joined is not None)
    read = (_said(match, night) for match, night in zip(matches, nights, strict=True))
    return [said for said in read if said is not None]


def _between(text: str, matches: list[re.Match[str]], n: int) -> str:
    return text[matches[n - 1].end() : matches[n].start()]


def _said(match: re.Match[str], night: bool = False) -> SaidTime | None:
    if match["noon"] or match["midnight"]:
        return SaidTime(NOON if match["noon"] else LAST_MINUTE, "pm", *match.span())
    shown = match["hour_after"] or match["hour"]
    hour = int(shown) if shown.isdecimal() else hour_words()[shown]
    if hour > 24 or (hour == 24 and match["minute"] not in (None, "00")):
        return None
    minute = hour * 60 + int(match["minute"] or 0)
    minute += sum(part for name, part in (_BEFORE_HOUR | _AFTER_HOUR).items() if match[name])
    half: Half | None = "am" if match["morning"] else "pm" if match["evening"] else None
    if night and half is None:
        half = "am" if hour == 12 or hour < NIGHT_ENDS else "pm"
    if hour > 12 or hour == 0 or (shown.startswith("0") and len(shown) == 2):
        return SaidTime(min(minute, LAST_MINUTE), "pm" if hour > 12 else "am", *match.span())
    if half == "pm" and minute < NOON:
        minute += NOON
    elif half == "am" and minute >= NOON:
        minute -= NOON
    return SaidTime(minute % (24 * 60), half, *match.span())


def wall_clock(text: str) -> int | None:
    """Return the minute of the day, 0 to 1440, of "7", "7:30", "7 pm" or "24:00" by the clock of 24 hours.

    None where there is no such time.
    """
    found = re.fullmatch(r"\s*(\d{1,2})(?:[:.h](\d{2}))?\s*(am|pm)?\s*", fold(text))
    if found is None:
        return None
    hour, minute = int(found[1]), int(found[2] or 0)
    if found[3]:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if found[3] == "pm" else 0)
    at = hour * 60 + minute
    return at if minute < 60 and at <= LAST_MINUTE + 1 else None


def read_hours(text: str) -> tuple[time, time] | None:
    """Return the two local times of "21:00-07:00" or "9 pm to 7"; None where the text holds none, or twice the same."""
    parts = re.split(rf"\s*[-–—]\s*|\s+{either('schedule.to')}\s+", fold(text).strip())
    times = [at for part in parts if (at := wall_clock(part)) is not None and at <= LAST_MINUTE]
    if len(parts) != 2 or len(times) != 2 or times[0] == times[1]:
        return None
    start, end = (time(at // 60, at % 60) for at in times)
    return start, end
