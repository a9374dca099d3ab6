"""Clauses and sentences of a message, which of them ask, and what is denied or only planned in them."""

from __future__ import annotations

from dataclasses import dataclass

from bot.replies.marks import Mark

BREAKS = frozenset(",.?^!&|-+")
SENTENCE_ENDS = frozenset(".?")
# What can be done, and so denied.
DOABLE = frozenset({"amount", "activity", "done", "half_of", "count"})
_DONE_WORDS = frozenset({"did", "done"})
_NEAR = 2
_SCOPE = 40  # marks after a denial or a plan that it can reach; no clause that people write is longer
# After a word of the future, a deed that is none of the activities.
_SOMETHING_ELSE = frozenset({"unknown", "event", "request"})
# After "couldn't", these leave it at that.
_SAYS_NOTHING = frozenset({"day", "weekday", "anchor", "generic", "do", "did", "only", "oops", "times"})


@dataclass(frozen=True, slots=True)
class Clause:
    """Marks first..end (end not included) of the row. asks: part of a question."""

    first: int
    end: int
    sentence: int
    asks: bool = False


@dataclass(frozen=True, slots=True)
class Undone:
    """Words that say that something was not done: of which activity mark, where one is named."""

    at: int
    activity: int | None


@dataclass(frozen=True, slots=True)
class Shape:
    """clauses: in order. clause_of: per mark, its clause or -1. denied: marks that were not done, planned or asked.

    undone: where the message says that something did not happen. planned: marks of the future.
    """

    clauses: tuple[Clause, ...]
    clause_of: list[int]
    denied: frozenset[int]
    undone: tuple[Undone, ...]
    planned: tuple[int, ...]


def shape_of(row: list[Mark]) -> Shape:
    clauses = _with_questions(row, _split(row))
    clause_of = [-1] * len(row)
    for number, clause in enumerate(clauses):
        clause_of[clause.first : clause.end] = [number] * (clause.end - clause.first)
    denied: set[int] = set()
    undone: list[Undone] = []
    planned: list[int] = []
    for clause in clauses:
        named = _named_before(row, clause)
        if named is not None:
            undone.append(Undone(clause.first, named))
            denied.add(named)
            continue
        if clause.asks:
            denied.update(range(clause.first, clause.end))
            continue
        for at in range(clause.first, clause.end):
            kind = row[at].kind
            if kind == "future" or (kind == "later" and row[at].value != "weak"):
                planned.append(at)
                denied.update(_planned(row, clause, at))
            elif kind in ("skip", "nothing") or (kind == "neg" and row[at].value == "undone"):
                missed, off = _undone(row, clause, at)
                undone.append(missed)
                denied.update(off)
            elif kind == "refused" and row[at].value == "would":
                denied.update(_negated(row, clause, at)[1])
            elif kind == "neg":
                found, off = _negated(row, clause, at)
                denied.update(off)
                if found is not None:
                    undone.append(found)
    return Shape(tuple(clauses), clause_of, frozenset(denied), tuple(undone), tuple(planned))


def _split(row: list[Mark]) -> list[Clause]:
    clauses: list[Clause] = []
    first = sentence = 0
    for at, mark in enumerate(row):
        if mark.letter in BREAKS:
            if at > first:
                clauses.append(Clause(first, at, sentence))
            first = at + 1
            if mark.letter in SENTENCE_ENDS:
                sentence += 1
    if len(row) > first:
        clauses.append(Clause(first, len(row), sentence))
    return clauses


def _with_questions(row: list[Mark], clauses: list[Clause]) -> list[Clause]:
    """Return the clauses with those that belong to a question marked: from its first asking clause on."""
    out: list[Clause] = []
    asking = -1
    queried = {c.sentence for c in clauses if c.end < len(row) and row[c.end].letter == "?"}
    for clause in clauses:
        marked = clause.sentence in queried
        if asking != clause.sentence and _asks(row, clause, marked):
            asking = clause.sentence
        out.append(Clause(clause.first, clause.end, clause.sentence, asks=asking == clause.sentence))
    for number, clause in enumerate(out):
        tail = number + 1 == len(out) or out[number + 1].sentence != clause.sentence
        if tail and not clause.asks and clause.sentence in queried:
            reports = any(m.kind in ("amount", "did", "done") for m in row[clause.first : clause.end])
            if not reports:
                out[number] = Clause(clause.first, clause.end, clause.sentence, asks=True)
    return out


