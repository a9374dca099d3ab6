"""What puts an activity off: a wish to be reminded again, a plan to do it, or a time alone."""

from __future__ import annotations

from bot.replies.days import time_of_day
from bot.replies.marks import Mark, kinds
from bot.replies.page import Page
from bot.replies.reading import Request

_NOT_YET = frozenset(
    {"later", "do", "did", "done", "activity", "generic", "day", "subject", "and", "but", "oops"}
)
# What a day to come is told of, so that it puts nothing off.
_TOLD_FOR_THE_DAY = kinds("unknown move measured unwell away event ask")
MINUTES_A_DAY = 24 * 60
_MOST_UNKNOWN = 2
_FROM_THEN = kinds("after till at in")
# With one of these a time is no answer to a reminder by itself.
_TELLS_MORE = kinds(
    "skip nothing undone neg done good bad asleep unwell lift turn reach grab roll head hand arm amount was"
)


def put_off(page: Page, logged: bool) -> tuple[Request | None, set[int]]:
    """Remind me again; or a plan to do it, which comes to the same."""
    row = page.row
    later = [n for n in page.told("later") if _puts_off(page, n, logged)]
    plans = [
        n
        for n in page.told("future")
        if not page.asks(n)
        and not (row[n].value == "do" and _asks_on(page, n))
        and (
            row[n].value == "do"
            or any(
                row[k].kind in ("did", "do", "tried", "start")
                or (row[k].kind in ("amount", "activity") and k in page.shape.denied)
                or (row[k].kind == "done" and row[k].value == "strong")
                for k in page.clause(n)
            )
        )
    ]
    waits = [n for n in range(len(row)) if row[n].kind == "amount" and "ahead" in row[n].notes]
    alone = waits if not logged and not any(m.kind in ("done", "activity") or _did(m) for m in row) else []
    times = [] if logged or later or plans else _only_when(page)
    if not (later or plans or alone or times):
        return None, set()
    at = (later or plans or alone or times)[0]
    marks = set(later + plans) | {n for n in page.clause(at) if row[n].kind != "unknown"}
    return Request("later", None, _wait(page, at)), marks


def _asks_on(page: Page, at: int) -> bool:
    """Return whether a clause is only what a question after it begins with: "si llora cuando lo pongo así, ¿sigo?"."""
    following = page.shape.clause_of[at] + 1
    return any(clause.asks for clause in page.shape.clauses[following:])


def _did(mark: Mark) -> bool:
    return mark.kind == "did" and not mark.value


def _puts_off(page: Page, at: int, logged: bool) -> bool:
    """Return whether a word such as "later" puts the activity off, and is not told of something else."""
    value, beside = page.row[at].value, page.kinds_beside(at)
    if value == "remind":
        return True
    if value == "yet":
        return set(beside) <= _NOT_YET
    if value == "weak" and (logged or page.asks(at)):
        return False
    if value == "day" and set(beside) & _TOLD_FOR_THE_DAY and not {"future", "do"} & set(beside):
        return False  # "my sister comes tomorrow"
    if {"future", "do", "amount"} & set(beside):
        return True
    return not logged and beside.count("unknown") <= _MOST_UNKNOWN


def _only_when(page: Page) -> list[int]:
    """Return the time in an answer to a reminder that says little else: "after ten", "school run, at 3"."""
    kinds = {m.kind for m in page.row}
    if not page.context.prompt or kinds & _TELLS_MORE or len(page.where("unknown")) > _MOST_UNKNOWN + 1:
        return []
    clocks = [n for n in page.where("clock") if n and page.row[n - 1].kind in _FROM_THEN]
    after = [n for n in page.where("after") + page.where("till") if n + 1 < len(page.row)]
    return [n for n in clocks + after + page.where("clock") if not page.asks(n)][:1]


def _wait(page: Page, at: int) -> float | None:
    """Return the minutes until the reminder is wanted, where the message says so: "in 20", "at 3"."""
    row, now = page.row, page.context.now
    for n in page.clause(at):
        amount = row[n]
        ahead = "ahead" in amount.notes or (n > at and row[at].kind != "future")
        if amount.kind == "amount" and ahead and amount.number is not None and amount.number > 0:
            return int(amount.number) if amount.number == int(amount.number) else amount.number
        if amount.kind == "clock":
            half = next(iter(amount.notes & {"am", "pm"}), "")
            hours, minutes = (int(part) for part in time_of_day(amount.value, half, -1, now).split(":"))
            return (hours * 60 + minutes - now.hour * 60 - now.minute) % MINUTES_A_DAY or None
    waits = [m.number for m in row if "ahead" in m.notes and m.number]
    return waits[0] if waits else None
