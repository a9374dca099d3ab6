"""The words that a therapist's plan line may use, as regular expressions over folded text."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files
from typing import Any

import yaml

from bot.activities.library import Library

ARTICLES = ("the ", "el ", "la ", "los ", "las ")


def fold(text: str) -> str:
    """Return text without accents and capitals, every character still at its place.

    The text must be in normal form C, so that a letter with its accent is one character.
    """
    return "".join(_folded(character) for character in text)


def _folded(character: str) -> str:
    if character.isdecimal():
        return str(unicodedata.decimal(character))
    if character.isalpha():
        base = unicodedata.normalize("NFKD", character)[0].casefold()
        return base[0] if base else character
    return {"–": "-", "—": "-", "−": "-", "’": "'"}.get(character, character)


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
    return {
        fold(said): int(number) for number, all_said in vocabulary()["numbers"].items() for said in all_said
    }


@cache
def moment_words() -> dict[str, str]:
    return {fold(said): name for name, all_said in vocabulary()["moments"].items() for said in all_said}


@cache
def ordinals(kind: str) -> dict[str, int]:
    """Return the place of each weekday (Monday 0) or month (January 0). kind: weekdays, months."""
    return {fold(said): place for place, names in enumerate(vocabulary()[kind]) for said in names}


def names_of(library: Library) -> dict[str, str]:
    """Return every name of the library's activities, folded, with the id it stands for; the library's own come first."""
    names: dict[str, str] = {}
    for activity in library:
        names[fold(activity.replace("_", " "))] = activity
        for language in ("en", "es"):
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
