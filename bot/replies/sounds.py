"""How words sound: spellings by ear ("izkierdo", "bolbimos") and words without vowels ("rchng") that still name one word."""

from __future__ import annotations

import re

# Spanish letters that sound alike, each group written one way.
_ALIKE = tuple(
    (re.compile(letters), sound)
    for letters, sound in (
        ("ch|sh|x", "1"), ("qu|q|c(?![ei])", "k"), ("[cz]", "s"), ("v", "b"), ("w", "gu"), ("h", ""),
        ("(?:ll|y|(?<=[aeo])i)(?=[aeiou])", "y"), ("y$", "i"), ("g(?=[ei])", "j"), ("gu(?=[ei])", "g"),
    )
)  # fmt: skip
_DOUBLED = re.compile(r"([^r])\1+")  # "perro" is not "pero"
_VOWELS = re.compile(r"[aeiou]")


def by_ear(word: str) -> str:
    """Return a folded Spanish word as it sounds: words that sound alike have the same."""
    for letters, sound in _ALIKE:
        word = letters.sub(sound, word)
    return _DOUBLED.sub(r"\1", word)


def without_vowels(word: str) -> str:
    """Return the consonants of a folded word, none twice in a row."""
    return _DOUBLED.sub(r"\1", _VOWELS.sub("", word))
