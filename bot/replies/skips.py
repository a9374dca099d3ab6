"""Why the prompted activity was not done, where the message says that it was not."""

from __future__ import annotations

from bot.replies.clauses import Undone
from bot.replies.marks import kinds
from bot.replies.page import Page
from bot.replies.reading import Entry, SkipReason

# The first reason that stands counts: a sleeping baby before a busy day.
_ONLY_UNDONE = kinds(
    "skip nothing neg activity generic day do did done times now anchor and but oops subject only side refused tried"
)
REASONS: tuple[SkipReason, ...] = ("asleep", "unwell", "refused", "away", "no_time")


def skipped(page: Page, entries: list[Entry], concerned: bool) -> tuple[SkipReason | None, set[int]]:
    """Return the reason (or "other") why the prompted activity was not done, and the marks that say so.

    Nothing is skipped where the prompted activity was logged, or where something was logged and nothing says that
    the prompted one was not done. Without a reminder, and in a concern that says more, a reason alone skips nothing.
    """
    row, prompt = page.row, page.context.prompt
    prompted = prompt.activity if prompt else None
    if any(e.activity == prompted and e.day_offset == 0 for e in entries):
        return None, set()
    undone = [
        u for u in page.shape.undone if u.at not in page.hidden and not (concerned and not _plainly(page, u))
    ]
    undone += [
        Undone(n, None) for n, m in enumerate(row) if m.kind == "finish" and not entries and _stands(page, n)
    ]
    about = [u for u in undone if u.activity is None or prompted is None or row[u.activity].value == prompted]
    if (entries and not (about and prompt)) or (concerned and not prompt):
        return None, set()
    if concerned and not about and page.where("unknown"):
        return None, set()
    if not prompt and not about and not _only_asleep(page):
        return None, set()
    reason, at = _reason(page, bool(about))
    if reason is None and not about:
        return None, set()
    marks = (
        {u.at for u in about}
        | {u.activity for u in about if u.activity is not None}
        | ({at} if at >= 0 else set())
    )
    return reason or "other", marks


def _plainly(page: Page, undone: Undone) -> bool:
    """Return whether a clause beside a concern says of an activity that it was not done: not "nothing helps"."""
    held = set(page.kinds_beside(undone.at))
    other_day = any(
        page.row[n].value not in ("", "0") for n in page.clause(undone.at) if page.row[n].kind == "day"
    )
    return held <= _ONLY_UNDONE and not other_day


def _only_asleep(page: Page) -> bool:
    return any(m.kind in ("asleep", "nap") for m in page.row)


def _reason(page: Page, undone: bool) -> tuple[SkipReason | None, int]:
    row = page.row
    for reason in REASONS:
        for n, mark in enumerate(row):
            if mark.kind == reason and _stands(page, n):
                return reason, n
    if undone or {m.kind for m in row} <= {"nap", "stop", "comma", "again", "now"}:
        for n, mark in enumerate(row):
            if mark.kind == "nap" and _stands(page, n):
                return "asleep", n
            if mark.kind == "bad" and _stands(page, n):
                return "refused", n
    return None, -1


def _stands(page: Page, at: int) -> bool:
    clause = page.shape.clause_of[at]
    if clause < 0 or page.shape.clauses[clause].asks:
        return False
    before = page.row[at - 1] if at else None
    denied = before is not None and (
        before.kind in ("after", "before") or (before.kind == "neg" and before.value != "undone")
    )
    return not denied and not _follows_future(page, at)


def _follows_future(page: Page, at: int) -> bool:
    """Return whether the mark lies in a plan: "when she is back from nursery"."""
    return any(page.row[n].kind == "future" for n in page.clause(at) if n < at)
