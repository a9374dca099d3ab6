"""A message as words: folded to bare lower case, each with its place in the string that was given."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from bot.text import fold_with_offsets

SENTENCE_END = "."
QUESTION = "?"
COMMA = ","
NUMBER = "#"
MARKS = frozenset({SENTENCE_END, QUESTION, COMMA})

_PIECE = re.compile(
    r"(?P<number>\d+(?:[.,'·]\d+)?(?!\d))"
    r"|(?P<word>[^\W\d_]+(?:'[^\W\d_]+)*)"
    r"|(?P<degree>°)"
    r"|(?P<comma>\.{2,}|[,:()\[\]–—/\-]|[\U0001F000-\U0001FAFF\u2600-\u27BF])"
    r"|(?P<question>[!.]*[?¿][!?.]*)"
    r"|(?P<end>[.!;¡\n\r]+)"
)


@dataclass(frozen=True, slots=True)
class Words:
    """The words and marks of a message in order.

    text: the folded word, the digits of a number with "." as its decimal point, or one of the MARKS.
    start, end: offsets in the original string, the end not included.
    """

    text: tuple[str, ...]
    start: tuple[int, ...]
    end: tuple[int, ...]


def bare(word: str) -> str:
    """Return a folded word as it stands in `Words.text`: without its apostrophes."""
    return word.replace("'", "")


@lru_cache(maxsize=1)  # the rules and the learned reader split the same message
def split(text: str) -> Words:
    """Return the words and marks of a message. Never fails, whatever the characters."""
    folded, came_from = fold_with_offsets(text)
    texts: list[str] = []
    starts: list[int] = []
    ends: list[int] = []
    for piece in _PIECE.finditer(folded):
        kind = piece.lastgroup
        found = piece.group()
        if kind == "word":
            found = bare(found)
        elif kind == "number":
            found = found.replace(",", ".").replace("'", ".").replace("·", ".")
        elif kind == "degree":
            found = "degrees"
        else:
            found = COMMA if kind == "comma" else QUESTION if kind == "question" else SENTENCE_END
        texts.append(found)
        first, last = piece.start(), piece.end() - 1
        starts.append(first if came_from is None else came_from[first])
        ends.append((last if came_from is None else came_from[last]) + 1)
    return Words(tuple(texts), tuple(starts), tuple(ends))
