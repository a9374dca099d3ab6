"""The word files read: for every concept of both languages, the phrases that stand for it.

The files in words/ hold one table a concept, `[kind.value]` or `[kind]`, with a note and the phrases; sets.toml holds the
word sets that the phrases name. How a phrase is written: see bot/wordings/README.md.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.resources import files
from importlib.resources.abc import Traversable
from itertools import product

from bot.wordings.notation import (
    END,
    NUMBER,
    START,
    Choice,
    Part,
    Run,
    Sets,
    WordingError,
    parse,
    take_in_sets,
)  # fmt: skip

LANGUAGES = ("en", "es")
SETS = "sets.toml"

# Written without its apostrophe, the word would be another one: "I'll" is not "ill".
_KEEP_APOSTROPHE = frozenset(
    {"i'll", "we'll", "he'll", "she'll", "we're", "we'd", "i'd", "he'd", "she'd", "it's"}
)
_WITH_NOT = {"can't": "can", "won't": "will", "shan't": "shall", "ain't": "is"}
_NO_PHRASE = frozenset({START, END, NUMBER})


@dataclass(frozen=True, slots=True)
class Concept:
    """What a phrase stands for: "activity", "tummy_time"; or "asleep", ""."""

    kind: str
    value: str = ""


class WordsError(ValueError):
    """A vocabulary file cannot be used; the message names the file and the table."""


def phrases_of(pattern: str, sets: Sets, known: dict[str, list[Run]] | None = None) -> Iterator[Run]:
    """Yield every phrase that a wording of a word file stands for, as folded words.

    known: what places of wordings with the same sets stand for; what is new is added, since most places come again.

    Raises:
        WordingError: the wording cannot be read, or uses what only the sign files have.
    """
    forms = {} if known is None else known
    places = pattern.split()
    for place in places:
        if place not in forms:
            (part,) = parse(place, sets)
            forms[place] = _forms(part)
    for runs in product(*[forms[place] for place in places]):
        phrase = tuple([word for run in runs for word in run])
        if phrase:
            yield phrase


def _forms(part: Part) -> list[Run]:
    """Return every run of words that may stand at a place of a phrase."""
    if not isinstance(part, Choice) or part.beside:
        raise WordingError("a phrase of a reply has no gap, and nothing that may not stand beside it")
    found: list[Run] = []
    for run in part.alternatives:
        if any(word in _NO_PHRASE or (word.endswith("*") and len(word) > 1) for word in run):
            raise WordingError('a phrase of a reply has whole words only, and no "^", "$" or "@number"')
        found += [tuple(w for words in form for w in words) for form in product(*map(_spellings, run))]
    return [*found, ()] if part.optional else found


def _spellings(word: str) -> list[Run]:
    """Return the forms that a word is written in: with and without its apostrophe, and with "not" written out."""
    if word.endswith("n't"):
        whole = _WITH_NOT.get(word, word.removesuffix("n't"))
        return [(word,), (word.replace("'", ""),), (whole, "not") if whole else ("not",)]
    if "'" in word and word not in _KEEP_APOSTROPHE:
        return [(word,), (word.replace("'", ""),)]
    return [(word,)]


def phrases_of_files() -> Iterator[tuple[str, Concept, list[Run]]]:
    """Yield (language, concept, phrases) for every table of the word files, in the files' order.

    Raises:
        WordsError: a table has no note or no words, or a wording cannot be read.
    """
    for language in LANGUAGES:
        folder = files("bot.replies").joinpath("words").joinpath(language)
        sets = _sets(folder.joinpath(SETS), f"words/{language}/{SETS}")
        known: dict[str, list[Run]] = {}
        for entry in sorted(folder.iterdir(), key=lambda path: path.name):
            if not entry.name.endswith(".toml") or entry.name == SETS:
                continue
            where = f"words/{language}/{entry.name}"
            for concept, patterns in _tables(_document(entry), where):
                place = f"{where}: [{concept.kind}.{concept.value}]"
                yield language, concept, list(_phrases(patterns, sets, known, place))


def _document(file: Traversable) -> dict[str, object]:
    return tomllib.loads(file.read_text(encoding="utf-8"))


def _sets(file: Traversable, where: str) -> Sets:
    written: dict[str, list[str]] = {}
    for name, held in _document(file).items():
        if not isinstance(held, list):
            raise WordsError(f"{where}: {name} must be a list of words.")
        written[name] = [str(word) for word in held]
    try:
        return take_in_sets(written)
    except WordingError as error:
        raise WordsError(f"{where}: {error}.") from None


def _phrases(patterns: list[str], sets: Sets, known: dict[str, list[Run]], where: str) -> Iterator[Run]:
    for pattern in patterns:
        try:
            yield from phrases_of(pattern, sets, known)
        except WordingError as error:
            raise WordsError(f"{where}: the wording {pattern!r}: {error}.") from None


def _tables(document: dict[str, object], where: str) -> Iterator[tuple[Concept, list[str]]]:
    for kind, table in document.items():
        if not isinstance(table, dict):
            raise WordsError(f"{where}: {kind} must be a table with words.")
        named = {value: entry for value, entry in table.items() if isinstance(entry, dict)}
        for value, entry in {**({"": table} if "words" in table else {}), **named}.items():
            if not isinstance(entry.get("words"), list) or not entry.get("note"):
                raise WordsError(f"{where}: [{kind}.{value}] needs a note and a list of words.")
            yield Concept(kind, value), [str(pattern) for pattern in entry["words"]]
