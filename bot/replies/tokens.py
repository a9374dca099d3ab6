"""A message cut into tokens: words, numbers, clock times, dates and signs, each with its place in the text."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from bot.text import fold

TokenKind = Literal["word", "number", "clock", "date", "sign", "times"]

# One pass, no nested repeats: the time taken grows with the length of the text and nothing else.
_TOKEN = re.compile(
    r"""
    (?P<clock> \d{1,2}:\d{2} (?![\d:]) )
  | (?P<date> \d{1,2}/\d{1,2} (?: /\d{2,4} )? (?![\d/]) )
  | (?P<number> \d+ (?: [.,]\d+ )? | [½¼¾] )
  | (?P<word> c/u\b | w/o?\b | b/c\b | [^\W\d_]+ (?: ['’´`ʼ] [^\W\d_]+ )* )
  | (?P<sign> [^\w\s] | _ | \w )
    """,
    re.VERBOSE,
)


@dataclass(frozen=True, slots=True)
class Token:
    """`text` is folded (small letters, no accents, plain apostrophes); start and end are offsets in the message."""

    kind: TokenKind
    text: str
    start: int
    end: int


# Skin tones, variation selectors, joiners and the keycap: parts of an emoji, no signs of their own.
_SILENT = frozenset("\u200d\ufe0e\ufe0f\u20e3\u2640\u2642") | {chr(n) for n in range(0x1F3FB, 0x1F400)}


def tokens_of(text: str) -> list[Token]:
    """Return the tokens of a text in NFC, in order."""
    found: list[Token] = []
    if text.isascii():  # folding changes no length, and there is nothing silent
        for match in _TOKEN.finditer(fold(text)):
            start, end = match.span()
            found.append(Token(match.lastgroup, match.group(), start, end))  # type: ignore[arg-type]
        return found
    for match in _TOKEN.finditer(text):
        kind: TokenKind = match.lastgroup  # type: ignore[assignment]
        raw = match.group()
        if kind == "sign" and raw in _SILENT:
            continue
        found.append(Token(kind, fold(raw) or raw, match.start(), match.end()))
    return found
