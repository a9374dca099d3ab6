"""The vocabulary as a tree of phrases of both languages, each with the concept it stands for.

Small words such as "the", "her" or "su" (the table `[light]`) may stand anywhere inside a phrase without being written
there.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

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

    next: dict[str, Node]
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
    root = Node({}, {})
    held: _Held = {}
    light: set[str] = set()
    words: set[str] = set()
    entry_words: set[str] = set()
    spanish: set[str] = set()
    slips: dict[str, str] = {}
    apart: dict[str, set[str]] = {"plain": set(), "small": set()}
    for language, concept, phrase in phrases_of_files():
        if concept.kind == "slip":
            slips[" ".join(phrase)] = concept.value
            continue
        if concept.kind in apart:
            apart[concept.kind].update(phrase)
            continue
        _add(root, phrase, language, concept, held)
        words.update(phrase)
        if language == "es":
            spanish.update(phrase)
        if concept.kind in _ENTRY_KINDS:
            entry_words.update(phrase)
        if (concept.kind == "light" or concept.value == "person") and len(phrase) == 1:
            light.add(phrase[0])
    return Lexicon(
        root=root,
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


def _add(root: Node, phrase: Run, language: str, concept: Concept, held: _Held) -> None:
    """Add a phrase. held: what nodes hold, once each: nearly all end one phrase of few concepts, and lead to no longer one."""
    node = root
    for word in phrase:
        following = node.next.get(word)
        if following is None:
            following = Node(_NO_NEXT, held.setdefault((), {}))
            if node.next is _NO_NEXT:
                node.next = {}
            node.next[word] = following
        node = following
    known = node.concepts.get(language)
    if known is None or PRECEDENCE.get(concept.kind, 99) < PRECEDENCE.get(known.kind, 99):
        concepts = {**node.concepts, language: concept}
        node.concepts = held.setdefault(tuple(concepts.items()), concepts)
