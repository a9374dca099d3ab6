"""Reading a therapist's line about a goal: "goal tummy half of waking: tummy, lap, forearm", "no goal tummy".

The name stands before the target, the activities after a colon. A goal that the plan holds may be told in part: its target
alone, or its activities alone.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from bot.parsing.plan_line.tokens import Token, tokens_of
from bot.parsing.plan_line.vocabulary import fold_line, word
from scheduling.plan import Plan, Target, TimesADay
from scheduling.plan.goal_edits import GoalChange, GoalRemoval

_LONGEST_NAME = 100
_MOST_TIMES = 24


@dataclass(frozen=True, slots=True)
class GoalLines:
    """rest: the text without its lines about goals. unread: parts of those that were not understood."""

    changes: tuple[GoalChange | GoalRemoval, ...]
    rest: str
    unread: tuple[str, ...]


def read_goal_lines(text: str, plan: Plan, today: date, names: Mapping[str, str]) -> GoalLines:
    """Return what the lines about goals ask for. today, names: as for read_plan_words."""
    opening = re.compile(
        rf"\s*(?P<off>{word('remove')}\s+)?(?:(?:the|la|el)\s+)?{word('goal')}\s*:?\s*(?P<said>.*)"
    )
    changes: list[GoalChange | GoalRemoval] = []
    rest: list[str] = []
    unread: list[str] = []
    for line in re.split(r"[\n;]", text):
        folded, came_from = fold_line(line)
        found = opening.fullmatch(folded)
        if found is None:
            rest.append(line)
            continue
        said = line[came_from[found.start("said")] if came_from else found.start("said") :].strip()
        change = _removal(said, plan) if found["off"] else _change(said, plan, today, names, unread)
        if change is None:
            unread.append(line.strip())
        else:
            changes.append(change)
    return GoalLines(tuple(changes), "\n".join(rest), tuple(unread))


def _removal(said: str, plan: Plan) -> GoalRemoval | None:
    known = _known(said, plan)
    return None if known is None else GoalRemoval(known)


def _known(name: str, plan: Plan) -> str | None:
    return next((each.goal for each in plan.goals if each.goal.casefold() == name.casefold()), None)


def _change(
    said: str, plan: Plan, today: date, names: Mapping[str, str], unread: list[str]
) -> GoalChange | None:
    head, colon, tail = said.partition(":")
    folded, came_from = fold_line(head)
    targets = [each for each in tokens_of(folded, today, {}) if _target_of(each) is not None]
    first = targets[0].start if targets else len(folded)
    name = (head[: came_from[first]] if came_from and first < len(folded) else head[:first]).strip(" ,-")
    name = re.sub(rf"\s+{word('for')}$", "", name, flags=re.IGNORECASE)
    known = _known(name, plan)
    target = _target_of(targets[0]) if targets else None
    if not name or len(name) > _LONGEST_NAME or (known is None and target is None):
        return None
    activities = _activities(tail, today, names, unread) if colon else ()
    if known is None and not activities:
        return None
    return GoalChange(known or name, target, activities)


def _target_of(token: Token) -> Target | None:
    if token.kind != "field" or token.name not in ("target", "times"):
        return None
    if token.name == "target":
        target: Target = token.value
        return target
    return TimesADay(token.value) if 1 <= token.value <= _MOST_TIMES else None


def _activities(tail: str, today: date, names: Mapping[str, str], unread: list[str]) -> tuple[str, ...]:
    found: list[str] = []
    folded, came_from = fold_line(tail)
    for token in tokens_of(folded, today, names):
        if token.kind == "name":
            found.append(token.name)
        elif token.kind in ("unread", "field"):
            start, end = token.start, token.end
            unread.append(tail[came_from[start] : came_from[end - 1] + 1] if came_from else tail[start:end])
    return tuple(dict.fromkeys(found))
