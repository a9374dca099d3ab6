"""From marks to entries: minutes, activity, side, day."""

from __future__ import annotations

from bot.replies.activities import named_activities
from bot.replies.done import log_unmeasured
from bot.replies.marks import Mark, kinds
from bot.replies.page import SEEN, Logged, Page, put_wrong, said_wrong
from bot.replies.pairing import paired
from bot.replies.placing import side_marks, sides_of, when, whole
from bot.replies.reading import Entry
from bot.replies.reports import may_be_a_temperature
from bot.replies.times import how_often, log_not_every, log_times
from scheduling.sides import Side

LONGEST_UNTOLD = (
    240  # minutes: from here on hours are a stay or a wait, where nothing says that they were done
)
_MANY_UNKNOWN = 2
_PARTS = 2
SHORTEST_SESSION = 0.5  # minutes: less, and not said to be done, is how long something was seen
_NEAR = 2
_OF_A_SIDE = frozenset({"side", "side_noun", "arm", "hand", "for"})
_SETS_RIGHT = kinds("mean oops was neg actually")
# An amount right after one of these is how long that took.
_TAKES_TIME = frozenset({"event", "bad", "asleep", "nap", "sleepy"})


def logged(page: Page) -> Logged:
    """Return the entries of a message that names amounts or activities, or says that the prompted one is done."""
    out = Logged()
    amounts = _amounts(page, out)
    activities = named_activities(page.row, page.shape, page.hidden | page.uncounted)
    of_activity = _activities_of(page, amounts, activities)
    sides = sides_of(page, amounts)
    for at in amounts:
        for activity in of_activity[at]:
            _log_amount(page, out, at, activity, sides.get(at))
        out.used.add(at)
    out.used |= side_marks(page, amounts)
    spoken_for = {n for named in of_activity.values() for n in named if n is not None}
    out.used |= spoken_for
    left = [n for n in activities if n not in spoken_for]
    log_unmeasured(page, out, left, amounts)
    if page.context.times:
        log_not_every(page, out)
    return out


def _amounts(page: Page, out: Logged) -> list[int]:
    """Return the amounts of minutes that were done."""
    row = page.row
    live = [n for n in page.live("amount") if not _took_elsewhere(page, n)]
    if not live and (page.context.prompt or any(m.kind == "activity" for m in row)):
        live = [n for n in page.live("vague") if _is_vague_amount(page, n)][:1]
    planned = bool(page.shape.planned)
    live = [n for n in live if "ahead" not in row[n].notes or not (planned or _bare_wait(page))]
    live = [n for n in live if "ahead" not in row[n].notes] or live
    live = [n for n in live if not (_only_a_moment(page, n) or _of_something_else(page, n))]
    firm = [n for n in live if "after" not in row[n].notes]
    if len(firm) > 1:
        wrong = {said_wrong(row, n) for n in range(len(row))} | {put_wrong(row)}
        firm = [n for n in firm if n not in wrong]
    firm = _said_once(page, firm)
    totals = [n for n in firm if "total" in row[n].notes]
    if totals and len(firm) == 2 and not any(m.kind in ("each", "both") for m in row):
        return totals[:1]
    if len(firm) > 1 and totals:
        out.used.update(n for n in firm if "total" in row[n].notes)
        firm = [n for n in firm if "total" not in row[n].notes]
    return firm or live[:1]


def _only_a_moment(page: Page, at: int) -> bool:
    """Return whether an amount is of seconds that nothing says were a session: "held it 3 seconds"."""
    minutes = page.row[at].number
    if minutes is None or not 0 < minutes < SHORTEST_SESSION:
        return False
    beside = set(page.kinds_beside(at))
    return not {"activity", "did", "done"} & beside and bool(beside - {"amount", "for", "only"})


def _of_something_else(page: Page, at: int) -> bool:
    """Return whether an amount measures something else: long hours, or a number in a clause of unknown words that reports nothing."""
    beside = page.kinds_beside(at)
    if {"activity", "did", "done"} & set(beside):
        return False
    amount = page.row[at]
    if amount.number is not None and "span" not in amount.notes and amount.number >= LONGEST_UNTOLD:
        return "unit" in amount.notes and "unknown" in beside
    if page.context.prompt or any(m.kind == "activity" for m in page.row):
        return False
    if is_no_length(page, at):
        return True
    return beside.count("unknown") >= _MANY_UNKNOWN or bool({"away", "event"} & set(beside))


