"""From marks to entries: minutes, activity, side, day."""

from __future__ import annotations

from dataclasses import dataclass, field

from bot.replies.activities import named_activities
from bot.replies.clauses import Shape
from bot.replies.days import time_of_day
from bot.replies.marks import Mark
from bot.replies.pairing import paired
from bot.replies.reading import Entry, ReplyContext, Side
from bot.replies.sides import is_observed, side_at

MOST_MINUTES = 240
_NEAR = 2
# An amount right after one of these is how long that took.
_TAKES_TIME = frozenset({"event", "bad", "asleep", "nap", "sleepy"})
# "He is rolling!" tells what the baby does, not what was practised.
_BY_HIMSELF = frozenset({"rolling", "reaching", "head_turning", "hand_to_mouth"})
# A clause of nothing else only names the activity, and that reports it.
_BARE = frozenset(
    "activity side day weekday anchor clock at both and generic count oops was mean actually neg".split()
)
_SEEN = frozenset("turn lift grab reach roll move suck".split())


@dataclass(slots=True)
class Logged:
    """entries in the order of the text; used: the marks that they account for; doubt: something must be asked."""

    entries: list[Entry] = field(default_factory=list)
    used: set[int] = field(default_factory=set)
    doubt: bool = False


@dataclass(frozen=True, slots=True)
class Page:
    """One message as the rules for entries see it.

    hidden: marks that a sign of trouble accounts for. days: (place, offset from today) of the days that it names.
    """

    row: list[Mark]
    shape: Shape
    hidden: frozenset[int]
    context: ReplyContext
    days: tuple[tuple[int, int], ...] = ()

    def clause(self, at: int) -> range:
        clause = self.shape.clauses[self.shape.clause_of[at]]
        return range(clause.first, clause.end)

    def live(self, kind: str) -> list[int]:
        """Return where marks of a kind stand that are neither denied, planned, asked nor hidden."""
        return [
            n
            for n, m in enumerate(self.row)
            if m.kind == kind and n not in self.hidden and n not in self.shape.denied
            and self.shape.clause_of[n] >= 0
            and not self.shape.clauses[self.shape.clause_of[n]].asks
        ]  # fmt: skip


def logged(page: Page) -> Logged:
    """Return the entries of a message that names amounts or activities, or says that the prompted one is done."""
    out = Logged()
    amounts = _amounts(page, out)
    activities = named_activities(page.row, page.shape, page.hidden)
    of_activity = _activities_of(page, amounts, activities)
    sides = _sides_of(page, amounts)
    for at in amounts:
        for activity in of_activity[at]:
            _log_amount(page, out, at, activity, sides.get(at))
        out.used.add(at)
    out.used |= _side_marks(page, amounts)
    spoken_for = {n for named in of_activity.values() for n in named if n is not None}
    out.used |= spoken_for
    left = [n for n in activities if n not in spoken_for]
    _log_unmeasured(page, out, left, amounts)
    return out


def _amounts(page: Page, out: Logged) -> list[int]:
    """Return the amounts of minutes that were done."""
    row = page.row
    live = [n for n in page.live("amount") if not _took_elsewhere(page, n)]
    if not live and (page.context.prompt or any(m.kind == "activity" for m in row)):
        live = [n for n in page.live("vague") if _is_vague_amount(page, n)][:1]
    planned = bool(page.shape.planned)
    live = [n for n in live if "ahead" not in row[n].notes or not (planned or _bare_wait(page, n))]
    firm = [n for n in live if "after" not in row[n].notes]
    if len(firm) > 1 and any("total" in row[n].notes for n in firm):
        out.used.update(n for n in firm if "total" in row[n].notes)
        firm = [n for n in firm if "total" not in row[n].notes]
    return firm or live[:1]


def _is_vague_amount(page: Page, at: int) -> bool:
    """Return whether "a bit" is how much was done: not how much the baby cried, and not asked of."""
    kinds = [page.row[n].kind for n in page.clause(at)]
    if set(kinds) & (_TAKES_TIME | _SEEN | {"good", "refused", "unwell", "no_time", "nothing"}):
        return False
    return bool({"did", "activity", "done", "only"} & set(kinds)) or set(kinds) <= {"vague", "article", "for"}


