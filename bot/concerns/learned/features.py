"""A message as numbered features, in two groups: what its words look like, and which sets of the signs they belong to.

Looks: pieces of words, words, pairs of neighbouring words. Sets: the word sets that the signs are written with ("@limp",
"@lips"), and pairs of them a few words apart, so that what is learnt of one word of a set holds for the others.
"""

from __future__ import annotations

import re
from functools import lru_cache
from zlib import crc32

from bot.concerns.loading import shipped_rules
from bot.concerns.text import NUMBER, split
from bot.text import fold

BUCKETS = 1 << 17
SHORTEST, LONGEST = 2, 5  # characters of a piece, with a space at each end of its word
_MOST_OF_A_WORD = 24  # characters; what is longer is no word
_PIECE = re.compile(r"\d+(?:[.,]\d+)?|[^\W\d_]+|[?]|[\U0001F000-\U0001FAFF\u2600-\u27BF]")
_SURE = re.compile(r"\d")


_APART = 3  # words between which a pair of word sets is still one feature


def features(text: str) -> tuple[set[int], set[int]]:
    """Return the numbers (0 to BUCKETS - 1) of what stands in a message, each once: of its looks, of its word sets.

    Never fails, whatever the text.
    """
    return _looks(text), _sets(text)


def _looks(text: str) -> set[int]:
    """Return the features of what the words look like.

    Figures count by their shape alone ("38.5" as "00.0"), so that no single number is learnt by heart.
    """
    found: set[int] = set()
    before = b"^"
    for word in _PIECE.findall(fold(text).replace("'", "")):
        code, pieces = _of_word(word)
        found.update(pieces)
        found.add(crc32(b"2 %b %b" % (before, code)) % BUCKETS)
        before = code
    found.add(_bucket(b"2 " + before + b" $"))
    return found


def _code(word: str) -> bytes:
    return _SURE.sub("0", word[:_MOST_OF_A_WORD]).encode("utf-8", "replace")


@lru_cache(maxsize=4096)
def _of_word(word: str) -> tuple[bytes, tuple[int, ...]]:
    """Return a word's code and its features: itself and the pieces of it."""
    code = _code(word)
    edged = b" " + code + b" "
    pieces = {
        edged[start : start + length]
        for length in range(SHORTEST, LONGEST + 1)
        for start in range(len(edged) - length + 1)
    }
    return code, (_bucket(b"1 " + code), *sorted({_bucket(piece) for piece in pieces}))


def _bucket(key: bytes) -> int:
    return crc32(key) % BUCKETS


def _sets(text: str) -> set[int]:
    """Return the features of the word sets in a message; a mark or a number stands for itself."""
    codes = shipped_rules().vocabulary.encode(split(text).text)
    found: set[int] = set()
    for at, code in enumerate(codes):
        alone = _alone(code)
        if not alone:
            continue
        found.update(alone)
        for near in codes[at + 1 : at + 1 + _APART]:
            found.update(_pairs(code, near))
    return found


_MARKS = frozenset({".", ",", "?", NUMBER})


def _names(code: str) -> tuple[str, ...]:
    return shipped_rules().sets_of.get(code) or ((code,) if code in _MARKS else ())


@lru_cache(maxsize=4096)
def _alone(code: str) -> tuple[int, ...]:
    return tuple(_bucket(f"s {name}".encode()) for name in _names(code))


@lru_cache(maxsize=65536)
def _pairs(code: str, near: str) -> tuple[int, ...]:
    return tuple(_bucket(f"p {first} {second}".encode()) for first in _names(code) for second in _names(near))
