"""Reading a therapist's line about a plan: "tummy 40/day 3-10 min, 30 after feeds, from Monday".

Pure. A comma or "and" parts what is said, a new line or a semicolon starts afresh; what stands in a part without a name
belongs to the activity named before it. Nothing is guessed: what is not understood comes back word for word.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from bot.parsing.plan_line.arm_hold import read_arm_hold_lines
from bot.parsing.plan_line.date_tokens import DATES, plain_enough, with_dates
from bot.parsing.plan_line.goals import read_goal_lines
from bot.parsing.plan_line.next_lines import read_next_lines
from bot.parsing.plan_line.swaps import taken_out
from bot.parsing.plan_line.tokens import Token, tokens_of
from bot.parsing.plan_line.vocabulary import fold_line, word
from bot.text import plain_text
from scheduling.plan import MinutesADay, Plan, TimesADay
from scheduling.plan.edits import ActivityChange, Change, DayChange, Removal

OF_THE_DAY = {
    "most_prompts", "shortest_gap", "quiet", "no_quiet", "feeds", "awake", "moment_times",
}  # fmt: skip

_MOST_TIMES = 24


@dataclass(frozen=True, slots=True)
class PlanLine:
    """What was read. unread: what no change accounts for, in the writer's own words and order."""

    changes: tuple[Change, ...]
    unread: tuple[str, ...]


@dataclass(slots=True)
class _Said:
    """What one text says of one activity."""

    fields: dict[str, Token] = field(default_factory=dict)
    op: Token | None = None


@dataclass(slots=True)
class _Reader:
    text: str
    folded: str
    came_from: list[int] | None  # of each folded character, where it is not its own place
    plan: Plan
    today: date
    activities: dict[str, _Said] = field(default_factory=dict)
    day: dict[str, Any] = field(default_factory=dict)
    moments: dict[str, tuple[int, ...]] = field(default_factory=dict)
    unread: list[Token] = field(default_factory=list)
    current: str | None = None
    op: Token | None = None

    def own_words(self, start: int, end: int) -> str:
        """Return the writer's own words of a stretch of the folded text."""
        if self.came_from is None:
            return self.text[start:end]
        return self.text[self.came_from[start] : self.came_from[end - 1] + 1]

    def part(self, tokens: list[Token]) -> None:
        """Take in what stands between two commas."""
        gone, tokens = taken_out(tokens)
        if gone is not None:
            self.activities.setdefault(gone.name, _Said()).op = gone
        names = [token for token in tokens if token.kind == "name"]
        ops = {token.name: token for token in tokens if token.kind == "op"}
        said_op = ops.get("remove") or ops.get("hold")
        plain = not any(token.kind == "field" for token in tokens)
        tokens = with_dates(tokens)
        if not plain_enough(said_op, tokens):
            self.unread += [token for token in tokens if token.kind not in ("filler", "comma", "line")]
            self.op = None
            return
        # "remove bath and dressing": the word holds for names that stand alone after it, until another is said.
        op = said_op or (self.op if names and plain and not ops else None)
        self.op = op if plain else None
        if names:
            self.current = names[0].name
        for token in tokens:
            if token.kind == "unread":
                self.unread.append(token)
            elif token.kind == "name":
                self.current = token.name
                self._name(token, tokens, alone=plain and not op)
            elif token.kind == "field":
                self._field(token)
        self._operate(op, names, said_op)

    def _name(self, token: Token, beside: list[Token], *, alone: bool) -> None:
        """Note an activity. One that stands alone is added, unless it is there already or has odd words beside it."""
        odd = any(each.kind == "unread" for each in beside)
        if alone and (odd or self.plan.activity(token.name) is not None):
            self.unread.append(token)  # what follows may still say something of it
        else:
            self.activities.setdefault(token.name, _Said())

    def _field(self, token: Token) -> None:
        if token.name == "gap" and self.current is None:
            self.day.setdefault("shortest_gap", token.value)
        elif token.name == "moment_times":
            self.moments[token.value[0]] = token.value[1]
        elif token.name in OF_THE_DAY:
            known = self.day.setdefault(token.name, token.value)
            self._refuse(token, known == token.value)
        elif self.current is None:
            self.unread.append(token)
        else:
            said = self.activities.setdefault(self.current, _Said())
            self._of_activity(said, token)

    def _of_activity(self, said: _Said, token: Token) -> None:
        name = {"arm": "side", "gap": "own_gap"}.get(token.name, token.name)
        earlier = said.fields.get(name)
        if earlier is None:
            said.fields[name] = token
        elif name == "session" and (merged := _bounds(earlier.value, token.value)) is not None:
            said.fields[name] = Token("field", "session", merged, earlier.start, token.end)
        else:
            self._refuse(token, earlier.value == token.value)

    def _refuse(self, token: Token, agrees: bool) -> None:
        """Of two things said of one field the first stands; the other is told as not read."""
        if not agrees:
            self.unread.append(token)

    def _operate(self, op: Token | None, names: list[Token], said_op: Token | None) -> None:
        if op is None:
            return
        targets = [token.name for token in names] or ([self.current] if self.current else [])
        for activity in targets:
            self.activities.setdefault(activity, _Said()).op = op
        if not targets and said_op is not None:
            self.unread.append(said_op)


def _bounds(
    first: tuple[int | None, int | None], second: tuple[int | None, int | None]
) -> tuple[int | None, int | None] | None:
    """Join "at least 3 min" with "at most 10 min"; None where they say the same bound twice."""
    if first[0] is None and second[1] is None:
        first, second = second, first
    if first[1] is None and second[0] is None and first[0] is not None and second[1] is not None:
        return (first[0], second[1]) if first[0] <= second[1] else None
    return None


