"""Activities that are counted by times and not by minutes: how often, told by a number, a count or care moments.

"3 of 5", "twice", "did it at every change": for such an activity each is how many sessions. "Of 5", a day or several care
moments tell of the day in all. What a message says in minutes stays minutes.
"""

from __future__ import annotations

from dataclasses import dataclass

from bot.replies.care_moments import MOMENTS, MOST_TIMES, with_care_moments
from bot.replies.marks import Mark
from bot.replies.page import SEEN, Logged, Page
from bot.replies.placing import when, whole
from bot.replies.reading import Entry, ReplyContext
from bot.replies.tokens import Token
from scheduling.sides import Side

_DAYS = frozenset({"day", "weekday"})
# Their verb is the family's deed where it is told how often: "rolled him every change"; the baby's where the baby did it.
_OF_A_VERB = frozenset({"rolling", "reaching", "head_turning", "hand_to_mouth"})
_BABY = frozenset({"she", "he", "she's", "he's", "ella", "they"})
_BESIDE = 3  # marks: so near to a count stands what it counts
_PARTED = frozenset(".?,")


@dataclass(frozen=True, slots=True)
class Often:
    """How often an activity was done. times None: it must be asked. minutes: of each time, where told."""

    activity: str | None
    times: int | None
    of_day: bool = False
    minutes: float | None = None
    said: bool = True


def with_moments(tokens: list[Token], context: ReplyContext) -> list[Token]:
    """Return the tokens with each "every change" or "3 of the 5 changes" as one, where an activity counts by times."""
    if not context.times:
        return tokens
    free = any(not each.moments for each in context.times)
    moments = MOMENTS if free else frozenset().union(*(each.moments for each in context.times))
    return with_care_moments(tokens, moments, prompted=_prompted(context))


def _prompted(context: ReplyContext) -> bool:
    return context.prompt is not None and context.by_times(context.prompt.activity) is not None


def with_counts(row: list[Mark], context: ReplyContext) -> list[Mark]:
    """Return the row with "3 times" as an amount where what it counts is an activity that counts by times."""
    if not context.times or any(mark.kind == "amount" for mark in row):
        return row
    named = any(mark.kind == "activity" for mark in row)
    for at, mark in enumerate(row):
        if mark.kind != "count" or mark.number is None:
            continue
        if at and row[at - 1].kind in SEEN | {"head", "hand", "arm"}:
            continue  # "turned her head twice"
        if _counted_beside(row, at, context) if named else _prompted(context):
            mark.kind, mark.letter, mark.notes = "amount", "W", frozenset({"times", "some"})
            mark.value = ""
    return row


def _counted_beside(row: list[Mark], at: int, context: ReplyContext) -> bool:
    for step in (-1, 1):
        for n in range(at + step, at + step * (_BESIDE + 1), step):
            if not 0 <= n < len(row) or row[n].letter in _PARTED:
                break
            if row[n].kind == "activity":
                return context.by_times(row[n].value) is not None
    return False


def how_often(page: Page, at: int, activity: int | None) -> Often | None:
    """Return how often what an amount tells of was done; None where the amount is minutes. activity: the mark that names it."""
    mark, context = page.row[at], page.context
    named = page.row[activity].value if activity is not None else None
    if "of" in mark.notes and not mark.value and activity is not None and activity not in page.clause(at):
        named = _meant(context, "") or named  # "tummy 12 min and 3 of 5 rolls"
    if "times" not in mark.notes:
        return _by_number(page, at, named)
    name = named or _meant(context, mark.value)
    if name is None and not mark.value and "of" not in mark.notes:
        return Often(None, None, said=False)  # "every time", of nothing that is known
    by = context.by_times(name)
    if by is None:
        return None if "of" in mark.notes and not mark.value else Often(name, None)
    if mark.doubt or mark.number is None:
        return Often(name, None)
    if "every" in mark.notes:
        of = by.so_far if when(page, at)[0] == 0 else by.a_day
        return Often(name, _possible(of - mark.number), of_day=True)
    of_day = "of" in mark.notes or (bool(mark.value) and mark.number > 1) or _tells_of_a_day(page, at)
    return Often(name, _possible(mark.number), of_day)


