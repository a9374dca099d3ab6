"""Reading a therapist's line about a hold of the arm: "hold arm fracture until 3 March", "hold arm off".

Nothing is guessed: a line that holds anything else, or names no reason, is not read.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache

from bot.parsing.plan_line.tokens import Token, tokens_of
from bot.parsing.plan_line.vocabulary import either, fold_line, vocabulary, word
from bot.text import fold
from scheduling.plan import ArmHold, HoldReason
from scheduling.plan.edits import DayChange

_REASONS: tuple[HoldReason, ...] = ("birth", "fracture", "surgery", "injection", "cast")


@dataclass(frozen=True, slots=True)
class ArmHoldLines:
    """rest: the text without its lines about a hold of the arm. unread: those that were not understood."""

    changes: tuple[DayChange, ...]
    rest: str
    unread: tuple[str, ...]


def read_arm_hold_lines(text: str, today: date) -> ArmHoldLines:
    """Return what the lines about a hold of the arm ask for. today: from which it holds where no first date is said."""
    changes: list[DayChange] = []
    rest: list[str] = []
    unread: list[str] = []
    for line in re.split(r"[\n;]", text):
        folded, _ = fold_line(line)
        found = _opening().fullmatch(folded.strip())
        if found is None:
            rest.append(line)
            continue
        change = _change(found["said"], today)
        if change is None:
            unread.append(line.strip())
        else:
            changes.append(change)
    return ArmHoldLines(tuple(changes), "\n".join(rest), tuple(unread))


@cache
def _opening() -> re.Pattern[str]:
    arm, rests, over = word("the_arm"), word("arm_rests"), word("arm_rest_over")
    # "hold arm moves until Monday" is about one activity.
    named = r"(?!\s+(?:moves?|movements?)(?!\w))"
    return re.compile(
        rf"(?:(?:{rests}\s+{arm}{named}|{arm}{named}\s+{rests})[\s:,]*(?P<said>.*))"
        rf"|(?:(?P<ended>{over}\s+(?:(?:the|el|la)\s+)?(?:{rests}\s+{arm}|{arm}{named}\s+{rests}))\W*)"
    )


@cache
def _reasons() -> tuple[tuple[HoldReason, re.Pattern[str]], ...]:
    articles = either(["the", "a", "an", "la", "el", "una", "un"])
    said = vocabulary()["arm_holds"]
    return tuple(
        (
            reason,
            re.compile(
                rf"(?<!\w)(?:{word('because_of')}\s+)?(?:{articles}\s+)?{either(map(fold, said[reason]))}"
            ),
        )
        for reason in _REASONS
    )


def _change(said: str | None, today: date) -> DayChange | None:
    if said is None or re.fullmatch(rf"{word('arm_rest_over')}\W*", said):
        return DayChange(no_arm_hold=True)
    named = [(reason, found) for reason, pattern in _reasons() if (found := pattern.search(said))]
    if len(named) != 1:
        return None
    reason, found = named[0]
    left = said[: found.start()] + " " * (found.end() - found.start()) + said[found.end() :]
    tokens = [each for each in tokens_of(left, today, {}) if each.kind not in ("filler", "comma")]
    dates = {each.name: each for each in tokens if each.kind == "field"}
    if len(dates) != len(tokens) or not dates.keys() <= {"from_", "until", "for_days"}:
        return None
    return _with_dates(reason, dates, today)


def _with_dates(reason: HoldReason, dates: dict[str, Token], today: date) -> DayChange | None:
    first: date = dates["from_"].value if "from_" in dates else today
    until: date | None = dates["until"].value if "until" in dates else None
    if "for_days" in dates:
        if until is not None:
            return None
        until = first + timedelta(days=dates["for_days"].value)
    if until is not None and until < first:
        return None
    return DayChange(arm_hold=ArmHold(reason, first, until))
