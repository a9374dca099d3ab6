"""Words that are nearly words of the vocabulary: slips of the thumb, stretched letters, missing letters."""

from __future__ import annotations

import re
from functools import cache, lru_cache

from rapidfuzz import process
from rapidfuzz.distance import OSA, Indel

from bot.replies.lexicon import lexicon
from bot.replies.sounds import by_ear, without_vowels

# Shorter words have too many neighbours that mean something else ("feet" is not "feed").
SHORTEST = 5
SHORTEST_OTHER = 7  # for words that entries are not made of
LONG = 9  # from here on a wrong letter is a slip too: of shorter words it makes other words
VERY_LONG = 12  # and here a second slip of any kind
LONGEST = 24
SHORTEST_HEARD = 4
SHORTEST_BARE = 3
_STRETCHED = re.compile(r"(.)\1{2,}")
_DOUBLED_END = re.compile(r"(.)\1$")


@cache
def _candidates() -> dict[str, list[str]]:
    """Return the words that may be meant, by first letter."""
    found: dict[str, list[str]] = {}
    entry_words = lexicon().entry_words
    for word in sorted(lexicon().words):
        if len(word) >= (SHORTEST if word in entry_words else SHORTEST_OTHER) and word.isalpha():
            found.setdefault(word[0], []).append(word)
    return found


@cache
def _by_ear() -> dict[str, list[str]]:
    """Return Spanish words of the vocabulary by how they sound."""
    found: dict[str, list[str]] = {}
    for word in sorted(lexicon().spanish):
        if len(word) >= SHORTEST_HEARD and word.isalpha():
            found.setdefault(by_ear(word), []).append(word)
    return found


@cache
def _without_vowels() -> dict[str, list[str]]:
    """Return the words that entries are made of by their consonants."""
    found: dict[str, list[str]] = {}
    for word in sorted(lexicon().entry_words):
        if len(word) >= SHORTEST and word.isalpha():
            found.setdefault(without_vowels(word), []).append(word)
    return found


def _heard(word: str) -> str | None:
    """Return the word that a spelling by ear or left-out vowels stand for, where it is one word only."""
    known = lexicon()
    candidates = _by_ear().get(by_ear(word), []) if len(word) >= SHORTEST_HEARD else []
    bare = without_vowels(word)
    if not candidates and bare == word and len(word) >= SHORTEST_BARE:
        candidates = _without_vowels().get(word, [])
    meanings = {frozenset(known.root.next[w].concepts.values()) for w in candidates if w in known.root.next}
    return candidates[0] if candidates and len(meanings) <= 1 else None


def _means_more(word: str) -> bool:
    """Return whether a word with its dropped g ("reachin") is a phrase of its own and as it stands is not."""
    root = lexicon().root.next
    whole, bare = root.get(f"{word}g"), root.get(word)
    return whole is not None and bool(whole.concepts) and (bare is None or not bare.concepts)


@lru_cache(maxsize=8192)
def mended(word: str) -> str:
    """Return the word of the vocabulary that a folded word stands for, or the word itself.

    A short word may have one letter too many or too few or two changed over, a longer one a wrong letter, a very long
    one two slips of any kind; the first letter must be right, and a tie between meanings goes to nobody.
    """
    known = lexicon()
    if word.endswith("in") and _means_more(word):
        return f"{word}g"
    if word in known.words or word in known.plain:
        return word
    if word in known.slips:
        return known.slips[word]
    shorter = _unstretched(word)
    if shorter is not None:
        return shorter
    heard = _heard(word)
    if heard is not None:
        return heard
    if not SHORTEST <= len(word) <= LONGEST or not word.isalpha():
        return word
    return _alike(word)


def _unstretched(word: str) -> str | None:
    """Return the word of which this is a stretched spelling: "listooo"."""
    known = lexicon()
    for shorter in (
        _STRETCHED.sub(r"\1\1", word),
        _STRETCHED.sub(r"\1", word),
        _DOUBLED_END.sub(r"\1", word),
    ):
        if shorter in known.words and (len(shorter) > 2 or shorter in ("no", "si", "ya", "ok")):
            return shorter
        if shorter in known.slips:
            return known.slips[shorter]
    return None


def _alike(word: str) -> str:
    """Return the one word that is a slip away, or the word itself."""
    known = lexicon()
    long = len(word) >= LONG
    near = process.extract(
        word,
        _candidates().get(word[0], []),
        scorer=OSA.distance if long else Indel.distance,
        score_cutoff=2 if len(word) >= VERY_LONG else 1,
        limit=2,
    )
    near += [] if long else [(w, 1, 0) for w in _swapped(word) if w in known.words]
    if not near:
        return word
    tied = [found for found, distance, _ in near if distance == near[0][1]]
    meanings = {frozenset(known.root.next[w].concepts.values()) for w in tied if w in known.root.next}
    clear = len(tied) == 1 or len(meanings) == 1
    if not clear or (near[0][1] > 1 and tied[0] not in known.entry_words):
        return word
    return tied[0]


def _swapped(word: str) -> list[str]:
    """Return the word with each two neighbouring letters, the first aside, changed over."""
    return [word[:n] + word[n + 1] + word[n] + word[n + 2 :] for n in range(1, len(word) - 1)]
