"""Every text that sends a baby to sleep says how, and none sends the carer to bed with the baby."""

from __future__ import annotations

import re

import pytest

from bot.activities.library import load_library
from bot.phrases import LANGUAGES, Language, catalogue, words_for

LIBRARY = load_library()
# What Moon et al. 2022 (Pediatrics 150) ask of every sleep: on the back, a surface of the baby's own, firm, flat, bare.
SAFE: dict[Language, tuple[str, ...]] = {
    "en": ("on the back", "firm", "flat", "of their own", "nothing soft"),
    "es": ("boca arriba", "firme", "plana", "su propia", "sin nada blando"),
}
BED_TOGETHER: dict[Language, str] = {
    "en": r"\b(rest|sleep|nap|lie down) (together|with your baby|with \{nickname\})|in your (own )?bed|\bco-?sleep",
    "es": r"a descansar|\bdescansen|duerm\w+ (con|junto)|en tu (propia )?cama|acuéstate con",
}


def forms(language: Language) -> list[str]:
    phrases = [
        form
        for phrase in catalogue(language).values()
        for form in ([phrase] if isinstance(phrase, str) else phrase.values())
    ]
    return phrases + [
        line
        for activity in LIBRARY.values()
        for field in type(activity.text(language)).model_fields
        for line in _lines(getattr(activity.text(language), field))
    ]


def _lines(value: str | tuple[str, ...]) -> tuple[str, ...]:
    return (value,) if isinstance(value, str) else value


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_fixed_text_names_all_that_safe_sleep_asks_for(language: Language) -> None:
    said = words_for(language)("sleep.safe")

    assert [part for part in SAFE[language] if part not in said] == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_answer_to_a_sleeping_baby_begins_with_the_fixed_text(language: Language) -> None:
    phrase = catalogue(language)["pause.asleep"]

    assert isinstance(phrase, str) and phrase.startswith("{safe} ")


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_text_sends_the_carer_to_bed_with_the_baby(language: Language) -> None:
    assert [form for form in forms(language) if re.search(BED_TOGETHER[language], form, re.IGNORECASE)] == []


@pytest.mark.parametrize(
    ("language", "line"), [("en", "Sleepy? Rest together."), ("es", "¿Hay sueño? Boca arriba y a descansar.")]
)
def test_a_line_that_sends_both_to_bed_would_be_found(language: Language, line: str) -> None:
    assert re.search(BED_TOGETHER[language], line, re.IGNORECASE)
