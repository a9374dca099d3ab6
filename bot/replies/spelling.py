"""Words that are nearly words of the vocabulary: slips of the thumb, stretched letters, missing letters."""

from __future__ import annotations

import re
from functools import cache, lru_cache

from rapidfuzz import process
from rapidfuzz.distance import OSA

from bot.replies.lexicon import lexicon

# Shorter words have too many neighbours that mean something else ("feet" is not "feed").
SHORTEST = 5
SHORTEST_OTHER = 7  # for words that entries are not made of
LONGEST = 24
_STRETCHED = re.compile(r"(.)\1{2,}")
_DOUBLED = re.compile(r"(.)\1+")


@cache
def _candidates() -> dict[str, list[str]]:
    """Return the words that may be meant, by first letter."""
    found: dict[str, list[str]] = {}
    entry_words = lexicon().entry_words
    for word in sorted(lexicon().words):
        if len(word) >= (SHORTEST if word in entry_words else SHORTEST_OTHER) and word.isalpha():
            found.setdefault(word[0], []).append(word)
    return found


@lru_cache(maxsize=8192)
def mended(word: str) -> str:
    """Return the word of the vocabulary that a folded word stands for, or the word itself.

    A word of 5 to 7 letters may differ by one slip, a longer one by two; the first letter must be right, and a
    tie goes to nobody.
    """
    known = lexicon()
    if word in known.words:
        return word
    if word in known.slips:
        return known.slips[word]
    for shorter in (_STRETCHED.sub(r"\1\1", word), _STRETCHED.sub(r"\1", word), _DOUBLED.sub(r"\1", word)):
        if shorter in known.words and (len(shorter) > 2 or shorter in ("no", "si", "ya", "ok")):
            return shorter
        if shorter in known.slips:
            return known.slips[shorter]
    if not SHORTEST <= len(word) <= LONGEST or not word.isalpha():
        return word
    slips = 1 if len(word) < 8 else 2
    near = process.extract(
        word, _candidates().get(word[0], []), scorer=OSA.distance, score_cutoff=slips, limit=2
    )
    tied = [found for found, distance, _ in near if distance == near[0][1]]
    meant = (
        tied[:1]
        if len(tied) == 1
        or len({str(known.root.next[w].concepts) for w in tied if w in known.root.next}) == 1
        else []
    )
    if not meant or (near[0][1] > 1 and meant[0] not in known.entry_words):
        return word
    return meant[0]
