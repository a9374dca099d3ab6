"""What is said to be done without an amount: the prompted activity by its minutes, others in doubt."""

from __future__ import annotations

from bot.replies.marks import kinds
from bot.replies.page import SEEN, Logged, Page
from bot.replies.placing import side_marks, sides_of, when, whole
from bot.replies.reading import Entry
from bot.replies.times import once

_SHORT = 2
_SAYS_DONE = ("strong", "weak")
# "He is rolling!" tells what the baby does, not what was practised.
_BY_HIMSELF = frozenset({"rolling", "reaching", "head_turning", "hand_to_mouth"})
# A clause of nothing else only names the activity, and that reports it.
_BARE = kinds(
    "activity side times day weekday anchor clock at both and generic count oops was mean actually neg"
)


def log_unmeasured(page: Page, out: Logged, left: list[int], amounts: list[int]) -> None:
    """Log what is said to be done without an amount: the prompted activity by its minutes, others in doubt."""
    prompt = page.context.prompt
    names = {entry.activity for entry in out.entries}
    done = page.live("done")
    halves = page.live("half_of")
    for n in left:
        name = page.row[n].value
        if name in names or not _is_report(page, n):
            continue
        names.add(name)
        out.used.add(n)
        if prompt and prompt.activity == name:
            _log_prompted(page, out, n, bool(halves))
        else:
            day, time = when(page, n)
            sides = sides_of(page, [n]).get(n, [None])
            if page.context.by_times(name) is not None:
                out.entries += [once(name, side, day, time) for side in sides]
                continue
            out.entries += [Entry(name, None, side, day, time) for side in sides]
            out.doubt = True
    beside = _done_beside(page, out) if out.entries else None
    if beside is not None:
        _log_prompted(page, out, beside, bool(halves))
        out.used.add(beside)
    if out.entries or amounts:
        return
    strong = _strong(page, out, done, halves)
    if strong and prompt:
        _log_prompted(page, out, strong[0], bool(halves))
        out.used.add(strong[0])
    elif strong:
        out.doubt = True
        out.used.add(strong[0])


def _strong(page: Page, out: Logged, done: list[int], halves: list[int]) -> list[int]:
    """Return where the message says that what was asked for is done."""
    missed = any(u.activity is None for u in page.shape.undone)
    return (
        [n for n in done if page.row[n].value == "strong"]
        or halves
        or (_counted(page) if not missed else [])
        or _bare_count(page)
        or _bare_side(page, out)
    )


def _done_beside(page: Page, out: Logged) -> int | None:
    """Return where the prompted activity is said to be done beside others: "done, and the tummy one earlier 12"."""
    prompt, clauses = page.context.prompt, page.shape.clauses
    if prompt is None or any(entry.activity == prompt.activity for entry in out.entries):
        return None
    for at in page.live("done"):
        number = page.shape.clause_of[at]
        alone = set(page.kinds_beside(at)) <= {"done", "did", "subject"} and page.row[at].value in _SAYS_DONE
        if not alone or number + 1 >= len(clauses):
            continue
        joined = any(m.letter in "&+" for m in page.row[clauses[number].end : clauses[number + 1].first])
        if joined and "activity" in page.kinds_beside(clauses[number + 1].first):
            return at
    return None


def _bare_count(page: Page) -> list[int]:
    """Return where "twice" is all that the message says."""
    counts = page.live("count")
    said = [mark for mark in page.row if mark.kind != "filler" and mark.letter not in ".,"]
    return counts if counts and len(said) <= _SHORT and not page.where("observed") else []


def _bare_side(page: Page, out: Logged) -> list[int]:
    """Return the side where a side is all that the message says, in answer to a reminder; it is asked about."""
    known = {"side", "both", "side_noun", "arm", "only", "for", "subject", "did", "then"}
    if not page.context.prompt or not all(m.kind in known or m.letter in ".," for m in page.row):
        return []
    sides = page.live("side") + page.live("both")
    out.doubt |= bool(sides)
    return sides


def _counted(page: Page) -> list[int]:
    """Return where "did", alone or with a count ("did it twice"), says that the prompted activity was done."""
    return [
        n
        for n in page.live("did")
        if page.context.prompt
        and page.row[n].value == ""
        and not any(page.row[k].kind in SEEN | {"hand", "event", "observed", "head"} for k in page.clause(n))
    ]


def _log_prompted(page: Page, out: Logged, at: int, half: bool) -> None:
    prompt = page.context.prompt
    assert prompt is not None
    counts = [n for n in page.clause(at) if page.row[n].kind == "count"]
    seen = any(page.row[n].kind in SEEN | {"hand", "arm", "head"} for n in page.clause(at))
    times = (page.row[counts[0]].number or 1.0) if counts and not seen else 1.0
    minutes = prompt.minutes * times * (0.5 if half else 1.0)
    day, time = when(page, at)
    named = sides_of(page, [at]).get(at)
    sides = named or [prompt.side]
    out.doubt |= half or len(sides) > 1
    out.used.update(counts)
    out.used |= side_marks(page, [at])
    if page.context.by_times(prompt.activity) is not None:
        out.entries += [once(prompt.activity, side, day, time) for side in sides]
    else:
        out.entries += [Entry(prompt.activity, whole(minutes), side, day, time) for side in sides]


def _is_report(page: Page, at: int) -> bool:
    """Return whether an activity named without an amount is said to be done: by a word for it, or by standing alone."""
    marks = [page.row[n] for n in page.clause(at)]
    kinds = {m.kind for m in marks}
    if kinds & {"done", "half_of", "vague"} or any(m.kind == "did" and not m.value for m in marks):
        return True
    first = page.clause(at).start
    if page.row[at].value in _BY_HIMSELF and first and page.row[first - 1].kind == "subject":
        return False
    in_plan = page.row[at].value in page.context.plan or page.row[at].value not in ("bath", "dressing")
    return in_plan and kinds <= _BARE


# Beside these, "ya" only says that it is so by now, not that it was done.
_BARE_YES = kinds("done did times do generic subject oops day and now only also activity again nothing")


def says_yes(page: Page) -> list[int]:
    """Return where the message says yes, or "ya" with nothing else beside it."""
    return [
        n
        for n in page.live("done")
        if page.row[n].value == "weak"
        or (page.row[n].value == "already" and set(page.kinds_beside(n)) <= _BARE_YES)
    ]


def says_heard(page: Page) -> bool:
    """Return whether the message says no more than that the reminder was seen: "ok", "k thanks"."""
    return any(
        page.row[n].value == "heard" and set(page.kinds_beside(n)) <= _BARE_YES for n in page.live("done")
    )


def affirmed(page: Page) -> Entry | None:
    """Return the prompted activity as done, for a message that only says yes."""
    prompt = page.context.prompt
    yes = says_yes(page)
    if not yes or prompt is None:
        return None
    day, time = when(page, yes[0])
    named = sides_of(page, [yes[0]]).get(yes[0])
    side = named[0] if named and len(named) == 1 else prompt.side
    if page.context.by_times(prompt.activity) is not None:
        return once(prompt.activity, side, day, time)
    return Entry(prompt.activity, whole(prompt.minutes), side, day, time)
