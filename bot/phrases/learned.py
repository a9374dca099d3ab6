"""A suggested change of the told day as one line: what was heard with both its numbers, then the question."""

from __future__ import annotations

from datetime import time

from babel.dates import format_time

from bot.phrases import Words
from scheduling.learned.suggestion import Suggestion


def suggestion_in_words(found: Suggestion, words: Words) -> str:
    """Return the line as plain text: "Asleep at about 2 PM on 4 of 5 days. Is nap time now 1:30 to 3:30 PM?"""
    return f"{evidence_in_words(found, words)} {question_in_words(found, words)}"


def evidence_in_words(found: Suggestion, words: Words) -> str:
    """Return what was heard, with both numbers."""
    return words.plain(
        f"learned.seen_{found.seen}",
        at=_clock(found.about, words),
        days=found.evidence.days,
        of=found.evidence.of,
    )


def question_in_words(found: Suggestion, words: Words) -> str:
    """Return the question that "yes" answers."""
    now, then = (_span(each, words) for each in (found.now, found.then))
    if found.change == "night_ends" and found.then:
        then = _clock(found.then[1], words)
    elif found.change == "night_begins" and found.then:
        then = _clock(found.then[0], words)
    return words.plain(f"learned.{found.change}", now=now, then=then)


def _span(times: tuple[int, ...] | None, words: Words) -> str:
    if not times:
        return ""
    clocks = [_clock(at, words) for at in times]
    return clocks[0] if len(clocks) == 1 else words.plain("learned.span", start=clocks[0], end=clocks[1])


def _clock(minute: int, words: Words) -> str:
    at = time(minute // 60 % 24, minute % 60)
    return str(format_time(at, words.plain("format.clock"), locale=words.locale))