def is_no_length(page: Page, at: int) -> bool:
    """Return whether a bare number is a count of something or a temperature."""
    return _counts_things(page, at) or _is_a_temperature(page.row[at])


def _counts_things(page: Page, at: int) -> bool:
    """Return whether a bare number counts what the next word names: "6 wet today", "2 creases"; a correction's does not."""
    follows = at + 1 in page.clause(at) and page.row[at + 1].kind in ("unknown", "measured")
    return follows and "unit" not in page.row[at].notes and not page.holds(_SETS_RIGHT)


def _is_a_temperature(amount: Mark) -> bool:
    """Return whether a bare number with a fraction is as high as a temperature (reading rule 6)."""
    return may_be_a_temperature(amount) and (amount.number or 0.0) % 1 != 0


def _said_once(page: Page, amounts: list[int]) -> list[int]:
    """Return amounts without those said again: "8! 8! 8!", "10 + 5 so 15", "twenty, in two parts, ten and ten"."""
    kept: list[int] = []
    for at in amounts:
        again = (
            kept and page.row[kept[-1]].number == page.row[at].number and _only_repeats(page, kept[-1], at)
        )
        if not again:
            kept.append(at)
    numbers = [page.row[n].number or 0.0 for n in kept]
    if len(kept) <= _PARTS or any("total" in page.row[n].notes for n in kept) or _names_between(page, kept):
        return kept
    if numbers[0] == sum(numbers[1:]):
        return kept[:1]
    return kept[-1:] if numbers[-1] == sum(numbers[:-1]) else kept


def _names_between(page: Page, amounts: list[int]) -> bool:
    return any(page.row[n].kind in ("activity", "side", "side_noun") for n in range(amounts[0], amounts[-1]))


def _only_repeats(page: Page, first: int, second: int) -> bool:
    """Return whether between two equal amounts stands nothing that tells them apart."""
    between = [page.row[n] for n in range(first + 1, second)]
    if "summed" in page.row[first].notes and all(m.letter in "&^" for m in between):
        return True
    clause = page.kinds_beside(second)
    return all(m.letter in ".?" for m in between) and set(clause) <= {"amount"}


def _is_vague_amount(page: Page, at: int) -> bool:
    """Return whether "a bit" is how much was done: not how much the baby cried, and not asked of."""
    kinds = [page.row[n].kind for n in page.clause(at)]
    if page.row[at].value == "untimed":
        return True
    if set(kinds) & (_TAKES_TIME | SEEN | {"good", "refused", "unwell", "no_time", "nothing"}):
        return False
    return bool({"did", "activity", "done", "only"} & set(kinds)) or set(kinds) <= {"vague", "article", "for"}


def _bare_wait(page: Page) -> bool:
    """Return whether "in 20" stands without anything done: a wait, then."""
    return not any(m.kind in ("done", "activity") or (m.kind == "did" and not m.value) for m in page.row)


def _took_elsewhere(page: Page, at: int) -> bool:
    """Return whether an amount belongs to crying, sleep, a feed or holding the head up."""
    row, clause = page.row, page.clause(at)
    back = at - 1
    while back in clause and row[back].kind in ("for", "start", "each"):
        back -= 1
    if back in clause and "after" not in row[at].notes and row[back].kind in _TAKES_TIME:
        return True
    if (
        back in clause
        and back < at - 1
        and _of_the_body(page, back)
        and row[back].kind in SEEN | {"head", "trunk", "arm", "hand", "observed"}
    ):
        return True
    if not page.context.prompt and page.shape.clause_of[at] in _clauses_of_a_concern(page):
        return True
    ahead = at + 1
    if ahead in clause and row[ahead].kind in ("event", "nap"):
        return True
    return ahead + 1 in clause and row[ahead].kind == "of" and row[ahead + 1].kind in _TAKES_TIME


def _of_the_body(page: Page, at: int) -> bool:
    """Return whether something seen is said of a part of the body: "held his head for 5", not "popped her on the mat for 5"."""
    return page.row[at].kind != "lift" or bool({"head", "hand", "arm", "trunk"} & set(page.kinds_beside(at)))


