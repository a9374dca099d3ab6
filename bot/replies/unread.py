"""The part of a message that nothing in its reading accounts for: whole clauses, in the carer's own words."""

from __future__ import annotations

from dataclasses import dataclass

from bot.replies.lexicon import lexicon
from bot.replies.marks import FREE, Mark, kinds
from bot.text import fold

# Marks that say nothing by themselves: where the rest of a clause is read, they need no answer of their own.
_STRUCTURE = kinds(
    "comma stop query dash plus prime subject and then but of at in for to from till after before past minus article"
    " each every times only ago late last total goal unit fraction start finish anchor nap generic do did done oops"
    " actually was again part side_noun one day weekday week since for_long multiply opener show tried both ampm twice"
    " half_past person neg vague doing now or judge"
)
# Said twice over ("zzz 😴"), these are read once.
_SAID_AGAIN = kinds("asleep unwell refused away no_time skip good bad nothing messages")
_REASONS = kinds("asleep unwell refused away no_time")
_LOGGED = kinds("amount number activity unit")
# Their commonest words ("held", "used", "hands") go with an activity as well as with something seen.
_MAY_BE_SMALL = kinds("unknown lift event hand move trunk")
_JOINS = kinds("and then but")
_ENDS = ".?,-"


@dataclass(frozen=True, slots=True)
class _Part:
    """Marks first..end (end not included). unread: holds something that is not accounted for. read: something that is."""

    first: int
    end: int
    unread: bool
    read: bool


def unread_part(text: str, row: list[Mark], used: set[int]) -> str | None:
    """Return the clauses that hold something unread, joined by an ellipsis where others stood between, or None.

    row: every mark of the message, pleasantries included. used: places in the row that are accounted for.
    """
    again = {row[n].kind for n in used if row[n].kind in _SAID_AGAIN}
    parts: list[_Part] = []
    for first, end in _clauses(row, used):
        told = again | _goes_with(row, used, first, end)
        unread = any(n not in used and _tells(text, row, n, told) for n in range(first, end))
        parts.append(_Part(first, end, unread, any(n in used for n in range(first, end))))
    stretches: list[tuple[int, int]] = []
    open_part: _Part | None = None
    last: _Part | None = None
    for part in parts:
        if part.unread:
            open_part, last = open_part or part, part
        elif part.read:
            if last is not None and last.unread and open_part is not None:
                stretches.append(_stretch(row, open_part, last))
            open_part = last = None
        elif open_part is None:
            open_part = part
    if open_part is not None and last is not None:
        stretches.append(_stretch(row, open_part, last))
    return " … ".join(text[start:end] for start, end in stretches) or None


def _goes_with(row: list[Mark], used: set[int], first: int, end: int) -> set[str]:
    """Return what a clause needs no answer for since the rest is read: where it was, and an activity's second name."""
    here = {row[n].kind for n in range(first, end) if n in used}
    if any(row[n].kind in ("neg", "nothing", "skip") for n in range(first, end)):
        return set()
    return ({"away"} if here & (_LOGGED | _REASONS) else set()) | (
        {"activity"} if "activity" in here else set()
    )


def _clauses(row: list[Mark], used: set[int]) -> list[tuple[int, int]]:
    """Return (first, end) of the stretches between signs and joining words."""
    found: list[tuple[int, int]] = []
    first = 0
    for n, mark in enumerate(row):
        if n not in used and (
            mark.letter in _ENDS or mark.kind in _JOINS
        ):  # not the "and" of "an hour and a half"
            found.append((first, n))
            first = n + 1
    found.append((first, len(row)))
    return [(start, end) for start, end in found if end > start]


def _tells(text: str, row: list[Mark], at: int, told: set[str]) -> bool:
    """Return whether a mark that is not accounted for may tell a therapist something."""
    mark = row[at]
    if mark.kind in _STRUCTURE or mark.kind in FREE or mark.kind in told:
        return False
    if mark.kind not in _MAY_BE_SMALL:
        return True
    word = text[mark.start : mark.end]
    return fold(word) not in lexicon().small and not _is_name(row, at, word)


def _is_name(row: list[Mark], at: int, word: str) -> bool:
    """Return whether a word names who did something: it stands before the verb, or is capitalised inside a sentence."""
    following = next((m for m in row[at + 1 : at + 3] if m.kind not in FREE), None)
    starts = at == 0 or row[at - 1].letter in ".?,"
    if starts:
        return following is not None and following.kind == "did" and word.isalpha()
    return word.istitle() and word.isalpha()


def _stretch(row: list[Mark], first: _Part, last: _Part) -> tuple[int, int]:
    """Return where the clauses from one part to another begin and end in the text."""
    return row[first.first].start, row[last.end - 1].end
