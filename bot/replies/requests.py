"""What the carer asks of the bot or the therapist."""

from __future__ import annotations

from collections.abc import Iterator

from bot.replies.activities import activity_asked
from bot.replies.marks import kinds
from bot.replies.page import Page, put_wrong, said_wrong
from bot.replies.putting_off import put_off
from bot.replies.reading import Request, RequestKind

_LIMITS = frozenset({"till", "day", "weekday", "measured", "week", "later", "anchor", "amount"})
# Messages that are not wanted because of these are not wanted for a time.
_FOR_A_TIME = frozenset({"till", "away", "measured", "unwell"})
_TALK = frozenset({"halt", "messages", "light", "filler", "subject", "for", "multiply"})
_TO_COUNT = kinds("amount side activity number day weekday goal")
_OF_THE_BABY = kinds("unknown head hand arm trunk mouth event bad asleep lift turn move")
_SETS_RIGHT = kinds("request mean neg oops actually goal was but")
_MANY_UNKNOWN = 2


def request_of(
    page: Page, logged: bool, *, concerned: bool, alarmed: bool
) -> tuple[Request | None, set[int]]:
    """Return what is asked for, or None, and the marks that say so.

    logged: whether the message holds entries. concerned: whether it holds a concern; a question about it is no request.
    alarmed: whether that concern is for today or at once.
    """
    for request, marks in _in_turn(page, logged):
        if request is None or (alarmed and not _apart(page, marks)):
            continue
        if alarmed and request.kind == "later" and not _wished(page, marks):
            continue
        return request, marks
    asked = {n for clause in page.shape.clauses if clause.asks for n in range(clause.first, clause.end)}
    if asked and not concerned:
        return Request("question"), asked
    return None, set()


def _apart(page: Page, marks: set[int]) -> bool:
    """Return whether a request beside an alarm stands by itself: in clauses of its own that hold nothing unknown.

    Words of an alarm sound like requests: "will not wake", "keeps stopping", "help me, she is blue".
    """
    clauses = {page.shape.clause_of[n] for n in marks} - {-1}
    held = {n for n, clause in enumerate(page.shape.clause_of) if clause in clauses}
    if held & page.hidden:
        return False
    return not any(page.row[n].kind in _OF_THE_BABY for n in held)


def _wished(page: Page, marks: set[int]) -> bool:
    """Return whether to be reminded again is asked for in so many words: "when he gets home" beside an alarm is no wish."""
    told = {(page.row[n].kind, page.row[n].value) for n in marks}
    return ("later", "remind") in told or any(kind == "future" for kind, _ in told)


Found = tuple[Request | None, set[int]]


def _in_turn(page: Page, logged: bool) -> Iterator[Found]:
    """Yield what each kind of request finds; the first that finds something has it."""
    yield _take_back(page)
    yield _end(page, logged)
    yield _told(page, logged)
    yield _show(page)
    yield put_off(page, logged)
    yield _progress(page, logged)


def _take_back(page: Page) -> Found:
    """Undo, or a correction: words for a slip, or one amount set against another."""
    row = page.row
    if not page.holds(_SETS_RIGHT):
        return None, set()
    undo = page.told("request", "undo")
    means = [
        n for n in page.told("mean") if not page.asks(n) and row[n].value != "digo" and _sets_right(page, n)
    ]
    contrast = [n for n in range(len(row)) if _sets_against(page, n)]
    contrast += [n for n in page.told("goal") if page.row[n].value == "said" and page.live("amount")]
    sorry = [n for n in page.told("oops") + page.told("actually") if _amount_follows(page, n)]
    contrast += [n for n in range(len(row)) if said_wrong(row, n) is not None]
    contrast += [n for n in range(len(row)) if _names_against(page, n)]
    written = put_wrong(row)
    contrast += [] if written is None else [written]
    amounts = page.live("amount")
    right = amounts or page.live("side") or page.live("activity")
    if (means or contrast or sorry) and (right or (means and not undo)):
        return Request("correct"), set(means + contrast + sorry + undo)
    if undo:
        return Request("correct" if amounts else "undo"), set(undo)
    return None, set()


def _sets_right(page: Page, at: int) -> bool:
    """Return whether "I mean" or "wrong" is said of something to count: that stands near it, or the message says no more."""
    told = page.where("unknown")
    if len(told) <= 1:
        return True
    clause = page.shape.clause_of[at]
    near = {
        n
        for n, number in enumerate(page.shape.clause_of)
        if 0 <= number - clause <= 1 or n in page.clause(at)
    }
    return any(page.row[n].kind in _TO_COUNT for n in near)


def _sets_against(page: Page, at: int) -> bool:
    """Return whether a mark is the "not" of "12 not 20" or of "it wasn't 20, it was 12"."""
    row = page.row
    if row[at].kind != "neg" or row[at].value == "undone":
        return False
    following = at + 1
    while following < len(row) and row[following].kind in ("actually", "was"):
        following += 1
    if following >= len(row) or row[following].kind not in ("amount", "number"):
        return False
    return any(n != following for n in page.live("amount"))


def _names_against(page: Page, at: int) -> bool:
    """Return whether a mark is the "not" of "sorry, football not tummy": one activity or side against another."""
    row = page.row
    if row[at].kind != "neg" or at + 1 >= len(row) or row[at + 1].kind not in ("activity", "side"):
        return False
    said_sorry = any(m.kind in ("oops", "mean", "actually") for m in row)
    return said_sorry and bool(page.live(row[at + 1].kind))


