"""A message as numbered features: pieces of its words, its words, and its pairs of neighbouring words."""

from __future__ import annotations

import re
import zlib
from functools import lru_cache

from bot.text import fold

BUCKETS = 1 << 17
SHORTEST, LONGEST = 2, 5  # characters of a piece, with a space at each end of its word
_MOST_OF_A_WORD = 24  # characters; what is longer is no word
_PIECE = re.compile(r"\d+(?:[.,]\d+)?|[^\W\d_]+|[?]|[\U0001F000-\U0001FAFF\u2600-\u27BF]")
_SURE = re.compile(r"\d")


def features(text: str) -> set[int]:
    """Return the numbers (0 to BUCKETS - 1) of what stands in a message, each once. Never fails.

    Figures count by their shape alone ("38.5" as "00.0"), so that no single number is learnt by heart.
    """
    found: set[int] = set()
    before = b"^"
    for word in _PIECE.findall(fold(text).replace("'", "")):
        code = _code(word)
        found.update(_of_word(code))
        found.add(_bucket(b"2 " + before + b" " + code))
        before = code
    found.add(_bucket(b"2 " + before + b" $"))
    return found


def _code(word: str) -> bytes:
    return _SURE.sub("0", word[:_MOST_OF_A_WORD]).encode("utf-8", "replace")


@lru_cache(maxsize=4096)
def _of_word(code: bytes) -> tuple[int, ...]:
    """Return the features of one word: itself and the pieces of it."""
    edged = b" " + code + b" "
    pieces = {
        edged[start : start + length]
        for length in range(SHORTEST, LONGEST + 1)
        for start in range(len(edged) - length + 1)
    }
    return (_bucket(b"1 " + code), *sorted({_bucket(piece) for piece in pieces}))


def _bucket(key: bytes) -> int:
    return zlib.crc32(key) % BUCKETS
