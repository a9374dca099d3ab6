"""The page's own words, by language; words/*.toml hold them."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files

from bot.phrases import Language


@cache
def words_of(language: Language) -> dict[str, str]:
    """Return every phrase of the page in one language, by its key."""
    source = files("demo.page").joinpath("words", f"{language}.toml").read_text(encoding="utf-8")
    return {str(key): str(value) for key, value in tomllib.loads(source).items()}


def said(language: Language, key: str, **values: object) -> str:
    """Return a phrase with its values filled in. Raises KeyError for a key that is not there."""
    return words_of(language)[key].format(**values)
