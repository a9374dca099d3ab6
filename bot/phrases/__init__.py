"""Every word that a person reads, by language.

One folder a language, one TOML file a topic: a clinician or translator edits them without touching code.
A phrase is a template with named fields, `{minutes}`, or a table of plural forms chosen by its field `n`:

    counted = "Counted: {activity}, {minutes} min."
    babies = {one = "{n} baby", other = "{n} babies"}
"""

from __future__ import annotations

import html
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Literal, cast

from babel import Locale

from bot.phrases.spanish import agreed

Language = Literal["en", "es"]
LANGUAGES: tuple[Language, ...] = ("en", "es")
# One Spanish for all: that of Latin America, which writes 3.5 where Spain writes 3,5.
LOCALES: dict[Language, str] = {"en": "en", "es": "es_419"}

Phrase = str | dict[str, str]


class UnknownPhrase(LookupError):
    """A phrase was asked for that no file holds."""


@cache
def catalogue(language: Language) -> dict[str, Phrase]:
    """Return all phrases of a language, keyed "topic.name"."""
    found: dict[str, Phrase] = {}
    for entry in sorted(files(__name__).joinpath(language).iterdir(), key=lambda path: path.name):
        if entry.name.endswith(".toml"):
            topic = entry.name.removesuffix(".toml")
            for name, phrase in tomllib.loads(entry.read_text(encoding="utf-8")).items():
                found[f"{topic}.{name}"] = phrase
    return found


@cache
def _locale(language: Language) -> Locale:
    return Locale.parse(language)


@dataclass(frozen=True, slots=True)
class Verbatim:
    """Markup that is ready to send and must not be escaped again."""

    html: str


@dataclass(frozen=True, slots=True)
class Words:
    """The phrases of one language. Calling it gives message text (HTML, with every value escaped)."""

    language: Language

    @property
    def locale(self) -> str:
        """Return the CLDR locale by which dates and numbers are written; the patterns are `format.*`."""
        return LOCALES[self.language]

    def __call__(self, key: str, **values: object) -> str:
        """Return the phrase `key` ("topic.name") with its fields filled in.

        Raises:
            UnknownPhrase: no file of this language holds the key.
        """
        escaped = {
            name: value.html if isinstance(value, Verbatim) else html.escape(str(value), quote=False)
            for name, value in values.items()
        }
        return self._template(key, values).format_map(escaped)

    def plain(self, key: str, **values: object) -> str:
        """Return the phrase as plain text, for buttons, pictures, documents and the terminal."""
        return self._template(key, values).format_map({name: str(value) for name, value in values.items()})

    def has(self, key: str) -> bool:
        return key in catalogue(self.language)

    def _template(self, key: str, values: dict[str, object]) -> str:
        try:
            phrase = catalogue(self.language)[key]
        except KeyError:
            raise UnknownPhrase(f"bot/phrases/{self.language} holds no phrase {key!r}") from None
        if isinstance(phrase, str):
            form = phrase
        else:
            count = cast(float, values["n"])
            form = phrase.get(_locale(self.language).plural_form(count), phrase["other"])
        return agreed(form, values) if self.language == "es" else form


def words_for(language: str) -> Words:
    """Return the words of a language, English where the language is none of ours."""
    return Words("es" if language.startswith("es") else "en")
