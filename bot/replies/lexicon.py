"""The vocabulary as a tree of phrases of both languages, each with the concept it stands for.

Small words such as "the", "her" or "su" (the table `[light]`) may stand anywhere inside a phrase without being written
there.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from itertools import chain
from typing import cast

from bot.replies.phrases import Concept, phrases_of_files
from bot.wordings.notation import Run

# Which table keeps a phrase that two kinds of table of a language hold: the first named here.
_ORDER = """
    not_side total both goal half_of how later request mean halt future ask messages unwell away no_time refused neg
    nothing finish done skip asleep did start generic activity do vague today week opener was show doing bad good roll
    grab reach lift turn times day anchor ampm twice each every late measured labelled only from at till to or and then
    but of after before clock one article number light filler actually for_long nap in
"""
PRECEDENCE = {kind: place for place, kind in enumerate(_ORDER.split())}

_ENTRY_KINDS = frozenset({"activity", "number", "unit", "day", "weekday", "couple", "fraction", "times"})


@dataclass(slots=True)
class Node:
    """One word of a phrase in the tree of phrases; `concepts` by language where a phrase ends here."""

    next: Mapping[str, Node]
    concepts: dict[str, Concept]


@dataclass(frozen=True, slots=True)
class Lexicon:
    """root: the tree of phrases. light: words passed over inside phrases. words: every word of any phrase.

    entry_words: the words of what entries are made of, where a slip costs most. spanish: every word of a Spanish phrase.
    slips: a misspelt word → the word meant, for words too short to mend by likeness.
    plain: words that are near others and mean what they say. small: words that alone tell nothing.
    """

    root: Node
    light: frozenset[str]
    words: frozenset[str]
    entry_words: frozenset[str]
    spanish: frozenset[str]
    slips: dict[str, str]
    plain: frozenset[str]
    small: frozenset[str]


@cache
def lexicon() -> Lexicon:
    """Return the vocabulary of both languages, read once.

    Raises:
        WordsError: a word file cannot be used.
    """
    begun = Beginnings()
    light: set[str] = set()
    words: set[str] = set()
    entry_words: set[str] = set()
    spanish: set[str] = set()
    slips: dict[str, str] = {}
    apart: dict[str, set[str]] = {"plain": set(), "small": set()}
    for language, concept, phrases in phrases_of_files():
        if concept.kind == "slip":
            slips.update((" ".join(phrase), concept.value) for phrase in phrases)
            continue
        named = set(chain.from_iterable(phrases))
        if concept.kind in apart:
            apart[concept.kind] |= named
            continue
        begun.add(language, concept, phrases)
        words |= named
        if language == "es":
            spanish |= named
        if concept.kind in _ENTRY_KINDS:
            entry_words |= named
        if concept.kind == "light" or concept.value == "person":
            light.update(phrase[0] for phrase in phrases if len(phrase) == 1)
    return Lexicon(
        root=Node(begun, {}),
        light=frozenset(light),
        words=frozenset(words),
        entry_words=frozenset(entry_words),
        spanish=frozenset(spanish),
        slips={slip: word for slip, word in slips.items() if slip not in words},
        plain=frozenset(apart["plain"]),
        small=frozenset(apart["small"]),
    )


_Held = dict[tuple[tuple[str, Concept], ...], dict[str, Concept]]
_NO_NEXT: dict[str, Node] = {}


class Beginnings(Mapping[str, Node]):
    """The first words of phrases. What follows one is put together when it is first asked for: of a hundred thousand phrases a
    message needs some dozens, and whoever reads one message waits for the rest in vain.
    """

    def __init__(self) -> None:
        self._waiting: dict[str, list[tuple[str, Concept, list[Run]]]] = {}
        self._made: dict[str, Node] = {}
        self._held: _Held = {}

    def add(self, language: str, concept: Concept, phrases: Iterable[Run]) -> None:
        """Add phrases; before any of them is asked for."""
        by_word: dict[str, list[Run]] = {}
        for phrase in phrases:
            by_word.setdefault(phrase[0], []).append(phrase)
        for word, found in by_word.items():
            self._waiting.setdefault(word, []).append((language, concept, found))

    def __getitem__(self, word: str) -> Node:
        found = self._made.get(word)
        if found is not None:
            return found
        found = Node(_NO_NEXT, {})
        for language, concept, phrases in self._waiting.get(word, ()):
            for phrase in phrases:
                _add(found, phrase[1:], language, concept, self._held)
        if word not in self._waiting:
            return self._made[word]  # put together meanwhile by another thread, or no word of ours
        self._made[word] = found
        self._waiting.pop(word, None)
        return found

    def __contains__(self, word: object) -> bool:
        return word in self._waiting or word in self._made

    def __iter__(self) -> Iterator[str]:
        return iter([*self._waiting, *self._made])

    def __len__(self) -> int:
        return len(self._waiting) + len(self._made)


def whole_lexicon() -> Lexicon:
    """Return the vocabulary with everything put together now: who serves waits once, and keeps no phrase twice."""
    known = lexicon()
    known.root.next = dict(known.root.next)
    return known


def _add(node: Node, phrase: Run, language: str, concept: Concept, held: _Held) -> None:
    """Add what follows a node. held: what nodes hold, once each: nearly all end one phrase of few concepts, and lead to no longer one."""
    for word in phrase:
        following = node.next.get(word)
        if following is None:
            following = Node(_NO_NEXT, held.setdefault((), {}))
            if node.next is _NO_NEXT:
                node.next = {}
            cast(dict[str, Node], node.next)[word] = following
        node = following
    known = node.concepts.get(language)
    if known is None or PRECEDENCE.get(concept.kind, 99) < PRECEDENCE.get(known.kind, 99):
        concepts = {**node.concepts, language: concept}
        node.concepts = held.setdefault(tuple(concepts.items()), concepts)