def _bare_wait(page: Page, at: int) -> bool:
    """Return whether "in 20" stands without anything done: a wait, then."""
    return not any(m.kind in ("did", "done", "activity") for m in page.row)


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
        and row[back].kind in _SEEN | {"head", "trunk", "arm", "hand", "observed"}
    ):
        return True
    ahead = at + 1
    if ahead in clause and row[ahead].kind in ("event", "nap"):
        return True
    return ahead + 1 in clause and row[ahead].kind == "of" and row[ahead + 1].kind in _TAKES_TIME


def _activities_of(page: Page, amounts: list[int], activities: list[int]) -> dict[int, list[int | None]]:
    """Return, per amount, the activities that it was done of; None stands for the prompted one."""
    chosen = paired(amounts, activities, page.shape.clause_of)
    found: dict[int, list[int | None]] = {}
    last: int | None = None
    for at in amounts:
        last = chosen.get(at, last)
        found[at] = [last]
    each = [n for n, m in enumerate(page.row) if m.kind in ("each", "both")]
    if len(amounts) == 1 and len(activities) > 1 and each:
        found[amounts[0]] = list(activities)
    return found


def _entry_sides(page: Page) -> list[int]:
    """Return where sides of something done are named: left, right, both."""
    row = page.row
    named = [
        n for n in page.live("side") if not is_observed(row, n, page.clause(n).start, page.clause(n).stop)
    ]
    both = [
        n for n in page.live("both") if not is_observed(row, n, page.clause(n).start, page.clause(n).stop)
    ]
    return sorted(named + both)


def _side_marks(page: Page, things: list[int]) -> set[int]:
    sides = _entry_sides(page)
    return set(sides) if things and sides else set()


def _sides_of(page: Page, amounts: list[int]) -> dict[int, list[Side | None]]:
    """Return, per amount, its side, or left and right where it was done on both."""
    row, context = page.row, page.context
    named = _entry_sides(page)
    both = any(row[n].kind == "both" for n in named)
    if len(amounts) == 1 and not both and len({side_at(row, n, context) for n in named}) == 2:
        return {amounts[0]: ["left", "right"]}
    found: dict[int, list[Side | None]] = {}
    sentences = [clause.sentence for clause in page.shape.clauses]
    for at, n in paired(amounts, named, page.shape.clause_of, sentences).items():
        if row[n].kind != "both":
            found[at] = [side_at(row, n, context)]
        elif row[n].value == "each" or "total" not in row[at].notes:
            found[at] = ["left", "right"]
    return found


def _log_amount(
    page: Page, out: Logged, at: int, activity: int | None, sides: list[Side | None] | None
) -> None:
    row, prompt = page.row, page.context.prompt
    name = row[activity].value if activity is not None else prompt.activity if prompt else None
    minutes = row[at].number
    if minutes is not None and "repeated" not in row[at].notes:
        minutes *= _times(page, at)
    if sides is None:
        sides = [prompt.side if prompt and prompt.activity == name else None]
    if row[at].letter == "D" and _lonely_each(page, at) and sides == [None]:
        sides, out.doubt = ["left", "right"], True
    day, time = _when(page, at)
    for side in sides:
        out.entries.append(Entry(name, _whole(minutes), side, day, time))
    out.doubt |= row[at].doubt or minutes is None


def _lonely_each(page: Page, at: int) -> bool:
    """Return whether "5 each" names nothing that it could be each of."""
    beside = [page.row[n].kind for n in page.clause(at) if abs(n - at) <= _NEAR]
    several = sum(m.kind in ("activity", "side", "count", "both") for m in page.row)
    return "each" in beside and not several


def _times(page: Page, at: int) -> float:
    """Return how often an amount was done, where its clause counts it and sees nothing that may be counted."""
    clause = page.clause(at)
    kinds = [page.row[n].kind for n in clause]
    if kinds.count("amount") != 1 or kinds.count("count") != 1 or _SEEN & set(kinds):
        return 1.0
    return page.row[clause[kinds.index("count")]].number or 1.0


def _whole(minutes: float | None) -> float | None:
    if minutes is None or minutes != int(minutes):
        return None if minutes is None else round(minutes, 2)
    return int(minutes)


