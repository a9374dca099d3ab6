"""Every word that the rules know, each with a character of its own.

A message becomes a string with one character a word, so that a pattern of words is an ordinary regular
expression over that string, and runs at the speed of one.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from rapidfuzz import process
from rapidfuzz.distance import OSA

from bot.concerns.text import MARKS, NUMBER

UNKNOWN = "x"
_FIRST_CODE = 0x4E00  # far from the marks, and one range without characters special to regular expressions
_LONG_RUN = re.compile(r"(.)\1{2,}")
_SHORTEST_STEM = 3
_SHORTEST_BY_SOUND = 5
_SHORTEST_MISSPELT = 6
_LONGEST_REMEMBERED = 20_000


_SAME_SOUND = (
    ("ch", "\x00"), ("h", ""), ("\x00", "ch"), ("v", "b"), ("ll", "y"), ("rr", "r"), ("qu", "k"), ("ce", "se"), ("ci", "si"), ("z", "s"), ("x", "s"),
)  # fmt: skip


def sound(word: str) -> str:
    """Return how a Spanish word sounds, roughly: letters that are heard alike written alike."""
    for written, heard in _SAME_SOUND:
        word = word.replace(written, heard)
    return word


_SMALL = re.compile(r"^(.{3,}?)(?:e?c)?it([oa])(s?)$")  # cortita, pechito, moretoncitos
_VERY = re.compile(r"^(.{3,})isim([oa])(s?)$")  # rapidisimo
_SHORTEST_INFLECTED = 6


def base_forms(word: str) -> Iterator[str]:
    """Yield the folded words that a longer form may come from: "cortita" from "corta", "tongues" from "tongue"."""
    if len(word) < _SHORTEST_INFLECTED:
        return
    found = _SMALL.match(word) or _VERY.match(word)
    if found:
        stem, gender, plural = found.groups()
        bare = stem[:-2] + "c" if stem.endswith("qu") else stem[:-1] if stem.endswith("gu") else stem
        for base in (bare, stem):
            yield from (base + gender + plural, base + gender, base + "e" + plural, base + "e", base)
    elif word.endswith("s") and not word.endswith("ss"):
        yield word[:-1]


@dataclass(slots=True)
class Vocabulary:
    """Words, and stems (written "vomit*") that stand for every word that begins so.

    misspelt: the long words that may be recognised through a slip of spelling.
    """

    words: dict[str, str] = field(default_factory=dict)
    stems: dict[str, str] = field(default_factory=dict)
    misspelt: tuple[str, ...] = ()
    ordinary: frozenset[str] = frozenset()
    _known: dict[str, str] = field(default_factory=dict)
    _covered: dict[str, str] = field(default_factory=dict)
    _sounds: dict[str, str] = field(default_factory=dict)
    _in_order: tuple[tuple[list[str], list[str]], ...] = ()

    def add(self, entry: str) -> None:
        """Add a word or a stem. All must be added before the first pattern is compiled."""
        table, key = (self.stems, entry[:-1]) if entry.endswith("*") else (self.words, entry)
        if key not in table:
            table[key] = chr(_FIRST_CODE + len(self.words) + len(self.stems))

    def codes(self, entry: str) -> str:
        """Return the characters of the words that a word or a stem stands for."""
        if entry == NUMBER:  # a number that is a word of its own ("911") is a number too
            return NUMBER + "".join(code for word, code in self.words.items() if word[0].isdigit())
        if not entry.endswith("*"):
            return self.words[entry]
        if entry not in self._covered:
            stem, after = entry[:-1], entry[:-1] + "\U0010ffff"
            self._covered[entry] = "".join(
                code
                for words, codes in self._sorted()
                for code in codes[bisect_left(words, stem) : bisect_left(words, after)]
            )
        return self._covered[entry]

    def _sorted(self) -> tuple[tuple[list[str], list[str]], ...]:
        """Return the words, and the stems, in order of the alphabet, each with its characters."""
        if not self._in_order:
            tables = [sorted(table.items()) for table in (self.words, self.stems)]
            self._in_order = tuple(
                ([word for word, _ in held], [code for _, code in held]) for held in tables
            )
        return self._in_order

    def encode(self, texts: Iterable[str]) -> str:
        """Return one character for each word or mark."""
        known = self._known
        if len(known) > _LONGEST_REMEMBERED:
            known.clear()
        return "".join([known.get(text) or self._learn(text) for text in texts])

    def _learn(self, text: str) -> str:
        self._known[text] = code = self._code(text)
        return code

    def _code(self, text: str) -> str:
        if text in MARKS:
            return text
        exact = self._exact(text)
        if text[0].isdigit():
            return exact or NUMBER  # an emergency number is a word of its own
        if exact is None and _LONG_RUN.search(text):
            short = _LONG_RUN.sub(r"\1", text)
            exact = self._exact(short) or self._exact(_LONG_RUN.sub(r"\1\1", text))
            text = short
        return (
            exact
            or self._inflected(text)
            or self._by_sound(text)
            or self._misspelling(text)
            or self._stem(text)
            or UNKNOWN
        )

    def _inflected(self, text: str) -> str | None:
        """Return the word of which this is the Spanish diminutive or superlative, or the English possessive or plural."""
        if text in self.ordinary:
            return None
        for form in base_forms(text):
            code = self._exact(form)
            if code:
                return code
        return None

    def _exact(self, text: str) -> str | None:
        return self.words.get(text)

    def _stem(self, text: str) -> str | None:
        for length in range(len(text), _SHORTEST_STEM - 1, -1):
            code = self.stems.get(text[:length])
            if code:
                return code
        return None

    def _by_sound(self, text: str) -> str | None:
        """Return the sign word that sounds the same in Spanish ("lavios", "inchada", "moyera")."""
        if len(text) < _SHORTEST_BY_SOUND or text in self.ordinary:
            return None
        if not self._sounds:
            self._sounds = {sound(word): self.words[word] for word in self.misspelt}
        return self._sounds.get(sound(text))

    def _misspelling(self, text: str) -> str | None:
        """Return the sign word that this is a slip of: one slip, two in a word of nine letters or more.

        The first letter must be right, and no ordinary word is ever taken for a slip.
        """
        if len(text) < _SHORTEST_MISSPELT or len(text) > 24 or text in self.ordinary:
            return None
        candidates = [
            word for word in self.misspelt if word[0] == text[0] and abs(len(word) - len(text)) <= 2
        ]
        best = process.extractOne(text, candidates, scorer=OSA.distance, score_cutoff=2)
        if best is None or (best[1] == 2 and min(len(best[0]), len(text)) < 9):
            return None
        return self.words[best[0]]
