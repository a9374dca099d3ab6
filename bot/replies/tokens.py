"""A message cut into tokens: words, numbers, clock times, dates and signs, each with its place in the text."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

TokenKind = Literal["word", "number", "clock", "date", "sign"]

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
_APOSTROPHES = str.maketrans({"’": "'", "´": "'", "`": "'", "ʼ": "'"})


@dataclass(frozen=True, slots=True)
class Token:
    """`text` is folded (small letters, no accents, plain apostrophes); start and end are offsets in the message."""

    kind: TokenKind
    text: str
    start: int
    end: int


def plain_text(text: str) -> str:
    """Return the text with composed letters (Unicode NFC), the form that all offsets here refer to."""
    return text if text.isascii() else unicodedata.normalize("NFC", text)


@lru_cache(maxsize=4096)
def _folded(word: str) -> str:
    letters = unicodedata.normalize("NFKD", word.translate(_APOSTROPHES).casefold())
    return "".join(letter for letter in letters if not unicodedata.combining(letter)) or word


def fold(word: str) -> str:
    """Return a word in small letters, without accents and with plain apostrophes."""
    return word.lower() if word.isascii() else _folded(word)


# Skin tones, variation selectors, joiners and the keycap: parts of an emoji, no signs of their own.
_SILENT = frozenset("\u200d\ufe0e\ufe0f\u20e3\u2640\u2642") | {chr(n) for n in range(0x1F3FB, 0x1F400)}


def tokens_of(text: str) -> list[Token]:
    """Return the tokens of a text in NFC, in order."""
    found: list[Token] = []
    for match in _TOKEN.finditer(text):
        kind: TokenKind = match.lastgroup  # type: ignore[assignment]
        raw = match.group()
        if kind == "sign" and raw in _SILENT:
            continue
        found.append(Token(kind, fold(raw), match.start(), match.end()))
    return found
