"""What a therapist asks for in words instead of by a command: "how is Pip", "plan for Ada", "new family". Pure."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from bot.parsing.word_lists import beginning, either, keys_of
from bot.text import fold_with_offsets

Wish = Literal[
    "families", "digest", "plan", "write", "new_family", "invite", "visit", "note", "handout", "audit",
    "cover", "numbers", "taught", "help",
]  # fmt: skip

LONGEST = 12  # words; more is said to somebody


@dataclass(frozen=True, slots=True)
class TherapistLine:
    """wish: None where a name alone may be meant. left: the words that are neither the wish nor small, as they were written."""

    wish: Wish | None
    left: str


def read_therapist_line(text: str) -> TherapistLine | None:
    """Return what a whole message may ask for; whether `left` names a family is the caller's to say. None: too long."""
    if len(text.split()) > LONGEST:
        return None
    folded, came_from = fold_with_offsets(text)
    wish, span = _wish(folded)
    kept = [*range(span[0]), *range(span[1], len(folded))]
    places = kept if came_from is None else sorted({came_from[each] for each in kept})
    return TherapistLine(wish, without_small("".join(text[each] for each in places)))


def without_plan_intro(text: str) -> str:
    """Return a line without "plan for" at its front."""
    folded, came_from = fold_with_offsets(text)
    intro = re.match(rf"\s*(?:{either('therapist.plan')}\s+)?(?:{either('period.of')}\s+)?", folded)
    end = intro.end() if intro else 0
    return text[end if came_from is None or end == len(folded) else came_from[end] :]


def _wish(folded: str) -> tuple[Wish | None, tuple[int, int]]:
    """Return the longest wish that a text names, and where."""
    found: list[tuple[int, Wish, tuple[int, int]]] = []
    for wish in keys_of("therapist"):
        match = None if wish == "small" else re.search(either(f"therapist.{wish}"), folded)
        if match is not None:
            found.append((match.end() - match.start(), wish, match.span()))  # type: ignore[arg-type]
    if not found:
        return None, (0, 0)
    _, named, span = max(found, key=lambda each: (each[0], -each[2][0]))
    return named, span


def without_small(text: str) -> str:
    """Return words without the small ones before and after them, without marks at the ends and without a possessive."""
    words = text.split()
    while words and _small(words[0]):
        words.pop(0)
    while words and _small(words[-1]):
        words.pop()
    return re.sub(r"['’]s$", "", " ".join(words).strip(" ,;:?!.¿¡"))


def _small(word: str) -> bool:
    folded, _ = fold_with_offsets(word.strip(" ,;:?!.¿¡"))
    return not folded or re.fullmatch(f"(?:{beginning('therapist.small')})", folded) is not None
