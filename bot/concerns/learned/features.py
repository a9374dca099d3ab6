"""A message as numbered features, in two groups: what its words look like, and which sets of the signs they belong to.

Looks: pieces of words, words, pairs of neighbouring words. Sets: the word sets that the signs are written with ("@limp",
"@lips"), and pairs of them a few words apart, so that what is learnt of one word of a set holds for the others.
"""

from __future__ import annotations

import re
import zlib
from functools import lru_cache

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


def _sets(text: str) -> set[int]:
    """Return the features of the word sets in a message; a mark or a number stands for itself."""
    rules = shipped_rules()
    held = [_names(code) for code in rules.vocabulary.encode(split(text).text)]
    found: set[int] = set()
    for at, names in enumerate(held):
        if not names:
            continue
        found.update(_alone(names))
        for near in held[at + 1 : at + 1 + _APART]:
            if near:
                found.update(_pairs(names, near))
    return found


def _names(code: str) -> tuple[str, ...]:
    return shipped_rules().sets_of.get(code) or ((code,) if code in _MARKS else ())


_MARKS = frozenset({".", ",", "?", NUMBER})


@lru_cache(maxsize=4096)
def _alone(names: tuple[str, ...]) -> tuple[int, ...]:
    return tuple(_bucket(f"s {name}".encode()) for name in names)


@lru_cache(maxsize=65536)
def _pairs(names: tuple[str, ...], near: tuple[str, ...]) -> tuple[int, ...]:
    return tuple(_bucket(f"p {first} {second}".encode()) for first in names for second in near)