def _meant(context: ReplyContext, moment: str) -> str | None:
    """Return the activity that is meant where none is named: the prompted one, else the only one that stands at a moment."""
    fitting = [
        each.activity for each in context.times if not moment or not each.moments or moment in each.moments
    ]
    if context.prompt is not None and context.prompt.activity in fitting:
        return context.prompt.activity
    alone = moment or context.prompt is None
    return fitting[0] if len(fitting) == 1 and alone else None


def _by_number(page: Page, at: int, named: str | None) -> Often | None:
    mark, prompt = page.row[at], page.context.prompt
    name = named or (prompt.activity if prompt else None)
    by = page.context.by_times(name)
    if by is None or mark.number is None:
        return None
    if "repeated" in mark.notes and mark.value:
        each = float(mark.value)
        return Often(name, _possible(mark.number / each) if each else None, minutes=whole(each))
    if "unit" in mark.notes:
        return None
    after = page.row[at + 1 : at + 4]
    of_some = any(row.kind == "number" and row.value == "goal" and "unit" not in row.notes for row in after)
    if any(row.value == "goal" and "unit" in row.notes for row in after):
        return None  # "3 of 5 min"
    of_day = of_some or "total" in mark.notes or _tells_of_a_day(page, at)
    likely = mark.number <= max(by.a_day, by.so_far) or of_some
    return Often(name, _possible(mark.number) if likely and not mark.doubt else None, of_day)


def _possible(times: float) -> int | None:
    return int(times) if times == int(times) and 1 <= times <= MOST_TIMES else None


def _tells_of_a_day(page: Page, at: int) -> bool:
    return not _DAYS.isdisjoint(page.kinds_beside(at))


def log_times(page: Page, out: Logged, at: int, often: Often, sides: list[Side | None] | None) -> None:
    """Log how often an activity was done; where that is not clear, it is asked about."""
    if not often.said:
        return
    prompt = page.context.prompt
    if sides is None:
        one = often.times == 1 and prompt is not None and prompt.activity == often.activity
        sides = [prompt.side if one and prompt else None]
    day, time = when(page, at)
    for side in sides:
        out.entries.append(
            Entry(
                often.activity, often.minutes, side, day, time, often.times, often.of_day and len(sides) == 1
            )
        )
    if often.activity in _OF_A_VERB and not _told_of_the_baby(page, at):
        out.used |= {
            n for n in page.clause(at) if page.row[n].kind in SEEN
        }  # "we rolled him at every change"
    out.doubt |= often.times is None or often.activity is None


def _told_of_the_baby(page: Page, at: int) -> bool:
    first = page.clause(at).start
    return first > 0 and page.row[first - 1].kind == "subject" and page.row[first - 1].value in _BABY


def log_not_every(page: Page, out: Logged) -> None:
    """Ask how often it was, where it was not done every time: "didn't do it at every change"."""
    for at in page.where("amount"):
        clause_of, row = page.shape.clause_of, page.row
        if "every" not in row[at].notes or at not in page.shape.denied or at in page.hidden | page.uncounted:
            continue
        clause = page.shape.clauses[clause_of[at]]
        if clause.asks or any(clause_of[n] == clause_of[at] for n in page.shape.planned):
            continue
        named = next((n for n in page.clause(at) if row[n].kind == "activity"), None)
        name = row[named].value if named is not None else _meant(page.context, row[at].value)
        if name is not None and all(entry.activity != name for entry in out.entries):
            log_times(page, out, at, Often(name, None), [None])
            out.used |= {at} if named is None else {at, named}


def once(activity: str, side: Side | None, day: int, time: str | None) -> Entry:
    """Return one session of an activity that is counted by times."""
    return Entry(activity, None, side, day, time, times=1)
