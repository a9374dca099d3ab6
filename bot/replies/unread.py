"""The part of a message that nothing in its reading accounts for."""

from __future__ import annotations

from bot.replies.marks import FREE, Mark, kinds

# Marks that say nothing by themselves: where the rest of a clause is read, they need no answer of their own.
_STRUCTURE = kinds(
    "comma stop query dash plus prime subject and then but or of at in for to from till after before past minus article"
    " each every times only ago late last total goal unit fraction start finish anchor nap generic do did done oops"
    " actually was again part side_noun one day weekday week since for_long multiply opener show tried both ampm twice half_past person"
)


def unread_part(text: str, row: list[Mark], used: set[int], hidden: frozenset[int]) -> str | None:
    """Return the stretches that hold something unread, joined by an ellipsis, or None.

    row: every mark of the message, pleasantries included. used, hidden: places in the row that are accounted for.
    """
    stretches: list[tuple[int, int]] = []
    open_from: int | None = None
    last_content = -1
    for n, mark in enumerate(row):
        if n in used or n in hidden or mark.letter in ".?,":
            _close(stretches, row, open_from, last_content)
            open_from = None
            continue
        if open_from is None:
            open_from, last_content = n, -1
        if mark.kind not in _STRUCTURE and mark.kind not in FREE:
            last_content = n
    _close(stretches, row, open_from, last_content)
    return " … ".join(text[start:end] for start, end in stretches) or None


def _close(stretches: list[tuple[int, int]], row: list[Mark], first: int | None, last: int) -> None:
    if first is None or last < first:
        return
    start = next(n for n in range(first, last + 1) if row[n].end > row[n].start)
    stretches.append((row[start].start, row[last].end))
