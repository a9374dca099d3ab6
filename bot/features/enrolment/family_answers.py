"""What a therapist answers when a new family is set up, read from words. Pure."""

from __future__ import annotations

import re
from datetime import date

from bot.parsing.baby_line import FEWEST_WEEKS, MOST_WEEKS, born_in, read_baby_line
from bot.parsing.stay import MOST_CHOICES, zones_named

ASKED = ("nickname", "born", "gestation", "side", "zone")
LONGEST_NICKNAME = 30


def read_answers(field: str, text: str, today: date) -> dict[str, str | int]:
    """Return what a message tells of the baby, ready to keep: the answer to what was asked, and whatever stands beside it.

    field: what was asked; "make" where nothing is missing any more and something may still be put right.
    """
    line = read_baby_line(text, today)
    told = {
        name: value for name in ("born", "gestation", "side") if (value := getattr(line, name)) is not None
    }
    answer = read_answer(field, line.front if field == "nickname" else text, today)
    if answer is not None:
        told[field] = answer
    return told


def read_answer(field: str, text: str, today: date) -> str | int | None:
    """Return what an answer says, ready to keep; None where it cannot be read.

    born: ISO date, not to come, at most six years ago. gestation: completed weeks, 20 to 45.
    """
    flat = " ".join(text.split())
    match field:
        case "nickname":
            return flat if 0 < len(flat) <= LONGEST_NICKNAME else None
        case "born":
            return born_in(flat, today)
        case "gestation":
            weeks = re.match(r"([0-9]{2})(?![\w.:/-])", flat)
            return int(weeks[1]) if weeks and FEWEST_WEEKS <= int(weeks[1]) <= MOST_WEEKS else None
        case "side":
            return read_baby_line(flat, today).side
        case "zone":
            zones = zones_named(flat, near=False)
            return zones[0] if len(zones) == 1 else None
        case _:
            return None


def zones_offered(text: str) -> tuple[str, ...]:
    """Return the zones to ask about where a place names more than one, or is a slip of spelling; none where it is unknown."""
    zones = zones_named(text)
    return zones if len(zones) <= MOST_CHOICES else ()
