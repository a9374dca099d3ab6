"""The page's own words: the same in both languages, short, and plain to read."""

from __future__ import annotations

import re

import pytest

from bot.phrases import LANGUAGES, Language
from demo.page.tour import DO, STEPS
from demo.page.words import words_of
from tests.reading_grade import as_sentences, grade


def test_both_languages_have_the_same_words_with_the_same_fields() -> None:
    fields = {
        language: {key: set(re.findall(r"\{(\w+)\}", text)) for key, text in words_of(language).items()}
        for language in LANGUAGES
    }
    assert fields["en"] == fields["es"]


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_tour_has_words_for_each_step_that_it_lives_through(language: Language) -> None:
    assert set(DO) == set(STEPS)
    assert all(f"tour_{step}" in words_of(language) for step in STEPS)


@pytest.mark.parametrize("step", STEPS)
@pytest.mark.parametrize("language", LANGUAGES)
def test_the_tour_reads_at_grade_six_or_lower(step: str, language: Language) -> None:
    assert grade(as_sentences(words_of(language)[f"tour_{step}"]), language) <= 6
