"""Whatever says that words were not understood, or were kept or passed on, says whom to call too."""

from __future__ import annotations

import re

import pytest

from bot.phrases import LANGUAGES, Language, catalogue

NOT_UNDERSTOOD = {
    "en": r"did not understand|\bI kept (your words|the rest)|\bI passed (this|your words)|cannot (listen|look|read words)|I can only read",
    "es": r"[Nn]o entendí|\b[Gg]uardé (tus palabras|lo demás)|[Ss]e lo pasé|pasé tus palabras|[Nn]o puedo (oír|ver fotos)|solo leo",
}


@pytest.mark.parametrize("language", LANGUAGES)
def test_it_names_the_emergency_line(language: Language) -> None:
    # What a therapist reads is theirs to answer; the clinic's own topics are left out.
    spoken = {key: text for key, text in catalogue(language).items() if not key.startswith("therapist.")}
    told = {key for key, text in spoken.items() if re.search(NOT_UNDERSTOOD[language], str(text))}
    assert len(told) >= 7
    assert [key for key in sorted(told) if "{emergency_line}" not in str(spoken[key])] == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_an_ill_baby_gets_both_numbers(language: Language) -> None:
    text = str(catalogue(language)["pause.unwell"])
    assert "{emergency_line}" in text and "{nurse_line}" in text