def _clauses_of_a_concern(page: Page) -> set[int]:
    """Return the clauses that tell of a sign of trouble and of nothing done: "ten seconds without a breath"."""
    if not page.hidden:
        return set()
    clause_of = page.shape.clause_of
    told = {
        clause_of[n] for kind in ("did", "done", "activity") for n in page.where(kind) if n not in page.hidden
    }
    return {clause_of[n] for n in page.hidden} - told


def _activities_of(page: Page, amounts: list[int], activities: list[int]) -> dict[int, list[int | None]]:
    """Return, per amount, the activities that it was done of; None stands for the prompted one."""
    chosen = paired(amounts, activities, _without_sides(page))
    found: dict[int, list[int | None]] = {}
    last: int | None = None
    for at in amounts:
        last = chosen.get(at, last)
        found[at] = [last]
    first = next((chosen[at] for at in amounts if at in chosen), None)
    if len(activities) == 1 and not page.context.prompt:
        only = activities[0] if first is None else first  # "10 at noon, 12 tonight on the tummy"
        found.update({at: [only] for at in amounts if found[at] == [None]})
    each = [n for n, m in enumerate(page.row) if m.kind in ("each", "both")]
    if len(amounts) == 1 and len(activities) > 1 and each:
        first_named = {page.row[n].value: n for n in reversed(activities)}
        found[amounts[0]] = [*reversed(first_named.values())]
    return found


def _without_sides(page: Page) -> list[int]:
    """Return the clause of each mark, counted as if a clause of nothing but a side were none: "football, left, 6"."""
    rank: list[int] = []
    for clause in page.shape.clauses:
        only = all(page.row[n].kind in _OF_A_SIDE for n in range(clause.first, clause.end))
        rank.append((rank[-1] if rank else -1) + (not only))
    return [rank[number] if number >= 0 else -1 for number in page.shape.clause_of]


def _log_amount(
    page: Page, out: Logged, at: int, activity: int | None, sides: list[Side | None] | None
) -> None:
    if page.context.times and (often := how_often(page, at, activity)) is not None:
        log_times(page, out, at, often, sides)
        return
    row, prompt = page.row, page.context.prompt
    name = row[activity].value if activity is not None else prompt.activity if prompt else None
    minutes = row[at].number
    if minutes is not None and "repeated" not in row[at].notes:
        minutes *= _times(page, at)
    named = sides is not None
    if sides is None:
        sides = [prompt.side if prompt and prompt.activity == name else None]
    if not named and _lonely_each(page, at):
        sides, out.doubt = ["left", "right"], True
    day, time = when(page, at)
    for side in sides:
        out.entries.append(Entry(name, whole(minutes), side, day, time))
    wondered = at + 1 < len(row) and row[at + 1].letter == "?"  # "like 6? 7?"
    out.doubt |= row[at].doubt or minutes is None or wondered or _guessed(page, at, activity)


def _guessed(page: Page, at: int, activity: int | None) -> bool:
    """Return whether an amount gets its activity from another clause, and its own says something not understood."""
    if activity is None or activity in page.clause(at):
        return False
    first = page.clause(at).start
    told = page.row[first].kind in SEEN | {"unknown"}
    return told and first > 0 and page.row[first - 1].kind == "subject"


def _lonely_each(page: Page, at: int) -> bool:
    """Return whether "5 each" names nothing that it could be each of."""
    if not any(n in page.clause(at) and abs(n - at) <= _NEAR for n in page.where("each")):
        return False
    return not any(page.where(kind) for kind in ("activity", "side", "count", "both"))


def _times(page: Page, at: int) -> float:
    """Return how often an amount was done, where its clause counts it and sees nothing that may be counted."""
    kinds = page.kinds_beside(at)
    counts, amounts = page.live("count"), page.live("amount")
    each = at + 1 < len(page.row) and page.row[at + 1].kind == "each"
    if each and len(counts) == len(amounts) == 1 and not SEEN & set(page.kinds_beside(counts[0])):
        return page.row[counts[0]].number or 1.0  # "three times today, 5 min each"
    if kinds.count("amount") != 1 or kinds.count("count") != 1 or SEEN & set(kinds):
        return 1.0
    count = page.clause(at)[kinds.index("count")]
    if count > page.clause(at).start and page.row[count - 1].kind in ("unknown", "event"):
        return 1.0  # "sneezed twice during 5 min of tummy"
    return page.row[count].number or 1.0
