"""Reading a therapist's line about the next step: "next football hold: forearm after 5 of 7 days 10 min taken well".

The activity stands before a colon, what comes after it behind: another activity in its place, or another dose ("15 min a day,
5-10 min"). "no next football hold" takes the step out. A line in which anything is left over is not read at all: a step that is
half understood would be proposed at the wrong time.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from bot.parsing.plan_line.amounts import number, number_of, whole_of
from bot.parsing.plan_line.tokens import Token, tokens_of
from bot.parsing.plan_line.vocabulary import fold_line, word
from scheduling.plan import MinutesADay, ShareOfAwake
from scheduling.plan.edits import NextChange
from scheduling.plan.model import Dose, NextStep

_MOST_DAYS = 28
_MOST_MINUTES = 1440


@dataclass(frozen=True, slots=True)
class NextLines:
    """rest: the text without its lines about next steps. unread: such lines that were not understood, whole."""

    changes: tuple[NextChange, ...]
    rest: str
    unread: tuple[str, ...]


def read_next_lines(text: str, today: date, names: Mapping[str, str]) -> NextLines:
    """Return what the lines about next steps ask for. today, names: as for read_plan_words.

    A line is about a next step where it begins with the word and an activity's name.
    """
    opening = re.compile(
        rf"\s*(?P<off>{word('remove')}\s+)?{word('next_step')}\s+(?P<said>[^:]+)(?P<then>:.*)?"
    )
    changes: list[NextChange] = []
    rest: list[str] = []
    unread: list[str] = []
    for line in re.split(r"[\n;]", text):
        folded, _ = fold_line(line)
        found = opening.fullmatch(folded)
        activity = None if found is None else _only_name(found["said"], today, names)
        if found is None or activity is None:
            rest.append(line)
        elif found["off"] and found["then"] is None:
            changes.append(NextChange(activity, None))
        elif not found["off"] and (step := _step(found["then"] or "", activity, today, names)) is not None:
            changes.append(NextChange(activity, step))
        else:
            unread.append(line.strip())
    return NextLines(tuple(changes), "\n".join(rest), tuple(unread))


def _tokens(text: str, today: date, names: Mapping[str, str]) -> list[Token]:
    return [each for each in tokens_of(text, today, names) if each.kind not in ("filler", "comma", "line")]


def _only_name(text: str, today: date, names: Mapping[str, str]) -> str | None:
    tokens = _tokens(text, today, names)
    return tokens[0].name if len(tokens) == 1 and tokens[0].kind == "name" else None


def _step(said: str, activity: str, today: date, names: Mapping[str, str]) -> NextStep | None:
    when = re.compile(
        rf":\s*(?P<then>.+?)[\s,]+{word('after')}\s+{number('days')}(?:\s*{word('day')})?\s+{word('of')}\s+{number('of')}(?:\s*{word('day')})?"
        rf"(?:[\s,]+(?:(?:with|con|of|de)\s+)?(?:{word('at_least')}\s+)?{number('n')}\s*{word('minute')}(?:\s+{word('at_least')})?)?"
        rf"(?P<well>[\s,]+{word('well')})?[\s.]*"
    ).fullmatch(said)
    if when is None:
        return None
    then = _then(when["then"], activity, today, names)
    days, of = whole_of(when, 1, _MOST_DAYS, "days"), whole_of(when, 1, _MOST_DAYS, "of")
    minutes = number_of(when, "n") or 0.0
    if then is None or days is None or of is None or days > of or minutes > _MOST_MINUTES:
        return None
    return NextStep(then, days, of, minutes, taken_well=when["well"] is not None)


def _then(said: str, activity: str, today: date, names: Mapping[str, str]) -> str | Dose | None:
    name = _only_name(said, today, names)
    if name is not None:
        return None if name == activity else name
    fields: dict[str, Token] = {}
    for token in _tokens(said, today, names):
        if token.kind != "field" or token.name not in ("target", "session") or token.name in fields:
            return None
        fields[token.name] = token
    target = fields["target"].value if "target" in fields else None
    session = fields["session"].value if "session" in fields else None
    if not fields or not (target is None or isinstance(target, MinutesADay | ShareOfAwake)):
        return None
    return None if session is not None and None in session else Dose(target, session)
