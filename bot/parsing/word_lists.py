"""The word lists of the readers here: words/en.toml and words/es.toml, both languages together.

A list is named by its table and its key: "answers.yes". How a wording is written: bot/wordings/README.md.
"""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections.abc import Iterable, Sequence
from functools import cache, lru_cache
from importlib.resources import files

from bot.replies.phrases import phrases_of
from bot.text import fold
from bot.wordings.notation import Run, WordingError, take_in_sets

LANGUAGES = ("en", "es")
LONGEST_RUN = 12  # words of a wording
_WORD = re.compile(r"[^\W_]+(?:'[^\W_]+)*|[^\w\s]")


class WordListError(ValueError):
    """A list cannot be used; the message names the file and the list."""


@cache
def runs_of(name: str) -> tuple[Run, ...]:
    """Return every run of folded words that a list holds, the longest first.

    Raises:
        WordListError: no file has such a list, or a wording of it cannot be read.
    """
    table, _, key = name.partition(".")
    found: dict[Run, None] = {}
    known = False
    for language in LANGUAGES:
        document = _document(language)
        sets = take_in_sets(document["sets"])
        known = known or key in document.get(table, {})
        for wording in document.get(table, {}).get(key, ()):
            try:
                found.update(dict.fromkeys(phrases_of(wording, sets)))
            except WordingError as error:
                raise WordListError(
                    f"words/{language}.toml: {name}: the wording {wording!r}: {error}."
                ) from None
    if not known:
        raise WordListError(f"words/en.toml: there is no list {name!r}; add it, or mend its name.")
    return tuple(sorted(found, key=lambda run: (-len(" ".join(run)), run)))


@cache
def keys_of(table: str) -> tuple[str, ...]:
    """Return the names of the lists of a table, each once."""
    return tuple(dict.fromkeys(key for each in LANGUAGES for key in _document(each).get(table, {})))


@cache
def numbered(table: str) -> dict[str, int]:
    """Return the words of a table whose lists are named by numbers, with the number of each."""
    return {" ".join(run): int(key) for key in keys_of(table) for run in runs_of(f"{table}.{key}")}


@cache
def either(*names: str) -> str:
    """Return a pattern over folded text for any run of the lists; it begins and ends where a word does."""
    return rf"(?<!\w){beginning(*names)}(?!\w)"


@cache
def beginning(*names: str) -> str:
    """Return a pattern over folded text for any run of the lists, its words apart by spaces or a hyphen.

    More letters may follow. Lists that are empty in both languages match nothing.
    """
    runs = sorted(
        {run for name in names for run in runs_of(name)}, key=lambda run: (-len(" ".join(run)), run)
    )
    made = [r"[\s-]+".join(re.escape(word) for word in run) for run in runs]
    return f"(?:{'|'.join(made)})" if made else "(?!)"


@lru_cache(maxsize=64)  # one message is asked about by a dozen readers
def words_in(text: str) -> tuple[str, ...]:
    """Return the folded words of a text in order, and its signs such as a thumbs-up; other marks are left out."""
    return tuple(
        word
        for word in _WORD.findall(fold(text))
        if word[0].isalnum() or unicodedata.category(word[0]) == "So"
    )


def holds(words: Sequence[str], name: str) -> bool:
    """Say whether any run of a list stands among the words."""
    return not _listed(name).isdisjoint(_runs_among(tuple(words)))


def made_of(words: Sequence[str], names: Iterable[str]) -> bool:
    """Say whether the words are nothing but runs of the lists, one after the other."""
    said, lists = tuple(words), [_by_length(name) for name in names]
    reached, furthest = {0}, 0
    for at in range(len(said)):
        if at > furthest:
            return False
        if at in reached:
            reached |= {at + n for runs, lengths in lists for n in lengths if said[at : at + n] in runs}
            furthest = max(reached)
    return len(said) in reached


def whole_of(words: Sequence[str], wanted: Iterable[str], beside: Iterable[str] = ()) -> bool:
    """Say whether the words are a whole message of these lists: a run of one of `wanted`, and else only `wanted` and `beside`."""
    wanted = tuple(wanted)
    return any(holds(words, name) for name in wanted) and made_of(words, (*wanted, *beside))


@lru_cache(maxsize=64)  # as `words_in`
def _runs_among(words: Run) -> frozenset[Run]:
    """Return every run of words of a message that a list may hold."""
    return frozenset(
        words[at : at + n] for n in range(1, LONGEST_RUN + 1) for at in range(len(words) - n + 1)
    )


@cache
def _listed(name: str) -> frozenset[Run]:
    found = frozenset(runs_of(name))
    if any(len(run) > LONGEST_RUN for run in found):
        raise WordListError(f"words: {name}: a wording is longer than {LONGEST_RUN} words; make it shorter.")
    return found


@cache
def _by_length(name: str) -> tuple[frozenset[Run], tuple[int, ...]]:
    """Return the runs of a list and the lengths that they have: a list may hold ten thousand, and every message is looked up."""
    runs = _listed(name)
    return runs, tuple(sorted({len(run) for run in runs}))


@cache
def _document(language: str) -> dict[str, dict[str, list[str]]]:
    source = files("bot.parsing").joinpath("words").joinpath(f"{language}.toml").read_text(encoding="utf-8")
    return tomllib.loads(source)