def _amount_follows(page: Page, at: int) -> bool:
    """Return whether an apology begins the message and nothing comes after it but an amount, or what an activity "was"."""
    rest = [
        m for m in page.row[at + 1 :] if m.letter not in ",.|" and m.kind not in ("and", "but", "was", "only")
    ]
    first = [
        m for m in page.row[:at] if m.letter not in ",.|" and m.kind not in ("oops", "skip", "neg", "done")
    ]
    if first or not rest:
        return False
    said = [m.kind for m in rest]
    of_it = said in (["activity", "amount"], ["activity", "one", "amount"])  # "oops, the football one was 7"
    return (len(said) <= 2 and said[0] == "amount") or (
        of_it and any(m.kind == "was" for m in page.row[at + 1 :])
    )


def _end(page: Page, logged: bool) -> Found:
    """Stop, pause and resume."""
    row = page.row
    resume = page.told("request", "resume")
    if not page.where("unknown") and not page.where("unwell"):
        resume += page.told("request", "back")
    for n in page.told("halt"):
        if n and row[n - 1].kind == "amount":  # "4 min no más" ends the amount, not the messages.
            continue
        clause = page.clause(n)
        kinds = {m.kind for m in row}
        alone = all(m.kind in _TALK | _LIMITS or m.letter in ",.!?" for m in row)
        if "messages" in kinds or row[n].value == "all" or alone:
            later = any(m.kind in _LIMITS for m in row[n + 1 :]) or bool(kinds & _FOR_A_TIME)
            marks = set(clause)
            return Request("pause" if later else "stop"), marks
    pause = page.told("request", "pause")
    if pause and not logged:
        return Request("pause"), set(range(len(row)))
    if resume and not logged:
        return Request("resume"), set(resume)
    return None, set()


def _told(page: Page, logged: bool) -> Found:
    """Wants to talk to the therapist, or help with the bot."""
    contact = page.told("request", "contact")
    if contact:
        return Request("contact"), {k for n in contact for k in page.clause(n)}
    help_wanted = [n for n in page.told("request", "help") if page.asks(n) or _only_help(page, n)]
    if help_wanted and not logged:
        activity = any(m.kind == "activity" for m in page.row)
        if activity:
            return Request("refresher", activity_asked(page.row, page.context)), set(range(len(page.row)))
        return Request("help"), {k for n in help_wanted for k in page.clause(n)}
    return None, set()


def _only_help(page: Page, at: int) -> bool:
    """Return whether a clause asks for help and tells of nothing: not "no help", not "helped her"."""
    beside = page.kinds_beside(at)
    return not {"unknown", "hand", "neg", "did", "unwell", "away"} & set(beside)


def _show(page: Page) -> Found:
    """A question how an activity is done, or a wish to be shown it."""
    marks = page.told("how")
    shown = any(page.row[n].value == "show" for n in marks)
    if not marks:
        marks = [n for n in page.told("again") if _recalls(page, n)]
    elif not shown and any(m.kind == "ask" for m in page.row):
        return None, set()
    marks = [n for n in marks if _wants_showing(page, n)]
    if not marks:
        return None, set()
    activity = activity_asked(page.row, page.context)
    week = any(m.kind == "week" for m in page.row)
    if (week or (not shown and activity is None)) and not any(m.kind == "activity" for m in page.row):
        return None, set()
    return Request("refresher", activity), {k for n in marks for k in page.clause(n)}


def _wants_showing(page: Page, at: int) -> bool:
    """Return whether a word such as "video" or "don't know" is a wish: it asks, names an activity, or says little else."""
    beside = page.kinds_beside(at)
    if page.asks(at) or "activity" in beside:
        return "amount" not in beside
    return beside.count("unknown") < _MANY_UNKNOWN and not {"amount", "good", "did", "away", "event"} & set(
        beside
    )


def _recalls(page: Page, at: int) -> bool:
    """Return whether "again" or "look like" belongs to a question what or how an activity was."""
    kinds = {page.row[n].kind for n in page.clause(at)}
    return page.asks(at) and "activity" in kinds and bool(kinds & {"opener", "ask"} - {"do"})


def _progress(page: Page, logged: bool) -> Found:
    """What is left today, or how the week went."""
    row = page.row
    kinds = {m.kind for m in row}
    asks = (
        any(c.asks for c in page.shape.clauses)
        or bool(kinds & {"show", "opener"})
        or not kinds & {"good", "bad"}
    )
    if (
        (logged and not any(c.asks for c in page.shape.clauses))
        or not asks
        or kinds & {"undone", "skip", "neg", "unwell", "no_time", "asleep", "away"}
    ):
        return None, set()
    kind: RequestKind | None = None
    asked = any(c.asks for c in page.shape.clauses)
    counts = asked and any(m.kind == "opener" and m.value == "count" for m in row)
    if any(m.kind == "week" and m.value == "sum" for m in row) or ("week" in kinds and "today" in kinds):
        kind = "week"
    elif counts and kinds & {"week", "day", "today"}:
        kind = "week" if "week" in kinds else "today"
    elif "today" in kinds and "ask" not in kinds:
        kind = "today"
    elif "week" in kinds and (
        kinds & {"show", "opener", "doing", "how", "ask"}
        or kinds <= {"week", "filler", "comma", "stop", "query"}
    ):
        kind = "week"
    elif asked and "doing" in kinds and "opener" in kinds and not kinds & {"activity", "good", "bad"}:
        kind = "today" if "day" in kinds else "week"
    elif (
        "day" in kinds
        and kinds & {"opener"}
        and kinds <= {"day", "opener", "query", "do", "show", "doing", "subject", "for"}
    ):
        kind = "today"
    return (Request(kind), set(range(len(row)))) if kind else (None, set())