def read_plan_words(text: str, plan: Plan, today: date, names: Mapping[str, str]) -> PlanLine:
    """Return the changes that a line asks for.

    plan: what they are made to (it tells what "left" means for this baby, and what is there already). today: the family's
    date, from which "Monday" counts; a weekday is the next one after today. names: see plan_vocabulary.names_of.
    """
    held = read_arm_hold_lines(plain_text(text), today)
    goals = read_goal_lines(held.rest, plan, today, names)
    steps = read_next_lines(goals.rest, today, names)
    text = steps.rest
    folded, came_from = fold_line(text)
    reader = _Reader(text, folded, came_from, plan, today)
    part: list[Token] = []
    for token in tokens_of(reader.folded, today, names):
        if token.kind not in ("comma", "line"):
            part.append(token)
            continue
        reader.part(part)
        part = []
        if token.kind == "line":
            reader.current = reader.op = None
    reader.part(part)
    read = _result(reader)
    return PlanLine(
        (*read.changes, *goals.changes, *steps.changes, *held.changes),
        (*read.unread, *goals.unread, *steps.unread, *held.unread),
    )


def _result(reader: _Reader) -> PlanLine:
    changes: list[Change] = []
    if reader.day or reader.moments:
        changes.append(DayChange(**reader.day, moments=tuple(reader.moments.items())))  # type: ignore[arg-type]
    for activity, said in reader.activities.items():
        change = _change(reader, activity, said)
        if change is not None:
            changes.append(change)
    known = {each.activity for each in changes if isinstance(each, ActivityChange | Removal)}
    unread = [token for token in reader.unread if token.kind != "name" or token.name not in known]
    return PlanLine(tuple(changes), _in_own_words(reader, unread))


def _change(reader: _Reader, activity: str, said: _Said) -> Change | None:
    fields, op = said.fields, said.op
    if op is not None and DATES & fields.keys():
        _turn_dates(reader, fields)
    elif op is not None:
        reader.unread += fields.values()
        return Removal(activity)
    values = {name: token.value for name, token in fields.items()}
    _count_times(reader, activity, fields, values)
    _count_days(reader, values)
    _say_side(reader, fields, values)
    if values.get("any_time") and values.pop("moments", None):
        reader.unread.append(fields["any_time"])
    if not values and (fields or op is not None or reader.plan.activity(activity) is not None):
        return None
    return ActivityChange(activity=activity, **values)


def _turn_dates(reader: _Reader, fields: dict[str, Token]) -> None:
    """Turn dates on which an activity is off: until Monday is from Monday, from Monday is until Sunday."""
    until, first, days = (fields.pop(name, None) for name in ("until", "from_", "for_days"))
    said = [token for token in (until, first, days) if token is not None]
    if len(said) > 1:
        reader.unread += said  # off between two dates: one first and one last date cannot say that
    elif until is not None:
        fields["from_"] = until
    elif days is not None:
        fields["from_"] = _moved(days, reader.today + timedelta(days=days.value))
    elif first is not None:
        fields["until"] = _moved(first, first.value - timedelta(days=1))


def _moved(token: Token, day: date) -> Token:
    return Token(token.kind, token.name, day, token.start, token.end)


def _count_times(reader: _Reader, activity: str, fields: dict[str, Token], values: dict[str, Any]) -> None:
    """Turn "5 min three times a day" into minutes a day; woven into care moments, times are counted as times.

    Elsewhere, with a range of minutes, there is no one answer: unread.
    """
    if (times_of := values.pop("times_of", None)) is not None:
        times, minutes = times_of
        if "target" in values or "session" in values or times * minutes > 1440:
            reader.unread.append(fields["times_of"])
        else:
            values["session"], values["target"] = (minutes, minutes), MinutesADay(float(times * minutes))
    times = values.pop("times", None)
    if times is None:
        return
    present = reader.plan.activity(activity)
    woven = "moments" in values or (present is not None and present.moments is not None)
    if woven and "target" not in values and "session" not in values and 1 <= times <= _MOST_TIMES:
        values["target"] = TimesADay(times)
        return
    session = values.get("session") or (present.session if present else None)
    if "target" in values or session is None or session[0] != session[1] or times * (session[0] or 0) > 1440:
        reader.unread.append(fields["times"])
    else:
        values["target"] = MinutesADay(float(times * session[0]))


def _count_days(reader: _Reader, values: dict[str, Any]) -> None:
    """Turn "for two weeks" into a last date, counted from the first date or today."""
    days = values.pop("for_days", None)
    if days is not None and "until" not in values:
        values["until"] = values.get("from_", reader.today) + timedelta(days=days - 1)


def _say_side(reader: _Reader, fields: dict[str, Token], values: dict[str, Any]) -> None:
    """Say a left or right of this baby as affected or unaffected; with both arms affected neither can be said."""
    token = fields.get("side")
    if token is None or token.name != "arm":
        return
    affected = reader.plan.baby.affected_side
    if affected == "both":
        del values["side"]
        reader.unread.append(token)
    else:
        values["side"] = "affected" if token.value == affected else "unaffected"


def _in_own_words(reader: _Reader, tokens: list[Token]) -> tuple[str, ...]:
    """Return the unread parts as they were written; those with nothing but small words between them as one."""
    small = re.compile(rf"(?:\s|{word('filler')})*")
    spans: list[tuple[int, int]] = []
    for start, end in sorted({(token.start, token.end) for token in tokens}):
        if spans and small.fullmatch(reader.folded, spans[-1][1], max(start, spans[-1][1])):
            spans[-1] = (spans[-1][0], max(end, spans[-1][1]))
        else:
            spans.append((start, end))
    said = [reader.own_words(start, end).strip() for start, end in spans]
    return tuple(each for each in said if any(character.isalnum() for character in each))
