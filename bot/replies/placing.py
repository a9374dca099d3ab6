"""On which side, on which day and at what time something was done."""

from __future__ import annotations

from bot.replies.days import time_of_day
from bot.replies.marks import Mark, kinds
from bot.replies.page import Page
from bot.replies.pairing import paired
from bot.replies.sides import is_observed, side_at
from scheduling.sides import Side

# In a clause with one of these, a day is no session's.
_ELSEWHERE = kinds("unwell away event")
# What "both" says of people.
_OF_PEOPLE = kinds("bad good asleep nap sleepy unwell tired")
_SESSIONS = kinds("did done activity amount count skip nothing neg generic messages oops request")


def _entry_sides(page: Page) -> list[int]:
    """Return where sides of something done are named: left, right, both."""
    row = page.row
    named = [
        n for n in page.live("side") if not is_observed(row, n, page.clause(n).start, page.clause(n).stop)
    ]
    both = [
        n
        for n in page.live("both")
        if not is_observed(row, n, page.clause(n).start, page.clause(n).stop) and not _both_people(row, n)
    ]
    return sorted(named + both)


def _both_people(row: list[Mark], at: int) -> bool:
    """Return whether "both" is said of people: "both crying", "we sat together, both singing"."""
    if row[at].value != "both" or at + 1 >= len(row):
        return False
    return row[at + 1].kind in _OF_PEOPLE


def side_marks(page: Page, things: list[int]) -> set[int]:
    """Return the marks that the sides of things done account for."""
    sides = _entry_sides(page) if things else []
    nouns = {
        at
        for n in sides
        for at in (n - 1, n + 1)
        if 0 <= at < len(page.row) and page.row[at].kind in ("arm", "hand", "side_noun")
    }
    return set(sides) | nouns


def sides_of(page: Page, amounts: list[int]) -> dict[int, list[Side | None]]:
    """Return, per amount, its side, or left and right where it was done on both."""
    row, context = page.row, page.context
    named = _entry_sides(page) if amounts else []
    if not named:
        return {}
    both = any(row[n].kind == "both" for n in named)
    if len(amounts) == 1 and not both and len({side_at(row, n, context) for n in named}) == 2:
        return {amounts[0]: ["left", "right"]}
    if _in_order(page, amounts, named):
        return {at: [side_at(row, n, context)] for at, n in zip(amounts, named, strict=True)}
    if _same_on_each(page, amounts, named):
        return {amounts[0]: ["left"], amounts[1]: ["right"]}
    found: dict[int, list[Side | None]] = {}
    sentences = [clause.sentence for clause in page.shape.clauses]
    pairs = paired(amounts, named, page.shape.clause_of, sentences).items()
    for at, n in pairs:
        if row[n].kind != "both":
            found[at] = [side_at(row, n, context)]
        elif row[n].value == "each" or "total" not in row[at].notes:
            found[at] = ["left", "right"]
    apart = [at for at, n in pairs if row[n].value == "one"]
    if len(apart) == 1 and len(amounts) == 2 and any(row[n].value == "opposite" for n in named):
        return {amounts[0]: ["left"], amounts[1]: ["right"]}  # "4 on one side and 4 on the other"
    return found


def _in_order(page: Page, amounts: list[int], named: list[int]) -> bool:
    """Return whether two amounts are followed by two sides in the same order: "5 and 5, left then right"."""
    if not len(amounts) == len(named) == 2 or amounts[1] > named[0]:
        return False
    return {page.row[n].value for n in named} == {"left", "right"}


def _same_on_each(page: Page, amounts: list[int], named: list[int]) -> bool:
    """Return whether two equal amounts are the two sides of "5 and 5 on each side"."""
    if len(amounts) != 2 or len(named) != 1 or page.row[named[0]].value != "each":
        return False
    first, second = (page.row[at] for at in amounts)
    joined = amounts[1] == amounts[0] + 2 and page.row[amounts[0] + 1].letter in "&+"
    return joined and first.number == second.number


def when(page: Page, at: int) -> tuple[int, str | None]:
    """Return the day and the time of day of what stands at a mark."""
    row, now = page.row, page.context.now
    day = _day(page, at)
    if "span" in row[at].notes:
        half = next((h for h in ("am", "pm") if h in row[at].notes), "")
        return day, time_of_day(row[at].value, half, day, now)
    clause = page.clause(at)
    first = clause.start
    # At nine | we did ten. Or: 10:30 tummy time, 12 min.
    if first > 1 and (row[first - 1].kind == "subject" or _only_says_when(page, first - 2)):
        first = page.clause(first - 2).start
    clocks = [n for n in page.where("clock") if first <= n < clause.stop]
    if not clocks:
        return day, None
    nearest = min(clocks, key=lambda n: abs(n - at))
    half = next(iter(row[nearest].notes & {"am", "pm"}), "")
    return day, time_of_day(row[nearest].value, half, day, now)


def _only_says_when(page: Page, at: int) -> bool:
    """Return whether the mark ends a clause that names an activity without an amount, and goes on after a comma."""
    if page.shape.clause_of[at] < 0 or page.row[at + 1].letter != ",":
        return False
    kinds = page.kinds_beside(at)
    return "activity" in kinds and "amount" not in kinds


def _day(page: Page, at: int) -> int:
    """Return the day of a mark: named in its clause, else the last one named before, else one named after it."""
    row, named = page.row, page.days
    if not named:
        return 0
    leading = named[0][0] < at
    here = [(abs(n - at), (n < at) != leading, offset) for n, offset in named if n in page.clause(at)]
    if here:
        return min(here)[2]
    before = [(n, offset) for n, offset in named if n < at]
    if before:
        return before[-1][1] if _tells_of_sessions(page, before[-1][0]) else 0
    n, offset = named[0]
    sentence = page.shape.clauses[page.shape.clause_of[at]].sentence
    trails = any(row[k].kind in ("amount", "activity", "done") for k in page.clause(n) if k < n)
    same = page.shape.clauses[page.shape.clause_of[n]].sentence == sentence
    return offset if same and trails and n not in page.shape.denied else 0


def _tells_of_sessions(page: Page, at: int) -> bool:
    """Return whether a day's clause says only when, or tells of something done or left out: not "fever broke yesterday"."""
    held = set(page.kinds_beside(at))
    if held & _ELSEWHERE:
        return False
    return "unknown" not in held or bool(held & _SESSIONS)


def whole(minutes: float | None) -> float | None:
    """Return minutes as a whole number where they are one, else to a hundredth."""
    if minutes is None or minutes != int(minutes):
        return None if minutes is None else round(minutes, 2)
    return int(minutes)
