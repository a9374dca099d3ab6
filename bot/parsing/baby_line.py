"""What a therapist writes of a new baby, in one line or in parts: "Luna, born 3 January 2026 at 39 weeks, left arm". Pure."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import TypeVar

from bot.parsing.dates import dates_in, written_dates
from bot.parsing.word_lists import beginning, either
from bot.text import fold_with_offsets

OLDEST_YEARS = 6  # nobody older is a family's baby here: a mistyped year
FEWEST_WEEKS, MOST_WEEKS = 20, 45
SIDES = ("left", "right", "both")

_Read = TypeVar("_Read", int, str)


@dataclass(frozen=True, slots=True)
class BabyLine:
    """What was read. front: what stood before the first thing that was, in the writer's own words: a name, if anything.

    born: an ISO date, not to come, at most six years ago. gestation: completed weeks, 20 to 45. side: left, right or both.
    What is said twice, and differently, is not read.
    """

    front: str
    born: str | None
    gestation: int | None
    side: str | None


def read_baby_line(text: str, today: date) -> BabyLine:
    folded, came_from = fold_with_offsets(text)
    dates = written_dates(folded)
    rest = _blanked(folded, dates)
    weeks = [(match.start(), int(match["weeks"])) for match in _weeks().finditer(rest)]
    sides = [(match.start(), side) for side in SIDES for match in _side(side).finditer(rest)]
    starts = [start for start, _ in (*dates, *weeks, *sides)]
    starts += [match.start() for match in re.finditer(rf"{either('baby_line.intro')}|\d+[/.]\d", rest)]
    end = min(starts, default=len(folded))
    front = text[:end] if came_from is None else text[: came_from[end] if end < len(folded) else len(text)]
    return BabyLine(
        " ".join(front.split()).strip(" ,;:.-"),
        born_in(text, today),
        _one({number for _, number in weeks if FEWEST_WEEKS <= number <= MOST_WEEKS}),
        _one({side for _, side in sides}),
    )


def born_in(text: str, today: date) -> str | None:
    """Return the one day of birth that a text names, as an ISO date."""
    found = dates_in(text, today, ahead=False)
    if len(found) != 1 or found[0] > today or today.year - found[0].year > OLDEST_YEARS:
        return None
    return found[0].isoformat()


def _one(found: set[_Read]) -> _Read | None:
    return found.pop() if len(found) == 1 else None


def _blanked(text: str, spans: Iterable[tuple[int, int]]) -> str:
    """Return a text with its dates blanked out, so that their numbers are no weeks."""
    for start, end in spans:
        text = text[:start] + " " * (end - start) + text[end:]
    return text


@cache
def _weeks() -> re.Pattern[str]:
    """Return the pattern of "39 weeks", "33+4 weeks" and "33+4"."""
    weeks = rf"\s*{beginning('baby_line.weeks')}(?!\w)"
    return re.compile(rf"(?<![\d.,:/-])(?P<weeks>\d{{2}})(?:\s*\+\s*\d(?!\d)(?:{weeks})?|{weeks})")


@cache
def _side(side: str) -> re.Pattern[str]:
    return re.compile(either(f"baby_line.{side}"))