def _asks(row: list[Mark], clause: Clause, marked: bool) -> bool:
    kinds = {m.kind for m in row[clause.first : clause.end]}
    if "ask" in kinds or "how" in kinds:
        return True
    first = row[clause.first]
    stated = clause.first > 0 and row[clause.first - 1].kind == "subject"  # "I could sleep for a year"
    if stated and first.kind == "opener" and first.value == "" and not marked:
        return False
    if marked and "judge" in kinds:
        return True
    if first.kind != "opener" or kinds & {"later", "request"}:
        return False
    if first.value == "auxiliary" and not marked:
        return "judge" in kinds
    return marked or first.value != "weak"


def _named_before(row: list[Mark], clause: Clause) -> int | None:
    """Return the activity that a clause of nothing but "no" is said of: "lap - no", "football: nothing"."""
    alone = clause.end - clause.first == 1 and row[clause.first].kind in ("neg", "skip", "nothing")
    at = clause.first - 2
    if not alone or at < 0 or row[at + 1].letter not in "-," or row[at].kind != "activity":
        return None
    return at if at == 0 or row[at - 1].letter in BREAKS else None


def _planned(row: list[Mark], clause: Clause, at: int) -> list[int]:
    """Return what a word of the future takes out: all after it, and what stands right before it.

    A plan of something else says nothing of what stands before it: "10 I'll call grandma" tells of ten minutes done.
    """
    after = [n for n in range(at + 1, min(clause.end, at + _SCOPE)) if row[n].kind in DOABLE]
    if row[at].kind == "future" and at + 1 < clause.end and row[at + 1].kind in _SOMETHING_ELSE:
        return after
    did = any(row[n].kind in _DONE_WORDS for n in range(max(clause.first, at - _SCOPE), at))
    before = [] if did else [n for n in range(max(clause.first, at - _NEAR), at) if row[n].kind in DOABLE]
    return before + after


def _undone(row: list[Mark], clause: Clause, at: int) -> tuple[Undone, list[int]]:
    """Return which activity was not done: the next one named in the clause, else the one named right before."""
    off: list[int] = []
    activity: int | None = None
    for n in range(at + 1, min(clause.end, at + _SCOPE)):
        if row[n].kind in _DONE_WORDS or row[n].kind == "only":
            break
        if row[n].kind == "activity" and activity is None:
            activity = n
        if row[n].kind in DOABLE:
            off.append(n)
    if row[at].kind == "neg" and at > clause.first and row[at - 1].kind == "amount":
        off.append(at - 1)
    if row[at].kind == "nothing" and at > clause.first and row[at - 1].kind in _DONE_WORDS:
        off.append(at - 1)
    if activity is None:
        for n in range(at - 1, max(clause.first, at - _SCOPE) - 1, -1):
            if row[n].kind == "amount" and n not in off:
                break
            if row[n].kind == "activity":
                activity = n
                off.append(n)
                break
    return Undone(at, activity), off


def _negated(row: list[Mark], clause: Clause, at: int) -> tuple[Undone | None, list[int]]:
    """Return what a "not" takes out, and whether it says that something was not done."""
    if row[at].value == "no" and any(row[n].kind == "neg" for n in (at - 1, at + 1) if 0 <= n < len(row)):
        return None, []  # "no no 5 min": only an exclamation
    if row[at].value == "no":
        if all(n == at or row[n].kind in _SAYS_NOTHING for n in range(clause.first, clause.end)):
            return Undone(at, None), []
        near = range(at + 1, min(clause.end, at + 1 + _NEAR))
        only = next((n for n in near if row[n].kind == "only"), clause.end)
        off = [n for n in near if row[n].kind in DOABLE | {"side"} and n < only][:1]
        named = off and row[off[0]].kind == "activity"
        return (Undone(at, off[0]) if named else None), off
    off = []
    activity: int | None = None
    did = False
    for n in range(at + 1, min(clause.end, at + _SCOPE)):
        kind = row[n].kind
        if (
            kind == "only"
            or (kind in _DONE_WORDS and n > at + _NEAR)
            or (kind in ("actually", "was") and n > at + 1)
        ):
            break
        did = did or kind in ("did", "done", "do")
        if kind == "activity" and activity is None:
            activity = n
        if kind in DOABLE:
            off.append(n)
    bare = all(row[n].kind in _SAYS_NOTHING for n in range(at + 1, min(clause.end, at + _SCOPE)))
    return (Undone(at, activity) if did or off or bare else None), off
