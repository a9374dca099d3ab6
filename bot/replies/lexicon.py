"""The vocabulary: phrases of both languages, each with the concept it stands for.

The files in words/ hold one table a concept, `[kind.value]` or `[kind]`, with a note and the phrases. In a phrase
`left|right` are alternatives for one word, `turn(s/ed/ing)` gives endings, and `time?` may be left out, and `last_one` is an
alternative of two words. Small words such
as "the", "her" or "su" (the table `[light]`) may stand anywhere inside a phrase without being written there.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from itertools import product
from typing import Any

from bot.parsing.text import fold

LANGUAGES = ("en", "es")

# Which table keeps a phrase that two tables of a language hold: the first named here.
_ORDER = """
    not_side total both goal half_of how later request mean halt future ask messages unwell away no_time refused neg
    nothing finish done skip asleep did start generic activity do vague today week opener was show doing bad good roll
    grab reach lift turn times day anchor ampm twice each every late measured labelled only from at till to or and then
    but of after before clock one article number light filler
"""
PRECEDENCE = {kind: place for place, kind in enumerate(_ORDER.split())}

# Written without its apostrophe, the word would be another one: "I'll" is not "ill".
_KEEP_APOSTROPHE = frozenset(
    {"i'll", "we'll", "he'll", "she'll", "we're", "we'd", "i'd", "he'd", "she'd", "it's"}
)
_ENTRY_KINDS = frozenset({"activity", "number", "unit", "day", "weekday", "couple", "fraction", "times"})
_WITH_NOT = {"can't": "can", "won't": "will", "shan't": "shall", "ain't": "is"}
_ENDINGS = re.compile(r"\(([^()]*)\)")


@dataclass(frozen=True, slots=True)
class Concept:
    """What a phrase stands for: "activity", "tummy_time"; or "asleep", ""."""

    kind: str
    value: str = ""


class WordsError(ValueError):
    """A vocabulary file cannot be used; the message names the file and the table."""


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


def _spellings(word: str) -> list[str]:
    """Return the forms that one alternative stands for: its endings written out, with and without apostrophe."""
    match = _ENDINGS.search(word)
    if match:
        return [
            form
            for ending in match.group(1).split("/")
            for form in _spellings(word[: match.start()] + ending + word[match.end() :])
        ]
    word = fold(word)
    if word.endswith("n't"):
        whole = _WITH_NOT.get(word, word.removesuffix("n't"))
        return [word, word.replace("'", ""), f"{whole}_not"]
    if "'" in word and word not in _KEEP_APOSTROPHE:
        return [word, word.replace("'", "")]
    return [word]


def phrases_of(pattern: str) -> Iterator[tuple[str, ...]]:
    """Yield every phrase that a pattern of a vocabulary file stands for, as folded words."""
    slots: list[list[str]] = []
    for slot in pattern.split():
        optional = slot.endswith("?") and len(slot) > 1
        forms = [
            form
            for word in slot.removesuffix("?" if optional else "").split("|")
            for form in _spellings(word)
        ]
        slots.append([*forms, ""] if optional else forms)
    for words in product(*slots):
        phrase = tuple(part for word in words for part in word.split("_") if part)
        if phrase:
            yield phrase


def _tables(document: dict[str, Any], where: str) -> Iterator[tuple[Concept, list[str]]]:
    for kind, table in document.items():
        if not isinstance(table, dict):
            raise WordsError(f"{where}: {kind} must be a table with words.")
        named = {value: entry for value, entry in table.items() if isinstance(entry, dict)}
        for value, entry in {**({"": table} if "words" in table else {}), **named}.items():
            if not isinstance(entry.get("words"), list) or not entry.get("note"):
                raise WordsError(f"{where}: [{kind}.{value}] needs a note and a list of words.")
            yield Concept(kind, value), entry["words"]


def _files() -> Iterator[tuple[str, str, Concept, list[str]]]:
    """Yield (language, file, concept, patterns) for every table of the vocabulary."""
    for language in LANGUAGES:
        folder = files("bot.replies").joinpath("words").joinpath(language)
        for entry in sorted(folder.iterdir(), key=lambda path: path.name):
            if entry.name.endswith(".toml"):
                where = f"words/{language}/{entry.name}"
                for concept, patterns in _tables(tomllib.loads(entry.read_text(encoding="utf-8")), where):
                    yield language, where, concept, patterns


@cache
def lexicon() -> Lexicon:
    """Return the vocabulary of both languages, read once.

    Raises:
        WordsError: a file has a table without note or words.
    """
    root = Node({}, {})
    light: set[str] = set()
    words: set[str] = set()
    entry_words: set[str] = set()
    spanish: set[str] = set()
    slips: dict[str, str] = {}
    plain: set[str] = set()
    small: set[str] = set()
    for language, _where, concept, patterns in _files():
        for phrase in (phrase for pattern in patterns for phrase in phrases_of(pattern)):
            if concept.kind == "slip":
                slips[" ".join(phrase)] = concept.value
                continue
            if concept.kind == "plain":
                plain.update(phrase)
                continue
            if concept.kind == "small":
                small.update(phrase)
                continue
            _add(root, phrase, language, concept)
            words.update(phrase)
            if language == "es":
                spanish.update(phrase)
            if concept.kind in _ENTRY_KINDS:
                entry_words.update(phrase)
            if (concept.kind == "light" or concept.value == "person") and len(phrase) == 1:
                light.add(phrase[0])
    slips = {slip: word for slip, word in slips.items() if slip not in words}
    return Lexicon(
        root, frozenset(light), frozenset(words), frozenset(entry_words), frozenset(spanish), slips, frozenset(plain),
        frozenset(small),
    )  # fmt: skip


def _add(root: Node, phrase: tuple[str, ...], language: str, concept: Concept) -> None:
    node = root
    for word in phrase:
        node = node.next.setdefault(word, Node({}, {}))
    known = node.concepts.get(language)
    if known is None or PRECEDENCE.get(concept.kind, 99) < PRECEDENCE.get(known.kind, 99):
        node.concepts[language] = concept
