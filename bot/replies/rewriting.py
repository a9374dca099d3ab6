"""Patterns over the row of letters, and the marks that take the place of what they match."""

from __future__ import annotations

import re
from collections.abc import Callable

from bot.replies.marks import FREE, Mark

Build = Callable[[list[Mark], re.Match[str]], Mark | None]


def without_free(row: list[Mark]) -> list[Mark]:
    """Return the marks that rules look at: small words and pleasantries are left out."""
    return [m for m in row if m.kind not in FREE]


def letters_of(row: list[Mark]) -> str:
    return "".join([m.letter for m in row])


def rewrite(
    row: list[Mark], pattern: re.Pattern[str], build: Build, needs: frozenset[str] = frozenset()
) -> list[Mark]:
    """Return the row with every match of `pattern` replaced by the mark that `build` makes of it.

    Where `build` returns None the matched marks stay as they are. needs: letters of which every match holds one.
    """
    letters = letters_of(row)
    if needs and needs.isdisjoint(letters):
        return row
    out: list[Mark] = []
    done = 0
    for match in pattern.finditer(letters):
        first, end = match.span()
        made = build(row[first:end], match) if end > first else None
        if made is not None:
            out += row[done:first]
            out.append(made)
            done = end
    return out + row[done:] if out or done else row


def picked(row: list[Mark], match: re.Match[str], group: str) -> Mark | None:
    """Return the first mark that a named group of the match stands for."""
    at = match.start(group)
    return row[at - match.start()] if at >= 0 else None


def joined(parts: list[Mark], kind: str, letter: str, number: float | None, value: str = "") -> Mark:
    """Return one mark over the stretch of several."""
    return Mark(kind, value, letter, parts[0].start, parts[-1].end, number)
