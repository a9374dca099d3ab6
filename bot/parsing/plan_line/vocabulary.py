"""The words that a therapist's plan line may use, as regular expressions over folded text."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files
from typing import Any

import yaml

from bot.activities.library import Library
from bot.parsing.word_lists import LANGUAGES, numbered
from bot.text import fold, fold_with_offsets

ARTICLES = ("the ", "el ", "la ", "los ", "las ")
_DASHES = str.maketrans("–—−", "---")


def fold_line(text: str) -> tuple[str, list[int] | None]:
    """Return a line folded, its dashes plain, and where each character of it came from (None: from its own place)."""
    return fold_with_offsets(text.translate(_DASHES))


@cache
def vocabulary() -> dict[str, Any]:
    """Return the vocabulary file's content, every scalar as text ("no" and "off" are words here)."""
    source = files("bot.parsing.plan_line").joinpath("vocabulary.yaml").read_text(encoding="utf-8")
    found: dict[str, Any] = yaml.load(source, Loader=yaml.BaseLoader)
    return found


def either(phrases: Iterable[str]) -> str:
    """Return a pattern for any of the phrases, the longest first, ending where a word ends."""
    made = []
    for phrase in sorted({fold(each) for each in phrases}, key=lambda each: (-len(each), each)):
        pattern = r"[\s-]+".join(re.escape(word) for word in re.split(r"[\s-]+", phrase))
        made.append(pattern + (r"(?!\w)" if phrase[-1].isalnum() else ""))
    return f"(?:{'|'.join(made)})"


@cache
def word(name: str) -> str:
    """Return the pattern of one list of words."""
    return either(vocabulary()["words"][name])


@cache
def number_words() -> dict[str, int]:
    """Return the number words that all readers know, and those of a plan line, with what each is worth."""
    theirs = {fold(said): int(n) for n, all_said in vocabulary()["numbers"].items() for said in all_said}
    return {**numbered("numbers"), **theirs}


@cache
def moment_words() -> dict[str, str]:
    return {fold(said): name for name, all_said in vocabulary()["moments"].items() for said in all_said}


def names_of(library: Library) -> dict[str, str]:
    """Return every name of the library's activities, folded, with the id it stands for; the library's own come first."""
    names: dict[str, str] = {}
    for activity in library:
        names[fold(activity.replace("_", " "))] = activity
        for language in LANGUAGES:
            names[fold(library.name(activity, language))] = activity
            said = fold(library.in_sentence(activity, language))
            article = next((each for each in ARTICLES if said.startswith(each)), "")
            names[said.removeprefix(article)] = activity
    theirs: Mapping[str, list[str]] = vocabulary()["activities"]
    for activity, all_said in theirs.items():
        if activity in library:
            for said in all_said:
                names.setdefault(fold(said), activity)
    return names
