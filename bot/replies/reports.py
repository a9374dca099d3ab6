"""Which clauses report something done, in a message that tells of trouble or may tell of it (reading rule 16).

Such a message counts minutes only from a clause that plainly reports: one that names an activity, or says that something
was done, and holds nothing about the baby or anything else that was not understood. A length alone is a report only
before the first other clause; after it, it is how long the trouble took: "3 min. Then she went grey" and "he shook,
3 min".
"""

from __future__ import annotations

from bot.replies.clauses import Clause, Shape
from bot.replies.marks import Mark, kinds

# What a report holds beside what was done: when, how often, on which side, with whom, and how it went.
_PLAIN = kinds(
    "activity amount did done doing do each both every side side_noun count total only of for for_long at in day weekday"
    " clock part ampm article good generic times twice vague half_of goal multiply again was actually mean oops person"
    " anchor last late today now ago since before after start finish tried show request one then light filler plus"
)
_MOST_UNKNOWN = 1  # in a clause that names an activity: "smashed out 8 on the mat"
_MOST_AT_FIRST = 2  # in the first clause, where it says how long: "3 minutes on the quilt"
_DONE = kinds("activity did done observed good")
_BODY = kinds("head trunk arm hand mouth")
_OF_THE_BABY = frozenset(["she", "he", "she's", "he's", "shes", "hes", "ella"])
_THIRD_PERSON = ("ó", "aba")  # of a Spanish verb: "tembló"
_TEMPERATURES = ((34.0, 43.0), (93.0, 109.0))
_SHORTEST, _LONGEST = 1, 60  # minutes
_HOW_MUCH = kinds("amount vague half_of")


def not_reported(row: list[Mark], shape: Shape, hidden: frozenset[int]) -> frozenset[int]:
    """Return the marks of every clause that reports nothing done, in a message that tells of trouble."""
    left: set[int] = set()
    opening = True
    for clause in shape.clauses:
        plain = _is_plain(row, clause, hidden, first=clause.first == shape.clauses[0].first)
        if not (plain and _reports(row, clause, hidden, opening=opening)):
            left.update(range(clause.first, clause.end))
        opening = opening and plain
    return frozenset(left)


def strange_deeds(text: str, row: list[Mark], shape: Shape) -> frozenset[int]:
    """Return the marks of clauses that say how long the baby did something that is no known word: "she shook for 2 min"."""
    left: set[int] = set()
    for clause in shape.clauses:
        marks = row[clause.first : clause.end]
        held = {m.kind for m in marks}
        if "amount" not in held or held & _DONE or "unknown" not in held:
            continue
        if held & _BODY and _ends_with_a_length(marks):
            left.update(range(clause.first, clause.end))
        if marks[0].kind != "unknown":
            continue
        before = row[clause.first - 1] if clause.first else None
        deed = text[marks[0].start : marks[0].end].lower()
        if (before is not None and before.value in _OF_THE_BABY) or deed.endswith(_THIRD_PERSON):
            left.update(range(clause.first, clause.end))
    return frozenset(left)


def _ends_with_a_length(marks: list[Mark]) -> bool:
    """Return whether an unknown word comes before the amount: "his whole body shook for 2 min", not "5 min, floppy arms"."""
    first_unknown = next(n for n, m in enumerate(marks) if m.kind == "unknown")
    return all(n > first_unknown for n, m in enumerate(marks) if m.kind == "amount")


def _is_plain(row: list[Mark], clause: Clause, hidden: frozenset[int], *, first: bool) -> bool:
    """Return whether a clause holds no part of a sign, nothing of the baby's body, and next to nothing unknown."""
    if any(n in hidden for n in range(clause.first, clause.end)):
        return False
    marks = row[clause.first : clause.end]
    if any(m.kind == "amount" and may_be_a_temperature(m) for m in marks):
        return False
    unknown = sum(m.kind == "unknown" for m in marks)
    if first and any(m.kind == "amount" and "unit" in m.notes for m in marks):
        most = _MOST_AT_FIRST
    else:
        most = _MOST_UNKNOWN if any(m.kind in ("activity", "did") for m in marks) else 0
    return unknown <= most and all(m.kind in _PLAIN or m.kind == "unknown" for m in marks)


def _reports(row: list[Mark], clause: Clause, hidden: frozenset[int], *, opening: bool) -> bool:
    """Return whether a plain clause says that something was done. opening: no other clause stands before it."""
    marks = row[clause.first : clause.end]
    held = {m.kind for m in marks}
    firm = any(m.kind == "did" and not m.value for m in marks)
    if any(m.kind == "amount" and m.number is not None and m.number < _SHORTEST for m in marks):
        return False
    if "activity" in held and (firm or held & (_HOW_MUCH | {"count", "done"})):
        return True
    if firm and held & _HOW_MUCH and "unknown" not in held:
        return True
    if not firm and any(m.kind == "amount" and _is_no_session(m) for m in marks):
        return False
    return opening and not _runs_on(row, clause, hidden) and (firm or bool(held & (_HOW_MUCH | {"done"})))


def _is_no_session(mark: Mark) -> bool:
    """Return whether a length that names no activity is none of a session: "been awake 26 hours", "for forty seconds"."""
    return mark.number is not None and not _SHORTEST <= mark.number <= _LONGEST


def _runs_on(row: list[Mark], clause: Clause, hidden: frozenset[int]) -> bool:
    """Return whether a clause runs on into a sign without a mark between: "two minutes she was blue"."""
    at = clause.end
    return (
        at < len(row) and row[at].letter == "|" and any(n in hidden for n in range(at, min(at + 4, len(row))))
    )


def may_be_a_temperature(mark: Mark) -> bool:
    """Return whether an amount is a bare number that is as high as a body's temperature, in °C or °F."""
    bare = "unit" not in mark.notes and mark.number is not None
    return bare and any(low <= (mark.number or 0.0) <= high for low, high in _TEMPERATURES)
