"""One message, taken apart, as the rules for its meaning see it; and what they log of it."""

from __future__ import annotations

from dataclasses import dataclass, field

from bot.replies.clauses import Shape
from bot.replies.marks import Mark, kinds
from bot.replies.reading import Entry, ReplyContext

_MENDS = frozenset({"mean", "oops", "actually"})


def said_wrong(row: list[Mark], at: int) -> int | None:
    """Return where the amount stands that a mark takes back for the next one: "10, sorry, 12"; None if it does not."""
    set_right = row[at].kind == "was" and at > 0 and row[at - 1].kind == "but"  # "I put 15 but it was 5"
    meant = row[at].kind == "goal" and row[at].value == "meant"  # "that 15 was meant to be 5"
    if row[at].kind not in _MENDS and not set_right and not meant:
        return None
    before = next(
        (n for n in range(at - 1, -1, -1) if row[n].letter not in ",.-|!" and row[n].kind not in _MENDS), -1
    )
    after = next(
        (
            n
            for n in range(at + 1, len(row))
            if row[n].letter not in ",.-|" and row[n].kind not in _MENDS and row[n].kind != "was"
        ),
        -1,
    )
    if before < 0 or after < 0 or row[before].kind != "amount" or row[after].kind != "amount":
        return None
    return before


_RIGHT = frozenset({"was", "mean", "but", "oops", "neg", "actually"})


def put_wrong(row: list[Mark]) -> int | None:
    """Return where the one of two amounts stands that was written down wrongly: "put 18 and it was 8", "it was 6, put 16"."""
    amounts = [n for n, m in enumerate(row) if m.kind == "amount"]
    if len(amounts) != 2 or any(m.kind == "activity" for m in row[amounts[0] : amounts[1]]):
        return None
    if not any(m.kind in _RIGHT for m in row):
        return None
    written = [n for n in amounts if n and row[n - 1].kind == "did" and row[n - 1].value == "wrote"]
    return written[0] if len(written) == 1 else None


# Verbs of what a baby does.
SEEN = kinds("turn lift grab reach roll move suck")


@dataclass(slots=True)
class Logged:
    """entries in the order of the text; used: the marks that they account for; doubt: something must be asked."""

    entries: list[Entry] = field(default_factory=list)
    used: set[int] = field(default_factory=set)
    doubt: bool = False


@dataclass(frozen=True, slots=True)
class Page:
    """One message as the rules for entries see it.

    hidden: marks that a sign of trouble accounts for. uncounted: marks of clauses from which nothing may be counted. days: (place, offset from today) of the days that it names.
    """

    row: list[Mark]
    shape: Shape
    hidden: frozenset[int]
    context: ReplyContext
    days: tuple[tuple[int, int], ...] = ()
    uncounted: frozenset[int] = frozenset()
    _places: dict[str, list[int]] = field(default_factory=dict)
    _kinds: dict[int, list[str]] = field(default_factory=dict)
    _live: dict[str, list[int]] = field(default_factory=dict)

    def where(self, kind: str) -> list[int]:
        """Return where marks of a kind stand, in order."""
        if not self._places:
            for n, mark in enumerate(self.row):
                self._places.setdefault(mark.kind, []).append(n)
        return self._places.get(kind, [])

    def holds(self, names: frozenset[str]) -> bool:
        """Return whether the message has a mark of one of these kinds."""
        self.where("")
        return not names.isdisjoint(self._places)

    def kinds_beside(self, at: int) -> list[str]:
        """Return the kinds of the marks of a mark's clause, in order."""
        clause = self.shape.clause_of[at]
        if clause not in self._kinds:
            self._kinds[clause] = [self.row[n].kind for n in self.clause(at)]
        return self._kinds[clause]

    def clause(self, at: int) -> range:
        clause = self.shape.clauses[self.shape.clause_of[at]]
        return range(clause.first, clause.end)

    def live(self, kind: str) -> list[int]:
        """Return where marks of a kind stand that are neither denied, planned, asked, hidden nor uncounted."""
        if kind not in self._live:
            shape = self.shape
            self._live[kind] = [
                n
                for n in self.where(kind)
                if n not in self.hidden
                and n not in self.uncounted
                and n not in shape.denied
                and shape.clause_of[n] >= 0
                and not shape.clauses[shape.clause_of[n]].asks
            ]
        return self._live[kind]

    def told(self, kind: str, value: str | None = None) -> list[int]:
        """Return where marks of a kind (and value) stand in clauses; of what is hidden only the question how."""
        return [
            n
            for n in self.where(kind)
            if (value is None or self.row[n].value == value)
            and (n not in self.hidden or kind == "how")
            and self.shape.clause_of[n] >= 0
        ]

    def asks(self, at: int) -> bool:
        """Return whether a mark stands in a question."""
        return self.shape.clauses[self.shape.clause_of[at]].asks
