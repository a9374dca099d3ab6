"""The activities that a message names, as things to log."""

from __future__ import annotations

from bot.replies.clauses import Shape
from bot.replies.marks import Mark
from bot.replies.reading import ReplyContext

# Of two activities named in one breath ("tummy time on my lap") the more telling one, first here, is meant.
TELLING = (
    "hand_to_mouth", "reaching", "touch_play", "head_turning", "gentle_range", "rolling", "football_hold",
    "forearm_carry", "side_lying", "supported_sitting", "upright_carry", "lap_tummy_time", "chest_tummy_time",
    "tummy_time", "dressing", "bath",
)  # fmt: skip
_RANK = {activity: place for place, activity in enumerate(TELLING)}
_ONE_BREATH = 2
_APART = frozenset({"amount", "done", "did", "skip", "neg", "nothing", "count"})
# "Reach 5", "5 min roll": what is otherwise something seen.
_SHORT_NAMES = frozenset({"reaching", "rolling"})
# After these, an activity is a place in the day: "after his bath".
_PLACE_BEFORE = frozenset({"after", "before"})


def named_activities(row: list[Mark], shape: Shape, hidden: frozenset[int]) -> list[int]:
    """Return where activities are named that may be logged: not denied, planned or asked, no place in the day."""
    for n, m in enumerate(row):
        if m.kind == "side_noun" and _is_side_lying(row, n):
            m.kind, m.value, m.letter = "activity", "side_lying", "A"
        elif m.value in _SHORT_NAMES and m.kind != "activity" and _beside_amount(row, n):
            m.kind, m.letter = "activity", "A"
    named = [
        n for n, m in enumerate(row) if m.kind == "activity" and shape.clause_of[n] >= 0 and n not in hidden
    ]
    loggable = [n for n in named if n not in shape.denied and not _is_place(row, n)]
    kept: list[int] = []
    listed = any(m.kind == "each" for m in row)
    for n in loggable:
        last = kept[-1] if kept else None
        if (
            last is not None
            and not listed
            and shape.clause_of[last] == shape.clause_of[n]
            and _one_breath(row, last, n)
        ):
            kept[-1] = min(last, n, key=lambda at: _RANK[row[at].value])
        else:
            kept.append(n)
    return kept


def _beside_amount(row: list[Mark], at: int) -> bool:
    """Return whether a mark names what an amount is of: "5 min reach", and "reach 5" but not "didn't reach 5"."""
    if at and row[at - 1].kind == "amount":
        return True
    starts = at == 0 or row[at - 1].letter in ",.&"
    return starts and at + 1 < len(row) and row[at + 1].kind == "amount"


def _is_side_lying(row: list[Mark], at: int) -> bool:
    """Return whether "side" is short for side lying: right beside an amount, and of no named side."""
    beside = {row[n].kind for n in (at - 1, at + 1) if 0 <= n < len(row)}
    if beside <= {"and", "comma"} and any(
        row[n].kind == "activity" for n in (at - 2, at + 2) if 0 <= n < len(row)
    ):
        return True  # tummy, lap and side
    return "amount" in beside and not beside & {"side", "both", "activity", "each", "every", "one", "number"}


def _is_place(row: list[Mark], at: int) -> bool:
    return at > 0 and row[at - 1].kind in _PLACE_BEFORE


def _one_breath(row: list[Mark], first: int, second: int) -> bool:
    between = row[first + 1 : second]
    return len(between) < _ONE_BREATH and not any(m.kind in _APART for m in between)


def activity_asked(row: list[Mark], context: ReplyContext) -> str | None:
    """Return the activity that a question is about: the most telling one named, else the prompted one."""
    named = [m.value for m in row if m.kind == "activity"]
    if named:
        return min(named, key=lambda activity: (activity not in context.plan, _RANK[activity]))
    return context.prompt.activity if context.prompt else None
