"""A message as numbered features, in four groups: pieces of its words, its words, their word sets, and the signs found in it.

Pieces: of words as they sound in Spanish. Words: the same whole, and two in a row. Sets: the word sets that the signs are written with
("@limp", "@lips"), and pairs of them a few words apart, so that what is learnt of one word of a set holds for the others.
Signs: each with how it stands ("fit denied"), so that a sign that is seldom right weighs less than one that mostly is.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from functools import lru_cache
from zlib import crc32

from bot.concerns.loading import shipped_rules
from bot.concerns.text import NUMBER, split
from bot.concerns.vocabulary import sound
from bot.text import fold

BUCKETS = 1 << 18
SHORTEST, LONGEST = 2, 5  # characters of a piece, with a space at each end of its word
Groups = tuple[Collection[int], Collection[int], Collection[int], Collection[int]]
SIGNS = 3  # the place of the group of signs

_MOST_OF_A_WORD = 24  # characters; what is longer is no word
_APART = 3  # words between which a pair of word sets is still one feature
_LESS_BY_NUMBER = 0.35  # of 0 to 0.5, measured on writers left out: how much each counts less among many
_SIGN = 0.3  # of a sign against a lone word, measured likewise
_PIECE = re.compile(r"\d+(?:[.,]\d+)?|[^\W\d_]+|[?]|[\U0001F000-\U0001FAFF\u2600-\u27BF]")
_FIGURE = re.compile(r"\d")
_TWICE = re.compile(r"(.)\1+")
_MARKS = frozenset({".", ",", "?", NUMBER})


def features(text: str, signs: Collection[str] = ()) -> Groups:
    """Return the numbers (0 to BUCKETS - 1) of what stands in a message, each once in its group: pieces, words, word sets, signs.

    Never fails, whatever the text. signs: of `Findings.seen`.
    """
    return *_looks(text), _sets(text), {_bucket(f"e {sign}".encode()) for sign in signs}


def weight(group: int, size: int) -> float:
    """Return how much each feature counts in the group of this place (of four) with so many features."""
    return _SIGN if group == SIGNS else size**-_LESS_BY_NUMBER


def _looks(text: str) -> tuple[set[int], set[int]]:
    """Return the features of the pieces of words, and of the words.

    Figures count by their shape alone ("38.5" as "00.0"), so that no single number is learnt by heart.
    """
    pieces: set[int] = set()
    words: set[int] = set()
    last = b"^"
    for word in _PIECE.findall(fold(text).replace("'", "")):
        code, of_word = _of_word(word)
        pieces.update(of_word)
        words.add(crc32(b"1 %b" % code) % BUCKETS)
        words.add(crc32(b"2 %b %b" % (last, code)) % BUCKETS)
        last = code
    words.add(_bucket(b"2 " + last + b" $"))
    return pieces, words


def _code(word: str) -> bytes:
    """Return a word as it sounds in Spanish, letters said twice once: most slips of spelling leave that as it is."""
    short = word[:_MOST_OF_A_WORD]
    heard = _TWICE.sub(r"\1", sound(short)) if short.isalpha() else _FIGURE.sub("0", short)
    return (heard or short).encode("utf-8", "replace")


@lru_cache(maxsize=8192)
def _of_word(word: str) -> tuple[bytes, tuple[int, ...]]:
    """Return a word's code and the features of its pieces."""
    code = _code(word)
    edged = b" " + code + b" "
    pieces = {
        edged[start : start + length]
        for length in range(SHORTEST, LONGEST + 1)
        for start in range(len(edged) - length + 1)
    }
    return code, tuple(sorted({_bucket(piece) for piece in pieces}))


def _bucket(key: bytes) -> int:
    return crc32(key) % BUCKETS


def _sets(text: str) -> set[int]:
    """Return the features of the word sets in a message; a mark or a number stands for itself."""
    held = _named(shipped_rules().vocabulary.encode(split(text).text))
    found: set[int] = set()
    for at, names in enumerate(held):
        if not names:
            continue
        found.update(_alone(names))
        for near in held[at + 1 : at + 1 + _APART]:
            if near:
                found.update(_pairs(names, near))
    return found


def _named(code: str) -> list[tuple[str, ...]]:
    """Return the word sets at each place of a message: of the word, and of the runs of words that begin there."""
    runs_of = shipped_rules().runs_of
    held = [_names(each) for each in code]
    for at, each in enumerate(code):
        for after, name in runs_of.get(each, ()):
            if _follow(code, at + 1, after) and name not in held[at]:
                held[at] = (*held[at], name)
    return held


def _follow(code: str, start: int, after: tuple[str, ...]) -> bool:
    if start + len(after) > len(code) or code[start] not in after[0]:
        return False
    return all(code[start + place] in codes for place, codes in enumerate(after))


@lru_cache(maxsize=8192)
def _names(code: str) -> tuple[str, ...]:
    return shipped_rules().sets_of.get(code) or ((code,) if code in _MARKS else ())


@lru_cache(maxsize=8192)
def _alone(names: tuple[str, ...]) -> tuple[int, ...]:
    return tuple(_bucket(f"s {name}".encode()) for name in names)


@lru_cache(maxsize=131072)
def _pairs(names: tuple[str, ...], near: tuple[str, ...]) -> tuple[int, ...]:
    return tuple(_bucket(f"p {first} {second}".encode()) for first in names for second in near)