def _when(page: Page, at: int) -> tuple[int, str | None]:
    """Return the day and the time of day of what stands at a mark."""
    row, now = page.row, page.context.now
    day = _day(page, at)
    if "span" in row[at].notes:
        half = next((h for h in ("am", "pm") if h in row[at].notes), "")
        return day, time_of_day(row[at].value, half, day, now)
    clause = page.clause(at)
    first = clause.start
    if first > 1 and row[first - 1].kind == "subject":  # At nine | we did ten.
        first = page.clause(first - 2).start
    clocks = [n for n in range(first, clause.stop) if row[n].kind == "clock"]
    if not clocks:
        return day, None
    nearest = min(clocks, key=lambda n: abs(n - at))
    half = next(iter(row[nearest].notes & {"am", "pm"}), "")
    return day, time_of_day(row[nearest].value, half, day, now)


def _day(page: Page, at: int) -> int:
    """Return the day of a mark: named in its clause, else the last one named before, else one named after it."""
    row, named = page.row, page.days
    if not named:
        return 0
    here = [(abs(n - at), offset) for n, offset in named if n in page.clause(at)]
    if here:
        return min(here)[1]
    before = [offset for n, offset in named if n < at]
    if before:
        return before[-1]
    n, offset = named[0]
    sentence = page.shape.clauses[page.shape.clause_of[at]].sentence
    trails = any(row[k].kind in ("amount", "activity", "done") for k in page.clause(n) if k < n)
    same = page.shape.clauses[page.shape.clause_of[n]].sentence == sentence
    return offset if same and trails and n not in page.shape.denied else 0


def _log_unmeasured(page: Page, out: Logged, left: list[int], amounts: list[int]) -> None:
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
            day, time = _when(page, n)
            sides = _sides_of(page, [n]).get(n, [None])
            out.entries += [Entry(name, None, side, day, time) for side in sides]
            out.doubt = True
    if out.entries or amounts:
        return
    strong = (
        [n for n in done if page.row[n].value == "strong"] or halves or _counted(page) or _bare_count(page)
    )
    if strong and prompt:
        _log_prompted(page, out, strong[0], bool(halves))
        out.used.add(strong[0])
    elif strong:
        out.doubt = True
        out.used.add(strong[0])


def _bare_count(page: Page) -> list[int]:
    """Return where "twice" is all that the message says."""
    counts = page.live("count")
    return counts if counts and len(page.row) <= _NEAR else []


def _counted(page: Page) -> list[int]:
    """Return where "did", alone or with a count ("did it twice"), says that the prompted activity was done."""
    return [
        n
        for n in page.live("did")
        if page.context.prompt
        and page.row[n].value == ""
        and not any(page.row[k].kind in _SEEN | {"hand", "event"} for k in page.clause(n))
    ]


def _log_prompted(page: Page, out: Logged, at: int, half: bool) -> None:
    prompt = page.context.prompt
    assert prompt is not None
    counts = [n for n in page.clause(at) if page.row[n].kind == "count"]
    seen = any(page.row[n].kind in _SEEN | {"hand", "arm", "head"} for n in page.clause(at))
    times = (page.row[counts[0]].number or 1.0) if counts and not seen else 1.0
    minutes = prompt.minutes * times * (0.5 if half else 1.0)
    day, time = _when(page, at)
    named = _sides_of(page, [at]).get(at)
    sides = named or [prompt.side]
    out.doubt |= half or len(sides) > 1
    out.used.update(counts)
    out.used |= _side_marks(page, [at])
    out.entries += [Entry(prompt.activity, _whole(minutes), side, day, time) for side in sides]


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


def affirmed(page: Page) -> Entry | None:
    """Return the prompted activity as done, for a message that only says yes."""
    prompt = page.context.prompt
    yes = [n for n in page.live("done") if page.row[n].value == "weak"]
    if not yes or prompt is None:
        return None
    day, time = _when(page, yes[0])
    named = _sides_of(page, [yes[0]]).get(yes[0])
    side = named[0] if named and len(named) == 1 else prompt.side
    return Entry(prompt.activity, _whole(prompt.minutes), side, day, time)


def needs_asking(entries: list[Entry], corrects: bool) -> bool:
    """Return whether an entry must be asked about before it counts (reading rules 2, 3 and 10)."""
    return any(
        e.minutes is None or not 0 < e.minutes <= MOST_MINUTES or (e.activity is None and not corrects)
        for e in entries
    )
